//! From the error of readings to the chance of a criterion and of a stage.
//!
//! # Uncertainty
//! Each reading is taken as normal about its value with its own standard error, and the readings of one
//! scheme as independent of each other (points shared by two measures make that an approximation). The
//! line of values of every reading is cut at its thresholds; the chance of each cell is a product of
//! normal probabilities, and every cell is judged by the same rules as everything else. So the result is
//! exact under these assumptions, moves smoothly with the errors, and needs no random numbers. Nothing
//! but the readings' error is in it: not the clinician's, not the sources'.

use crate::evidence::{Leaf, against};
use crate::report::Chance;
use crate::rule::Rule;
use crate::thresholds::Threshold;
use crate::truth::Truth;
use quantity::Estimate;
use std::collections::{BTreeMap, BTreeSet};

/// Cells less likely than this are left out; with at most a few thousand cells they cannot add up to
/// anything that would be printed.
const NEGLIGIBLE: f64 = 1e-9;

pub(crate) type TruthOf<'a> = dyn Fn(&str) -> Truth + 'a;
type ValueOf<'a> = dyn Fn(&str) -> Option<f64> + 'a;

/// One cell of a reading's line: a value inside it, and its chance.
#[derive(Debug, Clone, Copy)]
struct Cell {
    value: f64,
    chance: f64,
}

/// Chance that a reading lies beyond every cut, and beyond at least one.
pub(crate) fn of_cuts(cuts: &[Threshold], estimate: Estimate, confirmed_only: bool) -> Chance {
    let mut chance = Chance {
        holds: 0.0,
        possible: 0.0,
    };
    for cell in cells(cuts.iter().flat_map(Threshold::edges).collect(), estimate) {
        chance.add(against(cuts, cell.value, confirmed_only), cell.chance);
    }
    chance.bounded()
}

