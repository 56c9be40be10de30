//! With what does another program come in, and with what does somebody come in without a passphrase?

use crate::{AccountId, BadRecord, ClinicianId, KeyId, PasskeyId, check_text};
use time::{Date, OffsetDateTime};

/// What a key opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MachineMay {
    /// Health records as FHIR.
    ReadRecords,
    /// Films into the practice (STOW-RS).
    SendFilms,
    /// Films, what was read on them and signed letters out of the practice (QIDO-RS, WADO-RS).
    ReadFilms,
}

impl MachineMay {
    pub const ALL: [MachineMay; 3] = [
        MachineMay::ReadRecords,
        MachineMay::SendFilms,
        MachineMay::ReadFilms,
    ];

    pub fn key(self) -> &'static str {
        match self {
            MachineMay::ReadRecords => "read-records",
            MachineMay::SendFilms => "send-films",
            MachineMay::ReadFilms => "read-films",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            MachineMay::ReadRecords => "read health records (FHIR)",
            MachineMay::SendFilms => "send films (STOW-RS)",
            MachineMay::ReadFilms => {
                "read films, what was read on them and signed letters (QIDO-RS, WADO-RS)"
            }
        }
    }
}

/// A key by which another program comes in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineKey {
    pub id: KeyId,
    /// Which program holds it, without names of patients. No two keys share one.
    pub label: String,
    /// SHA-256 of what the program sends; the token itself is kept nowhere.
    pub token: String,
    /// In the order of [`MachineMay::ALL`], without repeats.
    pub may: Vec<MachineMay>,
    /// Why it is given closed records as well; `None`: it is not given them.
    pub closed_too: Option<String>,
    pub made_at: OffsetDateTime,
    pub made_by: ClinicianId,
    pub last_used: Option<Date>,
    pub taken_back: Option<OffsetDateTime>,
}

impl MachineKey {
    /// # Errors
    /// No label; nothing that it may; a reason that says nothing.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the label of a key", &self.label, true, 64)?;
        if self.label.chars().any(char::is_control) {
            return Err(BadRecord::new(
                "the label of a key",
                "a line end or tab",
                "one line",
            ));
        }
        if self.may.is_empty() {
            return Err(BadRecord::new(
                "what a key may",
                "nothing",
                "at least one thing",
            ));
        }
        if let Some(why) = &self.closed_too {
            check_text("the reason for closed records", why, true, 2000)?;
            if why.trim().chars().count() < 10 {
                return Err(BadRecord::new(
                    "the reason for closed records",
                    "fewer than ten characters",
                    "a reason that a colleague would understand",
                ));
            }
        }
        Ok(())
    }

    pub fn is_good(&self) -> bool {
        self.taken_back.is_none()
    }

    pub fn opens(&self, what: MachineMay) -> bool {
        self.is_good() && self.may.contains(&what)
    }
}

/// A public key of an authenticator that somebody carries.
#[derive(Clone, PartialEq, Eq)]
pub struct Passkey {
    pub id: PasskeyId,
    pub account: AccountId,
    /// Which authenticator, in its owner's words.
    pub label: String,
    /// As the library that checks it keeps it: JSON.
    pub credential: String,
    pub made_at: OffsetDateTime,
    pub used_at: Option<OffsetDateTime>,
    pub taken_back: Option<OffsetDateTime>,
}

/// Never shows the credential.
impl std::fmt::Debug for Passkey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Passkey")
            .field("id", &self.id)
            .field("account", &self.account)
            .field("taken_back", &self.taken_back)
            .finish_non_exhaustive()
    }
}

impl Passkey {
    /// # Errors
    /// No label.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the label of a passkey", &self.label, true, 64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    #[test]
    fn a_key_opens_what_it_was_made_for_until_it_is_taken_back() {
        let mut key = MachineKey {
            id: KeyId::new(Uuid::from_u128(1)),
            label: "archive".into(),
            token: "0".repeat(64),
            may: vec![MachineMay::ReadFilms],
            closed_too: None,
            made_at: OffsetDateTime::UNIX_EPOCH,
            made_by: ClinicianId::new(Uuid::from_u128(2)),
            last_used: None,
            taken_back: None,
        };
        assert!(key.check().is_ok() && key.opens(MachineMay::ReadFilms));
        assert!(!key.opens(MachineMay::SendFilms));
        key.closed_too = Some("because".into());
        assert!(key.check().is_err(), "a reason that says nothing");
        key.closed_too = None;
        key.taken_back = Some(OffsetDateTime::UNIX_EPOCH);
        assert!(!key.opens(MachineMay::ReadFilms));
        key.may.clear();
        assert!(key.check().is_err());
    }
}
