//! The plan's comparison of devices: for each kind what speaks for it, against it, and what is not known.

use super::gather::{Gathered, VisitFoot};
use care::Standing;
use care::device::{Reason, compare};

pub struct DeviceRow {
    pub title: String,
    pub standing: &'static str,
    pub class: &'static str,
    pub speaks_for: Vec<String>,
    pub speaks_against: Vec<String>,
    pub not_known: String,
}

/// Empty where the ladder has no device for this foot, as for a child's painless one.
pub fn rows(g: &Gathered, foot: &VisitFoot) -> Vec<DeviceRow> {
    let all = compare(&g.sheet.story, &foot.exam, &foot.proposal);
    if all.iter().all(|c| c.standing.is_none()) {
        return Vec::new();
    }
    all.into_iter()
        .map(|c| DeviceRow {
            title: c.title,
            standing: c.standing.map_or("not for this stage", Standing::words),
            class: match c.standing {
                Some(Standing::Proposed) => "inside",
                Some(Standing::LookFirst | Standing::DependsOnStage) => "straddles",
                Some(Standing::HeldBack) => "outside",
                None => "none",
            },
            speaks_for: c
                .why
                .into_iter()
                .chain(c.speaks_for.iter().map(said))
                .collect(),
            speaks_against: c.speaks_against.iter().map(said).collect(),
            not_known: c.not_known.join("; "),
        })
        .collect()
}

fn said(reason: &Reason) -> String {
    format!("{} ({})", reason.words, reason.source.words())
}
