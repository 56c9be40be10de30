//! What the promises are tried with: invented people, fresh ids, a clock that only moves on.

use crate::{Store, StoreError};
use record::{
    ActId, CaptureId, CaptureKind, CaptureRecord, CareId, CareRecord, Clinician, ClinicianId,
    ContentHash, DisplayTurn, Doing, FilmId, FilmRecord, Kept, LetterId, LetterKind, LetterRecord,
    LetterState, OrderId, OrderRecord, OrderSource, Patient, PatientId, PointsId, PointsToSave,
    ScanId, ScanRecord, Stamp, Visit, VisitId, VisitState,
};
use serde_json::{Value, json};
use std::future::Future;
use std::pin::Pin;
use std::sync::{
    Arc,
    atomic::{AtomicU64, Ordering},
};
use std::task::Poll;
use terms::{Load, Side, Stance, View, Worn};
use time::macros::datetime;
use time::{Date, Duration};
use uuid::Uuid;

/// So that a thousand seeds stay within years of four digits.
pub const DAYS_OF_SEED: i64 = 2000;
pub const DAYS_OF_PROMISE: i64 = 20;

pub struct Desk {
    pub store: Arc<dyn Store>,
    pub clinician: ClinicianId,
    space: u64,
    next: AtomicU64,
}

impl Desk {
    pub fn new(store: Arc<dyn Store>, seed: u64, promise: u64) -> Self {
        let space = (seed << 16) | promise;
        let clinician = ClinicianId::new(Uuid::from_u64_pair(space, 0));
        Self {
            store,
            clinician,
            space,
            next: AtomicU64::new(1),
        }
    }

    pub fn uuid(&self) -> Uuid {
        Uuid::from_u64_pair(self.space, self.next.fetch_add(1, Ordering::Relaxed))
    }

    pub fn stamp(&self) -> Stamp {
        let act = self.uuid();
        let at = datetime!(2026-11-24 08:00:00.123456789 UTC)
            + Duration::seconds(act.as_u64_pair().1 as i64);
        Stamp {
            act: ActId::new(act),
            at,
            by: self.clinician,
        }
    }

    /// A day that no other promise and no other seed uses.
    pub fn day(&self, offset: i64) -> Date {
        time::macros::date!(2000 - 01 - 01)
            + Duration::days(
                (self.space >> 16) as i64 * DAYS_OF_SEED
                    + (self.space & 0xffff) as i64 * DAYS_OF_PROMISE
                    + offset,
            )
    }

    pub async fn with_clinician(&self) -> ClinicianId {
        let clinician = Clinician {
            id: self.clinician,
            name: "Invented Clinician".into(),
            qualification: String::new(),
            active: true,
        };
        self.store
            .save_clinician(self.stamp(), clinician)
            .await
            .unwrap();
        self.clinician
    }

    /// An invented patient with a chart number of their own, not yet stored.
    pub fn some_patient(&self, given: &str, family: &str) -> Patient {
        let id = self.uuid();
        Patient {
            id: PatientId::new(id),
            chart_number: format!("C{id}"),
            given_name: given.into(),
            family_name: family.into(),
            born_on: None,
            sex: None,
            note: String::new(),
        }
    }

    pub async fn patient(&self) -> Patient {
        let patient = self.some_patient("Invented", "Person");
        self.store
            .add_patient(self.stamp(), patient.clone())
            .await
            .unwrap();
        patient
    }

    pub async fn visit_of(&self, patient: PatientId, on: Date) -> Visit {
        let visit = Visit {
            id: VisitId::new(self.uuid()),
            patient,
            on,
            reason: "sore inner ankle".into(),
            state: VisitState::Open,
        };
        self.store
            .open_visit(self.stamp(), visit.clone())
            .await
            .unwrap();
        visit
    }

    pub async fn visit(&self) -> Visit {
        let patient = self.patient().await;
        self.visit_of(patient.id, self.day(0)).await
    }

