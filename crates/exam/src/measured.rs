//! What a print, a photograph or a clip gave for a question, kept beside the answer.
//!
//! The answer is the clinician's: it may say another thing, and then both stay on the sheet.

use crate::answer::{Answer, ExamError};
use crate::form::Question;
use serde::{Deserialize, Serialize};

/// One measurement, and where it can be made again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    pub found: Found,
    /// The id of what it was measured on, and the revision of the steps.
    pub on: String,
    pub revision: u32,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Found {
    /// In the unit of the question.
    Number { number: f64, standard_error: f64 },
    /// The key of a choice, and how probable it is.
    Choice { choice: String, probability: f64 },
}

impl Measured {
    /// The text that [`Answer::parse`] takes: a number as finely as the question is answered.
    fn as_text(&self, question: &Question) -> String {
        match &self.found {
            Found::Choice { choice, .. } => choice.clone(),
            Found::Number { number, .. } => {
                format!("{:.*}", question.decimals(), number + 0.0)
            }
        }
    }

    /// A measurement without a usable error is none.
    fn is_whole(&self) -> bool {
        match &self.found {
            Found::Number { standard_error, .. } => {
                standard_error.is_finite() && *standard_error >= 0.0
            }
            Found::Choice { probability, .. } => (0.0..=1.0).contains(probability),
        }
    }

    /// As an answer to its question.
    pub(crate) fn answer(&self, question: &'static Question) -> Result<Answer, ExamError> {
        if !self.is_whole() {
            return Err(ExamError::NoError {
                question: question.words,
            });
        }
        Answer::parse(question, &self.as_text(question))
    }

    /// Does the answer say another thing?
    pub(crate) fn overruled_by(&self, question: &'static Question, answer: &Answer) -> bool {
        self.answer(question).ok().as_ref() != Some(answer)
    }
}
