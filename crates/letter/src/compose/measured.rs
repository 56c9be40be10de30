//! How is an answer told that was measured on a print, a photograph or a clip?
//!
//! With its error and with what it was measured on. Where the clinician wrote another value both are told, and that
//! the clinician's is used. An answer that nobody measured is told as it is.

use super::{Foot, words};
use crate::words::{Words, say};
use exam::{Found, Kind, Measured, Question};
use quantity::Z_975;

/// What a measurement was made on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeasuredOn {
    Print,
    Pressure,
    Photograph,
    Clip,
    Markers,
}

impl MeasuredOn {
    fn key(self) -> &'static str {
        match self {
            MeasuredOn::Print => "print",
            MeasuredOn::Pressure => "pressure",
            MeasuredOn::Photograph => "photograph",
            MeasuredOn::Clip => "clip",
            MeasuredOn::Markers => "markers",
        }
    }
}

/// Where an answer stands: by itself, or within brackets already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    Alone,
    Within,
}

/// The answer with what was measured; `None` where nobody looked.
pub fn answer(w: &Words, foot: &Foot<'_>, question: &Question, place: Place) -> Option<String> {
    let given = words::answer(w, question, foot.exam.get(question.key)?);
    let Some((measured, used)) = of(foot, question) else {
        return Some(given);
    };
    let value = match (&measured.found, used) {
        (Found::Number { standard_error, .. }, true) => {
            with_error(w, question, &given, *standard_error)
        }
        _ => given,
    };
    let how = how(w, foot, question, measured, used);
    Some(match place {
        Place::Alone => say!(w, "measured-alone", value = value, how = how),
        Place::Within => say!(w, "measured-within", value = value, how = how),
    })
}

/// For a phrase that holds the answer already; `None` where it was not measured.
pub fn aside(w: &Words, foot: &Foot<'_>, question: &Question) -> Option<String> {
    let (measured, used) = of(foot, question)?;
    Some(how(w, foot, question, measured, used))
}

/// What was measured, and whether the answer is that.
fn of<'a>(foot: &Foot<'a>, question: &Question) -> Option<(&'a Measured, bool)> {
    let exam = foot.exam;
    let measured = exam.measured(question.key)?;
    Some((measured, exam.overruled(question.key).is_none()))
}

fn how(w: &Words, foot: &Foot<'_>, question: &Question, measured: &Measured, used: bool) -> String {
    match &measured.found {
        Found::Number {
            number,
            standard_error,
        } if !used => {
            let number = words::number(w, rounded(question, *number), unit(question));
            let value = with_error(w, question, &number, *standard_error);
            say!(w, "overruled-number", value = value)
        }
        Found::Number { .. } => on(w, foot, measured),
        Found::Choice {
            choice,
            probability,
        } => {
            let chance = |answer: String| {
                let percent = (100.0 * probability).round();
                say!(w, "measured-chance", answer = answer, percent = percent)
            };
            if used {
                chance(on(w, foot, measured))
            } else {
                let value = chance(choice_words(w, question, choice));
                say!(w, "overruled-choice", value = value)
            }
        }
    }
}

fn on(w: &Words, foot: &Foot<'_>, measured: &Measured) -> String {
    let found = foot.measured_on.iter().find(|(id, _)| *id == measured.on);
    let on = found.map_or("unknown", |(_, on)| on.key());
    say!(w, "measured-on", on = on)
}

fn choice_words(w: &Words, question: &Question, key: &str) -> String {
    match question.kind {
        Kind::Choice { choices } => choices
            .iter()
            .find(|c| c.key == key)
            .map_or_else(|| key.to_owned(), |c| words::choice(w, question.key, c)),
        _ => key.to_owned(),
    }
}

fn unit(question: &Question) -> &'static str {
    match question.kind {
        Kind::Number { unit, .. } => unit,
        _ => "",
    }
}

/// Of one, as finely as the question is answered.
fn steps(question: &Question) -> f64 {
    [1.0, 10.0, 100.0, 1000.0][question.decimals().min(3)]
}

fn rounded(question: &Question, number: f64) -> f64 {
    let steps = steps(question);
    (steps * number).round() / steps + 0.0
}

/// Half of the 95 % interval behind the value, never less than one step; a count without error stands alone.
fn with_error(w: &Words, question: &Question, value: &str, standard_error: f64) -> String {
    if standard_error <= 0.0 {
        return value.to_owned();
    }
    let steps = steps(question).max(10.0);
    let half = ((steps * Z_975 * standard_error).round() / steps).max(1.0 / steps);
    format!("{value} ± {}", words::number(w, half, unit(question)))
}
