//! What was taken of the standing or moving foot: a print, pressures, a photograph, a clip, markers?
//!
//! The file as it came in and the answers no file holds. What was done to it, and what was read from it,
//! stands in revisions beside it: the numbers can be recomputed from the file and the steps.

use crate::{BadRecord, CaptureId, ContentHash, Kept, PatientId, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use terms::Side;
use time::{Date, OffsetDateTime};

macro_rules! keyed {
    ($(#[$doc:meta])* $name:ident { $($variant:ident = $key:literal, $words:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum $name { $(#[serde(rename = $key)] $variant),+ }

        impl $name {
            pub const ALL: &[$name] = &[$($name::$variant),+];

            pub fn key(self) -> &'static str {
                match self { $($name::$variant => $key),+ }
            }

            pub fn words(self) -> &'static str {
                match self { $($name::$variant => $words),+ }
            }

            pub fn from_key(key: &str) -> Option<$name> {
                $name::ALL.iter().copied().find(|k| k.key() == key)
            }
        }
    };
}

keyed!(
    /// What it is.
    CaptureKind {
        Print = "print", "print of the foot";
        Pressure = "pressure", "pressure under the foot";
        FromBehind = "from-behind", "photograph from behind";
        FromSide = "from-side", "photograph from the side";
        HeelRise = "heel-rise", "heel rise";
        Markers = "markers", "marker file";
    }
);

keyed!(
    /// What the person did meanwhile. Norms differ between standing and walking, and between one leg and two.
    Doing {
        Standing = "standing", "standing";
        Walking = "walking", "walking";
        OneLeg = "one-leg", "on one leg";
        BothLegs = "both-legs", "on both legs";
    }
);

impl CaptureKind {
    /// What can be said of it; empty where there is nothing to ask.
    pub fn doings(self) -> &'static [Doing] {
        match self {
            CaptureKind::Print | CaptureKind::Pressure => &[Doing::Standing, Doing::Walking],
            CaptureKind::HeelRise | CaptureKind::Markers => &[Doing::OneLeg, Doing::BothLegs],
            CaptureKind::FromBehind | CaptureKind::FromSide => &[],
        }
    }
}

/// A file of the standing or moving foot as it lies in the practice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CaptureRecord {
    pub id: CaptureId,
    pub patient: PatientId,
    pub visit: VisitId,
    pub kind: CaptureKind,
    /// `None` where nobody said; then no norm is chosen.
    pub doing: Option<Doing>,
    /// `None` where both feet are on it, or nobody said.
    pub side: Option<Side>,
    #[serde(with = "dates::iso::option")]
    pub taken_on: Option<Date>,
    /// The name the file came with; shown, never used to find it.
    pub file_name: String,
    pub content: ContentHash,
    pub media_type: String,
    pub note: String,
}

impl CaptureRecord {
    /// # Errors
    /// Text that is too long, or a doing that does not belong to the kind.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the file's name", &self.file_name, false, 400)?;
        check_text("the file's media type", &self.media_type, true, 100)?;
        check_text("the note", &self.note, false, 20_000)?;
        match self.doing {
            Some(doing) if !self.kind.doings().contains(&doing) => Err(BadRecord::new(
                self.kind.words(),
                format!("'{}'", doing.words()),
                "what can be done while it is taken",
            )),
            _ => Ok(()),
        }
    }
}

/// One revision of what was done to a capture and what was read from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepsRecord {
    pub capture: CaptureId,
    /// What was done: steps found and steps set by hand.
    pub steps: Kept,
    /// What was read from it: a list `readings`, each with value, error, unit and method version.
    pub readings: Kept,
    pub revision: u32,
    /// The revision whose content this is: its own number, or an earlier one after an undo.
    pub content_of: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub saved_at: OffsetDateTime,
}

impl StepsRecord {
    /// A reading is never stored without value, standard error, unit and method version.
    ///
    /// # Errors
    /// Names the first reading at fault and what it lacks.
    pub fn check(&self) -> Result<(), BadRecord> {
        crate::points::check_readings(&self.readings, false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use time::macros::datetime;
    use uuid::Uuid;

    fn print() -> CaptureRecord {
        let id = Uuid::from_u128(5);
        CaptureRecord {
            id: CaptureId::new(id),
            patient: PatientId::new(id),
            visit: VisitId::new(id),
            kind: CaptureKind::Print,
            doing: None,
            side: None,
            taken_on: None,
            file_name: "print.png".into(),
            content: ContentHash::of(b"print"),
            media_type: "image/png".into(),
            note: String::new(),
        }
    }

    #[test]
    fn a_print_is_made_standing_or_walking_and_not_on_one_leg() {
        for (doing, taken) in [
            (None, true),
            (Some(Doing::Standing), true),
            (Some(Doing::Walking), true),
            (Some(Doing::OneLeg), false),
        ] {
            let print = CaptureRecord { doing, ..print() };
            assert_eq!(print.check().is_ok(), taken, "{doing:?}");
        }
        let photograph = CaptureRecord {
            kind: CaptureKind::FromBehind,
            doing: Some(Doing::Walking),
            ..print()
        };
        assert!(photograph.check().is_err());
    }

    #[test]
    fn keys_come_back_as_what_they_name() {
        for kind in CaptureKind::ALL {
            assert_eq!(CaptureKind::from_key(kind.key()), Some(*kind));
        }
        for doing in Doing::ALL {
            assert_eq!(Doing::from_key(doing.key()), Some(*doing));
        }
        assert_eq!(Doing::from_key("running"), None);
    }

    #[test]
    fn a_reading_without_its_error_is_refused_by_name() {
        let with = |error: serde_json::Value| StepsRecord {
            capture: CaptureId::new(Uuid::from_u128(1)),
            steps: Kept {
                format: "print-steps".into(),
                version: 1,
                body: json!({}),
            },
            readings: Kept {
                format: "print-readings".into(),
                version: 1,
                body: json!({"readings": [{
                    "measure": "arch_index",
                    "estimate": {"value": 0.24, "standard_error": error, "unit": "ratio"},
                    "method_version": 1,
                }]}),
            },
            revision: 0,
            content_of: 0,
            saved_at: datetime!(2026 - 11 - 02 08:00 UTC),
        };
        assert_eq!(with(json!(0.01)).check(), Ok(()));
        let said = with(json!(null)).check().unwrap_err().to_string();
        assert!(
            said.contains("arch_index without a standard error"),
            "{said}"
        );
    }
}
