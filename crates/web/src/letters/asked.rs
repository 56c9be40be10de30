//! What is asked on the page when a letter is begun, beyond what the visit holds.
//!
//! Kept with the letter, so that the draft can be made again. A note for a school or an employer tells only
//! what stands here; an empty field tells nothing.

use super::edit;
use crate::error::PageError;
use letter::compose::{ChildFacts, Further, Told};
use letter::{Language, Words};
use record::LetterKind;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// As it was typed; empty where nothing was.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Asked {
    pub question: String,
    pub order: String,
    pub accompanied_by: String,
    pub consent: String,
    pub agreed: String,
    pub reason: String,
    pub can: String,
    pub cannot: String,
    pub needs: String,
    pub until: String,
}

/// A field of the form: its name, its label, and a hint.
pub struct AskedField {
    pub name: &'static str,
    pub label: &'static str,
    pub hint: &'static str,
    pub rows: usize,
}

const fn field(
    name: &'static str,
    label: &'static str,
    hint: &'static str,
    rows: usize,
) -> AskedField {
    AskedField {
        name,
        label,
        hint,
        rows,
    }
}

const QUESTION: [AskedField; 1] = [field("question", "What the surgeon is asked", "", 2)];
const ORDER: [AskedField; 1] = [field(
    "order",
    "What is to be made, for which side, of what",
    "Beside the device that was chosen on the plan.",
    3,
)];
const CHILD: [AskedField; 2] = [
    field(
        "accompanied_by",
        "Who came with the child",
        "Left open, the answer of the visit is told.",
        1,
    ),
    field(
        "consent",
        "Who agreed to what",
        "Left open, the answer of the visit is told.",
        2,
    ),
];
const TOLD: [AskedField; 6] = [
    field(
        "agreed",
        "Who agreed that this is told, and when",
        "Without it the note says that nobody is recorded as having agreed.",
        1,
    ),
    field(
        "reason",
        "Reason, in the words that were agreed",
        "Leave it empty to give no reason. No diagnosis is told unless it stands here.",
        2,
    ),
    field("can", "What goes well", "One on each line.", 3),
    field(
        "cannot",
        "What is not to be done for now",
        "One on each line.",
        3,
    ),
    field("needs", "What helps", "One on each line.", 3),
    field("until", "Until when it holds", "Such as 6 January 2027.", 1),
];

/// A part of the form: for which letters it is, and its fields.
pub struct Part {
    pub words: &'static str,
    pub fields: &'static [AskedField],
}

/// The parts that belong to one of these kinds.
pub fn parts(kinds: &[LetterKind]) -> Vec<Part> {
    let mut out = Vec::new();
    let mut part = |of: &[LetterKind], words, fields| {
        if of.iter().any(|k| kinds.contains(k)) {
            out.push(Part { words, fields });
        }
    };
    part(&[LetterKind::ToSurgeon], "For the surgeon", &QUESTION[..]);
    part(&[LetterKind::ToLab], "For the maker of a brace", &ORDER[..]);
    part(&[LetterKind::ToParents], "For the parents", &CHILD[..]);
    part(
        &[LetterKind::ToSchool, LetterKind::ToEmployer],
        "For a school or an employer: only this is told",
        &TOLD[..],
    );
    out
}

impl Asked {
    /// # Errors
    /// A field with more than a page of text.
    pub fn of(form: &BTreeMap<String, String>) -> Result<Self, PageError> {
        let sent = |name: &str| edit::clean(form.get(name).map_or("", String::as_str));
        Ok(Self {
            question: sent("question")?,
            order: sent("order")?,
            accompanied_by: sent("accompanied_by")?,
            consent: sent("consent")?,
            agreed: sent("agreed")?,
            reason: sent("reason")?,
            can: sent("can")?,
            cannot: sent("cannot")?,
            needs: sent("needs")?,
            until: sent("until")?,
        })
    }

    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// As facts for a letter; what is empty is not recorded.
    pub fn further(&self) -> Further<'_> {
        Further {
            child: ChildFacts {
                accompanied_by: filled(&self.accompanied_by),
                consent: filled(&self.consent),
            },
            question: filled(&self.question),
            order: filled(&self.order),
            told: self.told(),
            ..Further::default()
        }
    }

    fn told(&self) -> Option<Told<'_>> {
        let told = Told {
            reason: filled(&self.reason),
            can: lines(&self.can),
            cannot: lines(&self.cannot),
            needs: lines(&self.needs),
            until: filled(&self.until),
            agreed: filled(&self.agreed),
        };
        (told != Told::default()).then_some(told)
    }
}

fn filled(text: &str) -> Option<&str> {
    Some(text.trim()).filter(|t| !t.is_empty())
}

fn lines(text: &str) -> Vec<&str> {
    text.lines().filter_map(filled).collect()
}

/// The language that was chosen; English where none was.
///
/// # Errors
/// A language without a file.
pub fn language(form: &BTreeMap<String, String>) -> Result<&'static Words, PageError> {
    match form
        .get("language")
        .map(|tag| tag.trim())
        .filter(|t| !t.is_empty())
    {
        None => Ok(Words::english()),
        Some(tag) => Language::from_tag(tag).map(Words::of).ok_or_else(|| {
            PageError::input("found no such language for letters; choose one of those on the page")
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect()
    }

    #[test]
    fn an_empty_form_tells_nothing() {
        let asked = Asked::of(&form(&[("reason", "  "), ("can", "\r\n")])).unwrap();
        assert_eq!(asked, Asked::default());
        let further = asked.further();
        assert!(further.told.is_none() && further.question.is_none());
    }

    #[test]
    fn what_may_be_told_is_taken_line_by_line() {
        let asked = Asked::of(&form(&[
            ("can", "sit\r\n\r\n walk "),
            ("until", "6 May 2027"),
        ]));
        let asked = asked.unwrap();
        let told = asked.further().told.unwrap();
        assert_eq!(told.can, ["sit", "walk"]);
        assert_eq!((told.until, told.reason), (Some("6 May 2027"), None));
    }

    #[test]
    fn a_language_without_a_file_is_refused() {
        assert_eq!(language(&form(&[])).unwrap().tag(), "en");
        assert_eq!(language(&form(&[("language", "es")])).unwrap().tag(), "es");
        assert!(language(&form(&[("language", "xx")])).is_err());
    }

    #[test]
    fn every_field_of_the_form_is_read() {
        for part in parts(&LetterKind::ALL) {
            for field in part.fields {
                let asked = Asked::of(&form(&[(field.name, "x")])).unwrap();
                assert_ne!(asked, Asked::default(), "{}", field.name);
            }
        }
    }
}
