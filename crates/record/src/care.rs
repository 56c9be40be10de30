//! What was given or done, from when until when?
//!
//! One entry for each: a boot, a wrap, an injection, a programme, a device, an operation, or a check of
//! one of them. Entries grow by revisions; one made in error is taken away and stays on record. Which
//! days and which overlaps are right is for `care` to say, with the day of today in hand.

use crate::{BadRecord, CareId, Kept, PatientId, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use terms::Side;
use time::{Date, OffsetDateTime};

/// One revision of an entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CareRecord {
    pub id: CareId,
    pub patient: PatientId,
    /// The visit it was written down at; `None` for a call or a letter between visits.
    pub visit: Option<VisitId>,
    /// A check is about another entry of the same patient.
    pub about: Option<CareId>,
    /// As `care` names it: `boot`, `injection`.
    pub kind: String,
    pub side: Option<Side>,
    #[serde(with = "dates::iso")]
    pub began_on: Date,
    /// `None` while it goes on, or where nobody wrote down that it ended.
    #[serde(with = "dates::iso::option")]
    pub ended_on: Option<Date>,
    /// The next day on which it wants a look; `None` where there is none left.
    #[serde(with = "dates::iso::option")]
    pub review_on: Option<Date>,
    /// A sheet of answers of `exam`.
    pub answers: Kept,
    /// Written down in error: in no list, and still on record.
    pub taken_away: bool,
    pub revision: u32,
    /// The revision whose content this is: its own number, or an earlier one after an undo.
    pub content_of: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

impl CareRecord {
    /// # Errors
    /// A blank kind, an end before the beginning, or an entry about itself.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the kind of care", &self.kind, true, 40)?;
        if self.ended_on.is_some_and(|end| end < self.began_on) {
            return Err(BadRecord::new(
                "an entry of care",
                "an end before its beginning",
                "an end on the day it began or later",
            ));
        }
        if self.about == Some(self.id) {
            return Err(BadRecord::new(
                "an entry of care",
                "a check of itself",
                "a check of another entry",
            ));
        }
        Ok(())
    }

    /// Worn or running on a day.
    pub fn runs_on(&self, day: Date) -> bool {
        !self.taken_away && self.began_on <= day && self.ended_on.is_none_or(|end| end >= day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use time::macros::{date, datetime};
    use uuid::Uuid;

    fn boot() -> CareRecord {
        let id = Uuid::from_u128(4);
        CareRecord {
            id: CareId::new(id),
            patient: PatientId::new(id),
            visit: None,
            about: None,
            kind: "boot".into(),
            side: Some(Side::Left),
            began_on: date!(2026 - 11 - 02),
            ended_on: None,
            review_on: Some(date!(2026 - 11 - 09)),
            answers: Kept {
                format: "given".into(),
                version: 1,
                body: json!({}),
            },
            taken_away: false,
            revision: 1,
            content_of: 1,
            saved_at: datetime!(2026-11-02 09:00 UTC),
        }
    }

    #[test]
    fn a_boot_that_came_off_before_it_went_on_is_refused_and_one_of_a_single_day_is_not() {
        let off = |on| CareRecord {
            ended_on: Some(on),
            ..boot()
        };
        assert!(off(date!(2026 - 11 - 01)).check().is_err());
        assert_eq!(off(date!(2026 - 11 - 02)).check(), Ok(()));
    }

    #[test]
    fn a_check_of_itself_and_a_kind_without_a_name_are_refused() {
        let itself = CareRecord {
            about: Some(boot().id),
            ..boot()
        };
        let nameless = CareRecord {
            kind: " ".into(),
            ..boot()
        };
        assert!(itself.check().is_err() && nameless.check().is_err());
    }

    #[test]
    fn an_entry_runs_from_its_first_day_to_its_last_and_not_once_taken_away() {
        let worn = CareRecord {
            ended_on: Some(date!(2026 - 11 - 30)),
            ..boot()
        };
        let days = [
            (date!(2026 - 11 - 01), false),
            (date!(2026 - 11 - 02), true),
            (date!(2026 - 11 - 30), true),
            (date!(2026 - 12 - 01), false),
        ];
        for (day, runs) in days {
            assert_eq!(worn.runs_on(day), runs, "{day}");
        }
        let gone = CareRecord {
            taken_away: true,
            ..boot()
        };
        assert!(boot().runs_on(date!(2030 - 01 - 01)) && !gone.runs_on(boot().began_on));
    }
}
