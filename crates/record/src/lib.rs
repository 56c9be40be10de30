//! What a practice keeps: plain types without web or SQL.
//!
//! | file | question |
//! |---|---|
//! | [`id`] | how is one thing told from another? |
//! | [`kept`] | how is a sheet, an examination or a stage report kept so that a later program can read it? |
//! | [`person`] | whose foot, and who wrote it down? |
//! | [`visit`] | when did they come, and when are they due again? |
//! | [`film`] | which picture, of what, and where do its bytes lie? |
//! | [`arrival`] | which film came in without a person at the page, and what became of it? |
//! | [`points`] | who placed which points, which time, and what was read from them? |
//! | [`findings`] | what was found, decided and planned, and what stood there before? |
//! | [`letter`] | what was sent, and is it still what was signed? |
//! | [`scan`] | which foot was scanned, how, and where do its bytes lie? |
//! | [`order`] | which device is asked for, and what was sent to be made? |
//! | [`capture`] | what was taken of the standing or moving foot, and what was done to it? |
//! | [`care`] | what was given or done, from when until when? |
//! | [`account`] | who can sign in, who saw and did what, and whose record is closed to whom? |
//! | [`keys`] | with what does another program come in, and somebody without a passphrase? |
//! | [`act`] | who did what, and when? |
//! | [`chart`] | what is everything that is kept of one patient? |
//! | [`search`] | how does 'Muller' find 'Müller'? |
//!
//! Architecture invariant: nothing here reads the clock, makes an id, touches a disk or knows a
//! database. Payloads of `reading`, `exam`, `stage` and `care` are kept as [`Kept`]: JSON with the
//! name and version of its format, so that an old record outlives the type that wrote it.

pub mod account;
pub mod act;
pub mod arrival;
pub mod capture;
pub mod care;
pub mod chart;
pub mod erasure;
pub mod film;
pub mod findings;
pub mod id;
pub mod kept;
pub mod keys;
pub mod letter;
pub mod order;
pub mod person;
pub mod points;
pub mod scan;
pub mod search;
pub mod visit;

mod dates;

pub use account::{
    Account, Closure, Noted, OneTime, Opening, ReadingAsked, Release, Role, Session, ToNote,
    TrailEntry,
};
pub use act::{Act, ActKind, Stamp, Subject};
pub use arrival::{ArrivalRecord, ArrivalState, ArrivalWay, FilmSays};
pub use capture::{CaptureKind, CaptureRecord, Doing, StepsRecord};
pub use care::CareRecord;
pub use chart::{Chart, NamedFile};
pub use erasure::{Erasure, Tombstone};
pub use film::{ContentHash, DisplayTurn, FilmRecord, WaitingFilm};
pub use findings::{
    DecisionRecord, ExamRecord, ExamineOf, PlanRecord, WearGrade, WearGrades, WearRecord,
};
pub use id::{
    AccountId, ActId, ArrivalId, CaptureId, CareId, ClinicianId, FilmId, KeyId, LetterId, OrderId,
    PasskeyId, PatientId, PointsId, ScanId, VisitId,
};
pub use kept::{Kept, KeptError};
pub use keys::{MachineKey, MachineMay, Passkey};
pub use letter::{LetterHead, LetterKind, LetterRecord, LetterState, ListedLetter};
pub use order::{OrderRecord, OrderSource, Sent};
pub use person::{Clinician, Patient, Practice};
pub use points::{PointsRecord, PointsToSave, SheetRecord};
pub use scan::ScanRecord;
pub use search::fold;
pub use visit::{Due, Visit, VisitState};

/// A record that must not be stored as it stands.
///
/// Says where and what, never the personal content itself.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found {found} in {field}; expected {expected}")]
pub struct BadRecord {
    /// The field in the words of the page.
    pub field: &'static str,
    pub found: String,
    pub expected: &'static str,
}

impl BadRecord {
    pub fn new(field: &'static str, found: impl Into<String>, expected: &'static str) -> Self {
        Self {
            field,
            found: found.into(),
            expected,
        }
    }
}

/// Text that a person typed: not blank where it must be there, not endless, no control characters
/// except line ends and tabs.
pub(crate) fn check_text(
    field: &'static str,
    text: &str,
    needed: bool,
    longest: usize,
) -> Result<(), BadRecord> {
    if needed && text.trim().is_empty() {
        return Err(BadRecord::new(
            field,
            "nothing",
            "at least one letter or digit",
        ));
    }
    let length = text.chars().count();
    if length > longest {
        return Err(BadRecord::new(
            field,
            format!("{length} characters"),
            "a shorter text",
        ));
    }
    if text
        .chars()
        .any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
    {
        return Err(BadRecord::new(field, "a control character", "plain text"));
    }
    Ok(())
}