/// The chance of each rule, in order; `None` when no reading takes part.
pub(crate) fn of_rules(
    rules: &[&Rule<'_>],
    leaves: &[Leaf<'_>],
    confirmed_only: bool,
) -> Option<Vec<Chance>> {
    let keys: BTreeSet<&str> = rules.iter().flat_map(|r| r.keys()).collect();
    let used: Vec<&Leaf<'_>> = leaves.iter().filter(|l| keys.contains(l.key)).collect();
    let lines = lines(&used);
    if lines.is_empty() {
        return None;
    }
    let mut out = vec![
        Chance {
            holds: 0.0,
            possible: 0.0
        };
        rules.len()
    ];
    each_cell(&lines, &mut |at, weight| {
        let truths: BTreeMap<&str, Truth> = used
            .iter()
            .map(|l| (l.key, l.truth_at(confirmed_only, at)))
            .collect();
        for (chance, rule) in out.iter_mut().zip(rules) {
            chance.add(
                rule.eval(confirmed_only, &|key| {
                    truths.get(key).copied().unwrap_or(Truth::Unknown)
                }),
                weight,
            );
        }
    });
    Some(out.into_iter().map(Chance::bounded).collect())
}

/// Sums the chance of every label that `label` gives to a cell's truths.
pub(crate) fn of_labels(
    leaves: &[Leaf<'_>],
    keys: &BTreeSet<&str>,
    label: &dyn Fn(&TruthOf<'_>) -> Option<String>,
) -> BTreeMap<String, f64> {
    let used: Vec<&Leaf<'_>> = leaves.iter().filter(|l| keys.contains(l.key)).collect();
    let lines = lines(&used);
    let mut out = BTreeMap::new();
    if lines.is_empty() {
        return out;
    }
    each_cell(&lines, &mut |at, weight| {
        let truths: BTreeMap<&str, Truth> =
            used.iter().map(|l| (l.key, l.truth_at(true, at))).collect();
        if let Some(name) = label(&|key| truths.get(key).copied().unwrap_or(Truth::Unknown)) {
            *out.entry(name).or_insert(0.0) += weight;
        }
    });
    out
}

fn lines<'l>(used: &[&'l Leaf<'_>]) -> Vec<(&'l str, Vec<Cell>)> {
    let mut cuts: BTreeMap<&str, (Estimate, Vec<f64>)> = BTreeMap::new();
    for film in used.iter().flat_map(|l| l.films()) {
        let entry = cuts
            .entry(film.measure)
            .or_insert((film.reading.estimate, Vec::new()));
        entry.1.extend(film.cuts.iter().flat_map(Threshold::edges));
    }
    cuts.into_iter()
        .map(|(measure, (estimate, cuts))| (measure, cells(cuts, estimate)))
        .collect()
}

fn cells(mut cuts: Vec<f64>, estimate: Estimate) -> Vec<Cell> {
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    if estimate.standard_error == 0.0 {
        return vec![Cell {
            value: estimate.value,
            chance: 1.0,
        }];
    }
    let below = |x: f64| normal_below((x - estimate.value) / estimate.standard_error);
    let mut out = Vec::with_capacity(cuts.len() + 1);
    for at in 0..=cuts.len() {
        let (low, high) = (
            at.checked_sub(1).and_then(|i| cuts.get(i)).copied(),
            cuts.get(at).copied(),
        );
        let (value, chance) = match (low, high) {
            (None, None) => (estimate.value, 1.0),
            (None, Some(h)) => (h - 1.0, below(h)),
            (Some(l), None) => (l + 1.0, 1.0 - below(l)),
            (Some(l), Some(h)) => (f64::midpoint(l, h), below(h) - below(l)),
        };
        if chance > NEGLIGIBLE {
            out.push(Cell { value, chance });
        }
    }
    out
}

fn each_cell(lines: &[(&str, Vec<Cell>)], visit: &mut dyn FnMut(&ValueOf<'_>, f64)) {
    let mut at = vec![0usize; lines.len()];
    loop {
        let weight: f64 = lines
            .iter()
            .zip(&at)
            .map(|((_, cells), &i)| cells[i].chance)
            .product();
        if weight > NEGLIGIBLE {
            let value = |measure: &str| {
                lines
                    .iter()
                    .zip(&at)
                    .find(|((m, _), _)| *m == measure)
                    .map(|((_, cells), &i)| cells[i].value)
            };
            visit(&value, weight);
        }
        // Count up like an odometer.
        let mut digit = 0;
        loop {
            match at.get_mut(digit) {
                None => return,
                Some(i) if *i + 1 < lines[digit].1.len() => {
                    *i += 1;
                    break;
                }
                Some(i) => {
                    *i = 0;
                    digit += 1;
                }
            }
        }
    }
}

/// The standard normal distribution function.
///
/// Sum `φ(x)·(x + x³/3 + x⁵/(3·5) + …)` near the middle and the continued fraction of the tail beyond,
/// taken deep enough for full double precision.
pub(crate) fn normal_below(x: f64) -> f64 {
    if x.is_nan() {
        return f64::NAN;
    }
    let density = (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let tail = if x.abs() < 3.0 {
        let (mut term, mut sum, mut k) = (x.abs(), x.abs(), 3.0);
        while term > 1e-17 * sum {
            term *= x * x / k;
            sum += term;
            k += 2.0;
        }
        0.5 - density * sum
    } else if x.abs() < 38.0 {
        let mut fraction = x.abs();
        for k in (1..=60).rev() {
            fraction = x.abs() + f64::from(k) / fraction;
        }
        density / fraction
    } else {
        0.0
    };
    if x < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_distribution_agrees_with_the_error_function_of_the_c_library() {
        for (x, p) in [
            (0.0, 0.5),
            (0.5, 0.691_462_461_274_013),
            (1.0, 0.841_344_746_068_543),
            (1.959_963_984_540_054, 0.975),
            (2.999, 0.998_645_663_466_272_9),
            (3.001, 0.998_654_527_174_915),
            (-4.0, 3.167_124_183_311_992e-5),
            (-6.0, 9.865_876_450_376_98e-10),
        ] {
            assert!(
                (normal_below(x) - p).abs() < 1e-12 * p.max(1e-3),
                "{x}: {}",
                normal_below(x)
            );
        }
        assert_eq!(normal_below(f64::INFINITY), 1.0);
        assert_eq!(normal_below(f64::NEG_INFINITY), 0.0);
    }

    #[test]
    fn cells_of_one_reading_share_out_the_whole() {
        let e = Estimate::new(9.0, 2.0, quantity::Unit::Degree);
        let total: f64 = cells(vec![4.0, 6.0, 30.0], e)
            .iter()
            .map(|c| c.chance)
            .sum();
        assert!((total - 1.0).abs() < 1e-9, "{total}");
    }
}
