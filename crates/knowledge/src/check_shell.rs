//! Checks of what shells are made from and prescribed by: do sources resolve, units fit, bands run upward?
//!
//! The entries stand in the folders materials, anthropometry and loads; [`crate::check_orthosis`] does the same
//! for prescribing. Leaves the reading of files to [`crate::check`]. One surprise: most faults stand in a figure inside an entry, so every check
//! takes the path to it and the fault points at its line.

use crate::anthropometry::{ShoeRule, SizeEntry};
use crate::check::{Seen, no_more_than_sources, not_empty, read_all, source_exists};
use crate::fault::Fault;
use crate::figure::{Figure, FigureUnit, Sourced, Wrong, band_faults};
use crate::folder::Knowledge;
use crate::load::{Activity, LoadCase, LoadFact, RegionShare, YearlyCycles};
use crate::material::{Material, Role};
use crate::parse::Entry;
use crate::source::Provenance;
use std::collections::BTreeMap;

use FigureUnit::*;

pub(crate) fn told(entry: &Entry, path: &[&str], wrong: Vec<Wrong>, faults: &mut Vec<Fault>) {
    for (field, found, expected) in wrong {
        let full: Vec<&str> = path.iter().copied().chain([field]).collect();
        faults.push(entry.fault(&full, found, expected, "correct the row"));
    }
}

/// Sources are there, and what rests on them claims no more than they give.
pub(crate) fn sourced(
    entry: &Entry,
    path: &[&str],
    what: &dyn Sourced,
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    let at = |field: &str| -> Vec<String> {
        path.iter()
            .map(|p| (*p).to_owned())
            .chain([field.to_owned()])
            .collect()
    };
    let sources = at("sources");
    let sources: Vec<&str> = sources.iter().map(String::as_str).collect();
    if what.sources().is_empty() {
        faults.push(entry.fault(
            &sources,
            "no source",
            "at least one key of the sources folder",
            "name the source",
        ));
    }
    for (i, key) in what.sources().iter().enumerate() {
        let number = i.to_string();
        let place: Vec<&str> = sources.iter().copied().chain([number.as_str()]).collect();
        source_exists(entry, &place, key, k, faults);
    }
    let mut own = Vec::new();
    no_more_than_sources(
        entry,
        what.provenance(),
        &what.sources().iter().collect::<Vec<_>>(),
        k,
        &mut own,
    );
    // That check knows entries without figures inside; the line is the figure's own.
    let provenance = at("provenance");
    let provenance: Vec<&str> = provenance.iter().map(String::as_str).collect();
    faults.extend(
        own.into_iter()
            .map(|f| entry.fault(&provenance, f.found, f.expected, f.hint)),
    );
    if what.judgement() && what.provenance() < Provenance::CommonPractice {
        faults.push(entry.fault(
            &provenance,
            format!(
                "judgement = true with a provenance of {:?}",
                what.provenance().words()
            ),
            format!(
                "{:?} or {:?}: nobody published our own choice",
                Provenance::CommonPractice.words(),
                Provenance::Unconfirmed.words()
            ),
            "correct one of them",
        ));
    }
    let silent = what.note().is_none_or(|n| n.trim().is_empty());
    for (field, there) in [("derived", what.derived()), ("judgement", what.judgement())] {
        if there && silent {
            let place = at(field);
            let place: Vec<&str> = place.iter().map(String::as_str).collect();
            faults.push(entry.fault(
                &place,
                format!("{field} = true without a note"),
                "a note that says from what",
                "write it",
            ));
        }
    }
}

/// A figure inside an entry: numbers, unit and sources.
pub(crate) fn figure(
    entry: &Entry,
    path: &[&str],
    figure: &Figure,
    units: &[FigureUnit],
    k: &Knowledge,
    faults: &mut Vec<Fault>,
) {
    if figure.value.is_none() && figure.lower.is_none() && figure.upper.is_none() {
        faults.push(entry.fault(
            path,
            "a figure without a number",
            "value, lower or upper",
            "add the number or remove the figure",
        ));
    }
    told(
        entry,
        path,
        band_faults(figure.value, figure.lower, figure.upper),
        faults,
    );
    if !units.contains(&figure.unit) {
        let known: Vec<String> = units.iter().map(|u| format!("{:?}", u.key())).collect();
        let place: Vec<&str> = path.iter().copied().chain(["unit"]).collect();
        faults.push(entry.fault(
            &place,
            format!("unit = {:?}", figure.unit.key()),
            known.join(" or "),
            "correct the unit",
        ));
    }
    sourced(entry, path, figure, k, faults);
}

pub(crate) fn above_zero(
    entry: &Entry,
    path: &[&str],
    figure: &Figure,
    or_zero: bool,
    faults: &mut Vec<Fault>,
) {
    let least = [figure.value, figure.lower, figure.upper]
        .into_iter()
        .flatten()
        .reduce(f64::min);
    if let Some(least) = least.filter(|l| *l < 0.0 || (!or_zero && *l == 0.0)) {
        faults.push(entry.fault(
            path,
            format!("{least}"),
            if or_zero {
                "0 or more"
            } else {
                "a number above 0"
            },
            "correct the number",
        ));
    }
}

