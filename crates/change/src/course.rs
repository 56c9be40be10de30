//! The stages of one foot over the visits: progressed, went back, the same, or not known.
//!
//! Surprise: substages of one stage are of one rank. They name what is affected, and nobody ranks them.

use crate::words::{counted, day};
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepKind {
    Progressed,
    WentBack,
    Same,
    /// Another substage of the same rank: neither on nor back.
    OtherOfSameRank,
    /// A stage that is missing, or stands in no rank.
    NotKnown,
}

/// From one day to a later one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    pub since: Date,
    pub until: Date,
    pub from: Option<String>,
    pub to: Option<String>,
    pub kind: StepKind,
}

/// All steps, and the whole from the first known stage to the last.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Course {
    pub steps: Vec<Step>,
    /// `None`: fewer than two days with a stage.
    pub overall: Option<Step>,
    pub days: usize,
    /// Days without a stage.
    pub missing: usize,
}

/// How the stage of one foot went, by day. `ranks` name the stages from the mildest to the farthest, those of
/// one rank together ([`tendon_ranks`]).
///
/// # Assumptions
/// All stages are of one scheme; two stages of one day are taken in the order given.
pub fn stage_course(mut seen: Vec<(Date, Option<String>)>, ranks: &[Vec<String>]) -> Course {
    seen.sort_by_key(|(day, _)| *day);
    let steps = seen
        .windows(2)
        .map(|pair| step(&pair[0], &pair[1], ranks))
        .collect();
    let known: Vec<&(Date, Option<String>)> = seen.iter().filter(|(_, s)| s.is_some()).collect();
    let overall = match known.as_slice() {
        [first, .., last] => Some(step(first, last, ranks)),
        _ => None,
    };
    Course {
        steps,
        overall,
        days: seen.len(),
        missing: seen.len() - known.len(),
    }
}

fn step(a: &(Date, Option<String>), b: &(Date, Option<String>), ranks: &[Vec<String>]) -> Step {
    let rank = |stage: &Option<String>| {
        let stage = stage.as_ref()?;
        ranks.iter().position(|r| r.contains(stage))
    };
    let kind = match (rank(&a.1), rank(&b.1)) {
        _ if a.1.is_some() && a.1 == b.1 => StepKind::Same,
        (Some(x), Some(y)) if y > x => StepKind::Progressed,
        (Some(x), Some(y)) if y < x => StepKind::WentBack,
        (Some(_), Some(_)) => StepKind::OtherOfSameRank,
        _ => StepKind::NotKnown,
    };
    Step {
        since: a.0,
        until: b.0,
        from: a.1.clone(),
        to: b.1.clone(),
        kind,
    }
}

impl Course {
    /// One sentence; `named` gives a stage its name on page and paper.
    pub fn words(&self, named: &dyn Fn(&str) -> String) -> String {
        let mut said = match &self.overall {
            None => {
                "Course of the stage: not known, as fewer than two visits have a stage".to_owned()
            }
            Some(step) => step.words(named),
        };
        if self.missing > 0 {
            said += &format!(
                " (not known on {} of {})",
                self.missing,
                counted(self.days, "day", "days")
            );
        }
        said.push('.');
        said
    }
}

impl Step {
    fn words(&self, named: &dyn Fn(&str) -> String) -> String {
        let name = |s: &Option<String>| s.as_deref().map_or("not known".into(), named);
        let (from, to) = (name(&self.from), name(&self.to));
        let days = format!("from {} to {}", day(self.since), day(self.until));
        match self.kind {
            StepKind::Progressed => format!("Stage progressed from {from} to {to}, {days}"),
            StepKind::WentBack => format!("Stage went back from {from} to {to}, {days}"),
            StepKind::Same => format!("Stage {to} at the first and the last visit, {days}"),
            StepKind::OtherOfSameRank => {
                format!("Stage {from} became {to}, neither on nor back, {days}")
            }
            StepKind::NotKnown => {
                format!("Stage {from} became {to}, which of them is farther is not known, {days}")
            }
        }
    }
}

/// The four stages of the failing tendon by their criterion keys, each with its substages.
pub fn tendon_ranks() -> Vec<Vec<String>> {
    [
        &["ts_I", "ts_IA", "ts_IB", "ts_IC"][..],
        &["ts_II", "ts_IIA1", "ts_IIA2", "ts_IIB", "ts_IIC"],
        &["ts_III", "ts_IIIA", "ts_IIIB"],
        &["ts_IV", "ts_IVA", "ts_IVB"],
    ]
    .iter()
    .map(|rank| rank.iter().map(|s| (*s).to_owned()).collect())
    .collect()
}
