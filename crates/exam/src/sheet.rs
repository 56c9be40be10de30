//! The sheets of answers and how they are filled, read and stored.
//!
//! All are a map from question key to answer with the form as their law; they differ only in
//! which questions they take. JSON holds `format`, `version` and the answers.

use crate::answer::{Answer, ExamError, Finding};
use crate::form::{Question, Sheet, question};
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

fn from_file(
    sheet: Sheet,
    format: &'static str,
    file: File,
) -> Result<BTreeMap<&'static str, Answer>, ExamError> {
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
    file.answers
        .into_iter()
        .map(|(key, answer)| {
            let q = on_sheet(sheet, &key)?;
            Ok((q.key, Answer::checked(q, answer)?))
        })
        .collect()
}

macro_rules! sheets {
    ($($(#[$doc:meta])* $name:ident, $sheet:expr, $format:literal);+ $(;)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
        #[serde(try_from = "File", into = "File")]
        pub struct $name {
            answers: BTreeMap<&'static str, Answer>,
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

            /// Back to 'not looked at'.
            ///
            /// # Errors
            /// One sentence when the key is not on this sheet.
            pub fn clear(&mut self, key: &str) -> Result<(), ExamError> {
                let q = on_sheet(Self::SHEET, key)?;
                self.answers.remove(q.key);
                Ok(())
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
                    Some(Answer::Choice { choice }) => Finding::Seen(choice),
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
                File { format: $format.to_owned(), version: VERSION, answers }
            }
        }

        impl TryFrom<File> for $name {
            type Error = ExamError;
            fn try_from(file: File) -> Result<Self, ExamError> {
                Ok(Self { answers: from_file($sheet, $format, file)? })
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
