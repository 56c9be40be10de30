//! The sheets of answers and how they are filled, read and stored.
//!
//! All are a map from question key to answer with the form as their law; they differ only in
//! which questions they take. JSON holds `format`, `version` and the answers.

use crate::answer::{Answer, ExamError, Finding};
use crate::form::{Question, Sheet, question};
use crate::measured::Measured;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Raised when a key or a choice changes its meaning.
const VERSION: u32 = 1;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: String,
    version: u32,
    #[serde(default)]
    answers: BTreeMap<String, Answer>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    measured: BTreeMap<String, Measured>,
}

fn on_sheet(sheet: Sheet, key: &str) -> Result<&'static Question, ExamError> {
    question(key)
        .filter(|q| q.sheet == sheet)
        .ok_or_else(|| ExamError::UnknownQuestion {
            found: key.chars().take(40).collect(),
            sheet: match sheet {
                Sheet::Foot => "foot",
                Sheet::Person => "person",
                Sheet::Flags => "alarm",
                Sheet::Leg => "leg",
                Sheet::Given => "care",
            },
        })
}

type Answers = BTreeMap<&'static str, Answer>;
type Measurements = BTreeMap<&'static str, Measured>;

fn from_file(
    sheet: Sheet,
    format: &'static str,
    file: File,
) -> Result<(Answers, Measurements), ExamError> {
    if file.format != format {
        let found = file.format.chars().take(40).collect();
        return Err(ExamError::WrongFormat {
            found,
            expected: format,
        });
    }
    if file.version > VERSION {
        return Err(ExamError::NewerVersion {
            found: file.version,
            expected: VERSION,
        });
    }
    let answers = file.answers.into_iter().map(|(key, answer)| {
        let q = on_sheet(sheet, &key)?;
        Ok((q.key, Answer::checked(q, answer)?))
    });
    let measured = file.measured.into_iter().map(|(key, measured)| {
        let q = on_sheet(sheet, &key)?;
        measured.answer(q)?;
        Ok((q.key, measured))
    });
    Ok((
        answers.collect::<Result<_, ExamError>>()?,
        measured.collect::<Result<_, ExamError>>()?,
    ))
}

macro_rules! sheets {
    ($($(#[$doc:meta])* $name:ident, $sheet:expr, $format:literal);+ $(;)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
        #[serde(try_from = "File", into = "File")]
        pub struct $name {
            answers: Answers,
            measured: Measurements,
        }

        impl $name {
            /// Which questions this sheet takes.
            pub const SHEET: Sheet = $sheet;

            /// A sheet on which nothing was looked at.
            pub fn new() -> Self {
                Self::default()
            }

            /// Writes an answer down.
            ///
            /// # Errors
            /// One sentence when the key is not on this sheet or the text is no answer to it; the
            /// earlier answer stays.
            pub fn set(&mut self, key: &str, text: &str) -> Result<(), ExamError> {
                let q = on_sheet(Self::SHEET, key)?;
                let answer = Answer::parse(q, text)?;
                self.answers.insert(q.key, answer);
                Ok(())
            }

            /// Writes down what was measured, and makes it the answer.
            ///
            /// # Errors
            /// One sentence when the key is not on this sheet or what was measured is no answer to
            /// it; what stood there stays.
            pub fn measure(&mut self, key: &str, measured: Measured) -> Result<(), ExamError> {
                let q = on_sheet(Self::SHEET, key)?;
                let answer = measured.answer(q)?;
                self.answers.insert(q.key, answer);
                self.measured.insert(q.key, measured);
                Ok(())
            }

            /// Back to 'not looked at'; what was measured goes too.
            ///
            /// # Errors
            /// One sentence when the key is not on this sheet.
            pub fn clear(&mut self, key: &str) -> Result<(), ExamError> {
                let q = on_sheet(Self::SHEET, key)?;
                self.answers.remove(q.key);
                self.measured.remove(q.key);
                Ok(())
            }

            /// What was measured for a question, whatever the answer says now.
            pub fn measured(&self, key: &str) -> Option<&Measured> {
                self.measured.get(key)
            }

            /// What was measured, where the answer says another thing.
            pub fn overruled(&self, key: &str) -> Option<&Measured> {
                let (measured, answer) = (self.measured.get(key)?, self.answers.get(key)?);
                measured.overruled_by(question(key)?, answer).then_some(measured)
            }

            /// The stored answer; `None` where nobody looked.
            pub fn get(&self, key: &str) -> Option<&Answer> {
                self.answers.get(key)
            }

            /// The answer as the text that `set` would take; `None` where nobody looked.
            pub fn text_of(&self, key: &str) -> Option<String> {
                self.get(key).map(Answer::as_text)
            }

            /// The chosen key.
            pub fn choice(&self, key: &str) -> Finding<&str> {
                match self.get(key) {
                    Some(Answer::Choice { choice }) => {
                        match self.measured.contains_key(key) && self.overruled(key).is_none() {
                            true => Finding::Measured(choice),
                            false => Finding::Seen(choice),
                        }
                    }
                    _ => Finding::NotLookedAt,
                }
            }

            /// The number, in the unit of its question.
            pub fn number(&self, key: &str) -> Finding<f64> {
                match self.get(key) {
                    Some(&Answer::Number { number, by_eye: false }) => Finding::Measured(number),
                    Some(&Answer::Number { number, by_eye: true }) => Finding::Seen(number),
                    _ => Finding::NotLookedAt,
                }
            }

            /// The answer to a yes-or-no question.
            pub fn yes(&self, key: &str) -> Option<bool> {
                match self.choice(key).value() {
                    Some("yes") => Some(true),
                    Some("no") => Some(false),
                    _ => None,
                }
            }

            /// Question and answer, in the order of the form.
            pub fn answered(&self) -> impl Iterator<Item = (&'static Question, &Answer)> {
                crate::form().iter().filter_map(|q| self.answers.get(q.key).map(|a| (q, a)))
            }

            pub fn len(&self) -> usize {
                self.answers.len()
            }

            pub fn is_empty(&self) -> bool {
                self.answers.is_empty()
            }
        }

        impl From<$name> for File {
            fn from(sheet: $name) -> File {
                let answers = sheet.answers.into_iter().map(|(k, a)| (k.to_owned(), a)).collect();
                let measured = sheet.measured.into_iter().map(|(k, m)| (k.to_owned(), m)).collect();
                File { format: $format.to_owned(), version: VERSION, answers, measured }
            }
        }

        impl TryFrom<File> for $name {
            type Error = ExamError;
            fn try_from(file: File) -> Result<Self, ExamError> {
                let (answers, measured) = from_file($sheet, $format, file)?;
                Ok(Self { answers, measured })
            }
        }
    )+};
}

sheets!(
    /// What was found on one foot.
    Examination, Sheet::Foot, "tiebeam-examination";
    /// What is known about the person: age, story, illnesses, medicines, laxity.
    Story, Sheet::Person, "tiebeam-story";
    /// The alarm questions of one visit.
    RedFlags, Sheet::Flags, "tiebeam-red-flags";
    /// One leg measured for a brace.
    Leg, Sheet::Leg, "tiebeam-leg";
    /// One thing given or done; the questions of one heading belong to it.
    Given, Sheet::Given, "tiebeam-given";
);
