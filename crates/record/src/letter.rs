//! What was sent, and is it still what was signed?
//!
//! A draft may change, and may be taken away and put back. Signing freezes facts and paper under one
//! seal; what has to be said later is an addendum, a letter of its own that names the first.

use crate::film::ContentHash;
use crate::kept::canonical;
use crate::{BadRecord, ClinicianId, Kept, LetterId, Patient, Visit, VisitId, check_text};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LetterRecord {
    pub id: LetterId,
    pub visit: VisitId,
    pub kind: LetterKind,
    pub title: String,
    /// What the letter is set from.
    pub facts: Kept,
    /// The signed letter this one adds to.
    pub addendum_to: Option<LetterId>,
    #[serde(with = "time::serde::rfc3339")]
    pub drafted_at: OffsetDateTime,
    /// Counts the saves from 1.
    pub revision: u32,
    pub state: LetterState,
}

/// A letter without what it is set from, which may hold the pictures of films.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LetterHead {
    pub id: LetterId,
    pub visit: VisitId,
    pub kind: LetterKind,
    pub title: String,
    pub addendum_to: Option<LetterId>,
    #[serde(with = "time::serde::rfc3339")]
    pub drafted_at: OffsetDateTime,
    pub revision: u32,
    pub state: LetterState,
}

/// A letter in a list over all patients.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedLetter {
    pub letter: LetterHead,
    pub visit: Visit,
    pub patient: Patient,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LetterKind {
    ToReferrer,
    ToPatient,
    ToParents,
    ToLab,
    ToTherapist,
    ToSurgeon,
    /// What a person agreed to have told to a school.
    ToSchool,
    /// The same to an employer.
    ToEmployer,
    /// Exercises at home, with their drawings.
    HomeSheet,
    /// The one-page reading sheet.
    ReadingSheet,
}

impl LetterKind {
    pub const ALL: [LetterKind; 10] = [
        LetterKind::ToReferrer,
        LetterKind::ToPatient,
        LetterKind::ToParents,
        LetterKind::ToLab,
        LetterKind::ToTherapist,
        LetterKind::ToSurgeon,
        LetterKind::ToSchool,
        LetterKind::ToEmployer,
        LetterKind::HomeSheet,
        LetterKind::ReadingSheet,
    ];

