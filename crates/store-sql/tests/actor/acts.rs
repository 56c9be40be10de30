//! A visit as a row of acts: act `n` of run `run` is always the same, so that another process can
//! tell afterwards whether it is there, whole, or not at all. Everything in it is invented.

use record::{
    ActId, ActKind, Clinician, ClinicianId, ContentHash, DisplayTurn, ExamRecord, ExamineOf,
    FilmId, FilmRecord, Kept, LetterId, LetterKind, LetterRecord, LetterState, OrderId,
    OrderRecord, OrderSource, Patient, PatientId, PlanRecord, PointsId, PointsToSave, ScanId,
    ScanRecord, Stamp, Subject, Visit, VisitId, VisitState,
};
use serde_json::{Value, json};
use store::{Store, StoreError};
use terms::{Load, Side, Stance, View};
use time::macros::{date, datetime};
use uuid::Uuid;

/// Also the number of the last act of the first patient.
pub const STEPS: u64 = 19;
const LEFT: ExamineOf = ExamineOf::Foot(Side::Left);

/// Act 0 adds the clinician; then [`STEPS`] acts for each patient.
#[derive(Clone, Copy)]
pub struct Act {
    pub run: u64,
    pub n: u64,
}

impl Act {
    fn patient_number(self) -> u64 {
        (self.n - 1) / STEPS
    }

    fn step(self) -> u64 {
        (self.n - 1) % STEPS
    }

    /// One id for each patient and kind of thing.
    fn id(self, kind: u64) -> Uuid {
        Uuid::from_u64_pair(self.run, (kind << 32) | self.patient_number())
    }

    fn clinician(self) -> ClinicianId {
        ClinicianId::new(Uuid::from_u64_pair(self.run, 1 << 48))
    }

    pub fn journal_id(self) -> ActId {
        ActId::new(Uuid::from_u64_pair(self.run, (2 << 48) | self.n))
    }

    fn stamp(self) -> Stamp {
        let at = datetime!(2026-11-24 08:00 UTC) + time::Duration::seconds(self.n as i64);
        Stamp {
            act: self.journal_id(),
            at,
            by: self.clinician(),
        }
    }

    fn patient(self) -> Patient {
        Patient {
            id: PatientId::new(self.id(1)),
            chart_number: format!("{}-{}", self.run, self.patient_number()),
            given_name: "Invented".into(),
            family_name: format!("Person {}", self.patient_number()),
            born_on: None,
            sex: None,
            note: String::new(),
        }
    }

    fn visit(self) -> Visit {
        Visit {
            id: VisitId::new(self.id(2)),
            patient: self.patient().id,
            on: date!(2026 - 11 - 24),
            reason: "sore inner ankle".into(),
            state: VisitState::Open,
        }
    }

    /// 10 to 200 kB that no other film has.
    fn film_bytes(self) -> Vec<u8> {
        self.noise(3)
    }

    fn noise(self, kind: u64) -> Vec<u8> {
        let mut state =
            self.id(kind).as_u128() as u64 ^ self.run.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let mut step = || {
            // xorshift64*, Marsaglia and Vigna: enough for bytes that do not compress.
            state = (state | 1) ^ (state >> 12);
            state ^= state << 25;
            state ^= state >> 27;
            state.wrapping_mul(0x2545_f491_4f6c_dd1d)
        };
        let length = 10_000 + (step() >> 32) as usize % 190_000;
        (0..length).map(|_| (step() >> 56) as u8).collect()
    }

    pub fn film_and_bytes(self) -> (FilmRecord, Vec<u8>) {
        (self.film(), self.film_bytes())
    }

    fn film(self) -> FilmRecord {
        FilmRecord {
            id: FilmId::new(self.id(3)),
            patient: self.patient().id,
            visit: self.visit().id,
            view: Some(View::Lateral),
            side: Some(Side::Left),
            stance: Stance::Standing,
            worn: None,
            taken_on: None,
            file_name: "film.dcm".into(),
            content: ContentHash::of(&self.film_bytes()),
            media_type: "application/dicom".into(),
            width_px: 100,
            height_px: 100,
            scale_wish: None,
            scale_answer: None,
            turn: DisplayTurn::default(),
            note: String::new(),
        }
    }

    fn points(self, finished: bool) -> PointsToSave {
        let x_px = if finished { 12.5 } else { 12.0 };
        PointsToSave {
            id: PointsId::new(self.id(4)),
            film: FilmId::new(self.id(3)),
            reader: self.clinician(),
            finished,
            points: kept(
                "points",
                json!({"points": {"calc_back": {"x_px": x_px, "y_px": 1.0}}}),
            ),
            sheet: kept("reading-sheet", json!({"readings": []})),
        }
    }

    fn exam(self, pain: u64) -> Kept {
        kept(
            "examination",
            json!({"pain": pain, "of": self.patient_number()}),
        )
    }

    fn plan(self) -> PlanRecord {
        PlanRecord {
            visit: self.visit().id,
            plan: kept("plan", json!({"rungs": ["brace", "therapy"]})),
            review_on: Some(date!(2027 - 01 - 05)),
            revision: 0,
            saved_at: self.stamp().at,
        }
    }