fn strs(path: &[String]) -> Vec<&str> {
    path.iter().map(String::as_str).collect()
}

pub(crate) fn materials(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    for (entry, m) in read_all::<Material>(entries, faults) {
        not_empty(
            &entry,
            &[("key", &m.key), ("name", &m.name), ("words", &m.words)],
            faults,
        );
        for (path, f) in m.figures() {
            let path = strs(&path);
            let last = path.last().copied().unwrap_or_default();
            let units: &[FigureUnit] = match last {
                "poisson" | "nu12" | "creep_share" | "safety" => &[Ratio],
                "density" => &[GramPerCubicCentimetre],
                "heat_deflection" => &[Celsius],
                "tolerance_share" => &[Percent],
                "tensile_strength" | "flexural_strength" | "allowable" | "stress" => &[MegaPascal],
                "tensile_modulus" | "flexural_modulus" | "design_modulus" | "modulus" | "e1"
                | "e2" | "g12" | "g13" | "g23" => &[GigaPascal, MegaPascal],
                _ => &[Millimetre],
            };
            figure(&entry, &path, f, units, k, faults);
            above_zero(&entry, &path, f, last == "poisson", faults);
            if last == "poisson"
                && let Some(high) = f.upper.or(f.value).filter(|v| *v >= 0.5)
            {
                faults.push(entry.fault(
                    &path,
                    format!("a Poisson ratio of {high}"),
                    "less than 0.5",
                    "correct the number",
                ));
            }
        }
        if let Some(o) = &m.orthotropic
            && let (Some([_, e1]), Some([e2, _]), Some([_, nu])) =
                (o.e1.band(), o.e2.band(), o.nu12.band())
            // Positive strain energy: nu12² < E1/E2, for every pair out of the bands.
            && nu * nu >= o.e1.band().map_or(e1, |b| b[0]) / o.e2.band().map_or(e2, |b| b[1])
        {
            faults.push(entry.fault(
                &["orthotropic", "nu12"],
                format!("nu12 up to {nu}"),
                "a square below E1 over E2",
                "correct the constants",
            ));
        }
        for (i, f) in m.fatigue.iter().enumerate() {
            let i = i.to_string();
            if !(f.r_ratio.is_finite() && f.r_ratio < 1.0) {
                faults.push(entry.fault(
                    &["fatigue", &i, "r_ratio"],
                    format!("r_ratio = {}", f.r_ratio),
                    "a number below 1",
                    "correct the number",
                ));
            }
            if let Some(cycles) = f.cycles.filter(|c| !(c.is_finite() && *c >= 1.0)) {
                faults.push(entry.fault(
                    &["fatigue", &i, "cycles"],
                    format!("cycles = {cycles}"),
                    "1 or more",
                    "correct the number",
                ));
            }
        }
        for (i, fact) in m.facts.iter().enumerate() {
            sourced(&entry, &["facts", &i.to_string()], fact, k, faults);
        }
        if let Some(stock) = &m.making.stock_mm {
            sourced(&entry, &["making", "stock_mm"], stock, k, faults);
            if !stock.thicknesses.iter().all(|t| t.is_finite() && *t > 0.0) {
                faults.push(entry.fault(
                    &["making", "stock_mm", "thicknesses"],
                    format!("{:?}", stock.thicknesses),
                    "millimetres above 0",
                    "correct the list",
                ));
            }
        }
        if m.is_for(Role::Shell) {
            let stiff = m.bending_modulus().is_some() || m.orthotropic.is_some();
            let poisson = m.poisson.is_some() || m.orthotropic.is_some();
            for (there, what) in [
                (stiff, "a modulus"),
                (poisson, "a Poisson ratio"),
                (m.density.is_some(), "a density"),
            ] {
                if !there {
                    faults.push(entry.fault(
                        &["roles"],
                        format!("a shell material without {what}"),
                        "modulus, Poisson ratio and density of whatever a shell is made of",
                        "add it or take \"shell\" out of its roles",
                    ));
                }
            }
        }
        if seen.new_key(&entry, &m.key, faults) {
            k.materials.push(m);
        }
    }
}

pub(crate) fn sizes(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    let (shoes, sizes): (Vec<Entry>, Vec<Entry>) =
        entries.into_iter().partition(|e| e.name == "shoe");
    for (entry, row) in read_all::<SizeEntry>(sizes, faults) {
        not_empty(
            &entry,
            &[("key", &row.key), ("population", &row.population)],
            faults,
        );
        told(&entry, &[], row.faults(), faults);
        sourced(&entry, &[], &row, k, faults);
        if seen.new_key(&entry, &row.key, faults) {
            k.sizes.extend(row.checked());
        }
    }
    for (entry, rule) in read_all::<ShoeRule>(shoes, faults) {
        not_empty(
            &entry,
            &[
                ("key", &rule.key),
                ("name", &rule.name),
                ("words", &rule.words),
            ],
            faults,
        );
        for (field, number) in [
            ("unit_mm", rule.unit_mm),
            ("per_unit", rule.per_unit),
            ("step", rule.step),
        ] {
            if !(number.is_finite() && number > 0.0) {
                faults.push(entry.fault(
                    &[field],
                    format!("{field} = {number}"),
                    "a number above 0",
                    "correct the number",
                ));
            }
        }
        told(
            &entry,
            &["offset"],
            band_faults(None, Some(rule.offset[0]), Some(rule.offset[1])),
            faults,
        );
        sourced(&entry, &[], &rule, k, faults);
        if seen.new_key(&entry, &rule.key, faults) {
            k.shoe_rules.push(rule);
        }
    }
}

