//! How is one thing told from another?
//!
//! One type per kind of thing, so that a film's id cannot be handed over as a patient's. The ids
//! are made by the binary (UUID version 7, so that they sort by age) and passed in.

use serde::{Deserialize, Serialize};
use std::{fmt, str::FromStr};
use uuid::Uuid;

/// The text was not an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found a text that is no {what} id; expected 32 hexadecimal digits in the form of a UUID")]
pub struct BadId {
    pub what: &'static str,
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident = $what:literal),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(Uuid);

        impl $name {
            /// What the thing is called in a sentence.
            pub const WHAT: &'static str = $what;

            pub const fn new(id: Uuid) -> Self {
                Self(id)
            }

            pub const fn uuid(self) -> Uuid {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.hyphenated().fmt(f)
            }
        }

        impl FromStr for $name {
            type Err = BadId;
            fn from_str(text: &str) -> Result<Self, BadId> {
                Uuid::parse_str(text).map(Self).map_err(|_| BadId { what: $what })
            }
        }
    )+};
}

ids!(
    /// One way in for one of the practice's people.
    AccountId = "account",
    /// Somebody who examines, places points, decides or signs.
    ClinicianId = "clinician",
    PatientId = "patient",
    VisitId = "visit",
    FilmId = "film",
    /// One placing of points on one film by one reader.
    PointsId = "set of points",
    LetterId = "letter",
    ScanId = "scan",
    /// One order of a device for one foot.
    OrderId = "order",
    /// One thing given or done: a boot, an injection, a device, a check of one of them.
    CareId = "entry of care",
    /// A print, pressures, a photograph, a clip or a marker file.
    CaptureId = "capture",
    /// A key by which another program comes in.
    KeyId = "key",
    PasskeyId = "passkey",
    /// A film that came in without a person at the page.
    ArrivalId = "film that came in",
    /// One entry of the journal.
    ActId = "act",
);

impl ClinicianId {
    /// The program itself: who acts where no person does. Nobody on the list of people has it.
    pub const PROGRAM: ClinicianId =
        ClinicianId(Uuid::from_u128(0x7469_6562_6561_8d00_8000_7072_6f67_7261));
    /// How the program is named where people are.
    pub const PROGRAM_WORDS: &'static str = "the program itself";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_comes_back_from_its_text_and_rubbish_does_not() {
        let id = FilmId::new(Uuid::from_u128(7));
        assert_eq!(id.to_string().parse(), Ok(id));
        assert!("../../etc/passwd".parse::<FilmId>().is_err());
    }
}
