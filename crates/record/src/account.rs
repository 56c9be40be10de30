//! Who can sign in, who saw and did what, and whose record is closed to whom?

use crate::{AccountId, ActId, BadRecord, ClinicianId, FilmId, OrderId, PatientId, check_text};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;

/// What somebody is in the practice. The table of what each may do stands in the crate `account`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    Clinician,
    /// Examines and takes films; signs nothing.
    Assistant,
    /// Makes devices: sees the orders released to it.
    Lab,
    /// Reads films a second time, without names.
    Reader,
    /// People, practice and backup; no clinical content.
    Administrator,
}

impl Role {
    pub const ALL: [Role; 5] = [
        Role::Clinician,
        Role::Assistant,
        Role::Lab,
        Role::Reader,
        Role::Administrator,
    ];

    pub fn key(self) -> &'static str {
        match self {
            Role::Clinician => "clinician",
            Role::Assistant => "assistant",
            Role::Lab => "lab",
            Role::Reader => "reader",
            Role::Administrator => "administrator",
        }
    }

    /// What it is for, in half a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Role::Clinician => "sees patients, decides, signs",
            Role::Assistant => "examines and takes films, signs nothing",
            Role::Lab => "sees the orders released to it",
            Role::Reader => "reads films a second time, without names",
            Role::Administrator => "people, practice and backup; no clinical content",
        }
    }

    pub fn from_key(key: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|r| r.key() == key)
    }
}

/// One way in for one of the practice's people.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Account {
    pub id: AccountId,
    /// Whom it acts as.
    pub person: ClinicianId,
    /// Typed at signing in; no two accounts share one, capitals and accents aside.
    pub login: String,
    /// In the order of [`Role::ALL`], without repeats.
    pub roles: Vec<Role>,
    /// False: nobody gets in by it.
    pub active: bool,
    /// An argon2id string; `None` until it was chosen.
    pub passphrase: Option<String>,
    /// True until the person has chosen a passphrase themselves.
    pub must_choose: bool,
    /// Secret of one-time codes, and the last step that was used; in hexadecimal.
    pub one_time: Option<OneTime>,
    /// SHA-256 of the recovery codes that are left.
    pub recovery: Vec<String>,
    /// Wrong attempts in a row, and the last one.
    pub failures: u32,
    #[serde(with = "time::serde::rfc3339::option")]
    pub failed_at: Option<OffsetDateTime>,
    /// Counts the saves from 1; 0 for one that was never saved.
    pub revision: u32,
}

#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OneTime {
    pub secret: String,
    pub last_step: Option<u64>,
    /// False until a first code was typed correctly: only then it is asked for.
    pub confirmed: bool,
}

/// Never shows what would let somebody in.
impl std::fmt::Debug for Account {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Account")
            .field("id", &self.id)
            .field("roles", &self.roles)
            .field("active", &self.active)
            .field("revision", &self.revision)
            .finish_non_exhaustive()
    }
}

impl Account {
    /// # Errors
    /// A sign-in name that is too short, too long or not plain; no role.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the sign-in name", &self.login, true, 64)?;
        if self.login.chars().count() < 3 || self.login.chars().any(char::is_whitespace) {
            return Err(BadRecord::new(
                "the sign-in name",
                "blanks or fewer than three characters",
                "three to 64 characters without blanks",
            ));
        }
        if self.roles.is_empty() {
            return Err(BadRecord::new("the roles", "none", "at least one"));
        }
        Ok(())
    }

    pub fn has(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }
}

/// Somebody signed in on one browser.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// SHA-256 of what the browser holds.
    pub token: String,
    pub account: AccountId,
    pub begun_at: OffsetDateTime,
    /// Of the last request, to within a minute.
    pub seen_at: OffsetDateTime,
    pub ended_at: Option<OffsetDateTime>,
}

macro_rules! noted {
    ($($name:ident = $key:literal, $words:literal;)+) => {
        /// The kinds of entry in the trail, beside the acts of the journal.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum Noted { $(#[serde(rename = $key)] $name),+ }

        impl Noted {
            pub const ALL: &[Noted] = &[$(Noted::$name),+];

            pub fn key(self) -> &'static str {
                match self { $(Noted::$name => $key),+ }
            }

            pub fn words(self) -> &'static str {
                match self { $(Noted::$name => $words),+ }
            }

            pub fn from_key(key: &str) -> Option<Noted> {
                Noted::ALL.iter().copied().find(|k| k.key() == key)
            }
        }
    };
}

noted! {
    Began = "began", "trail begun";
    Did = "did", "changed";
    Saw = "saw", "saw";
    SignedIn = "signed-in", "signed in";
    SignedOut = "signed-out", "signed out";
    Refused = "refused", "was not let in";
    Denied = "denied", "asked for what their roles do not allow";
    AccountSaved = "account-saved", "changed an account";
    Closed = "closed", "closed a record, or opened it to others";
    BrokeGlass = "broke-glass", "opened a closed record with a reason";
    TookOut = "took-out", "took out a patient's whole record";
    SentOut = "sent-out", "sent to another system";
    Released = "released", "released an order to a lab";
    Asked = "asked", "asked for a second reading";
    BackedUp = "backed-up", "made a backup";
    Restored = "restored", "restored a backup";
    Erased = "erased", "erased a patient";
    KeyMade = "key-made", "made a key for a machine";
    KeyTakenBack = "key-taken-back", "took back a key for a machine";
    MachineSaw = "machine-saw", "was given to a machine";
    MachineSent = "machine-sent", "was sent by a machine";
    PasskeyAdded = "passkey-added", "added a passkey";
    PasskeyTakenBack = "passkey-taken-back", "took back a passkey";
}

