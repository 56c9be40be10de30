//! A number against what is published for an item of the examination: lines for the eye, and JSON.

use figure::of_reading::{not_judged_because, place_of};
use figure::strip::Place;
use knowledge::{Knowledge, Person};
use quantity::Estimate;
use reading::{Comparison, YardstickRow, held_against};
use serde_json::{Value, json};

/// `None` where nothing is published for the item.
pub fn against(
    knowledge: &Knowledge,
    item: &str,
    estimate: Estimate,
    person: &Person,
) -> Option<Comparison> {
    let yardsticks = knowledge.item_yardsticks(item);
    (!yardsticks.is_empty()).then(|| held_against(&yardsticks, estimate, person))
}

/// `inside`, or why it is not judged.
pub fn place(comparison: Option<&Comparison>) -> String {
    let Some(c) = comparison else {
        return String::new();
    };
    match (place_of(c), not_judged_because(c)) {
        (place, Some((_, why))) => format!("{}: {}", place.word(), why.trim_end_matches('.')),
        // Means and classes stand beside it and set no limit.
        (Place::NoYardstick, None) if shown(c).next().is_some() => {
            Place::NotJudged.word().to_owned()
        }
        (place, None) => place.word().to_owned(),
    }
}

/// One line for each row that is of such a person, and what one has to know.
pub fn lines(comparison: &Comparison) -> Vec<String> {
    shown(comparison)
        .map(line)
        .chain(comparison.notes.iter().cloned())
        .collect()
}

/// Those that judge first.
fn shown(comparison: &Comparison) -> impl Iterator<Item = &YardstickRow> {
    let of_person = || comparison.rows.iter().filter(|r| r.applies.yes());
    let judging = of_person().filter(|r| r.decides);
    judging.chain(of_person().filter(|r| !r.decides))
}

fn line(row: &YardstickRow) -> String {
    let y = &row.yardstick;
    let n = y.n.map(|n| format!(", n {n}")).unwrap_or_default();
    let why = row
        .shown_only_because
        .as_ref()
        .map(|why| format!("; shown only: {why}"))
        .unwrap_or_default();
    format!(
        "{} ({}{n}) {} {}{why}",
        web::sources::says(&y.kind, y.unit),
        y.population,
        y.provenance.letter(),
        y.source,
    )
}

pub fn json(comparison: &Comparison) -> Vec<Value> {
    shown(comparison)
        .map(|row| {
            json!({
                "key": row.yardstick.key,
                "words": web::sources::says(&row.yardstick.kind, row.yardstick.unit),
                "population": row.yardstick.population,
                "n": row.yardstick.n,
                "provenance": row.yardstick.provenance,
                "source": row.yardstick.source,
                "probability_outside": row.probability_outside,
                "decides": row.decides,
                "shown_only_because": row.shown_only_because,
            })
        })
        .collect()
}

/// What a letter behind a yardstick means, for the foot of a table.
pub const LETTERS: &str = "r read, a abstract, c common practice, u unconfirmed";
