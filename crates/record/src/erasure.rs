//! What is said when somebody is erased, and what stays in their place?

use crate::{BadRecord, ClinicianId, PatientId, check_text};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;

/// That everything of a patient is to go, for good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Erasure {
    pub patient: PatientId,
    pub by: ClinicianId,
    pub at: OffsetDateTime,
    /// Without a name: it stays.
    pub reason: String,
}

impl Erasure {
    /// # Errors
    /// A reason that says nothing.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the reason to erase", &self.reason, true, 2000)?;
        if self.reason.trim().chars().count() < 10 {
            return Err(BadRecord::new(
                "the reason to erase",
                "fewer than ten characters",
                "a reason that somebody who looks after years would understand",
            ));
        }
        Ok(())
    }
}

/// What stays of somebody who was erased: nothing of the person but the id.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tombstone {
    pub patient: PatientId,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    pub by: ClinicianId,
    pub reason: String,
    /// How many entries went.
    pub rows: u64,
    /// How many files went that nothing else named.
    pub files: u64,
}
