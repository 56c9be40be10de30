//! What can be asked of a store?
//!
//! Every change is one act: it happens whole or not at all, with its entry in the journal, and
//! when the answer is `Ok` it survives a power cut. Ids, times and the person acting are passed
//! in. A question about an id that is not there is answered with `Missing`, never with an empty
//! list. A change that was begun runs to its end even when the caller stops listening.
//!
//! The trait is written with boxed futures, so that a page can hold an `Arc<dyn Store>`.

use crate::StoreError;
use record::{
    Act, CaptureId, CaptureRecord, CareId, CareRecord, Clinician, ClinicianId, ContentHash,
    DecisionRecord, Due, ExamRecord, ExamineOf, FilmId, FilmRecord, Kept, LetterHead, LetterId,
    LetterRecord, ListedLetter, OrderId, OrderRecord, Patient, PatientId, PlanRecord, PointsId,
    PointsRecord, PointsToSave, Practice, ScanId, ScanRecord, SheetRecord, Stamp, StepsRecord,
    Subject, Visit, VisitId, WaitingFilm, WearGrades, WearRecord,
};
use std::{future::Future, pin::Pin};
use terms::Side;
use time::Date;

/// What a store answers, later.
pub type Answer<'a, T> = Pin<Box<dyn Future<Output = Result<T, StoreError>> + Send + 'a>>;

/// A change is kept. Nothing more to say; named so that a caller cannot take it for a read.
pub type Saved = ();