    pub fn some_film(&self, visit: &Visit, bytes: &[u8]) -> FilmRecord {
        FilmRecord {
            id: FilmId::new(self.uuid()),
            patient: visit.patient,
            visit: visit.id,
            view: Some(View::HindfootAlignment),
            side: Some(Side::Right),
            stance: Stance::NotStanding,
            worn: Some(Worn::Device),
            taken_on: Some(visit.on),
            file_name: "film 1.dcm".into(),
            content: ContentHash::of(bytes),
            media_type: "application/dicom".into(),
            width_px: 2400,
            height_px: 3000,
            scale_wish: Some(kept("scale-wish", json!({"ball_mm": 25.4}))),
            scale_answer: None,
            turn: DisplayTurn {
                quarter_turns: 3,
                mirrored: true,
            },
            note: "toe not seen".into(),
        }
    }

    pub async fn film(&self) -> FilmRecord {
        let visit = self.visit().await;
        let bytes = self.uuid().as_bytes().to_vec();
        let film = self.some_film(&visit, &bytes);
        self.store
            .import_film(self.stamp(), film.clone(), bytes)
            .await
            .unwrap();
        film
    }

    pub fn some_points(&self, film: FilmId, finished: bool, x_px: f64) -> PointsToSave {
        PointsToSave {
            id: PointsId::new(self.uuid()),
            film,
            reader: self.clinician,
            finished,
            points: kept(
                "points",
                json!({"points": {"hf_calc_low": {"x_px": x_px, "y_px": 7.5}}}),
            ),
            sheet: kept(
                "reading-sheet",
                json!({"readings": [{
                    "measure": "hma",
                    "estimate": {"value": x_px / 10.0, "standard_error": 0.31, "unit": "mm"},
                    "method_version": 1,
                    "points_used": ["hf_calc_low"],
                }]}),
            ),
        }
    }

    pub fn some_scan(&self, visit: &Visit, bytes: &[u8]) -> ScanRecord {
        ScanRecord {
            id: ScanId::new(self.uuid()),
            patient: visit.patient,
            visit: visit.id,
            side: Some(Side::Left),
            load: Some(Load::Partial),
            unit: Some("in".into()),
            taken_on: Some(visit.on),
            file_name: "foot 1.stl".into(),
            content: ContentHash::of(bytes),
            media_type: "model/stl".into(),
            note: "sock on".into(),
        }
    }

    pub async fn scan_of(&self, visit: &Visit) -> ScanRecord {
        let bytes = self.uuid().as_bytes().to_vec();
        let scan = self.some_scan(visit, &bytes);
        self.store
            .import_scan(self.stamp(), scan.clone(), bytes)
            .await
            .unwrap();
        scan
    }

    pub fn some_capture(&self, visit: &Visit, bytes: &[u8]) -> CaptureRecord {
        CaptureRecord {
            id: CaptureId::new(self.uuid()),
            patient: visit.patient,
            visit: visit.id,
            kind: CaptureKind::Print,
            doing: Some(Doing::Standing),
            side: Some(Side::Left),
            taken_on: Some(visit.on),
            file_name: "print 1.png".into(),
            content: ContentHash::of(bytes),
            media_type: "image/png".into(),
            note: "ink".into(),
        }
    }

    pub async fn capture_of(&self, visit: &Visit) -> CaptureRecord {
        let bytes = self.uuid().as_bytes().to_vec();
        let capture = self.some_capture(visit, &bytes);
        self.store
            .import_capture(self.stamp(), capture.clone(), bytes)
            .await
            .unwrap();
        capture
    }

