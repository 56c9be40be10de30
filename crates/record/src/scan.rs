//! Which foot was scanned, how, and where do its bytes lie?
//!
//! The file as it came in, and the answers that no file holds. Mending, aligning and measuring are done
//! again from these; the points a hand has moved are kept with the order that uses them.

use crate::{BadRecord, ContentHash, PatientId, ScanId, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use terms::{Load, Side};
use time::Date;

/// A foot scan as it lies in the practice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ScanRecord {
    pub id: ScanId,
    pub patient: PatientId,
    pub visit: VisitId,
    /// `None` until the clinician says so or takes over what the surface shows.
    pub side: Option<Side>,
    /// Asked, never guessed.
    pub load: Option<Load>,
    /// Unit of the file where the clinician said so, as `surface` names it.
    pub unit: Option<String>,
    #[serde(with = "dates::iso::option")]
    pub taken_on: Option<Date>,
    /// The name the file came with; shown, never used to find it.
    pub file_name: String,
    pub content: ContentHash,
    pub media_type: String,
    pub note: String,
}

impl ScanRecord {
    /// # Errors
    /// Text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the scan's file name", &self.file_name, false, 400)?;
        check_text("the scan's media type", &self.media_type, true, 100)?;
        if let Some(unit) = &self.unit {
            check_text("the scan's unit", unit, true, 20)?;
        }
        check_text("the scan's note", &self.note, false, 20_000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    #[test]
    fn a_unit_that_is_there_but_blank_is_refused_and_one_that_is_missing_is_not() {
        let id = Uuid::from_u128(3);
        let mut scan = ScanRecord {
            id: ScanId::new(id),
            patient: PatientId::new(id),
            visit: VisitId::new(id),
            side: None,
            load: None,
            unit: None,
            taken_on: None,
            file_name: String::new(),
            content: ContentHash::of(b"scan"),
            media_type: "model/stl".into(),
            note: String::new(),
        };
        assert_eq!(scan.check(), Ok(()));
        scan.unit = Some(" ".into());
        assert!(scan.check().is_err());
        scan.unit = Some("mm".into());
        assert_eq!(scan.check(), Ok(()));
    }
}
