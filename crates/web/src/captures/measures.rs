//! Readings of a photograph, a clip or markers as lines, each against what is published for it.

use crate::adapt::rows::{Row, compared};
use crate::sources::says;
use crate::words::capitalised;
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
    let comparison = held_against(&yardsticks, estimate, person);
    let mut row = compared(name, &comparison);
    // Who was measured, and by which rule: counts of heel rises differ several times over for that alone.
    let of_this_person = comparison.rows.iter().filter(|r| r.applies.yes());
    row.notes.extend(of_this_person.map(|r| {
        let y = &r.yardstick;
        format!(
            "{}: {} ({}, {}).",
            capitalised(&y.population),
            says(&y.kind, y.unit),
            y.source,
            y.provenance.letter()
        )
    }));
    row.notes
        .splice(0..0, notes.iter().map(|n| (*n).to_owned()));
    row
}