    pub fn key(self) -> &'static str {
        match self {
            LetterKind::ToReferrer => "to-referrer",
            LetterKind::ToPatient => "to-patient",
            LetterKind::ToParents => "to-parents",
            LetterKind::ToLab => "to-lab",
            LetterKind::ToTherapist => "to-therapist",
            LetterKind::ToSurgeon => "to-surgeon",
            LetterKind::ToSchool => "to-school",
            LetterKind::ToEmployer => "to-employer",
            LetterKind::HomeSheet => "home-sheet",
            LetterKind::ReadingSheet => "reading-sheet",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            LetterKind::ToReferrer => "letter to the referring doctor",
            LetterKind::ToPatient => "letter to the patient",
            LetterKind::ToParents => "letter to the parents",
            LetterKind::ToLab => "letter to the lab",
            LetterKind::ToTherapist => "letter to the therapist",
            LetterKind::ToSurgeon => "letter to the surgeon",
            LetterKind::ToSchool => "note for the school",
            LetterKind::ToEmployer => "note for the employer",
            LetterKind::HomeSheet => "exercises at home",
            LetterKind::ReadingSheet => "reading sheet",
        }
    }

    pub fn from_key(key: &str) -> Option<LetterKind> {
        LetterKind::ALL.into_iter().find(|k| k.key() == key)
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LetterState {
    Draft,
    /// A draft that stands in no list of letters and does not change until it is put back.
    TakenAway {
        #[serde(with = "time::serde::rfc3339")]
        at: OffsetDateTime,
        by: ClinicianId,
    },
    Signed {
        #[serde(with = "time::serde::rfc3339")]
        at: OffsetDateTime,
        by: ClinicianId,
        pdf: ContentHash,
        seal: ContentHash,
    },
}

impl LetterHead {
    pub fn with_facts(self, facts: Kept) -> LetterRecord {
        LetterRecord {
            id: self.id,
            visit: self.visit,
            kind: self.kind,
            title: self.title,
            facts,
            addendum_to: self.addendum_to,
            drafted_at: self.drafted_at,
            revision: self.revision,
            state: self.state,
        }
    }
}

impl LetterRecord {
    pub fn head(&self) -> LetterHead {
        LetterHead {
            id: self.id,
            visit: self.visit,
            kind: self.kind,
            title: self.title.clone(),
            addendum_to: self.addendum_to,
            drafted_at: self.drafted_at,
            revision: self.revision,
            state: self.state.clone(),
        }
    }

    /// # Errors
    /// A blank title, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the letter's title", &self.title, true, 400)
    }

    pub fn is_signed(&self) -> bool {
        matches!(self.state, LetterState::Signed { .. })
    }

    /// SHA-256 over everything a reader of the letter relies on: what it is, its facts, its paper,
    /// who signed it and when.
    pub fn seal(&self, at: OffsetDateTime, by: ClinicianId, pdf: ContentHash) -> ContentHash {
        let at = at
            .to_offset(time::UtcOffset::UTC)
            .format(&Rfc3339)
            .unwrap_or_default();
        let parts = serde_json::json!([
            "letter seal 1",
            self.id,
            self.visit,
            self.kind,
            self.title,
            self.facts.format,
            self.facts.version,
            self.facts.body,
            self.addendum_to,
            at,
            by,
            pdf,
        ]);
        ContentHash::of(canonical(&parts).as_bytes())
    }

    /// Is the letter still what was signed? `None` where it is not signed.
    pub fn seal_holds(&self) -> Option<bool> {
        match &self.state {
            LetterState::Draft | LetterState::TakenAway { .. } => None,
            LetterState::Signed { at, by, pdf, seal } => Some(self.seal(*at, *by, *pdf) == *seal),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use time::macros::datetime;
    use uuid::Uuid;

    fn signed() -> LetterRecord {
        let mut letter = LetterRecord {
            id: LetterId::new(Uuid::from_u128(1)),
            visit: VisitId::new(Uuid::from_u128(2)),
            kind: LetterKind::ToReferrer,
            title: "An invented letter".into(),
            facts: Kept {
                format: "letter".into(),
                version: 1,
                body: json!({"b": 1, "a": 18.25}),
            },
            addendum_to: None,
            drafted_at: datetime!(2026-11-24 09:00 UTC),
            revision: 1,
            state: LetterState::Draft,
        };
        let (at, by) = (
            datetime!(2026-11-24 10:00 +1),
            ClinicianId::new(Uuid::from_u128(3)),
        );
        let pdf = ContentHash::of(b"paper");
        let seal = letter.seal(at, by, pdf);
        letter.state = LetterState::Signed { at, by, pdf, seal };
        letter
    }

    #[test]
    fn a_seal_holds_until_any_part_of_the_letter_changes() {
        assert_eq!(signed().seal_holds(), Some(true));
        let mut facts = signed();
        facts.facts.body["a"] = json!(18.5);
        let mut title = signed();
        title.title.push('.');
        let mut kind = signed();
        kind.kind = LetterKind::ToPatient;
        for changed in [facts, title, kind] {
            assert_eq!(changed.seal_holds(), Some(false));
        }
    }

    #[test]
    fn a_seal_does_not_depend_on_key_order_or_on_the_zone_the_time_is_told_in() {
        let mut letter = signed();
        letter.facts.body = json!({"a": 18.25, "b": 1});
        if let LetterState::Signed { at, .. } = &mut letter.state {
            *at = at.to_offset(time::UtcOffset::UTC);
        }
        assert_eq!(letter.seal_holds(), Some(true));
    }

    #[test]
    fn a_kind_of_letter_comes_back_from_its_key() {
        for kind in LetterKind::ALL {
            assert_eq!(LetterKind::from_key(kind.key()), Some(kind));
            assert_eq!(serde_json::to_value(kind).unwrap(), kind.key());
        }
    }

    #[test]
    fn a_letter_comes_back_from_its_head_and_its_facts() {
        let letter = signed();
        assert_eq!(letter.head().with_facts(letter.facts.clone()), letter);
    }
}
