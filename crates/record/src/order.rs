//! Which device is asked for, and what was sent to be made?
//!
//! An order grows by revisions, as an examination does, and can be taken back step by step while it is a
//! draft. What was sent is kept byte for byte; everything else is computed again from foot, points and
//! prescription.

use crate::{BadRecord, ContentHash, Kept, OrderId, PatientId, ScanId, VisitId, check_text};
use serde::{Deserialize, Serialize};
use terms::Side;
use time::OffsetDateTime;

/// What the device is shaped on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "from")]
pub enum OrderSource {
    Scan {
        scan: ScanId,
    },
    /// Measurements, and a print's outline where there is one (`surface::built`).
    Measured {
        measures: Kept,
    },
}

/// One revision of an order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OrderRecord {
    pub id: OrderId,
    pub patient: PatientId,
    pub visit: VisitId,
    pub side: Side,
    /// Stands on the device and on the sheet instead of a name; unique in the practice.
    pub code: String,
    pub source: OrderSource,
    /// Points moved by hand, in the foot frame; `None` while all stand as they were found.
    pub points: Option<Kept>,
    /// A `shell::Prescription`.
    pub prescription: Kept,
    pub sent: Option<Sent>,
    pub revision: u32,
    /// The revision whose content this is: its own number, or an earlier one after an undo.
    pub content_of: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

/// What went to be made; from then on the order stays as it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sent {
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    /// The order sheet, PDF.
    pub sheet: ContentHash,
    /// The solids, 3MF.
    pub solids: ContentHash,
}

impl OrderRecord {
    /// # Errors
    /// A code that is blank, too long or has more than capitals, digits and hyphens.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the order's code", &self.code, true, 10)?;
        let plain = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '-';
        if !self.code.chars().all(plain) {
            return Err(BadRecord::new(
                "the order's code",
                "another character",
                "capital letters, digits and hyphens",
            ));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn order(code: &str) -> OrderRecord {
        let id = Uuid::from_u128(3);
        OrderRecord {
            id: OrderId::new(id),
            patient: PatientId::new(id),
            visit: VisitId::new(id),
            side: Side::Right,
            code: code.into(),
            source: OrderSource::Scan {
                scan: ScanId::new(id),
            },
            points: None,
            prescription: Kept::of("prescription", 1, &3.5).unwrap(),
            sent: None,
            revision: 1,
            content_of: 1,
            saved_at: OffsetDateTime::UNIX_EPOCH,
        }
    }

    #[test]
    fn a_code_that_could_not_be_embossed_is_refused() {
        for good in ["A", "TB-0042", "0123456789"] {
            assert_eq!(order(good).check(), Ok(()), "{good}");
        }
        for bad in ["", " ", "small", "A B", "Ä", "01234567890", "A\n"] {
            assert!(order(bad).check().is_err(), "{bad:?}");
        }
    }

    #[test]
    fn an_order_comes_back_from_its_json() {
        let mut order = order("TB-1");
        order.sent = Some(Sent {
            at: order.saved_at,
            sheet: ContentHash::of(b"sheet"),
            solids: ContentHash::of(b"solids"),
        });
        let json = serde_json::to_string(&order).unwrap();
        assert!(
            json.contains(r#""source":{"from":"scan","scan":"#),
            "{json}"
        );
        assert_eq!(serde_json::from_str::<OrderRecord>(&json).unwrap(), order);
    }
}