    fn letter(self) -> LetterRecord {
        LetterRecord {
            id: LetterId::new(self.id(5)),
            visit: self.visit().id,
            kind: LetterKind::ToReferrer,
            title: "An invented letter".into(),
            facts: kept("letter", json!({"number": self.patient_number()})),
            addendum_to: None,
            drafted_at: datetime!(2026-11-24 08:00 UTC),
            revision: 0,
            state: LetterState::Draft,
        }
    }

    fn paper(self) -> Vec<u8> {
        let mut paper = b"%PDF-1.7\n".to_vec();
        paper.extend(self.film_bytes().iter().rev().take(20_000));
        paper
    }

    fn scan_bytes(self) -> Vec<u8> {
        self.noise(6)
    }

    fn scan(self) -> ScanRecord {
        ScanRecord {
            id: ScanId::new(self.id(6)),
            patient: self.patient().id,
            visit: self.visit().id,
            side: None,
            load: None,
            unit: None,
            taken_on: None,
            file_name: "foot.stl".into(),
            content: ContentHash::of(&self.scan_bytes()),
            media_type: "model/stl".into(),
            note: String::new(),
        }
    }

    fn told_scan(self) -> ScanRecord {
        ScanRecord {
            side: Some(Side::Left),
            load: Some(Load::Full),
            unit: Some("mm".into()),
            ..self.scan()
        }
    }

    fn order(self, thickness_mm: u64) -> OrderRecord {
        let body = json!({"thickness_mm": thickness_mm, "of": self.patient_number()});
        OrderRecord {
            id: OrderId::new(self.id(7)),
            patient: self.patient().id,
            visit: self.visit().id,
            side: Side::Left,
            code: format!("{}-{}", self.run, self.patient_number()),
            source: OrderSource::Scan {
                scan: self.scan().id,
            },
            points: None,
            prescription: kept("prescription", body),
            sent: None,
            revision: 0,
            content_of: 0,
            saved_at: self.stamp().at,
        }
    }

    fn sheet(self) -> Vec<u8> {
        let mut sheet = b"%PDF-1.7\n".to_vec();
        sheet.extend(self.noise(8).iter().take(20_000));
        sheet
    }

    fn solids(self) -> Vec<u8> {
        let mut solids = b"PK\x03\x04".to_vec();
        solids.extend(self.noise(9));
        solids
    }
}

fn kept(format: &str, body: Value) -> Kept {
    Kept {
        format: format.into(),
        version: 1,
        body,
    }
}

pub async fn perform(store: &dyn Store, act: Act) -> Result<(), StoreError> {
    let stamp = act.stamp();
    if act.n == 0 {
        let name = "Invented Clinician".into();
        let clinician = Clinician {
            id: act.clinician(),
            name,
            qualification: String::new(),
            active: true,
        };
        return store.save_clinician(stamp, clinician).await;
    }
    let visit = act.visit().id;
    match act.step() {
        0 => store.add_patient(stamp, act.patient()).await,
        1 => store.open_visit(stamp, act.visit()).await,
        2 => store.import_film(stamp, act.film(), act.film_bytes()).await,
        3 => store.save_points(stamp, act.points(false)).await.map(drop),
        4 => store.save_points(stamp, act.points(true)).await.map(drop),
        5 => store
            .save_exam(stamp, visit, LEFT, act.exam(3), 0)
            .await
            .map(drop),
        6 => store
            .save_exam(stamp, visit, LEFT, act.exam(7), 1)
            .await
            .map(drop),
        7 => store.undo_exam(stamp, visit, LEFT, 2).await.map(drop),
        8 => store.save_plan(stamp, act.plan(), 0).await.map(drop),
        9 => store.save_letter(stamp, act.letter(), 0).await.map(drop),
        10 => store.take_away_letter(stamp, act.letter().id, 1).await,
        11 => store.put_back_letter(stamp, act.letter().id).await,
        12 => store
            .sign_letter(stamp, act.letter(), 1, act.paper())
            .await
            .map(drop),
        13 => store.import_scan(stamp, act.scan(), act.scan_bytes()).await,
        14 => store.save_scan(stamp, act.told_scan()).await,
        15 => store.save_order(stamp, act.order(3), 0).await.map(drop),
        16 => store.save_order(stamp, act.order(4), 1).await.map(drop),
        17 => store.undo_order(stamp, act.order(3).id, 2).await.map(drop),
        _ => store
            .send_order(stamp, act.order(3).id, 3, act.sheet(), act.solids())
            .await
            .map(drop),
    }
}

/// Is what the act did there, whole?
pub async fn is_there(store: &dyn Store, act: Act) -> Result<bool, StoreError> {
    let there = if act.n == 0 {
        store.clinician(act.clinician()).await.map(|_| true)
    } else {
        effect_of(store, act).await
    };
    match there {
        Err(StoreError::Missing { .. }) => Ok(false),
        other => other,
    }
}

