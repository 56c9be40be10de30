//! What was tried and what has changed: the part of a letter that one visit alone does not tell.

use super::further::{ChangeLine, Compared, Verdict};
use super::{LetterFacts, rows, words};
use crate::document::Block;
use crate::words::{Words, say};
use care::log::{Entry, Kind};
use exam::Answer;
use terms::Side;
use time::Date;

/// What of an injection is told as its result, and what of the last check of anything else.
const OF_INJECTION: [&str; 3] = [
    "injection_pain_before",
    "injection_pain_after",
    "injection_days_after",
];
const OF_CHECK: [&str; 6] = [
    "check_hours",
    "check_pain",
    "check_skin",
    "check_fits",
    "check_rises",
    "check_outcome",
];

/// Treatments with their beginning, end and result; `None` where none is recorded.
pub fn given(facts: &LetterFacts<'_>) -> Option<Block> {
    let w = facts.words;
    let mut all: Vec<&Entry> = facts
        .further
        .care
        .iter()
        .filter(|e| e.kind != Kind::Check)
        .collect();
    all.sort_by_key(|e| e.began);
    (!all.is_empty()).then(|| Block::Table {
        caption: say!(w, "given-caption"),
        header: ["head-treatment", "head-began", "head-ended", "head-result"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows: all
            .iter()
            .map(|e| given_row(w, e, facts.further.care))
            .collect(),
    })
}

fn given_row(w: &Words, entry: &Entry, all: &[Entry]) -> Vec<String> {
    let ended = match entry.ended {
        Some(day) => date(w, day),
        None if entry.kind.lasts() => say!(w, "given-goes-on"),
        None => String::new(),
    };
    vec![
        of_side(w, &name(w, entry), entry.side),
        date(w, entry.began),
        ended,
        result(w, entry, all),
    ]
}

pub(super) fn date(w: &Words, day: Date) -> String {
    w.date(day.year(), day.month().into(), day.day())
}

/// As exact as what was recorded, in the words of the form.
pub(super) fn name(w: &Words, entry: &Entry) -> String {
    let kind = say!(w, &format!("given-{}", entry.kind.key()));
    let exact = match entry.kind {
        Kind::Boot => "boot_kind",
        Kind::Wrap => "wrap_kind",
        Kind::Device => "device_kind",
        Kind::Medicine => "medicine_class",
        Kind::Injection => "injection_site",
        Kind::Therapy => "therapy_phase",
        Kind::Operation | Kind::Check => return kind,
    };
    let said = told(w, entry, exact);
    match (entry.kind, said) {
        (_, None) => kind,
        (Kind::Injection | Kind::Medicine | Kind::Therapy, Some(said)) => {
            say!(w, "labelled", label = kind, value = said)
        }
        (_, Some(said)) => said,
    }
}

/// An answer of an entry in the words of its choices.
fn told(w: &Words, entry: &Entry, key: &str) -> Option<String> {
    let question = exam::question(key)?;
    let answer = entry.answers.get(key)?;
    Some(words::answer(w, question, answer))
}

fn result(w: &Words, entry: &Entry, all: &[Entry]) -> String {
    let (from, keys): (Option<&Entry>, &[&str]) = if entry.kind == Kind::Injection {
        (Some(entry), &OF_INJECTION)
    } else {
        let mut checks: Vec<&Entry> = all
            .iter()
            .filter(|c| c.kind == Kind::Check && c.about.as_ref() == Some(&entry.id))
            .collect();
        checks.sort_by_key(|c| c.began);
        (checks.last().copied(), &OF_CHECK)
    };
    let parts: Vec<String> = from
        .into_iter()
        .flat_map(|e| keys.iter().filter_map(|key| line(w, e, key)))
        .collect();
    match from {
        Some(check) if !parts.is_empty() && check.kind == Kind::Check => say!(
            w,
            "given-at-check",
            day = date(w, check.began),
            found = parts.join("; ")
        ),
        _ if !parts.is_empty() => parts.join("; "),
        _ => say!(w, "not-recorded"),
    }
}

/// `pain, 0 to 10: 4 of 10`
fn line(w: &Words, entry: &Entry, key: &str) -> Option<String> {
    let question = exam::question(key)?;
    let value = told(w, entry, key)?;
    let label = words::small(&words::question(w, question));
    Some(say!(w, "labelled", label = label, value = value))
}

fn of_side(w: &Words, what: &str, side: Option<Side>) -> String {
    let what = words::capital(what);
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
        rows: all.iter().map(|line| change_row(facts, line)).collect(),
    })
}

fn change_row(facts: &LetterFacts<'_>, line: &ChangeLine) -> Vec<String> {
    let w = facts.words;
    let then = say!(
        w,
        "aside",
        what = value(w, line, line.from),
        aside = w.day(&line.since)
    );
    vec![
        of_side(w, &compared(facts, line), line.side),
        then,
        value(w, line, line.to),
        verdict(w, line),
    ]
}

/// What is compared, in words.
pub(super) fn compared(facts: &LetterFacts<'_>, line: &ChangeLine) -> String {
    let w = facts.words;
    match &line.of {
        Compared::Question(key) => exam::question(key).map_or_else(
            || (*key).to_owned(),
            |question| words::question(w, question),
        ),
        Compared::Reading(key) => facts
            .knowledge
            .measure(key)
            .map_or_else(|| key.to_string(), |m| words::measure(w, m)),
    }
}

pub(super) fn value(w: &Words, line: &ChangeLine, number: f64) -> String {
    match (&line.of, line.unit) {
        (_, Some(unit)) => rows::with_unit(w, number, unit),
        (Compared::Question(key), None) => exam::question(key).map_or_else(
            || w.figures(&number.to_string()),
            |q| {
                words::answer(
                    w,
                    q,
                    &Answer::Number {
                        number,
                        by_eye: false,
                    },
                )
            },
        ),
        _ => w.figures(&quantity::written_short(number, 1)),
    }
}

fn verdict(w: &Words, line: &ChangeLine) -> String {
    let unit = |v: Option<f64>| v.map(|v| value(w, line, v));
    let by = unit(line.by);
    let mut said = match (&line.verdict, by) {
        (Verdict::Changed, Some(by)) => say!(w, "change-by", by = by),
        (Verdict::Changed, None) => say!(w, "change-changed"),
        (Verdict::NoChangeShown, Some(by)) => say!(w, "change-none-by", by = by),
        (Verdict::NoChangeShown, None) => say!(w, "change-none"),
        (Verdict::CannotTell(why), _) => {
            let why = why.iter().map(|key| say!(w, &format!("change-why-{key}")));
            let mut said = vec![say!(w, "change-cannot-tell")];
            said.extend(why);
            return said.join("\n");
        }
        (Verdict::Matters { .. }, _) if line.from == line.to => say!(w, "change-as-then"),
        (Verdict::Matters { by: 0, of: 0 }, _) => say!(w, "change-matters-not-known"),
        (Verdict::Matters { by: 0, .. }, _) => say!(w, "change-matters-not"),
        (Verdict::Matters { by, of }, _) if by == of => say!(w, "change-matters", of = *of),
        (Verdict::Matters { by, of }, _) => say!(w, "change-matters-some", by = *by, of = *of),
    };
    if let Some(smallest) = unit(line.smallest) {
        said.push('\n');
        said.push_str(&say!(w, "change-smallest", smallest = smallest));
    }
    said
}
