//! A reading as a printed row: value, strip, place and the yardsticks that judged it.

use super::cites::Cites;
use super::words;
use crate::document::ReadingRow;
use crate::words::{Words, say, slug};
use figure::of_reading;
use figure::strip::strip_svg;
use knowledge::{Knowledge, Limits, Yardstick, YardstickKind};
use quantity::{Unit, Z_975, written};
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

pub fn name(w: &Words, knowledge: &Knowledge, reading: &Reading) -> String {
    knowledge
        .measure(&reading.measure)
        .map_or_else(|| reading.measure.to_string(), |m| words::measure(w, m))
}

/// The row of a reading; its sources go on the list.
pub fn row(
    w: &Words,
    knowledge: &Knowledge,
    reading: &Reading,
    comparison: Option<&Comparison>,
    room: Room,
    cites: &mut Cites,
) -> ReadingRow {
    let name = name(w, knowledge, reading);
    let sign = knowledge
        .measure(&reading.measure)
        .map_or_else(String::new, |m| {
            w.known(&format!("measure-{}-sign", m.key), &m.sign_words)
        });
    let strip_svg = comparison
        .filter(|c| reading.estimate.value.is_finite() && c.rows.iter().any(|r| r.decides))
        .map(|c| strip_svg(&of_reading::strip(&name, c, room.strip)))
        .unwrap_or_default();
    ReadingRow {
        value: value(w, reading),
        sign,
        place: comparison.map_or_else(|| say!(w, "place-not-compared"), |c| place(w, c)),
        yardstick: comparison.map_or_else(String::new, |c| yardsticks(w, c, room, cites)),
        strip_svg,
        name,
    }
}

/// `14.2° ± 1.8°`, or `0.231 ± 0.012`; a proper minus sign.
pub fn value(w: &Words, reading: &Reading) -> String {
    let e = &reading.estimate;
    let half = Z_975 * e.standard_error;
    format!(
        "{} ± {}",
        with_unit(w, e.value, e.unit),
        with_unit(w, half, e.unit)
    )
}

/// With as many decimals as the unit has, and the unit.
pub fn with_unit(w: &Words, value: f64, unit: Unit) -> String {
    let number = w.figures(&written(value, unit.decimals()));
    if unit == Unit::Points {
        say!(w, "points", value = number)
    } else {
        format!("{number}{}", unit.suffix())
    }
}

/// One word, and for a straddling value how probable it is that it lies outside.
pub fn place(w: &Words, comparison: &Comparison) -> String {
    let word = of_reading::place_of(comparison).word();
    let word = w.plain(&format!("place-{}", slug(word)));
    match comparison.summary {
        Summary::Outside(Beyond::Above) => say!(w, "place-above", place = word),
        Summary::Outside(Beyond::Below) => say!(w, "place-below", place = word),
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
                (Some(a), Some(b)) => {
                    let share = if a == b {
                        a.to_string()
                    } else {
                        format!("{a}–{b}")
                    };
                    format!("{word}\n{}", say!(w, "place-share-outside", share = share))
                }
                _ => word,
            }
        }
        _ => word,
    }
}

fn percent(share: f64) -> Option<i64> {
    share
        .is_finite()
        .then(|| (100.0 * share).round().clamp(1.0, 99.0) as i64)
}

fn yardsticks(w: &Words, comparison: &Comparison, room: Room, cites: &mut Cites) -> String {
    let deciding: Vec<&YardstickRow> = comparison.rows.iter().filter(|r| r.decides).collect();
    if deciding.is_empty() {
        return shown_only(w, comparison, cites);
    }
    let differ = comparison.summary == Summary::SourcesDiffer;
    let mut lines: Vec<String> = deciding
        .iter()
        .take(room.yardsticks)
        .map(|r| {
            let y = &r.yardstick;
            let mark = cites.mark([(y.source.as_str(), y.provenance.letter())]);
            let said = format!("{} {mark}", short(w, y));
            match r.place.filter(|_| differ) {
                Some(place) => {
                    let place = w.plain(&format!("place-{}", place_key(place)));
                    say!(w, "labelled", label = place, value = said)
                }
                None => said,
            }
        })
        .collect();
    let more: Vec<&&YardstickRow> = deciding.iter().skip(room.yardsticks).collect();
    if !more.is_empty() {
        let marks = more
            .iter()
            .map(|r| (r.yardstick.source.as_str(), r.yardstick.provenance.letter()));
        let marks = cites.mark(marks.collect::<Vec<_>>());
        lines.push(say!(
            w,
            "yardsticks-more",
            count = more.len(),
            marks = marks
        ));
    }
    lines.join("\n")
}

fn place_key(place: Place) -> &'static str {
    match place {
        Place::Inside => "inside",
        Place::Outside(_) => "outside",
        Place::Straddles => "straddles",
    }
}

/// The first row that would judge and may not, with the reason.
fn shown_only(w: &Words, comparison: &Comparison, cites: &mut Cites) -> String {
    of_reading::not_judged_because(comparison).map_or_else(String::new, |(row, why)| {
        let y = &row.yardstick;
        let mark = cites.mark([(y.source.as_str(), y.provenance.letter())]);
        format!(
            "{} {mark}\n{}",
            short(w, y),
            say!(w, "yardstick-not-used", why = w.said(why))
        )
    })
}

/// The limits of a yardstick and its people, as short as can be.
fn short(w: &Words, y: &Yardstick) -> String {
    let (d, s) = (y.unit.decimals(), y.unit.suffix());
    let n = |v: f64| w.figures(&written(v, d));
    let span = |a: f64, b: f64| say!(w, "span", low = n(a), high = format!("{}{s}", n(b)));
    let numbers = match &y.kind {
        YardstickKind::Norm { mean, sd } => match y.limits() {
            Some(Limits {
                lower: Some(a),
                upper: Some(b),
            }) => span(a, b),
            _ => format!("{} ± {}{s}", n(*mean), n(*sd)),
        },
        YardstickKind::Band { lower, upper } => span(*lower, *upper),
        YardstickKind::AbnormalAbove { cut } => {
            say!(w, "yardstick-above", value = format!("{}{s}", n(*cut)))
        }
        YardstickKind::AbnormalBelow { cut } => {
            say!(w, "yardstick-below", value = format!("{}{s}", n(*cut)))
        }
        _ => return w.said(&of_reading::yardstick_words(y)),
    };
    let called = match (&y.kind, &y.calls) {
        (YardstickKind::AbnormalAbove { .. } | YardstickKind::AbnormalBelow { .. }, Some(c)) => {
            format!(" {}", w.said(c))
        }
        (YardstickKind::AbnormalAbove { .. } | YardstickKind::AbnormalBelow { .. }, None) => {
            format!(" {}", say!(w, "yardstick-abnormal"))
        }
        _ => String::new(),
    };
    let people = if y.population.is_empty() || y.population.starts_with("not said") {
        String::new()
    } else {
        format!(", {}", w.said(&y.population))
    };
    let count =
        y.n.map(|n| format!(", {}", say!(w, "yardstick-people", n = n as f64)))
            .unwrap_or_default();
    format!("{numbers}{called}{people}{count}")
}
