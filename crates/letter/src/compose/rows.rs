//! A reading as a printed row: value, strip, place and the yardsticks that judged it.

use super::cites::Cites;
use crate::document::ReadingRow;
use figure::of_reading;
use figure::strip::strip_svg;
use knowledge::{Knowledge, Limits, Yardstick, YardstickKind};
use quantity::written;
use reading::against::Beyond;
use reading::{Comparison, Place, Reading, Summary, YardstickRow};

/// How much room there is for yardsticks.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    pub yardsticks: usize,
    pub strip: (f64, f64),
}

impl Room {
    pub const SHEET: Room = Room {
        yardsticks: 2,
        strip: (170.0, 20.0),
    };
    pub const LETTER: Room = Room {
        yardsticks: 2,
        strip: (170.0, 22.0),
    };
}

pub fn name(knowledge: &Knowledge, reading: &Reading) -> String {
    knowledge
        .measure(&reading.measure)
        .map_or_else(|| reading.measure.to_string(), |m| m.name.clone())
}

/// The row of a reading; its sources go on the list.
pub fn row(
    knowledge: &Knowledge,
    reading: &Reading,
    comparison: Option<&Comparison>,
    room: Room,
    cites: &mut Cites,
) -> ReadingRow {
    let name = name(knowledge, reading);
    let sign = knowledge
        .measure(&reading.measure)
        .map_or_else(String::new, |m| m.sign_words.clone());
    let strip_svg = comparison
        .filter(|c| reading.estimate.value.is_finite() && c.rows.iter().any(|r| r.decides))
        .map(|c| strip_svg(&of_reading::strip(&name, reading, c, room.strip)))
        .unwrap_or_default();
    ReadingRow {
        value: value(reading),
        sign,
        place: comparison.map_or_else(|| "not compared".into(), place),
        yardstick: comparison.map_or_else(String::new, |c| yardsticks(c, room, cites)),
        strip_svg,
        name,
    }
}

/// `14.2° ± 1.8°`, or `0.231 ± 0.012`; a proper minus sign.
pub fn value(reading: &Reading) -> String {
    reading.estimate.to_string()
}

/// One word, and for a straddling value how probable it is that it lies outside.
pub fn place(comparison: &Comparison) -> String {
    let word = of_reading::place_of(comparison).word();
    match comparison.summary {
        Summary::Outside(Beyond::Above) => format!("{word}, above"),
        Summary::Outside(Beyond::Below) => format!("{word}, below"),
        Summary::Straddles => {
            let outside: Vec<f64> = comparison
                .rows
                .iter()
                .filter(|r| r.decides)
                .filter_map(|r| r.probability_outside)
                .collect();
            let low = outside.iter().copied().fold(f64::INFINITY, f64::min);
            let high = outside.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            match (percent(low), percent(high)) {
                (Some(a), Some(b)) if a == b => format!("{word}\n{a} % outside"),
                (Some(a), Some(b)) => format!("{word}\n{a}–{b} % outside"),
                _ => word.to_owned(),
            }
        }
        _ => word.to_owned(),
    }
}

fn percent(share: f64) -> Option<i64> {
    share
        .is_finite()
        .then(|| (100.0 * share).round().clamp(1.0, 99.0) as i64)
}

fn yardsticks(comparison: &Comparison, room: Room, cites: &mut Cites) -> String {
    let deciding: Vec<&YardstickRow> = comparison.rows.iter().filter(|r| r.decides).collect();
    if deciding.is_empty() {
        return shown_only(comparison, cites);
    }
    let differ = comparison.summary == Summary::SourcesDiffer;
    let mut lines: Vec<String> = deciding
        .iter()
        .take(room.yardsticks)
        .map(|r| {
            let y = &r.yardstick;
            let said = if differ {
                r.place.map_or("", place_word)
            } else {
                ""
            };
            let mark = cites.mark([(y.source.as_str(), y.provenance.letter())]);
            format!("{said}{} {mark}", short(y))
        })
        .collect();
    let more: Vec<&&YardstickRow> = deciding.iter().skip(room.yardsticks).collect();
    if !more.is_empty() {
        let marks = more
            .iter()
            .map(|r| (r.yardstick.source.as_str(), r.yardstick.provenance.letter()));
        let marks = cites.mark(marks.collect::<Vec<_>>());
        lines.push(format!("and {} more {marks}", more.len()));
    }
    lines.join("\n")
}

fn place_word(place: Place) -> &'static str {
    match place {
        Place::Inside => "inside: ",
        Place::Outside(_) => "outside: ",
        Place::Straddles => "straddles: ",
    }
}

/// The first row that would judge and may not, with the reason.
fn shown_only(comparison: &Comparison, cites: &mut Cites) -> String {
    of_reading::not_judged_because(comparison).map_or_else(String::new, |(row, why)| {
        let y = &row.yardstick;
        let mark = cites.mark([(y.source.as_str(), y.provenance.letter())]);
        format!("{} {mark}\nnot used: {why}", short(y))
    })
}

/// The limits of a yardstick and its people, as short as can be.
fn short(y: &Yardstick) -> String {
    let (d, s) = (y.unit.decimals(), y.unit.suffix());
    let n = |v: f64| written(v, d);
    let numbers = match &y.kind {
        YardstickKind::Norm { mean, sd } => match y.limits() {
            Some(Limits {
                lower: Some(a),
                upper: Some(b),
            }) => format!("{} to {}{s}", n(a), n(b)),
            _ => format!("{} ± {}{s}", n(*mean), n(*sd)),
        },
        YardstickKind::Band { lower, upper } => format!("{} to {}{s}", n(*lower), n(*upper)),
        YardstickKind::AbnormalAbove { cut } => format!("above {}{s}", n(*cut)),
        YardstickKind::AbnormalBelow { cut } => format!("below {}{s}", n(*cut)),
        _ => return of_reading::yardstick_words(y),
    };
    let called = match (&y.kind, &y.calls) {
        (YardstickKind::AbnormalAbove { .. } | YardstickKind::AbnormalBelow { .. }, Some(c)) => {
            format!(" {c}")
        }
        (YardstickKind::AbnormalAbove { .. } | YardstickKind::AbnormalBelow { .. }, None) => {
            " abnormal".into()
        }
        _ => String::new(),
    };
    let people = if y.population.is_empty() || y.population.starts_with("not said") {
        String::new()
    } else {
        format!(", {}", y.population)
    };
    let count = y.n.map(|n| format!(", n {n}")).unwrap_or_default();
    format!("{numbers}{called}{people}{count}")
}
