//! Which films came in without a person at the page, and what became of them?
//!
//! A film is kept before whoever sent it is told that it is. From then on it waits until it is taken into a
//! patient's visit or put away with a reason; it is never lost and never deleted.

use crate::{Answer, Saved};
use record::{ArrivalId, ArrivalRecord, FilmRecord, Patient, Stamp};

pub trait Arrivals: Send + Sync {
    /// The bytes and what they say, in one act. Where the same instance with the same bytes is there already,
    /// whatever became of it, nothing is added and the answer is the one that is there. `other_bytes` is ignored;
    /// the answer has it.
    ///
    /// # Errors
    /// `Refused` where the bytes do not have the hash the record names, or it does not wait; `Taken` where the id
    /// is in use.
    fn keep_arrival(
        &self,
        stamp: Stamp,
        arrival: ArrivalRecord,
        bytes: Vec<u8>,
    ) -> Answer<'_, ArrivalRecord>;
    fn arrival(&self, id: ArrivalId) -> Answer<'_, ArrivalRecord>;
    /// The file as it came in.
    ///
    /// # Errors
    /// `Damaged` where the bytes no longer have their hash.
    fn arrival_bytes(&self, id: ArrivalId) -> Answer<'_, Vec<u8>>;
    /// In the order they came in.
    fn arrivals_waiting(&self) -> Answer<'_, Vec<ArrivalRecord>>;
    /// Asked with every page.
    fn count_arrivals_waiting(&self) -> Answer<'_, u32>;
    /// Last put away first, at most `most`.
    fn arrivals_put_away(&self, most: u32) -> Answer<'_, Vec<ArrivalRecord>>;

    /// Makes a film of a visit of it, in one act. Where this very film is there already (somebody brought it by
    /// hand), only its name is written down.
    ///
    /// # Errors
    /// `Frozen` where it does not wait; `Refused` where the film has other bytes or another patient than its visit.
    fn take_arrival(&self, stamp: Stamp, id: ArrivalId, film: FilmRecord) -> Answer<'_, Saved>;
    /// # Errors
    /// `Frozen` where it does not wait; `Refused` without a reason.
    fn put_away_arrival(&self, stamp: Stamp, id: ArrivalId, reason: String) -> Answer<'_, Saved>;
    /// # Errors
    /// `Frozen` where it was not put away.
    fn put_back_arrival(&self, stamp: Stamp, id: ArrivalId) -> Answer<'_, Saved>;

    /// Everybody whose chart number is this one, blanks around it and capitals aside.
    fn patients_numbered(&self, number: String) -> Answer<'_, Vec<Patient>>;
}
