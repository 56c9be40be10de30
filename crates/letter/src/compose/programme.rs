//! A therapy programme as it was prescribed: one line for each exercise, with the amounts that were recorded.

use super::{LetterFacts, words};
use crate::words::{Words, say};
use care::log::{Entry, Kind};
use care::programme::{Asked, Programme};
use figure::exercise::Exercise;
use terms::Side;

/// One exercise; an amount that was not recorded is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// A key of `figure::exercise`.
    pub exercise: &'static str,
    /// `None`: both feet alike.
    pub side: Option<Side>,
    pub sets: Option<u32>,
    pub repetitions: Option<u32>,
    pub times_a_day: Option<u32>,
    pub hold_s: Option<u32>,
    pub load_kg: Option<f64>,
    pub distance_m: Option<u32>,
}

/// The programme of a foot that goes on: the one begun last.
pub fn running(care: &[Entry], side: Side) -> Option<&Entry> {
    care.iter()
        .filter(|e| e.kind == Kind::Therapy && e.side == Some(side) && e.ended.is_none())
        .max_by_key(|e| e.began)
}

/// Every exercise that was prescribed, in the order of the programme's file; what is alike on both feet
/// stands once.
pub fn lines(care: &[Entry]) -> Vec<Line> {
    let mut out: Vec<Line> = Vec::new();
    for exercise in &Programme::built_in().exercises {
        for side in Side::BOTH {
            let Some(entry) = running(care, side) else {
                continue;
            };
            let Some(line) = line(&exercise.key, &exercise.asked, entry, side) else {
                continue;
            };
            let alike = |l: &&mut Line| {
                l.exercise == line.exercise
                    && Line {
                        side: None,
                        ..(*l).clone()
                    } == Line {
                        side: None,
                        ..line.clone()
                    }
            };
            match out.iter_mut().find(alike) {
                Some(same) => same.side = None,
                None => out.push(line),
            }
        }
    }
    out
}

/// The exercises of one foot.
pub fn of_foot(care: &[Entry], side: Side) -> Vec<Line> {
    let mut lines = lines(care);
    lines.retain(|l| l.side.is_none_or(|s| s == side));
    lines
}

fn line(key: &'static str, asked: &Asked, entry: &Entry, side: Side) -> Option<Line> {
    let number = |key: &Option<String>| {
        key.as_deref()
            .and_then(|key| entry.answers.number(key).value())
    };
    // Whole numbers within a form's bounds.
    let whole = |key: &Option<String>| number(key).filter(|n| *n > 0.0).map(|n| n as u32);
    let line = Line {
        exercise: key,
        side: Some(side),
        sets: whole(&asked.sets),
        repetitions: whole(&asked.repetitions),
        times_a_day: whole(&asked.times_a_day),
        hold_s: whole(&asked.hold_s),
        load_kg: number(&asked.load_kg).filter(|kg| *kg > 0.0),
        distance_m: whole(&asked.distance_m),
    };
    let prescribed = line.sets.is_some()
        || line.repetitions.is_some()
        || line.times_a_day.is_some()
        || line.hold_s.is_some()
        || line.load_kg.is_some()
        || line.distance_m.is_some();
    prescribed.then_some(line)
}

/// The most pain that was agreed on for a foot; `None`: not recorded.
pub fn pain_limit(care: &[Entry], side: Side) -> Option<f64> {
    running(care, side)?
        .answers
        .number("therapy_pain_limit")
        .value()
}

/// Each foot's programme in the clinician's own words, where some were written.
pub fn own_words(facts: &LetterFacts<'_>) -> Vec<String> {
    Side::BOTH
        .into_iter()
        .filter_map(|side| {
            let text = running(facts.further.care, side)?
                .answers
                .text_of("therapy_words")?;
            let text = text.trim().to_owned();
            let foot = words::capital(&words::foot(facts.words, side));
            (!text.is_empty()).then(|| {
                let said = words::sentence(&text);
                say!(facts.words, "labelled", label = foot, value = said)
            })
        })
        .collect()
}

impl Line {
    pub fn drawn(&self) -> Option<Exercise> {
        Exercise::from_key(self.exercise)
    }

    pub fn name(&self, w: &Words) -> String {
        let name = w.plain(&format!("exercise-{}", self.exercise));
        match self.side {
            Some(side) => say!(
                w,
                "reading-of-side",
                reading = name,
                side = words::foot(w, side)
            ),
            None => name,
        }
    }

    /// `3 rounds of 15, twice a day.` from what was prescribed; what is missing is left out.
    pub fn amount(&self, w: &Words) -> String {
        let mut parts: Vec<String> = Vec::new();
        match (self.sets, self.repetitions) {
            (Some(sets), Some(times)) => {
                parts.push(say!(w, "amount-sets-of", sets = sets, times = times));
            }
            (Some(sets), None) => parts.push(say!(w, "amount-sets", sets = sets)),
            (None, Some(times)) => parts.push(say!(w, "amount-times", times = times)),
            (None, None) => {}
        }
        if let Some(metres) = self.distance_m {
            parts.push(say!(w, "amount-metres", metres = metres));
        }
        if let Some(seconds) = self.hold_s {
            parts.push(say!(w, "amount-hold", seconds = seconds));
        }
        if let Some(times) = self.times_a_day {
            parts.push(say!(w, "amount-a-day", times = times));
        } else if matches!(self.exercise, "heel-rise" | "toe-walk") {
            // The form asks for the whole of a day.
            parts = vec![say!(w, "amount-in-a-day", amount = parts.join(", "))];
        }
        if let Some(kg) = self.load_kg {
            let load = words::number(w, kg, "kg");
            parts.push(say!(w, "amount-load", load = load));
        }
        words::sentence(&words::capital(&parts.join(", ")))
    }
}
