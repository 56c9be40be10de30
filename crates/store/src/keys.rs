//! What can be asked of a store about the keys of other programs and the passkeys of people?
//!
//! As in [`crate::Access`], every change goes into the trail in the same step. What is taken back stays, so that the
//! trail can be read; it opens nothing any more.

use crate::{Answer, Saved};
use record::{AccountId, KeyId, MachineKey, Passkey, PasskeyId, ToNote};
use time::{Date, OffsetDateTime};

pub trait Keys: Send + Sync {
    // Keys for machines

    /// # Errors
    /// `Refused` for one without label or that may nothing; `Taken` where another key has the id, the label or the
    /// token.
    fn make_key(&self, note: ToNote, key: MachineKey) -> Answer<'_, Saved>;
    /// The key whose token has this SHA-256, also one that was taken back; `None` where it is nobody's.
    fn key_of(&self, token: String) -> Answer<'_, Option<MachineKey>>;
    /// In the order they were made.
    fn keys(&self) -> Answer<'_, Vec<MachineKey>>;
    /// Writes down on which day it was last used; not an entry of the trail. An earlier day changes nothing.
    fn key_used(&self, id: KeyId, day: Date) -> Answer<'_, Saved>;
    /// Taking back twice keeps the first time.
    ///
    /// # Errors
    /// `Missing` where there is no such key.
    fn take_back_key(&self, note: ToNote, id: KeyId) -> Answer<'_, Saved>;

    // Passkeys

    /// # Errors
    /// `Refused` for one without label or whose credential is no JSON; `Taken` where the id is in use; `Missing` where
    /// the account is not there.
    fn add_passkey(&self, note: ToNote, passkey: Passkey) -> Answer<'_, Saved>;
    fn passkey(&self, id: PasskeyId) -> Answer<'_, Passkey>;
    /// In the order they were added, also those taken back.
    ///
    /// # Errors
    /// `Missing` where the account is not there.
    fn passkeys_of(&self, account: AccountId) -> Answer<'_, Vec<Passkey>>;
    /// Writes down when it was last used and its credential as it is now; not an entry of the trail: the session that
    /// begins with it is.
    ///
    /// # Errors
    /// `Missing` where there is no such passkey or it was taken back.
    fn passkey_used(
        &self,
        id: PasskeyId,
        credential: String,
        at: OffsetDateTime,
    ) -> Answer<'_, Saved>;
    /// Taking back twice keeps the first time.
    ///
    /// # Errors
    /// `Missing` where the account has no such passkey.
    fn take_back_passkey(
        &self,
        note: ToNote,
        account: AccountId,
        id: PasskeyId,
    ) -> Answer<'_, Saved>;
}