/// What is to be written into the trail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToNote {
    pub at: OffsetDateTime,
    /// `None` where nobody had signed in.
    pub account: Option<AccountId>,
    pub person: Option<ClinicianId>,
    pub kind: Noted,
    /// Whose record it was about.
    pub patient: Option<PatientId>,
    /// Without names: which page, which act, the reason that was given.
    pub detail: String,
}

/// An entry of the trail. Each holds the hash of the one before, so that none can be changed, taken out or put in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TrailEntry {
    /// Counts from 1 without a gap.
    pub number: u64,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    pub account: Option<AccountId>,
    pub person: Option<ClinicianId>,
    pub kind: Noted,
    pub patient: Option<PatientId>,
    pub detail: String,
    /// SHA-256 in hexadecimal over the hash before and every field above.
    pub hash: String,
}

impl TrailEntry {
    /// The hash that an entry must have after one with the hash `before` (empty for the first).
    ///
    /// Every field goes in with its length before it, so that no two entries give the same bytes.
    pub fn hash_after(&self, before: &str) -> String {
        use sha2::{Digest, Sha256};
        let mut hash = Sha256::new();
        let mut add = |field: &str| {
            hash.update((field.len() as u64).to_be_bytes());
            hash.update(field.as_bytes());
        };
        let or_none = |id: Option<String>| id.unwrap_or_default();
        add("tiebeam trail 1");
        add(before);
        add(&self.number.to_string());
        add(&self.at.unix_timestamp_nanos().to_string());
        add(&or_none(self.account.map(|id| id.to_string())));
        add(&or_none(self.person.map(|id| id.to_string())));
        add(self.kind.key());
        add(&or_none(self.patient.map(|id| id.to_string())));
        add(&self.detail);
        hex::encode(hash.finalize())
    }
}

/// A record that only some may open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Closure {
    pub patient: PatientId,
    /// Whom it stays open to.
    pub open_to: Vec<ClinicianId>,
}

/// A closed record opened with a reason, for a while.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Opening {
    pub patient: PatientId,
    pub by: ClinicianId,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    #[serde(with = "time::serde::rfc3339")]
    pub until: OffsetDateTime,
    pub reason: String,
}

impl Opening {
    /// # Errors
    /// A reason that says nothing.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_text("the reason to open it", &self.reason, true, 2000)?;
        if self.reason.trim().chars().count() < 10 {
            return Err(BadRecord::new(
                "the reason to open it",
                "fewer than ten characters",
                "a reason that a colleague would understand",
            ));
        }
        Ok(())
    }
}

/// A sent order that a lab may see.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Release {
    pub order: OrderId,
    /// The lab's account.
    pub to: AccountId,
    /// With the patient's name and the papers that carry it.
    pub with_name: bool,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
    pub act: ActId,
}

/// A film that somebody was asked to read a second time, without names.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReadingAsked {
    pub film: FilmId,
    /// The reader's account.
    pub of: AccountId,
    #[serde(with = "time::serde::rfc3339")]
    pub at: OffsetDateTime,
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn entry() -> TrailEntry {
        TrailEntry {
            number: 1,
            at: OffsetDateTime::UNIX_EPOCH,
            account: None,
            person: Some(ClinicianId::new(Uuid::from_u128(1))),
            kind: Noted::Saw,
            patient: Some(PatientId::new(Uuid::from_u128(2))),
            detail: "visit".into(),
            hash: String::new(),
        }
    }

    #[test]
    fn every_field_of_an_entry_changes_its_hash() {
        let first = entry();
        let hash = first.hash_after("");
        let changed = [
            TrailEntry {
                number: 2,
                ..entry()
            },
            TrailEntry {
                at: OffsetDateTime::UNIX_EPOCH + time::Duration::NANOSECOND,
                ..entry()
            },
            TrailEntry {
                account: Some(AccountId::new(Uuid::from_u128(1))),
                person: None,
                ..entry()
            },
            TrailEntry {
                person: None,
                ..entry()
            },
            TrailEntry {
                kind: Noted::Did,
                ..entry()
            },
            TrailEntry {
                patient: None,
                ..entry()
            },
            TrailEntry {
                detail: "visits".into(),
                ..entry()
            },
        ];
        for other in changed {
            assert_ne!(other.hash_after(""), hash, "{other:?}");
        }
        assert_ne!(first.hash_after("00"), hash);
        assert_eq!(first.hash_after(""), hash);
    }

    #[test]
    fn an_account_is_never_shown_with_what_would_let_somebody_in() {
        let account = Account {
            id: AccountId::new(Uuid::from_u128(1)),
            person: ClinicianId::new(Uuid::from_u128(2)),
            login: "mara".into(),
            roles: vec![Role::Clinician],
            active: true,
            passphrase: Some("hash-of-it".into()),
            must_choose: false,
            one_time: Some(OneTime {
                secret: "the-secret".into(),
                last_step: None,
                confirmed: true,
            }),
            recovery: vec!["code-hash".into()],
            failures: 0,
            failed_at: None,
            revision: 1,
        };
        let shown = format!("{account:?}");
        for secret in ["hash-of-it", "the-secret", "code-hash", "mara"] {
            assert!(!shown.contains(secret), "{shown}");
        }
        assert!(account.check().is_ok());
        assert!(
            Account {
                login: "a b c".into(),
                ..account.clone()
            }
            .check()
            .is_err()
        );
        assert!(
            Account {
                roles: Vec::new(),
                ..account
            }
            .check()
            .is_err()
        );
    }
}
