//! Which answer was given, and how a text from the page becomes one.
//!
//! Parsing is strict: what does not fit the question is refused with one sentence, never rounded or
//! cut to fit. A number written with `about` or `~` before it was judged by eye.

use crate::form::{Kind, Question};
use serde::{Deserialize, Serialize};

/// One answer as stored. A question without an answer is not stored at all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Answer {
    /// A number in the question's unit; `by_eye` when it was judged and not measured.
    Number {
        number: f64,
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_eye: bool,
    },
    /// The key of one of the question's choices.
    Choice { choice: String },
    /// Free words.
    Text { text: String },
}

/// What a reader of the sheet gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finding<T> {
    /// Nobody looked, or nobody wrote it down. Never a value.
    NotLookedAt,
    /// Looked at and judged: a choice, or a number by eye.
    Seen(T),
    /// Measured with an instrument or counted.
    Measured(T),
}

impl<T> Finding<T> {
    /// The value, however it was come by.
    pub fn value(self) -> Option<T> {
        match self {
            Finding::NotLookedAt => None,
            Finding::Seen(v) | Finding::Measured(v) => Some(v),
        }
    }

    pub fn is_known(&self) -> bool {
        !matches!(self, Finding::NotLookedAt)
    }
}

/// Why an answer was refused. Each message is one sentence and names no person.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ExamError {
    #[error(
        "found the question '{found}', which is not on the {sheet} sheet; use a key that the form lists"
    )]
    UnknownQuestion { found: String, sheet: &'static str },
    #[error(
        "found '{found}' for '{question}'; expected one of {expected}; choose one of them or leave the question open"
    )]
    NotAChoice {
        question: &'static str,
        found: String,
        expected: String,
    },
    #[error(
        "found '{found}' for '{question}'; expected a number such as {example}; write digits only or leave the question open"
    )]
    NotANumber {
        question: &'static str,
        found: String,
        example: String,
    },
    #[error(
        "found {found} for '{question}'; expected {min} to {max} {unit}; check the number and its unit"
    )]
    OutOfRange {
        question: &'static str,
        found: String,
        min: f64,
        max: f64,
        unit: &'static str,
    },
    #[error(
        "found {found} for '{question}'; expected a whole number; round it or leave the question open"
    )]
    NotWhole {
        question: &'static str,
        found: String,
    },
    #[error("found {found} characters for '{question}'; expected at most {max}; shorten the text")]
    TooLong {
        question: &'static str,
        found: usize,
        max: usize,
    },
    #[error(
        "found nothing but spaces for '{question}'; expected an answer; clear the question to leave it open"
    )]
    Empty { question: &'static str },
    #[error(
        "found a measurement without its error for '{question}'; expected a standard error or a probability; measure it again"
    )]
    NoError { question: &'static str },
    #[error(
        "found the sheet format '{found}'; expected '{expected}'; open the file that belongs to this sheet"
    )]
    WrongFormat {
        found: String,
        expected: &'static str,
    },
    #[error(
        "found sheet version {found}; expected {expected} or earlier; use a newer program to read it"
    )]
    NewerVersion { found: u32, expected: u32 },
}

