//! What can go wrong, and what can the person do?
//!
//! Each message is one sentence: what was found, what was expected, what to do. None repeats a secret,
//! a label or a byte of what was sealed.

use crate::{NoEntropy, WayKind};
use std::io;

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VaultError {
    // The keyring file
    #[error(
        "found that the keyring file is damaged ({detail}); expected it as it was last written: put back a copy of it, each backup carries one"
    )]
    KeyringDamaged { detail: &'static str },

    #[error(
        "found {what} of format {found}; this program knows up to {known}: start the newer program that wrote it"
    )]
    TooNew {
        what: &'static str,
        found: u64,
        known: u64,
    },

    #[error(
        "found {what} {found} in the keyring file; expected {allowed}: put back a copy that this program wrote"
    )]
    BeyondLimits {
        what: &'static str,
        found: u64,
        allowed: &'static str,
    },

    // Ways in
    #[error(
        "found that this {0} does not open the keyring; expected one it was closed with: try again, or use another way in, for nobody, also not the makers, can open this without one"
    )]
    WrongWay(WayKind),

    #[error(
        "found no {0} among the ways into this keyring; expected one: use another way in, for nobody, also not the makers, can open this without one"
    )]
    NoSuchKind(WayKind),

    #[error("found no such way in; expected one of the keyring's own: choose it from the list")]
    NoSuchWay,

    #[error(
        "found the last way into the keyring; expected another to be left, for without one nobody, also not the makers, could open the data: add another first"
    )]
    LastWay,

    #[error("found {most} ways in already; expected fewer: take one away first")]
    TooManyWays { most: usize },

    #[error(
        "found a {0} that opens this keyring already; expected a new one: choose another or keep it as it is"
    )]
    SameWay(WayKind),

    #[error(
        "found a {0} among the ways in that was not shown; expected each of them, since the new key is closed under each: show it, or take it away and add a fresh one afterwards"
    )]
    NotShown(WayKind),

    #[error("found a passphrase of {found} characters; expected {expected}: choose another")]
    Passphrase {
        found: usize,
        expected: &'static str,
    },

    #[error(
        "found a label that cannot be kept; expected up to 60 letters without quotes, backslashes or line breaks: shorten it"
    )]
    Label,

    #[error(
        "found a file that is no key file ({detail}); expected the one written when it was made: choose that file or use another way in"
    )]
    KeyFile { detail: &'static str },

    #[error(
        "found {found} letters and digits; expected the 40 of a recovery code, in 8 groups of 5: look whether one is missing"
    )]
    CodeLength { found: usize },

    #[error(
        "found a slip in group {group} of the recovery code; expected its last sign to fit the others: read that group again"
    )]
    CodeGroup { group: usize },

    // Keys
    #[error(
        "found something sealed with key {number}, which this keyring does not hold; expected a key it holds, for nobody, also not the makers, can open it without: use the keyring that holds it, a backup of its time carries one"
    )]
    LostKey { number: u32 },

    #[error(
        "found something sealed under another keyring; expected this one: open it with the keyring it was sealed under"
    )]
    OtherKeyring,

    #[error(
        "found that the keyring was changed since it was opened; expected no change in between: open it again and repeat the step"
    )]
    Stale,

    #[error(
        "found key {number} in use; expected a retired one: make a new key first and seal everything with it"
    )]
    InUse { number: u32 },

    #[error("found {most} keys already; expected fewer: forget one that nothing uses any more")]
    TooManyKeys { most: usize },

    // Sealed bytes
    #[error(
        "found {found}; expected {expected}: choose the right file or restore it from the last backup"
    )]
    NotSealed {
        found: &'static str,
        expected: &'static str,
    },

    #[error(
        "found {what} that was altered, cut short or put in another's place; expected it as it was sealed: restore it from the last backup"
    )]
    Altered { what: &'static str },

    #[error(
        "found bytes that do not have the content name they were to be sealed under; expected the two to fit: read the file again"
    )]
    NotThisContent,

    #[error("found more bytes than one seal can hold; expected at most 256 TiB: split them")]
    TooLarge,

    #[error(
        "found no random bytes to be had from this system; expected some, for no key can be made without: restart the computer and try again"
    )]
    NoEntropy,

    #[error(
        "found it impossible to make room for opening the keyring; expected {mib} MiB of free memory: close other programs and try again"
    )]
    NoMemory { mib: u32 },

    #[error(
        "found it impossible to {doing} ({detail}); expected it to work: see whether the disk is there and has room, and try again"
    )]
    Io {
        doing: &'static str,
        kind: io::ErrorKind,
        detail: String,
    },
}

impl From<NoEntropy> for VaultError {
    fn from(_: NoEntropy) -> Self {
        VaultError::NoEntropy
    }
}

impl VaultError {
    pub(crate) fn io(doing: &'static str, error: &io::Error) -> Self {
        // What this crate said through a reader or writer comes back as it was.
        if let Some(said) = error.get_ref().and_then(|e| e.downcast_ref::<VaultError>()) {
            return said.clone();
        }
        VaultError::Io {
            doing,
            kind: error.kind(),
            detail: error.to_string(),
        }
    }
}

impl From<VaultError> for io::Error {
    fn from(error: VaultError) -> Self {
        let kind = match &error {
            VaultError::Io { kind, .. } => *kind,
            _ => io::ErrorKind::InvalidData,
        };
        io::Error::new(kind, error)
    }
}