pub(crate) fn loads(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    let mut by_name = by_name(entries);
    let mut take = |name: &str| by_name.remove(name).unwrap_or_default();
    for (entry, case) in read_all::<LoadCase>(take("case"), faults) {
        not_empty(
            &entry,
            &[
                ("key", &case.key),
                ("title", &case.title),
                ("words", &case.words),
            ],
            faults,
        );
        for (path, f) in case.figures() {
            let path = strs(&path);
            let units: &[FigureUnit] = match path.last().copied() {
                Some("total") => &[BodyWeight],
                Some("cycles") => &[Cycles],
                Some("speed") => &[MillimetrePerMinute],
                _ => &[Millimetre],
            };
            figure(&entry, &path, f, units, k, faults);
            above_zero(&entry, &path, f, false, faults);
        }
        if let Some(shares) = case.shares {
            let each = [
                shares.heel,
                shares.medial_arch,
                shares.lateral_midfoot,
                shares.forefoot,
            ];
            if !each.iter().all(|s| (0.0..=1.0).contains(s)) || (shares.sum() - 1.0).abs() > 1e-9 {
                faults.push(entry.fault(
                    &["shares"],
                    format!("shares that add up to {:.3}", shares.sum()),
                    "shares of 0 to 1 that add up to 1",
                    "correct the shares",
                ));
            }
        }
        if case.total.is_some() != case.shares.is_some() {
            faults.push(entry.fault(
                &["total"],
                "a total or shares alone",
                "both, or an indenter instead of them",
                "add what is missing",
            ));
        }
        if case.total.is_none() && case.indenter.is_none() {
            faults.push(entry.fault(
                &["key"],
                "a case without a load",
                "a total with shares, or an indenter",
                "add the load",
            ));
        }
        if case.cycle_from.is_some() != case.cycles.is_some() {
            faults.push(entry.fault(
                &["cycles"],
                "cycles or their lowest load alone",
                "both or neither",
                "add what is missing",
            ));
        }
        if case.held.is_empty() {
            faults.push(entry.fault(
                &["held"],
                "no way of holding the front edge",
                "at least one of slides, pinned, clamped",
                "add it",
            ));
        }
        sourced(&entry, &[], &case, k, faults);
        if seen.new_key(&entry, &case.key, faults) {
            k.load_cases.push(case);
        }
    }
    for (entry, a) in read_all::<Activity>(take("activity"), faults) {
        not_empty(&entry, &[("key", &a.key), ("words", &a.words)], faults);
        figure(&entry, &["peak"], &a.peak, &[BodyWeight], k, faults);
        above_zero(&entry, &["peak"], &a.peak, false, faults);
        if seen.new_key(&entry, &a.key, faults) {
            k.activities.push(a);
        }
    }
    for (entry, s) in read_all::<RegionShare>(take("share"), faults) {
        not_empty(
            &entry,
            &[("key", &s.key), ("doing", &s.doing), ("people", &s.people)],
            faults,
        );
        figure(&entry, &["share"], &s.share, &[Percent], k, faults);
        above_zero(&entry, &["share"], &s.share, true, faults);
        if seen.new_key(&entry, &s.key, faults) {
            k.region_shares.push(s);
        }
    }
    for (entry, y) in read_all::<YearlyCycles>(take("yearly"), faults) {
        not_empty(&entry, &[("key", &y.key), ("words", &y.words)], faults);
        figure(&entry, &["cycles"], &y.cycles, &[CyclesPerYear], k, faults);
        above_zero(&entry, &["cycles"], &y.cycles, false, faults);
        if seen.new_key(&entry, &y.key, faults) {
            k.yearly_cycles.push(y);
        }
    }
    for (entry, f) in read_all::<LoadFact>(take("fact"), faults) {
        not_empty(&entry, &[("key", &f.key), ("words", &f.words)], faults);
        sourced(&entry, &[], &f, k, faults);
        if seen.new_key(&entry, &f.key, faults) {
            k.load_facts.push(f);
        }
    }
}

pub(crate) fn by_name(entries: Vec<Entry<'_>>) -> BTreeMap<&'static str, Vec<Entry<'_>>> {
    let mut out: BTreeMap<&'static str, Vec<Entry>> = BTreeMap::new();
    for entry in entries {
        out.entry(entry.name).or_default().push(entry);
    }
    out
}
