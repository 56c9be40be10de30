//! The [`store::Store`] trait, line by line.

use crate::{
    SqlStore, captures, care, films, findings, intake, journal, letters, orders, people, points,
    visits,
};
use record::{
    Act, CaptureId, CaptureRecord, CareId, CareRecord, Clinician, ClinicianId, ContentHash,
    DecisionRecord, Due, ExamRecord, ExamineOf, FilmId, FilmRecord, Kept, LetterHead, LetterId,
    LetterRecord, ListedLetter, OrderId, OrderRecord, Patient, PatientId, PlanRecord, PointsId,
    PointsRecord, PointsToSave, Practice, ScanId, ScanRecord, SheetRecord, Stamp, StepsRecord,
    Subject, Visit, VisitId, WaitingFilm, WearGrades, WearRecord,
};
use store::{Answer, Saved, Store};
use terms::Side;
use time::Date;

/// A question to one of the reading connections.
macro_rules! ask {
    ($store:ident, $db:ident => $question:expr) => {
        Box::pin($store.read(async move |$db| $question.await))
    };
}

impl Store for SqlStore {
    fn is_alone(&self) -> bool {
        self._lock.is_some()
    }

    fn save_practice(&self, stamp: Stamp, practice: Practice) -> Answer<'_, Saved> {
        Box::pin(self.keep_practice(stamp, practice))
    }
    fn practice(&self) -> Answer<'_, Option<Practice>> {
        ask!(self, db => people::practice(db))
    }
    fn save_clinician(&self, stamp: Stamp, clinician: Clinician) -> Answer<'_, Saved> {
        Box::pin(self.keep_clinician(stamp, clinician))
    }
    fn clinician(&self, id: ClinicianId) -> Answer<'_, Clinician> {
        ask!(self, db => people::clinician(db, id))
    }
    fn clinicians(&self) -> Answer<'_, Vec<Clinician>> {
        ask!(self, db => people::clinicians(db))
    }

    fn add_patient(&self, stamp: Stamp, patient: Patient) -> Answer<'_, Saved> {
        Box::pin(self.keep_new_patient(stamp, patient))
    }
    fn save_patient(&self, stamp: Stamp, patient: Patient) -> Answer<'_, Saved> {
        Box::pin(self.keep_patient(stamp, patient))
    }
    fn patient(&self, id: PatientId) -> Answer<'_, Patient> {
        ask!(self, db => people::patient(db, id))
    }
    fn find_patients(&self, words: String, most: u32) -> Answer<'_, Vec<Patient>> {
        ask!(self, db => people::find(db, &words, most))
    }

    fn open_visit(&self, stamp: Stamp, visit: Visit) -> Answer<'_, Saved> {
        Box::pin(self.keep_new_visit(stamp, visit))
    }
    fn save_visit(&self, stamp: Stamp, visit: Visit) -> Answer<'_, Saved> {
        Box::pin(self.keep_visit(stamp, visit))
    }
    fn visit(&self, id: VisitId) -> Answer<'_, Visit> {
        ask!(self, db => visits::by_id(db, id))
    }
    fn visits_of(&self, patient: PatientId) -> Answer<'_, Vec<Visit>> {
        ask!(self, db => visits::of(db, patient))
    }
    fn visits_on(&self, day: Date) -> Answer<'_, Vec<(Visit, Patient)>> {
        ask!(self, db => visits::on(db, day))
    }
    fn visits_due(&self, day: Date) -> Answer<'_, Vec<Due>> {
        ask!(self, db => visits::due(db, day))
    }

    fn import_film(&self, stamp: Stamp, film: FilmRecord, bytes: Vec<u8>) -> Answer<'_, Saved> {
        Box::pin(self.take_in(stamp, film, bytes))
    }
    fn save_film(&self, stamp: Stamp, film: FilmRecord) -> Answer<'_, Saved> {
        Box::pin(self.keep_known(stamp, film))
    }
    fn film(&self, id: FilmId) -> Answer<'_, FilmRecord> {
        ask!(self, db => intake::by_id(db, id))
    }
    fn film_bytes(&self, id: FilmId) -> Answer<'_, Vec<u8>> {
        Box::pin(async move {
            let ask = async |db: &mut _| intake::by_id::<FilmRecord>(db, id).await;
            self.bytes(self.read(ask).await?.content).await
        })
    }
    fn films_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<FilmRecord>> {
        ask!(self, db => intake::of_visit(db, visit))
    }
    fn films_of(&self, patient: PatientId) -> Answer<'_, Vec<FilmRecord>> {
        ask!(self, db => intake::of(db, patient))
    }
    fn films_with(&self, content: ContentHash) -> Answer<'_, Vec<FilmRecord>> {
        ask!(self, db => intake::with(db, content))
    }
    fn films_waiting(&self) -> Answer<'_, Vec<WaitingFilm>> {
        ask!(self, db => films::waiting(db))
    }

    fn save_points(&self, stamp: Stamp, points: PointsToSave) -> Answer<'_, PointsRecord> {
        Box::pin(self.keep_points(stamp, points))
    }
    fn points(&self, id: PointsId) -> Answer<'_, PointsRecord> {
        ask!(self, db => points::by_id(db, id))
    }
    fn points_of(&self, film: FilmId) -> Answer<'_, Vec<PointsRecord>> {
        ask!(self, db => points::of(db, film))
    }
    fn sheets_of(&self, patient: PatientId) -> Answer<'_, Vec<SheetRecord>> {
        ask!(self, db => points::sheets_of(db, patient))
    }
    fn films_read_twice(&self) -> Answer<'_, Vec<(FilmRecord, Vec<PointsRecord>)>> {
        ask!(self, db => points::films_read_twice(db))
    }
    fn save_wear(
        &self,
        stamp: Stamp,
        film: FilmId,
        grades: WearGrades,
        seen: u32,
    ) -> Answer<'_, WearRecord> {
        Box::pin(self.keep_wear(stamp, film, grades, seen))
    }
    fn wear(&self, film: FilmId) -> Answer<'_, Option<WearRecord>> {
        ask!(self, db => findings::wear(db, film))
    }

    fn save_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        exam: Kept,
        seen: u32,
    ) -> Answer<'_, ExamRecord> {
        Box::pin(self.keep_exam(stamp, visit, of, exam, seen))
    }
    fn undo_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        seen: u32,
    ) -> Answer<'_, ExamRecord> {
        Box::pin(self.step_back_exam(stamp, visit, of, seen))
    }
    fn exam(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Option<ExamRecord>> {
        ask!(self, db => findings::exam(db, visit, of))
    }
    fn exams_of(&self, patient: PatientId) -> Answer<'_, Vec<ExamRecord>> {
        ask!(self, db => findings::exams_of(db, patient))
    }
    fn exam_before(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Option<ExamRecord>> {
        ask!(self, db => findings::exam_before(db, visit, of))
    }
    fn exam_revisions(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Vec<ExamRecord>> {
        ask!(self, db => findings::exam_revisions(db, visit, of))
    }
    fn save_decision(
        &self,
        stamp: Stamp,
        decision: DecisionRecord,
        seen: u32,
    ) -> Answer<'_, DecisionRecord> {
        Box::pin(self.keep_decision(stamp, decision, seen))
    }
    fn decision(&self, visit: VisitId, side: Side) -> Answer<'_, Option<DecisionRecord>> {
        ask!(self, db => findings::decision(db, visit, side))
    }
    fn decisions_of(&self, patient: PatientId) -> Answer<'_, Vec<DecisionRecord>> {
        ask!(self, db => findings::decisions_of(db, patient))
    }
    fn save_plan(&self, stamp: Stamp, plan: PlanRecord, seen: u32) -> Answer<'_, PlanRecord> {
        Box::pin(self.keep_plan(stamp, plan, seen))
    }
    fn plan(&self, visit: VisitId) -> Answer<'_, Option<PlanRecord>> {
        ask!(self, db => findings::plan(db, visit))
    }
    fn plans_of(&self, patient: PatientId) -> Answer<'_, Vec<PlanRecord>> {
        ask!(self, db => findings::plans_of(db, patient))
    }

    fn save_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
    ) -> Answer<'_, LetterRecord> {
        Box::pin(self.keep_letter(stamp, letter, seen))
    }
    fn sign_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
        pdf: Vec<u8>,
    ) -> Answer<'_, LetterRecord> {
        Box::pin(self.seal_letter(stamp, letter, seen, pdf))
    }
    fn take_away_letter(&self, stamp: Stamp, id: LetterId, seen: u32) -> Answer<'_, Saved> {
        Box::pin(self.take_away(stamp, id, seen))
    }
    fn put_back_letter(&self, stamp: Stamp, id: LetterId) -> Answer<'_, Saved> {
        Box::pin(self.put_back(stamp, id))
    }
    fn letter(&self, id: LetterId) -> Answer<'_, LetterRecord> {
        ask!(self, db => letters::by_id(db, id))
    }
    fn letter_pdf(&self, id: LetterId) -> Answer<'_, Vec<u8>> {
        Box::pin(self.paper(id))
    }
    fn letters_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<LetterHead>> {
        ask!(self, db => letters::of_visit(db, visit))
    }
    fn letters_of(&self, patient: PatientId) -> Answer<'_, Vec<LetterHead>> {
        ask!(self, db => letters::of(db, patient))
    }
    fn letters_waiting(&self) -> Answer<'_, Vec<ListedLetter>> {
        ask!(self, db => letters::waiting(db))
    }
    fn letters_taken_away(&self) -> Answer<'_, Vec<ListedLetter>> {
        ask!(self, db => letters::taken_away(db))
    }
    fn letters_signed(&self, most: u32) -> Answer<'_, Vec<ListedLetter>> {
        ask!(self, db => letters::signed(db, most))
    }

    fn import_scan(&self, stamp: Stamp, scan: ScanRecord, bytes: Vec<u8>) -> Answer<'_, Saved> {
        Box::pin(self.take_in(stamp, scan, bytes))
    }
    fn save_scan(&self, stamp: Stamp, scan: ScanRecord) -> Answer<'_, Saved> {
        Box::pin(self.keep_known(stamp, scan))
    }
    fn scan(&self, id: ScanId) -> Answer<'_, ScanRecord> {
        ask!(self, db => intake::by_id(db, id))
    }
    fn scan_bytes(&self, id: ScanId) -> Answer<'_, Vec<u8>> {
        Box::pin(async move {
            let ask = async |db: &mut _| intake::by_id::<ScanRecord>(db, id).await;
            self.bytes(self.read(ask).await?.content).await
        })
    }
    fn scans_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<ScanRecord>> {
        ask!(self, db => intake::of_visit(db, visit))
    }
    fn scans_of(&self, patient: PatientId) -> Answer<'_, Vec<ScanRecord>> {
        ask!(self, db => intake::of(db, patient))
    }

    fn save_order(&self, stamp: Stamp, order: OrderRecord, seen: u32) -> Answer<'_, OrderRecord> {
        Box::pin(self.keep_order(stamp, order, seen))
    }
    fn undo_order(&self, stamp: Stamp, id: OrderId, seen: u32) -> Answer<'_, OrderRecord> {
        Box::pin(self.step_back_order(stamp, id, seen))
    }
    fn send_order(
        &self,
        stamp: Stamp,
        id: OrderId,
        seen: u32,
        sheet: Vec<u8>,
        solids: Vec<u8>,
    ) -> Answer<'_, OrderRecord> {
        Box::pin(self.freeze_order(stamp, id, seen, sheet, solids))
    }
    fn order(&self, id: OrderId) -> Answer<'_, OrderRecord> {
        ask!(self, db => orders::by_id(db, id))
    }
    fn order_before(&self, id: OrderId) -> Answer<'_, Option<OrderRecord>> {
        ask!(self, db => orders::before(db, id))
    }
    fn order_revisions(&self, id: OrderId) -> Answer<'_, Vec<OrderRecord>> {
        ask!(self, db => orders::revisions(db, id))
    }
    fn orders_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<OrderRecord>> {
        ask!(self, db => orders::of_visit(db, visit))
    }
    fn orders_of(&self, patient: PatientId) -> Answer<'_, Vec<OrderRecord>> {
        ask!(self, db => orders::of(db, patient))
    }
    fn orders_in_hand(&self) -> Answer<'_, Vec<(OrderRecord, Patient)>> {
        ask!(self, db => orders::in_hand(db))
    }
    fn order_sheet(&self, id: OrderId) -> Answer<'_, Vec<u8>> {
        Box::pin(self.sent_file(id, |sent| sent.sheet))
    }
    fn order_solids(&self, id: OrderId) -> Answer<'_, Vec<u8>> {
        Box::pin(self.sent_file(id, |sent| sent.solids))
    }

    fn import_capture(
        &self,
        stamp: Stamp,
        capture: CaptureRecord,
        bytes: Vec<u8>,
    ) -> Answer<'_, Saved> {
        Box::pin(self.take_in(stamp, capture, bytes))
    }
    fn save_capture(&self, stamp: Stamp, capture: CaptureRecord) -> Answer<'_, Saved> {
        Box::pin(self.keep_known(stamp, capture))
    }
    fn capture(&self, id: CaptureId) -> Answer<'_, CaptureRecord> {
        ask!(self, db => intake::by_id(db, id))
    }
    fn capture_bytes(&self, id: CaptureId) -> Answer<'_, Vec<u8>> {
        Box::pin(async move {
            let ask = async |db: &mut _| intake::by_id::<CaptureRecord>(db, id).await;
            self.bytes(self.read(ask).await?.content).await
        })
    }
    fn captures_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<CaptureRecord>> {
        ask!(self, db => intake::of_visit(db, visit))
    }
    fn captures_of(&self, patient: PatientId) -> Answer<'_, Vec<CaptureRecord>> {
        ask!(self, db => intake::of(db, patient))
    }
    fn save_steps(&self, stamp: Stamp, steps: StepsRecord, seen: u32) -> Answer<'_, StepsRecord> {
        Box::pin(self.keep_steps(stamp, steps, seen))
    }
    fn undo_steps(&self, stamp: Stamp, id: CaptureId, seen: u32) -> Answer<'_, StepsRecord> {
        Box::pin(self.step_back_steps(stamp, id, seen))
    }
    fn steps(&self, id: CaptureId) -> Answer<'_, Option<StepsRecord>> {
        ask!(self, db => captures::steps(db, id))
    }
    fn steps_before(&self, id: CaptureId) -> Answer<'_, Option<StepsRecord>> {
        ask!(self, db => captures::before(db, id))
    }
    fn steps_of(&self, patient: PatientId) -> Answer<'_, Vec<StepsRecord>> {
        ask!(self, db => captures::of(db, patient))
    }

    fn save_care(&self, stamp: Stamp, care: CareRecord, seen: u32) -> Answer<'_, CareRecord> {
        Box::pin(self.keep_care(stamp, care, seen))
    }
    fn undo_care(&self, stamp: Stamp, id: CareId, seen: u32) -> Answer<'_, CareRecord> {
        Box::pin(self.step_back_care(stamp, id, seen))
    }
    fn care(&self, id: CareId) -> Answer<'_, CareRecord> {
        ask!(self, db => care::by_id(db, id))
    }
    fn care_before(&self, id: CareId) -> Answer<'_, Option<CareRecord>> {
        ask!(self, db => care::before(db, id))
    }
    fn care_of(&self, patient: PatientId) -> Answer<'_, Vec<CareRecord>> {
        ask!(self, db => care::of(db, patient))
    }
    fn care_due(&self, day: Date) -> Answer<'_, Vec<(CareRecord, Patient)>> {
        ask!(self, db => care::due(db, day))
    }

    fn journal(&self, after: u64, most: u32) -> Answer<'_, Vec<Act>> {
        ask!(self, db => journal::after(db, after, most))
    }
    fn journal_of(&self, on: Subject) -> Answer<'_, Vec<Act>> {
        ask!(self, db => journal::of(db, on))
    }
    fn verify(&self) -> Answer<'_, Vec<String>> {
        Box::pin(self.faults())
    }
}