impl Answer {
    /// Reads what the page or a file holds for `question`.
    ///
    /// # Errors
    /// One sentence when the text is not an answer to this question.
    pub fn parse(question: &'static Question, text: &str) -> Result<Answer, ExamError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ExamError::Empty {
                question: question.words,
            });
        }
        match &question.kind {
            Kind::Choice { .. } => Self::checked(
                question,
                Answer::Choice {
                    choice: text.to_owned(),
                },
            ),
            Kind::Text { .. } => Self::checked(
                question,
                Answer::Text {
                    text: text.to_owned(),
                },
            ),
            Kind::Number { unit, .. } => {
                let (by_eye, digits) = strip_by_eye(text);
                let number =
                    parse_number(digits, unit).ok_or_else(|| not_a_number(question, text))?;
                Self::checked(question, Answer::Number { number, by_eye })
            }
        }
    }

    /// Holds a ready answer against the question's choices and range.
    pub(crate) fn checked(
        question: &'static Question,
        answer: Answer,
    ) -> Result<Answer, ExamError> {
        match (&question.kind, &answer) {
            (Kind::Choice { choices }, Answer::Choice { choice }) => {
                if choices.iter().any(|c| c.key == choice) {
                    Ok(answer)
                } else {
                    Err(not_a_choice(question, choice))
                }
            }
            (Kind::Text { max_chars }, Answer::Text { text }) => {
                let found = text.chars().count();
                if found > *max_chars {
                    return Err(ExamError::TooLong {
                        question: question.words,
                        found,
                        max: *max_chars,
                    });
                }
                if text.trim().is_empty() {
                    Err(ExamError::Empty {
                        question: question.words,
                    })
                } else {
                    Ok(answer)
                }
            }
            (
                &Kind::Number {
                    unit,
                    min,
                    max,
                    whole,
                },
                &Answer::Number { number, .. },
            ) => {
                let found = format!("{number}");
                if !number.is_finite() {
                    Err(not_a_number(question, &found))
                } else if number < min || number > max {
                    Err(ExamError::OutOfRange {
                        question: question.words,
                        found,
                        min,
                        max,
                        unit,
                    })
                } else if whole && number.fract() != 0.0 {
                    Err(ExamError::NotWhole {
                        question: question.words,
                        found,
                    })
                } else {
                    Ok(answer)
                }
            }
            (Kind::Choice { .. }, other) => Err(not_a_choice(question, &other.as_text())),
            (Kind::Number { .. }, other) => Err(not_a_number(question, &other.as_text())),
            (Kind::Text { .. }, _) => Err(ExamError::Empty {
                question: question.words,
            }),
        }
    }

    /// The text that [`Answer::parse`] would read back.
    pub fn as_text(&self) -> String {
        match self {
            Answer::Number {
                number,
                by_eye: false,
            } => format!("{number}"),
            Answer::Number {
                number,
                by_eye: true,
            } => format!("about {number}"),
            Answer::Choice { choice } => choice.clone(),
            Answer::Text { text } => text.clone(),
        }
    }
}

fn strip_by_eye(text: &str) -> (bool, &str) {
    let lower = text.get(..5).map(str::to_ascii_lowercase);
    if lower.as_deref() == Some("about") {
        (true, text[5..].trim())
    } else if let Some(rest) = text.strip_prefix('~') {
        (true, rest.trim())
    } else {
        (false, text)
    }
}

/// Digits, one decimal point or comma, an optional sign; the unit may stand behind.
fn parse_number(text: &str, unit: &str) -> Option<f64> {
    let bare = text
        .strip_suffix(unit)
        .or_else(|| text.strip_suffix('°'))
        .unwrap_or(text)
        .trim();
    let bare = bare.replace('−', "-").replace(',', ".");
    let plain = bare
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    if plain {
        bare.parse::<f64>().ok().filter(|v| v.is_finite())
    } else {
        None
    }
}

fn shortened(text: &str) -> String {
    text.chars().take(40).collect()
}

fn not_a_number(question: &'static Question, found: &str) -> ExamError {
    let example = match question.kind {
        Kind::Number { min, max, .. } => format!("{}", ((min + max) / 2.0).round()),
        _ => "5".to_owned(),
    };
    ExamError::NotANumber {
        question: question.words,
        found: shortened(found),
        example,
    }
}

fn not_a_choice(question: &'static Question, found: &str) -> ExamError {
    let expected = match &question.kind {
        Kind::Choice { choices } => choices.iter().map(|c| c.key).collect::<Vec<_>>().join(", "),
        _ => String::new(),
    };
    ExamError::NotAChoice {
        question: question.words,
        found: shortened(found),
        expected,
    }
}
