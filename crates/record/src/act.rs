//! Who did what, and when?
//!
//! Every change to the record is one act: it happens whole or not at all, and it leaves one entry
//! in the journal. The summary never names a person.

use crate::{
    ActId, ArrivalId, CaptureId, CareId, ClinicianId, FilmId, LetterId, OrderId, PatientId,
    PointsId, ScanId, VisitId,
};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;
use uuid::Uuid;

/// Passed in with every change: the id of the act, the time and the person acting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    pub act: ActId,
    pub at: OffsetDateTime,
    pub by: ClinicianId,
}

/// An entry of the journal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Act {
    /// Counts from 1 without a gap, in the order the acts were confirmed.
    pub number: u64,
    pub id: ActId,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    pub by: ClinicianId,
    pub kind: ActKind,
    pub on: Subject,
    /// In words, without personal data.
    pub summary: String,
}

/// What an act was about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "what", content = "id", rename_all = "lowercase")]
pub enum Subject {
    Practice,
    Clinician(ClinicianId),
    Patient(PatientId),
    Visit(VisitId),
    Film(FilmId),
    Points(PointsId),
    Letter(LetterId),
    Scan(ScanId),
    Order(OrderId),
    Care(CareId),
    Capture(CaptureId),
    Arrival(ArrivalId),
}

impl Subject {
    pub fn key(self) -> &'static str {
        match self {
            Subject::Practice => "practice",
            Subject::Clinician(_) => "clinician",
            Subject::Patient(_) => "patient",
            Subject::Visit(_) => "visit",
            Subject::Film(_) => "film",
            Subject::Points(_) => "points",
            Subject::Letter(_) => "letter",
            Subject::Scan(_) => "scan",
            Subject::Order(_) => "order",
            Subject::Care(_) => "care",
            Subject::Capture(_) => "capture",
            Subject::Arrival(_) => "arrival",
        }
    }

    /// The nil id for the practice, of which there is one.
    pub fn uuid(self) -> Uuid {
        match self {
            Subject::Practice => Uuid::nil(),
            Subject::Clinician(id) => id.uuid(),
            Subject::Patient(id) => id.uuid(),
            Subject::Visit(id) => id.uuid(),
            Subject::Film(id) => id.uuid(),
            Subject::Points(id) => id.uuid(),
            Subject::Letter(id) => id.uuid(),
            Subject::Scan(id) => id.uuid(),
            Subject::Order(id) => id.uuid(),
            Subject::Care(id) => id.uuid(),
            Subject::Capture(id) => id.uuid(),
            Subject::Arrival(id) => id.uuid(),
        }
    }

    pub fn from_parts(key: &str, id: Uuid) -> Option<Subject> {
        Some(match key {
            "practice" => Subject::Practice,
            "clinician" => Subject::Clinician(ClinicianId::new(id)),
            "patient" => Subject::Patient(PatientId::new(id)),
            "visit" => Subject::Visit(VisitId::new(id)),
            "film" => Subject::Film(FilmId::new(id)),
            "points" => Subject::Points(PointsId::new(id)),
            "letter" => Subject::Letter(LetterId::new(id)),
            "scan" => Subject::Scan(ScanId::new(id)),
            "order" => Subject::Order(OrderId::new(id)),
            "care" => Subject::Care(CareId::new(id)),
            "capture" => Subject::Capture(CaptureId::new(id)),
            "arrival" => Subject::Arrival(ArrivalId::new(id)),
            _ => return None,
        })
    }
}

macro_rules! kinds {
    ($($name:ident = $key:literal, $words:literal;)+) => {
        /// The kinds of act there are.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum ActKind { $(#[serde(rename = $key)] $name),+ }

        impl ActKind {
            pub const ALL: &[ActKind] = &[$(ActKind::$name),+];

            pub fn key(self) -> &'static str {
                match self { $(ActKind::$name => $key),+ }
            }

            pub fn words(self) -> &'static str {
                match self { $(ActKind::$name => $words),+ }
            }

            pub fn from_key(key: &str) -> Option<ActKind> {
                ActKind::ALL.iter().copied().find(|k| k.key() == key)
            }
        }
    };
}

kinds! {
    PracticeSaved = "practice-saved", "practice changed";
    ClinicianSaved = "clinician-saved", "clinician added or changed";
    PatientAdded = "patient-added", "patient added";
    PatientSaved = "patient-saved", "patient's details changed";
    VisitOpened = "visit-opened", "visit opened";
    VisitSaved = "visit-saved", "visit changed";
    VisitClosed = "visit-closed", "visit closed";
    VisitReopened = "visit-reopened", "visit opened again";
    FilmImported = "film-imported", "film taken in";
    FilmSaved = "film-saved", "film's details changed";
    ArrivalKept = "arrival-kept", "film came in by itself";
    ArrivalTaken = "arrival-taken", "film that came in by itself taken into a visit";
    ArrivalPutAway = "arrival-put-away", "film that came in by itself put away";
    ArrivalPutBack = "arrival-put-back", "film that was put away put back";
    PointsSaved = "points-saved", "points saved";
    PointsFinished = "points-finished", "points finished";
    WearSaved = "wear-saved", "joint wear graded";
    ExamSaved = "exam-saved", "examination saved";
    ExamUndone = "exam-undone", "examination taken one step back";
    DecisionSaved = "decision-saved", "decision saved";
    PlanSaved = "plan-saved", "plan saved";
    LetterDrafted = "letter-drafted", "letter drafted";
    LetterSaved = "letter-saved", "draft letter changed";
    LetterSigned = "letter-signed", "letter signed";
    LetterTakenAway = "letter-taken-away", "draft letter taken away";
    LetterPutBack = "letter-put-back", "draft letter put back";
    ScanImported = "scan-imported", "foot scan taken in";
    ScanSaved = "scan-saved", "scan's details changed";
    CaptureImported = "capture-imported", "print, photograph or clip taken in";
    CaptureSaved = "capture-saved", "details of a print, photograph or clip changed";
    StepsSaved = "steps-saved", "steps on a print, photograph or clip saved";
    StepsUndone = "steps-undone", "steps on a print, photograph or clip taken one step back";
    OrderSaved = "order-saved", "order saved";
    OrderUndone = "order-undone", "order taken one step back";
    OrderSent = "order-sent", "order sent to be made";
    CareSaved = "care-saved", "entry of care saved";
    CareUndone = "care-undone", "entry of care taken one step back";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_of_act_comes_back_from_its_key() {
        for kind in ActKind::ALL {
            assert_eq!(ActKind::from_key(kind.key()), Some(*kind));
            assert_eq!(serde_json::to_value(kind).unwrap(), kind.key());
        }
    }

    #[test]
    fn a_subject_comes_back_from_its_parts() {
        let on = Subject::Film(FilmId::new(Uuid::from_u128(5)));
        assert_eq!(Subject::from_parts(on.key(), on.uuid()), Some(on));
        assert_eq!(Subject::from_parts("shelf", Uuid::nil()), None);
    }
}