async fn effect_of(store: &dyn Store, act: Act) -> Result<bool, StoreError> {
    let exam_is = async |revision: u32, pain: u64| {
        let all: Vec<ExamRecord> = store.exam_revisions(act.visit().id, LEFT).await?;
        let found = all.iter().find(|e| e.revision == revision);
        Ok(found.is_some_and(|e| e.exam == act.exam(pain)))
    };
    let order_is = async |revision: u32, thickness_mm: u64| {
        let wanted = act.order(thickness_mm);
        let all: Vec<OrderRecord> = store.order_revisions(wanted.id).await?;
        let found = all.iter().find(|o| o.revision == revision);
        Ok(found.is_some_and(|o| {
            (&o.prescription, &o.source) == (&wanted.prescription, &wanted.source)
        }))
    };
    Ok(match act.step() {
        0 => store.patient(act.patient().id).await? == act.patient(),
        1 => store.visit(act.visit().id).await? == act.visit(),
        2 => {
            store.film(act.film().id).await? == act.film()
                && store.film_bytes(act.film().id).await? == act.film_bytes()
        }
        3 => store.points(act.points(false).id).await?.attempt == 1,
        4 => {
            let kept = store.points(act.points(true).id).await?;
            kept.finished && kept.points == act.points(true).points
        }
        5 => return exam_is(1, 3).await,
        6 => return exam_is(2, 7).await,
        7 => return exam_is(3, 3).await,
        8 => store
            .plan(act.visit().id)
            .await?
            .is_some_and(|p| p.plan == act.plan().plan),
        9 => store.letter(act.letter().id).await?.facts == act.letter().facts,
        10 | 11 => {
            // Each is undone by the next, so that only the journal tells whether it was done; the
            // state must be one that some number of these acts gives.
            let letter = store.letter(act.letter().id).await?;
            let acts = store.journal_of(Subject::Letter(letter.id)).await?;
            let away = acts
                .last()
                .is_some_and(|a| a.kind == ActKind::LetterTakenAway);
            if away != matches!(letter.state, LetterState::TakenAway { .. }) {
                return Err(StoreError::Damaged {
                    place: "a letter".into(),
                    detail: "its state is not what the journal says".into(),
                });
            }
            acts.iter().any(|a| a.id == act.journal_id())
        }
        12 => {
            let letter = store.letter(act.letter().id).await?;
            letter.seal_holds() == Some(true) && store.letter_pdf(letter.id).await? == act.paper()
        }
        13 => {
            let scan = store.scan(act.scan().id).await?;
            [act.scan(), act.told_scan()].contains(&scan)
                && store.scan_bytes(scan.id).await? == act.scan_bytes()
        }
        14 => store.scan(act.scan().id).await? == act.told_scan(),
        15 => return order_is(1, 3).await,
        16 => return order_is(2, 4).await,
        17 => return order_is(3, 3).await,
        _ => {
            let order = store.order(act.order(3).id).await?;
            order.sent.is_some()
                && store.order_sheet(order.id).await? == act.sheet()
                && store.order_solids(order.id).await? == act.solids()
        }
    })
}

/// Holds the store against what was acknowledged. Each line is a fault.
///
/// Every act below `acknowledged` must be there. The next one was perhaps under way: it must be
/// there with its journal entry, or neither. Nothing may come after it.
pub async fn faults(
    store: &dyn Store,
    run: u64,
    acknowledged: u64,
) -> Result<Vec<String>, StoreError> {
    let mut faults = store.verify().await?;
    let journal = store.journal(0, u32::MAX).await?;
    let in_journal = |act: Act| journal.iter().any(|entry| entry.id == act.journal_id());
    for n in 0..=acknowledged {
        let act = Act { run, n };
        match (is_there(store, act).await?, in_journal(act)) {
            (true, true) => {}
            (false, false) if n == acknowledged => {}
            (there, entry) => faults.push(format!(
                "run {run} act {n} of {acknowledged} acknowledged: effect {there}, entry {entry}"
            )),
        }
    }
    let of_run = journal
        .iter()
        .filter(|e| e.id.uuid().as_u64_pair().0 == run)
        .count() as u64;
    if of_run > acknowledged + 1 {
        faults.push(format!(
            "run {run}: {of_run} entries for {acknowledged} acknowledged acts"
        ));
    }
    Ok(faults)
}

/// Opens the folder; one that is called `sealed` with an invented keyring, the same in every process.
pub async fn opened(folder: &std::path::Path) -> Result<store_sql::SqlStore, StoreError> {
    if folder.file_name().is_none_or(|name| name != "sealed") {
        return store_sql::SqlStore::open_folder(folder).await;
    }
    let mut entropy = Counting(0);
    let made = vault::KeyFile::fresh(&mut entropy)
        .map(vault::WayIn::from)
        .and_then(|way| vault::Keyring::make(&way, "invented", &mut entropy));
    let (_, seal) = made.expect("a keyring of invented bytes");
    store_sql::SqlStore::open_sealed_folder(folder, std::sync::Arc::new(seal)).await
}

struct Counting(u8);

impl vault::Entropy for Counting {
    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), vault::NoEntropy> {
        for byte in bytes {
            self.0 = self.0.wrapping_add(1);
            *byte = self.0;
        }
        Ok(())
    }
}
