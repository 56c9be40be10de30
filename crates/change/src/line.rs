//! Readings of one foot and measure in time, parted into runs of comparable ones.
//!
//! A reading joins the run whose first reading it is comparable with, wherever that run began: two readers
//! who take turns make two runs, not many. What is unknown of a reading keeps it in a run of its own.
//!
//! Surprise: several readings of one day are several points of one visit; none is compared with another of
//! its day.

use crate::seen::{Seen, Why, comparable};
use crate::verdict::{Verdict, verdict};
use crate::yard::{Yard, Yards};
use quantity::Unit;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{MeasureKey, Side};
use time::Date;

/// Readings of one foot and one measure that may be held against each other, by day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Run {
    pub side: Side,
    pub measure: MeasureKey,
    pub unit: Unit,
    pub points: Vec<Point>,
    /// Why this run stands apart from the one that began before it; empty for the first.
    pub apart: Vec<Why>,
    /// The last reading before this run began against this run's first: 'cannot tell', unless two readers
    /// read them and a change between readers is published.
    pub across: Option<Verdict>,
}

impl Run {
    pub fn seen(&self) -> Vec<Seen> {
        self.points.iter().map(|p| p.seen.clone()).collect()
    }

    /// Days on which there is a reading.
    pub fn visits(&self) -> usize {
        let mut days: Vec<Date> = self.points.iter().map(|p| p.seen.day).collect();
        days.dedup();
        days.len()
    }

    /// Every further comparison with the first is one more chance of a false 'changed'.
    pub fn caution(&self) -> Option<String> {
        let compared = self
            .points
            .iter()
            .filter(|p| p.against_first.is_some())
            .count();
        (compared > 2).then(|| {
            format!("{compared} readings are held against the first: each could by error alone differ once in 20, so one that stands alone says little.")
        })
    }
}

/// A reading of a run, with what became of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Point {
    pub seen: Seen,
    /// Against the run's first reading; `None` on the first day.
    pub against_first: Option<Verdict>,
    /// Against the last reading of an earlier day.
    pub against_previous: Option<Verdict>,
}

/// Parts readings into feet, measures and runs, and judges each against the run's first and the previous.
///
/// Readings of several measures may come together; `size` then holds for all of them, so ask one measure at
/// a time where it is given. A measure without an entry in `yards` has no yard.
pub fn line(seen: &[Seen], yards: &[Yards], size: Option<f64>) -> Vec<Run> {
    grouped(seen)
        .into_iter()
        .flat_map(|group| runs_of(group, yards, size))
        .collect()
}

/// By foot, measure and unit, each by day; readings of one day keep their order.
pub(crate) fn grouped(seen: &[Seen]) -> Vec<Vec<&Seen>> {
    let mut groups: BTreeMap<_, Vec<&Seen>> = BTreeMap::new();
    for s in seen {
        groups
            .entry((s.side, s.measure.clone(), s.estimate.unit))
            .or_default()
            .push(s);
    }
    groups
        .into_values()
        .map(|mut g| {
            g.sort_by_key(|s| s.day);
            g
        })
        .collect()
}

pub(crate) fn yard_for(yards: &[Yards], a: &Seen, b: &Seen) -> Yard {
    yards
        .iter()
        .find(|y| y.measure == b.measure)
        .map_or_else(Yard::not_known, |y| y.for_pair(a, b))
}

fn runs_of(group: Vec<&Seen>, yards: &[Yards], size: Option<f64>) -> Vec<Run> {
    let mut runs: Vec<Vec<&Seen>> = Vec::new();
    for s in &group {
        let home = runs
            .iter_mut()
            .find(|run| comparable(&run[0].taken, &s.taken, s.estimate.unit).is_ok());
        match home {
            Some(run) => run.push(s),
            None => runs.push(vec![s]),
        }
    }
    let judged = |a: &Seen, b: &Seen| verdict(a, b, &yard_for(yards, a, b), size);
    (0..runs.len())
        .map(|i| {
            let run = &runs[i];
            let first = run[0];
            let before = (i > 0).then(|| runs[i - 1][0]);
            let last = group.iter().rfind(|s| s.day < first.day);
            Run {
                side: first.side,
                measure: first.measure.clone(),
                unit: first.estimate.unit,
                points: points_of(run, &judged),
                apart: before
                    .and_then(|b| comparable(&b.taken, &first.taken, first.estimate.unit).err())
                    .unwrap_or_default(),
                across: before.and(last).map(|l| judged(l, first)),
            }
        })
        .collect()
}

fn points_of(run: &[&Seen], judged: &dyn Fn(&Seen, &Seen) -> Verdict) -> Vec<Point> {
    run.iter()
        .map(|s| {
            let previous = run.iter().rfind(|p| p.day < s.day);
            Point {
                seen: (*s).clone(),
                against_first: (run[0].day < s.day).then(|| judged(run[0], s)),
                against_previous: previous.map(|p| judged(p, s)),
            }
        })
        .collect()
}
