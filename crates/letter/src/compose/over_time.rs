//! What was tried and what has changed: the part of a letter that one visit alone does not tell.

use super::further::{ChangeLine, Given, Verdict};
use super::{LetterFacts, rows, words};
use crate::document::Block;
use crate::words::{Words, say};
use terms::Side;

/// Treatments with their beginning, end and result; `None` where none is recorded.
pub fn given(facts: &LetterFacts<'_>) -> Option<Block> {
    let w = facts.words;
    let all = &facts.further.given;
    (!all.is_empty()).then(|| Block::Table {
        caption: say!(w, "given-caption"),
        header: ["head-treatment", "head-began", "head-ended", "head-result"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows: all.iter().map(|g| given_row(w, g)).collect(),
    })
}

fn given_row(w: &Words, given: &Given<'_>) -> Vec<String> {
    let day = |d: Option<&str>| words::or_not_recorded(w, d.map(|d| w.day(d)).as_deref());
    vec![
        of_side(w, given.what, given.side),
        day(given.began),
        day(given.ended),
        words::or_not_recorded(w, given.result),
    ]
}

fn of_side(w: &Words, what: &str, side: Option<Side>) -> String {
    let what = words::capital(&w.said(what));
    match side {
        Some(side) => say!(
            w,
            "reading-of-side",
            reading = what,
            side = words::side(w, side)
        ),
        None => what,
    }
}

/// Values then and now, each with what may be said of the difference; `None` where nothing was compared.
pub fn change(facts: &LetterFacts<'_>) -> Option<Block> {
    let w = facts.words;
    let all = &facts.further.change;
    (!all.is_empty()).then(|| Block::Table {
        caption: say!(w, "change-caption"),
        header: ["head-measure", "head-then", "head-now", "head-change"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows: all.iter().map(|line| change_row(w, line)).collect(),
    })
}

fn change_row(w: &Words, line: &ChangeLine<'_>) -> Vec<String> {
    let value = |v: f64| rows::with_unit(w, v, line.unit);
    let then = say!(
        w,
        "aside",
        what = value(line.from),
        aside = w.day(line.since)
    );
    vec![
        of_side(w, line.measure, line.side),
        then,
        value(line.to),
        verdict(w, line),
    ]
}

fn verdict(w: &Words, line: &ChangeLine<'_>) -> String {
    let value = |v: Option<f64>| v.map(|v| rows::with_unit(w, v, line.unit));
    let by = value(line.by);
    let mut said = match (line.verdict, by) {
        (Verdict::Changed, Some(by)) => say!(w, "change-by", by = by),
        (Verdict::Changed, None) => say!(w, "change-changed"),
        (Verdict::NoChangeShown, Some(by)) => say!(w, "change-none-by", by = by),
        (Verdict::NoChangeShown, None) => say!(w, "change-none"),
        (Verdict::CannotTell, _) => say!(w, "change-cannot-tell"),
    };
    if let Some(smallest) = value(line.smallest).filter(|_| line.verdict != Verdict::CannotTell) {
        said.push('\n');
        said.push_str(&say!(w, "change-smallest", smallest = smallest));
    }
    if let Some(why) = line.why {
        said.push('\n');
        said.push_str(&words::sentence(&words::capital(&w.said(why))));
    }
    said
}