pub trait Store:
    crate::Access + crate::Arrivals + crate::Exports + crate::Keys + crate::jobs::Jobs
{
    /// Does no other program change what is kept here? What was read then stays true until this one changes it.
    fn is_alone(&self) -> bool;

    // The practice and its people

    fn save_practice(&self, stamp: Stamp, practice: Practice) -> Answer<'_, Saved>;
    /// `None` before the first save.
    fn practice(&self) -> Answer<'_, Option<Practice>>;

    /// Adds the clinician, or changes the one with this id.
    fn save_clinician(&self, stamp: Stamp, clinician: Clinician) -> Answer<'_, Saved>;
    fn clinician(&self, id: ClinicianId) -> Answer<'_, Clinician>;
    /// By name.
    fn clinicians(&self) -> Answer<'_, Vec<Clinician>>;

    // Patients

    /// # Errors
    /// `Taken` where the id or the chart number is in use.
    fn add_patient(&self, stamp: Stamp, patient: Patient) -> Answer<'_, Saved>;
    fn save_patient(&self, stamp: Stamp, patient: Patient) -> Answer<'_, Saved>;
    fn patient(&self, id: PatientId) -> Answer<'_, Patient>;
    /// Every word must begin a word of name, chart number or birth date, accents and capitals
    /// aside; no words find everybody. By family name, given name, chart number; at most `most`.
    fn find_patients(&self, words: String, most: u32) -> Answer<'_, Vec<Patient>>;

    // Visits

    fn open_visit(&self, stamp: Stamp, visit: Visit) -> Answer<'_, Saved>;
    /// Changes day, reason or state. The patient stays.
    fn save_visit(&self, stamp: Stamp, visit: Visit) -> Answer<'_, Saved>;
    fn visit(&self, id: VisitId) -> Answer<'_, Visit>;
    /// Newest first.
    fn visits_of(&self, patient: PatientId) -> Answer<'_, Vec<Visit>>;
    /// Everybody seen on a day, in the order their visits were opened.
    fn visits_on(&self, day: Date) -> Answer<'_, Vec<(Visit, Patient)>>;
    /// Whose last plan asked them back by `day`, and who has not come since; longest due first.
    fn visits_due(&self, day: Date) -> Answer<'_, Vec<Due>>;

    // Films

    /// The bytes and the record in one act.
    ///
    /// # Errors
    /// `Refused` where the bytes do not have the hash the record names.
    fn import_film(&self, stamp: Stamp, film: FilmRecord, bytes: Vec<u8>) -> Answer<'_, Saved>;
    /// Changes what is known of a film: view, side, stance, day, scale, turn, note. Patient,
    /// visit, file name, content, media type and size stay as they came.
    fn save_film(&self, stamp: Stamp, film: FilmRecord) -> Answer<'_, Saved>;
    fn film(&self, id: FilmId) -> Answer<'_, FilmRecord>;
    /// The file as it came in.
    ///
    /// # Errors
    /// `Damaged` where the bytes no longer have their hash.
    fn film_bytes(&self, id: FilmId) -> Answer<'_, Vec<u8>>;
    /// In the order they were taken in.
    fn films_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<FilmRecord>>;
    /// In the order they were taken in.
    fn films_of(&self, patient: PatientId) -> Answer<'_, Vec<FilmRecord>>;
    /// Is this very file here already, and for whom? In the order they were taken in.
    fn films_with(&self, content: ContentHash) -> Answer<'_, Vec<FilmRecord>>;
    /// Films without finished points and films with a placing in hand, of all patients and however
    /// old; last visit first.
    fn films_waiting(&self) -> Answer<'_, Vec<WaitingFilm>>;

    // Points, readings, wear

    /// Saves a placing in hand as often as wanted, until it is finished. Answers with the record,
    /// which says which attempt it is.
    ///
    /// # Errors
    /// `Frozen` once finished, `Taken` where the id belongs to another film or reader, `Refused`
    /// for a reading without unit, error, method version or points.
    fn save_points(&self, stamp: Stamp, points: PointsToSave) -> Answer<'_, PointsRecord>;
    fn points(&self, id: PointsId) -> Answer<'_, PointsRecord>;
    /// In the order they were begun.
    fn points_of(&self, film: FilmId) -> Answer<'_, Vec<PointsRecord>>;
    /// What was read on all films of a patient, finished or in hand: film by film in the order they were
    /// taken in, on each in the order the placings were begun.
    fn sheets_of(&self, patient: PatientId) -> Answer<'_, Vec<SheetRecord>>;

    /// Films of all patients with at least two finished placings, in the order they were taken in; each
    /// with its finished placings in the order they were begun.
    fn films_read_twice(&self) -> Answer<'_, Vec<(FilmRecord, Vec<PointsRecord>)>>;

    /// `seen` is the revision the caller saw, 0 where none. Answers with the new revision.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; the same holds for the saves below.
    fn save_wear(
        &self,
        stamp: Stamp,
        film: FilmId,
        grades: WearGrades,
        seen: u32,
    ) -> Answer<'_, WearRecord>;
    fn wear(&self, film: FilmId) -> Answer<'_, Option<WearRecord>>;

    // Examination, decision, plan

    fn save_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        exam: Kept,
        seen: u32,
    ) -> Answer<'_, ExamRecord>;
    /// Takes the examination one step back, as a new revision; can be repeated to the first save.
    ///
    /// # Errors
    /// `NothingToUndo` at the first save.
    fn undo_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        seen: u32,
    ) -> Answer<'_, ExamRecord>;
    fn exam(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Option<ExamRecord>>;
    /// Everything examined at all visits of a patient as it stands now; newest visit first, of one visit by
    /// the key of what was examined.
    fn exams_of(&self, patient: PatientId) -> Answer<'_, Vec<ExamRecord>>;
    /// What an undo would bring back; `None` where it would find nothing to take back.
    fn exam_before(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Option<ExamRecord>>;
    /// Oldest first.
    fn exam_revisions(&self, visit: VisitId, of: ExamineOf) -> Answer<'_, Vec<ExamRecord>>;

    /// Revision and time in the record are ignored; the answer has the new ones.
    fn save_decision(
        &self,
        stamp: Stamp,
        decision: DecisionRecord,
        seen: u32,
    ) -> Answer<'_, DecisionRecord>;
    fn decision(&self, visit: VisitId, side: Side) -> Answer<'_, Option<DecisionRecord>>;
    /// The decisions of all visits of a patient as they stand now; newest visit first, of one visit the left
    /// foot first.
    fn decisions_of(&self, patient: PatientId) -> Answer<'_, Vec<DecisionRecord>>;

    fn save_plan(&self, stamp: Stamp, plan: PlanRecord, seen: u32) -> Answer<'_, PlanRecord>;
    fn plan(&self, visit: VisitId) -> Answer<'_, Option<PlanRecord>>;
    /// The plans of all visits of a patient as they stand now; newest visit first.
    fn plans_of(&self, patient: PatientId) -> Answer<'_, Vec<PlanRecord>>;

    // Letters

    /// Adds a draft, or changes it while it is one. Its `state` must be `Draft`; its revision is
    /// ignored, the answer has the new one; the day it was drafted stays. `seen` is the revision the caller saw, 0 for a new one.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Frozen` once signed or taken away;
    /// `Refused` for an addendum to a letter that is not signed.
    fn save_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
    ) -> Answer<'_, LetterRecord>;
    /// Saves the draft as [`Store::save_letter`] does and freezes it with its paper under a seal, in
    /// one act. The signer is the one who acts.
    ///
    /// # Errors
    /// As for a save, and `Missing` where there is no such draft.
    fn sign_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
        pdf: Vec<u8>,
    ) -> Answer<'_, LetterRecord>;
    /// Takes a draft out of every list of letters; what it holds stays as it is.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Frozen` where it is signed or taken away
    /// already.
    fn take_away_letter(&self, stamp: Stamp, id: LetterId, seen: u32) -> Answer<'_, Saved>;
    /// # Errors
    /// `NotTakenAway` where it is in its place.
    fn put_back_letter(&self, stamp: Stamp, id: LetterId) -> Answer<'_, Saved>;
    /// Also one that was taken away.
    fn letter(&self, id: LetterId) -> Answer<'_, LetterRecord>;
    /// The paper of a signed letter.
    ///
    /// # Errors
    /// `NotSigned` for a draft, `Damaged` where the bytes no longer have their hash.
    fn letter_pdf(&self, id: LetterId) -> Answer<'_, Vec<u8>>;
    /// In the order they were drafted, without those taken away. No list reads what letters are set
    /// from.
    fn letters_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<LetterHead>>;
    /// Of all visits, in the order they were drafted, without those taken away.
    fn letters_of(&self, patient: PatientId) -> Answer<'_, Vec<LetterHead>>;
    /// Drafts that wait for a signature, oldest first.
    fn letters_waiting(&self) -> Answer<'_, Vec<ListedLetter>>;
    /// Last taken away first.
    fn letters_taken_away(&self) -> Answer<'_, Vec<ListedLetter>>;
    /// Last signed first, at most `most`.
    fn letters_signed(&self, most: u32) -> Answer<'_, Vec<ListedLetter>>;

    // Foot scans

    /// The bytes and the record in one act.
    ///
    /// # Errors
    /// `Refused` where the bytes do not have the hash the record names, or the patient is not the
    /// visit's; `Taken` where the id is in use.
    fn import_scan(&self, stamp: Stamp, scan: ScanRecord, bytes: Vec<u8>) -> Answer<'_, Saved>;
    /// Changes what is known of a scan: side, load, unit, day, note. Patient, visit, file name, content
    /// and media type stay as they came.
    ///
    /// # Errors
    /// `Frozen` where side, load or unit would change under an order that was sent; `Refused` where the side
    /// would be another than that of an order shaped on it.
    fn save_scan(&self, stamp: Stamp, scan: ScanRecord) -> Answer<'_, Saved>;
    fn scan(&self, id: ScanId) -> Answer<'_, ScanRecord>;
    /// The file as it came in.
    ///
    /// # Errors
    /// `Damaged` where the bytes no longer have their hash.
    fn scan_bytes(&self, id: ScanId) -> Answer<'_, Vec<u8>>;
    /// Scans taken in at one visit, in the order they were taken in.
    fn scans_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<ScanRecord>>;
    /// Scans of all visits of a patient, in the order they were taken in.
    fn scans_of(&self, patient: PatientId) -> Answer<'_, Vec<ScanRecord>>;

    // Orders

    /// Begins an order, or adds its next revision while it is a draft. Id, patient, visit, side and
    /// code stay as they were begun. `sent` must be `None`; revision, origin and time in the record are
    /// ignored, the answer has the new ones. `seen` is the revision the caller saw, 0 for a new one.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Frozen` once sent; `Taken` where another
    /// order has the code; `Refused` where what stays would change, the patient is not the visit's, or
    /// the scan is of another patient or another side.
    fn save_order(&self, stamp: Stamp, order: OrderRecord, seen: u32) -> Answer<'_, OrderRecord>;
    /// Takes the order one step back, as a new revision; can be repeated to the first save.
    ///
    /// # Errors
    /// As for a save, and `NothingToUndo` at the first save.
    fn undo_order(&self, stamp: Stamp, id: OrderId, seen: u32) -> Answer<'_, OrderRecord>;
    /// Freezes the revision that was seen, with its sheet (PDF) and its solids (3MF), in one act. Makes
    /// no new revision.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Frozen` where it is sent already; `Refused`
    /// where the sheet is no PDF or the solids are no 3MF.
    fn send_order(
        &self,
        stamp: Stamp,
        id: OrderId,
        seen: u32,
        sheet: Vec<u8>,
        solids: Vec<u8>,
    ) -> Answer<'_, OrderRecord>;
    /// Its last revision.
    fn order(&self, id: OrderId) -> Answer<'_, OrderRecord>;
    /// What an undo would bring back; `None` where it would find nothing to take back or the order is
    /// sent.
    fn order_before(&self, id: OrderId) -> Answer<'_, Option<OrderRecord>>;
    /// Every revision, oldest first. Only the one that was sent says so.
    fn order_revisions(&self, id: OrderId) -> Answer<'_, Vec<OrderRecord>>;
    /// Drafts and sent orders of one visit, each as it stands now, in the order they were begun.
    fn orders_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<OrderRecord>>;
    /// Drafts and sent orders of all visits of a patient, each as it stands now, in the order they were
    /// begun.
    fn orders_of(&self, patient: PatientId) -> Answer<'_, Vec<OrderRecord>>;
    /// Drafts of all patients that wait to be sent, each as it stands now and with its patient; the one
    /// begun first comes first.
    fn orders_in_hand(&self) -> Answer<'_, Vec<(OrderRecord, Patient)>>;
    /// The sheet of a sent order.
    ///
    /// # Errors
    /// `NotSent` for a draft, `Damaged` where the bytes no longer have their hash.
    fn order_sheet(&self, id: OrderId) -> Answer<'_, Vec<u8>>;
    /// The solids of a sent order.
    ///
    /// # Errors
    /// As for the sheet.
    fn order_solids(&self, id: OrderId) -> Answer<'_, Vec<u8>>;

    // Prints, pressures, photographs, clips

    /// The bytes and the record in one act.
    ///
    /// # Errors
    /// `Refused` where the bytes do not have the hash the record names, or the patient is not the
    /// visit's; `Taken` where the id is in use.
    fn import_capture(
        &self,
        stamp: Stamp,
        capture: CaptureRecord,
        bytes: Vec<u8>,
    ) -> Answer<'_, Saved>;
    /// Changes what is known of a capture: doing, side, day, note. Patient, visit, kind, file name, content
    /// and media type stay as they came.
    fn save_capture(&self, stamp: Stamp, capture: CaptureRecord) -> Answer<'_, Saved>;
    fn capture(&self, id: CaptureId) -> Answer<'_, CaptureRecord>;
    /// The file as it came in.
    ///
    /// # Errors
    /// `Damaged` where the bytes no longer have their hash.
    fn capture_bytes(&self, id: CaptureId) -> Answer<'_, Vec<u8>>;
    /// In the order they were taken in.
    fn captures_of_visit(&self, visit: VisitId) -> Answer<'_, Vec<CaptureRecord>>;
    /// Of all visits of a patient, in the order they were taken in.
    fn captures_of(&self, patient: PatientId) -> Answer<'_, Vec<CaptureRecord>>;
    /// Adds the next revision of what was done to a capture and read from it. Revision, origin and time
    /// in the record are ignored, the answer has the new ones. `seen` is the revision the caller saw, 0
    /// where none.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Refused` for a reading without unit, error or
    /// method version.
    fn save_steps(&self, stamp: Stamp, steps: StepsRecord, seen: u32) -> Answer<'_, StepsRecord>;
    /// Takes the steps one step back, as a new revision; can be repeated to the first save.
    ///
    /// # Errors
    /// As for a save, and `NothingToUndo` at the first save.
    fn undo_steps(&self, stamp: Stamp, id: CaptureId, seen: u32) -> Answer<'_, StepsRecord>;
    /// As they stand now; `None` before the first save.
    fn steps(&self, id: CaptureId) -> Answer<'_, Option<StepsRecord>>;
    /// What an undo would bring back; `None` where it would find nothing to take back.
    fn steps_before(&self, id: CaptureId) -> Answer<'_, Option<StepsRecord>>;
    /// Of all captures of a patient what stands now, in the order they were taken in.
    fn steps_of(&self, patient: PatientId) -> Answer<'_, Vec<StepsRecord>>;

    // Care given

    /// Begins an entry, or adds its next revision. Id, patient, visit, kind and what it is about stay
    /// as they were begun; revision, origin and time in the record are ignored, the answer has the new
    /// ones. `seen` is the revision the caller saw, 0 for a new one.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Missing` for a patient, visit or entry that
    /// is not there; `Refused` where what stays would change, the visit is another patient's, or what
    /// it is about is.
    fn save_care(&self, stamp: Stamp, care: CareRecord, seen: u32) -> Answer<'_, CareRecord>;
    /// Takes the entry one step back, as a new revision; can be repeated to the first save.
    ///
    /// # Errors
    /// As for a save, and `NothingToUndo` at the first save.
    fn undo_care(&self, stamp: Stamp, id: CareId, seen: u32) -> Answer<'_, CareRecord>;
    /// Its last revision, also of one that was taken away.
    fn care(&self, id: CareId) -> Answer<'_, CareRecord>;
    /// What an undo would bring back; `None` where it would find nothing to take back.
    fn care_before(&self, id: CareId) -> Answer<'_, Option<CareRecord>>;
    /// Everything of a patient as it stands now, also what was taken away; by the day it began.
    fn care_of(&self, patient: PatientId) -> Answer<'_, Vec<CareRecord>>;
    /// Of all patients what wants a look by `day`; longest due first. Of an entry and its checks the last
    /// one says when; what has ended by then, or was taken away, wants none.
    fn care_due(&self, day: Date) -> Answer<'_, Vec<(CareRecord, Patient)>>;

    // Journal

    /// Acts with a number above `after`, oldest first, at most `most`.
    fn journal(&self, after: u64, most: u32) -> Answer<'_, Vec<Act>>;
    /// Everything done to one thing, oldest first.
    fn journal_of(&self, on: Subject) -> Answer<'_, Vec<Act>>;

    /// Reads everything once: are files, seals and references whole? One sentence per fault;
    /// empty when all is well.
    fn verify(&self) -> Answer<'_, Vec<String>>;
}
