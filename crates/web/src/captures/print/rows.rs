//! A reading of a print against what is published; standing and walking are never held against each other.

use super::hand::Read;
use crate::adapt::rows::{Row, compared};
use crate::error::sentence;
use knowledge::{Knowledge, yardstick::Person};
use print::{FootReadings, Index};
use quantity::Estimate;
use reading::held_against;
use record::Doing;
use terms::Side;

/// One foot's part of the page.
pub struct FootPart {
    pub side: Side,
    pub head: &'static str,
    pub rows: Vec<IndexRow>,
    /// Name and why.
    pub missing: Vec<(String, &'static str)>,
    pub doubts: Vec<String>,
    pub regions: Vec<RegionRow>,
}

pub struct IndexRow {
    pub key: &'static str,
    pub row: Row,
}

pub struct RegionRow {
    pub name: &'static str,
    pub share: String,
    pub peak: String,
}

/// The name of an index as the page says it.
pub fn name(index: Index) -> String {
    crate::words::capitalised(index.words())
}

pub fn feet(
    knowledge: &Knowledge,
    read: &Read,
    doing: Option<Doing>,
    person: &Person,
) -> Vec<FootPart> {
    read.readings
        .feet
        .iter()
        .map(|foot| FootPart {
            side: foot.side,
            head: crate::words::side_head(foot.side),
            rows: foot
                .readings
                .iter()
                .map(|r| row(knowledge, r.index, r.estimate, doing, person))
                .collect(),
            missing: foot
                .missing
                .iter()
                .map(|m| (name(m.index), m.why))
                .collect(),
            doubts: foot.doubts.iter().map(|d| sentence(d.words())).collect(),
            regions: regions(foot),
        })
        .collect()
}

fn row(
    knowledge: &Knowledge,
    index: Index,
    estimate: Estimate,
    doing: Option<Doing>,
    person: &Person,
) -> IndexRow {
    let item = doing.and_then(|d| index.item(d == Doing::Walking));
    let yardsticks = item
        .map(|i| knowledge.item_yardsticks(i))
        .unwrap_or_default();
    let mut row = compared(&name(index), &held_against(&yardsticks, estimate, person));
    let judged = [false, true]
        .iter()
        .any(|walking| index.item(*walking).is_some());
    if doing.is_none() && judged {
        row.notes.insert(
            0,
            "Norms differ between standing and walking prints; say below how it was taken."
                .to_owned(),
        );
    }
    IndexRow {
        key: index.key(),
        row,
    }
}

fn regions(foot: &FootReadings) -> Vec<RegionRow> {
    let Some(pressure) = &foot.pressure else {
        return Vec::new();
    };
    pressure
        .regions
        .iter()
        .map(|r| RegionRow {
            name: r.region.words(),
            share: r.load_share.to_string(),
            peak: r.peak.to_string(),
        })
        .collect()
}
