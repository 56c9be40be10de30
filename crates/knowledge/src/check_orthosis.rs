//! Checks of what is known of prescribing: agreement, amounts, effects, advice.
//!
//! Uses the same checks of figures and sources as [`crate::check_shell`]. One surprise: an effect that would be
//! told as a point does not load.

use crate::check::{Seen, not_empty, read_all};
use crate::check_shell::{above_zero, by_name, figure, sourced, told};
use crate::fault::Fault;
use crate::figure::{FigureUnit, band_faults};
use crate::folder::Knowledge;
use crate::orthosis::{
    Advice, Agreement, Effect, Guidance, Ordered, Parameter, Setting, ThicknessByWeight,
    WarningSign, WearStep,
};
use crate::parse::Entry;

use FigureUnit::*;

pub(crate) fn orthosis(entries: Vec<Entry>, k: &mut Knowledge, faults: &mut Vec<Fault>) {
    let mut seen = Seen::default();
    let mut by_name = by_name(entries);
    let mut take = |name: &str| by_name.remove(name).unwrap_or_default();
    for (entry, a) in read_all::<Agreement>(take("agreement"), faults) {
        not_empty(&entry, &[("key", &a.key), ("choice", &a.choice)], faults);
        told(&entry, &[], a.faults(), faults);
        sourced(&entry, &[], &a, k, faults);
        if seen.new_key(&entry, &a.key, faults) {
            k.orthosis.agreements.push(a);
        }
    }
    for (entry, s) in read_all::<Setting>(take("setting"), faults) {
        not_empty(&entry, &[("key", &s.key)], faults);
        let units: &[FigureUnit] = match s.parameter {
            Parameter::Pour
            | Parameter::RearfootPost
            | Parameter::ForefootPost
            | Parameter::CastInversion => &[Degree],
            Parameter::CastInversionRatio => &[DegreePerDegree],
            Parameter::Skive => &[Millimetre, Degree],
            _ => &[Millimetre],
        };
        figure(&entry, &["amount"], &s.amount, units, k, faults);
        if seen.new_key(&entry, &s.key, faults) {
            k.orthosis.settings.push(s);
        }
    }
    for (entry, t) in read_all::<ThicknessByWeight>(take("thickness"), faults) {
        not_empty(&entry, &[("key", &t.key)], faults);
        figure(
            &entry,
            &["thickness"],
            &t.thickness,
            &[Millimetre],
            k,
            faults,
        );
        above_zero(&entry, &["thickness"], &t.thickness, false, faults);
        told(
            &entry,
            &[],
            band_faults(None, t.from_kg, t.below_kg)
                .into_iter()
                .map(|(_, found, expected)| ("from_kg", found, expected))
                .collect(),
            faults,
        );
        if k.material(&t.material).is_none() {
            faults.push(entry.fault(
                &["material"],
                format!("the material {:?}", t.material),
                "a key of the materials folder",
                "correct the key",
            ));
        }
        if seen.new_key(&entry, &t.key, faults) {
            k.orthosis.thicknesses.push(t);
        }
    }
    for (entry, e) in read_all::<Effect>(take("effect"), faults) {
        not_empty(
            &entry,
            &[
                ("key", &e.key),
                ("people", &e.people),
                ("doing", &e.doing),
                ("words", &e.words),
            ],
            faults,
        );
        told(&entry, &[], e.faults(), faults);
        sourced(&entry, &[], &e, k, faults);
        if seen.new_key(&entry, &e.key, faults) {
            k.orthosis.effects.push(e);
        }
    }
    for (entry, g) in read_all::<Guidance>(take("guidance"), faults) {
        not_empty(&entry, &[("key", &g.key), ("words", &g.words)], faults);
        for (field, f) in g.figures() {
            let unit = match field {
                "slope" => DegreePerDegree,
                "person_spread" => Ratio,
                _ => Degree,
            };
            figure(&entry, &[field], f, &[unit], k, faults);
            above_zero(&entry, &[field], f, false, faults);
            if f.band().is_none() {
                faults.push(entry.fault(
                    &[field],
                    format!("a {field} that is open at one end"),
                    "a band with both ends: no effect is told as a point",
                    "add the missing end",
                ));
            }
        }
        if g.from_deg.is_nan() || g.to_deg.is_nan() || g.from_deg >= g.to_deg {
            faults.push(entry.fault(
                &["from_deg"],
                format!("from_deg = {} and to_deg = {}", g.from_deg, g.to_deg),
                "the smaller number first",
                "correct the row",
            ));
        }
        if seen.new_key(&entry, &g.key, faults) {
            k.orthosis.guidance.push(g);
        }
    }
    for (entry, o) in read_all::<Ordered>(take("ordered"), faults) {
        not_empty(&entry, &[("key", &o.key), ("what", &o.what)], faults);
        if !(0.0..=100.0).contains(&o.percent) {
            faults.push(entry.fault(
                &["percent"],
                format!("percent = {}", o.percent),
                "a number from 0 to 100",
                "correct the number",
            ));
        }
        sourced(&entry, &[], &o, k, faults);
        if seen.new_key(&entry, &o.key, faults) {
            k.orthosis.ordered.push(o);
        }
    }
    for (entry, a) in read_all::<Advice>(take("advice"), faults) {
        not_empty(&entry, &[("key", &a.key), ("words", &a.words)], faults);
        sourced(&entry, &[], &a, k, faults);
        if seen.new_key(&entry, &a.key, faults) {
            k.orthosis.advice.push(a);
        }
    }
    for (entry, w) in read_all::<WearStep>(take("wear"), faults) {
        not_empty(&entry, &[("key", &w.key), ("words", &w.words)], faults);
        if w.day == 0 || w.hours.is_some_and(|h| !(h > 0.0 && h <= 24.0)) {
            faults.push(entry.fault(
                &["day"],
                format!("day {} with {:?} hours", w.day, w.hours),
                "a day from 1 and hours above 0, at most 24",
                "correct the row",
            ));
        }
        sourced(&entry, &[], &w, k, faults);
        if seen.new_key(&entry, &w.key, faults) {
            k.orthosis.wear.push(w);
        }
    }
    k.orthosis.wear.sort_by_key(|w| w.day);
    for (entry, w) in read_all::<WarningSign>(take("warning"), faults) {
        not_empty(
            &entry,
            &[("key", &w.key), ("sign", &w.sign), ("action", &w.action)],
            faults,
        );
        sourced(&entry, &[], &w, k, faults);
        if seen.new_key(&entry, &w.key, faults) {
            k.orthosis.warnings.push(w);
        }
    }
}
