//! When did they come, and when are they due again?

use crate::{BadRecord, Patient, PatientId, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Visit {
    pub id: VisitId,
    pub patient: PatientId,
    #[serde(with = "dates::iso")]
    pub on: Date,
    /// Why they came, in the clinician's words.
    pub reason: String,
    pub state: VisitState,
}

/// A closed visit can be opened again; both are acts in the journal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum VisitState {
    Open,
    Closed,
}

impl VisitState {
    pub fn word(self) -> &'static str {
        match self {
            VisitState::Open => "open",
            VisitState::Closed => "closed",
        }
    }
}

impl Visit {
    /// # Errors
    /// Text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the reason of the visit", &self.reason, false, 20_000)
    }
}

/// Somebody whose last plan asked them to come back by now, and who has not been here since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    pub patient: Patient,
    /// The visit whose plan named the day.
    pub planned_at: Visit,
    pub review_on: Date,
}