    /// An order with a code of its own, not yet stored.
    pub fn some_order(&self, visit: &Visit, source: OrderSource) -> OrderRecord {
        let id = self.uuid();
        let (space, number) = id.as_u64_pair();
        OrderRecord {
            id: OrderId::new(id),
            patient: visit.patient,
            visit: visit.id,
            side: Side::Left,
            code: format!("{space:07X}-{number:02X}"),
            source,
            points: Some(kept(
                "foot-points",
                json!({"navicular_mm": [0.1 + 0.2, 1, 2]}),
            )),
            prescription: kept("prescription", json!({"thickness_mm": 3.0})),
            sent: None,
            revision: 0,
            content_of: 0,
            saved_at: self.stamp().at,
        }
    }

    /// A draft on measurements, at its first revision.
    pub async fn order(&self, visit: &Visit) -> OrderRecord {
        let measures = kept("foot-measures", json!({"length_mm": 251.5}));
        let order = self.some_order(visit, OrderSource::Measured { measures });
        self.store.save_order(self.stamp(), order, 0).await.unwrap()
    }

    /// Something given at a visit, not yet stored.
    pub fn some_care(&self, visit: &Visit) -> CareRecord {
        CareRecord {
            id: CareId::new(self.uuid()),
            patient: visit.patient,
            visit: Some(visit.id),
            about: None,
            kind: "boot".into(),
            side: Some(Side::Left),
            began_on: visit.on,
            ended_on: None,
            review_on: None,
            answers: kept("given", json!({"z": 0.1 + 0.2, "a": "ü"})),
            taken_away: false,
            revision: 0,
            content_of: 0,
            saved_at: self.stamp().at,
        }
    }

    pub async fn care(&self, visit: &Visit) -> CareRecord {
        let care = self.some_care(visit);
        self.store.save_care(self.stamp(), care, 0).await.unwrap()
    }

    pub async fn draft(&self, visit: VisitId) -> LetterRecord {
        let mut letter = LetterRecord {
            id: LetterId::new(self.uuid()),
            visit,
            kind: LetterKind::ToReferrer,
            title: "An invented letter".into(),
            // Keys out of order and a number that needs all its digits.
            facts: kept(
                "letter",
                json!({"z": 0.1 + 0.2, "a": {"y": [1, null], "b": "ü"}}),
            ),
            addendum_to: None,
            drafted_at: self.stamp().at,
            revision: 0,
            state: LetterState::Draft,
        };
        let saved = self
            .store
            .save_letter(self.stamp(), letter.clone(), 0)
            .await
            .unwrap();
        letter.revision = 1;
        assert_eq!(saved, letter);
        letter
    }
}

pub const PAPER: &[u8] = b"%PDF-1.7\n% an invented paper\n%%EOF\n";
/// The head of a ZIP archive and an invented rest.
pub const SOLIDS: &[u8] = b"PK\x03\x04invented solids";

pub fn kept(format: &str, body: Value) -> Kept {
    Kept {
        format: format.into(),
        version: 1,
        body,
    }
}

pub fn is_missing<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::Missing { .. }))
}

pub fn is_taken<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::Taken { .. }))
}

pub fn is_refused<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::Refused(_)))
}

pub fn is_stale<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::ChangedMeanwhile { .. }))
}

pub fn is_frozen<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::Frozen { .. }))
}

/// All at once, in one task: each is polled before any has ended.
pub async fn together<T>(waiting: Vec<impl Future<Output = T>>) -> Vec<T> {
    let mut waiting: Vec<_> = waiting.into_iter().map(|f| (Box::pin(f), None)).collect();
    std::future::poll_fn(move |context| {
        for (future, answer) in waiting.iter_mut().filter(|(_, answer)| answer.is_none()) {
            if let Poll::Ready(ready) = Pin::new(future).poll(context) {
                *answer = Some(ready);
            }
        }
        if waiting.iter().all(|(_, answer)| answer.is_some()) {
            Poll::Ready(
                waiting
                    .iter_mut()
                    .filter_map(|(_, answer)| answer.take())
                    .collect(),
            )
        } else {
            Poll::Pending
        }
    })
    .await
}
