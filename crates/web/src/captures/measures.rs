//! Readings of a photograph, a clip or markers as lines, each against what is published for it.

use crate::adapt::rows::{Row, compared};
use knowledge::{Knowledge, yardstick::Person};
use quantity::Estimate;
use reading::held_against;

/// A foot's part of the readings.
#[derive(Default)]
pub struct Part {
    pub head: String,
    pub rows: Vec<Row>,
    /// Sentences before the table.
    pub said: Vec<String>,
    pub doubts: Vec<String>,
}

/// `item` is the examination's, whose yardsticks are shown; `None` where nothing is published.
pub fn row(
    knowledge: &Knowledge,
    person: &Person,
    name: &str,
    item: Option<&str>,
    estimate: Estimate,
    notes: &[&str],
) -> Row {
    let yardsticks = item
        .map(|i| knowledge.item_yardsticks(i))
        .unwrap_or_default();
    let mut row = compared(name, &held_against(&yardsticks, estimate, person));
    row.notes
        .splice(0..0, notes.iter().map(|n| (*n).to_owned()));
    row
}
