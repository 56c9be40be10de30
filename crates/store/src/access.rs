//! What can be asked of a store about who comes in, what they saw, and whose record is closed?
//!
//! Every change here goes into the trail in the same step: [`ToNote`] is passed in with it. The acts of
//! [`crate::Store`] enter the trail by themselves, each in its own transaction.

use crate::{Answer, Saved};
use record::{
    Account, AccountId, ClinicianId, Closure, Erasure, FilmId, FilmRecord, Opening, OrderId,
    OrderRecord, PatientId, ReadingAsked, Release, Session, Subject, ToNote, Tombstone, TrailEntry,
};
use time::OffsetDateTime;

pub trait Access: Send + Sync {
    // Accounts

    /// Adds the account, or changes the one with this id. Its `revision` is the one the caller saw, 0 for a new
    /// one; the answer has the new one.
    ///
    /// # Errors
    /// `ChangedMeanwhile` where somebody saved in between; `Taken` where another account has the sign-in name;
    /// `Refused` for one without roles; `Missing` where the person is not on the list.
    fn save_account(&self, note: ToNote, account: Account) -> Answer<'_, Account>;
    fn account(&self, id: AccountId) -> Answer<'_, Account>;
    /// Capitals and accents aside.
    fn account_named(&self, login: String) -> Answer<'_, Option<Account>>;
    /// By sign-in name.
    fn accounts(&self) -> Answer<'_, Vec<Account>>;
    /// Asked with every request.
    fn has_accounts(&self) -> Answer<'_, bool>;

    // Sessions

    fn begin_session(&self, note: ToNote, session: Session) -> Answer<'_, Saved>;
    /// The session with its account; `None` where the token is nobody's.
    fn session(&self, token: String) -> Answer<'_, Option<(Session, Account)>>;
    /// Writes down when it was last used; not an entry of the trail.
    fn touch_session(&self, token: String, at: OffsetDateTime) -> Answer<'_, Saved>;
    fn end_session(&self, note: ToNote, token: String) -> Answer<'_, Saved>;
    /// Ends every session of the account but the one with this token.
    fn end_sessions(
        &self,
        note: ToNote,
        account: AccountId,
        but: Option<String>,
    ) -> Answer<'_, Saved>;

    // The trail

    /// Answers with the number once the entry is on disk.
    fn note(&self, note: ToNote) -> Answer<'_, u64>;
    /// In order, at most `most` after the number `after`.
    fn trail(&self, after: u64, most: u32) -> Answer<'_, Vec<TrailEntry>>;
    /// Newest first, at most `most`.
    fn trail_of(&self, patient: PatientId, most: u32) -> Answer<'_, Vec<TrailEntry>>;
    /// The last entry: noted outside, it shows later that nothing before it was changed.
    fn trail_end(&self) -> Answer<'_, Option<TrailEntry>>;

    // Closed records

    /// Whose record it is; `None` for what belongs to no patient.
    ///
    /// # Errors
    /// `Missing` where it is not there.
    fn patient_behind(&self, subject: Subject) -> Answer<'_, Option<PatientId>>;
    /// Closes the record to all but these; `None` opens it to everybody again.
    fn set_closure(
        &self,
        note: ToNote,
        patient: PatientId,
        open_to: Option<Vec<ClinicianId>>,
    ) -> Answer<'_, Saved>;
    fn closure(&self, patient: PatientId) -> Answer<'_, Option<Closure>>;
    fn closures(&self) -> Answer<'_, Vec<Closure>>;
    /// # Errors
    /// `Refused` where the reason says nothing.
    fn break_glass(&self, note: ToNote, opening: Opening) -> Answer<'_, Saved>;
    /// The last opening of the record by this person, also one that has run out.
    fn opening(&self, patient: PatientId, by: ClinicianId) -> Answer<'_, Option<Opening>>;

    // Erasing

    /// Takes everything of the patient away for good, the files that nobody else's record names and every older
    /// state of the records that is kept here too; a tombstone stays, and the entries of journal and trail, which
    /// name nobody. Backups made before still hold the patient.
    ///
    /// # Errors
    /// `Refused` where the reason says nothing; `Missing` where nobody has the id.
    fn erase(&self, note: ToNote, erasure: Erasure) -> Answer<'_, Tombstone>;
    /// Newest first.
    fn tombstones(&self) -> Answer<'_, Vec<Tombstone>>;

    // Orders for a lab, films for a reader

    /// Shows a sent order to a lab, or changes whether with the name.
    ///
    /// # Errors
    /// `NotSent` for a draft.
    fn release_order(&self, note: ToNote, release: Release) -> Answer<'_, Saved>;
    fn take_back_release(&self, note: ToNote, order: OrderId, from: AccountId)
    -> Answer<'_, Saved>;
    fn releases_of(&self, order: OrderId) -> Answer<'_, Vec<Release>>;
    /// Newest first.
    fn releases_to(&self, account: AccountId) -> Answer<'_, Vec<(Release, OrderRecord)>>;
    /// Asking twice changes nothing.
    fn ask_reading(&self, note: ToNote, asked: ReadingAsked) -> Answer<'_, Saved>;
    fn readings_asked_on(&self, film: FilmId) -> Answer<'_, Vec<ReadingAsked>>;
    /// In the order they were asked.
    fn readings_asked_of(&self, account: AccountId) -> Answer<'_, Vec<(ReadingAsked, FilmRecord)>>;
}
