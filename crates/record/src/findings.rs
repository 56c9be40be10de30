//! What was found, decided and planned, and what stood there before?
//!
//! Every save is a new revision; earlier ones are kept. `revision` counts from 1. A caller says
//! which revision they saw (0: none yet), so that two open pages cannot overwrite each other.

use crate::{BadRecord, FilmId, Kept, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{Joint, Side};
use time::{Date, OffsetDateTime};

/// What an examination sheet is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(into = "&'static str", try_from = "String")]
pub enum ExamineOf {
    Foot(Side),
    /// One leg, measured for a brace.
    Leg(Side),
    /// Story, red flags, laxity: what belongs to the person and not to one foot.
    Person,
}

impl ExamineOf {
    pub const ALL: [ExamineOf; 5] = [
        ExamineOf::Person,
        ExamineOf::Foot(Side::Left),
        ExamineOf::Foot(Side::Right),
        ExamineOf::Leg(Side::Left),
        ExamineOf::Leg(Side::Right),
    ];

    pub fn key(self) -> &'static str {
        match self {
            ExamineOf::Foot(side) => side.word(),
            ExamineOf::Leg(Side::Left) => "left-leg",
            ExamineOf::Leg(Side::Right) => "right-leg",
            ExamineOf::Person => "person",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            ExamineOf::Foot(Side::Left) => "left foot",
            ExamineOf::Foot(Side::Right) => "right foot",
            ExamineOf::Leg(Side::Left) => "left leg",
            ExamineOf::Leg(Side::Right) => "right leg",
            ExamineOf::Person => "whole person",
        }
    }

    pub fn from_key(key: &str) -> Option<ExamineOf> {
        ExamineOf::ALL.into_iter().find(|of| of.key() == key)
    }
}

impl From<ExamineOf> for &'static str {
    fn from(of: ExamineOf) -> &'static str {
        of.key()
    }
}

impl TryFrom<String> for ExamineOf {
    type Error = BadRecord;
    fn try_from(key: String) -> Result<Self, BadRecord> {
        ExamineOf::from_key(&key).ok_or_else(|| {
            BadRecord::new(
                "an examination",
                "another subject",
                "left, right, left-leg, right-leg or person",
            )
        })
    }
}

/// One revision of an examination.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExamRecord {
    pub visit: VisitId,
    pub of: ExamineOf,
    pub exam: Kept,
    pub revision: u32,
    /// The revision whose content this is: its own number, or an earlier one after an undo.
    pub content_of: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

/// What the stage report said and what the clinician made of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DecisionRecord {
    pub visit: VisitId,
    pub side: Side,
    /// The `stage::StageReport` as it was shown.
    pub report: Kept,
    /// The stage the clinician decided on; `None` while they have not.
    pub chosen: Option<String>,
    /// Needed where the clinician decided otherwise than the report.
    pub overruled_reason: Option<String>,
    pub revision: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

impl DecisionRecord {
    /// # Errors
    /// A blank choice, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        if let Some(chosen) = &self.chosen {
            check_text("the stage decided on", chosen, true, 200)?;
        }
        if let Some(reason) = &self.overruled_reason {
            check_text("the reason to decide otherwise", reason, true, 20_000)?;
        }
        Ok(())
    }
}

/// What was agreed for the time until the next visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanRecord {
    pub visit: VisitId,
    /// The rungs proposed, taken and declined.
    pub plan: Kept,
    /// The day they should be seen again.
    #[serde(with = "dates::iso::option")]
    pub review_on: Option<Date>,
    pub revision: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

/// Joint wear on a film, 0 (none) to 4 (bone on bone), by the usual grading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct WearGrade(u8);

impl WearGrade {
    /// # Errors
    /// Anything above 4.
    pub fn new(grade: u8) -> Result<Self, BadRecord> {
        if grade <= 4 {
            Ok(Self(grade))
        } else {
            Err(BadRecord::new(
                "a joint's wear",
                grade.to_string(),
                "0 to 4",
            ))
        }
    }

    pub fn get(self) -> u8 {
        self.0
    }
}

impl TryFrom<u8> for WearGrade {
    type Error = BadRecord;
    fn try_from(grade: u8) -> Result<Self, BadRecord> {
        Self::new(grade)
    }
}

impl From<WearGrade> for u8 {
    fn from(grade: WearGrade) -> u8 {
        grade.0
    }
}

/// A joint that is not in the map was not graded.
pub type WearGrades = BTreeMap<Joint, WearGrade>;

/// One revision of the wear grades of a film.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WearRecord {
    pub film: FilmId,
    pub grades: WearGrades,
    pub revision: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wear_grade_of_five_is_refused_also_from_json() {
        assert!(WearGrade::new(4).is_ok());
        assert!(WearGrade::new(5).is_err());
        assert!(serde_json::from_str::<WearGrade>("5").is_err());
    }

    #[test]
    fn wear_grades_stand_in_json_by_joint() {
        let grades: WearGrades = [
            (Joint::Talonavicular, WearGrade(2)),
            (Joint::Ankle, WearGrade(0)),
        ]
        .into();
        let json = serde_json::to_string(&grades).unwrap();
        assert_eq!(json, r#"{"ankle":0,"talonavicular":2}"#);
        assert_eq!(serde_json::from_str::<WearGrades>(&json).unwrap(), grades);
    }

    #[test]
    fn what_is_examined_comes_back_from_its_key() {
        for of in ExamineOf::ALL {
            assert_eq!(ExamineOf::from_key(of.key()), Some(of));
        }
    }
}
