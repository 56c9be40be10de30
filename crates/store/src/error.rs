//! What can go wrong, and what can the person do?
//!
//! Each message is one sentence: what was found, what was expected, what to do. None repeats a
//! name, a chart number or a finding.

use record::BadRecord;

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StoreError {
    #[error(
        "found no {what} {id}; it may belong to another practice's data: go back and choose from the list"
    )]
    Missing { what: &'static str, id: String },

    #[error(
        "found that {what} is in use already; expected a new one: choose another or open the one that is there"
    )]
    Taken { what: &'static str },

    #[error(
        "found revision {found} of {what} where revision {seen} was expected; it was saved from another page meanwhile: load it again and repeat the change"
    )]
    ChangedMeanwhile {
        what: &'static str,
        seen: u32,
        found: u32,
    },

    #[error(
        "found {what} that is {state} and no longer changes; expected one still in hand: {instead}"
    )]
    Frozen {
        what: &'static str,
        state: &'static str,
        instead: &'static str,
    },

    #[error(
        "found nothing to take back in {what}; expected an earlier save: it already stands as first saved"
    )]
    NothingToUndo { what: &'static str },

    #[error("found a letter that is still a draft; expected a signed one: sign it first")]
    NotSigned,

    #[error("found an order that is still a draft; expected a sent one: send it first")]
    NotSent,

    #[error(
        "found a letter in its place; expected one that was taken away: there is nothing to put back"
    )]
    NotTakenAway,

    #[error("{0}: correct it and save again")]
    Refused(#[from] BadRecord),

    #[error(
        "found no room to write in {folder}; nothing of this step was kept and everything confirmed before is safe: free some disk space and do it again"
    )]
    DiskFull { folder: String },

    #[error(
        "found the data folder {folder} in use by {holder}; expected to be alone with it: close the other one, or start with another data folder"
    )]
    InUse { folder: String, holder: String },

    #[error(
        "found {path}, which is {found}; expected a Tiebeam record file or none: choose another data folder or move the file away"
    )]
    NotOurs { path: String, found: String },

    #[error(
        "found {database}, which is {found}; expected an empty database or one of Tiebeam's: name another one in the settings"
    )]
    NotOurDatabase { database: String, found: String },

    #[error(
        "found no answer from {server} ({detail}); expected a server that takes connections: see that it runs and can be reached from here, then do it again"
    )]
    NoAnswer { server: String, detail: String },

    #[error(
        "found that {server} does not let this name in with this password or key; expected them to fit: correct them in the settings and start again"
    )]
    NotLetIn { server: String },

    #[error(
        "found the connection to {server} cut off; expected it to last: load the page again to see whether this step was kept, and repeat it where it was not"
    )]
    CutOff { server: String },

    #[error(
        "found {found} in the copy; expected a whole one as this program writes it: nothing of it was kept, take another copy"
    )]
    BadCopy { found: String },

    #[error(
        "found a job that is no longer in this hand; expected to hold it: leave it to whoever took it since"
    )]
    LeaseOver,

    #[error(
        "found {path} sealed, and no key that opens it; expected the keyring it was sealed under, which each backup carries, and a way into it: nobody, also not the makers, can open it without"
    )]
    Sealed { path: String },

    #[error(
        "found {path} open to everybody who reads the disk, and a keyring beside it; expected sealed records: move them into a new folder that has a keyring, with `tiebeam move`"
    )]
    NotSealed { path: String },

    #[error(
        "found {path} with record layout {found}; this program knows up to {known}: start the newer program that wrote it"
    )]
    TooNew {
        path: String,
        found: i64,
        known: i64,
    },

    #[error(
        "found damage in {place} ({detail}); expected it whole: stop working on it and restore the last backup"
    )]
    Damaged { place: String, detail: String },

    #[error(
        "found the store unable to {doing} ({detail}); expected it to work: try again, and restart the program if it stays"
    )]
    Failed { doing: &'static str, detail: String },
}

impl StoreError {
    /// A record with this id is not there.
    pub fn missing(what: &'static str, id: impl std::fmt::Display) -> Self {
        StoreError::Missing {
            what,
            id: id.to_string(),
        }
    }
}
