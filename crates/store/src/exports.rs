//! Which files did an export make, and until when are they there?
//!
//! An export is a job of the kind [`KIND`]. Whoever has it in hand adds files one by one; a second try begins anew. The
//! files hold copies of records: they go after a while, and at once where somebody was erased or a record was closed.

use crate::jobs::{JobId, Lease};
use crate::{Answer, Saved};
use record::ContentHash;
use time::OffsetDateTime;

pub const KIND: &str = "export";

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExportFile {
    /// Of the job alone; may stand in a folder: `readings/year=2026/part.parquet`.
    pub name: String,
    /// What a line of it is, in one word, such as a type of resource.
    pub holds: String,
    pub lines: u64,
    pub bytes: u64,
    pub content: ContentHash,
}

pub trait Exports: Send + Sync {
    /// Takes away whatever an earlier try left.
    ///
    /// # Errors
    /// `LeaseOver` where the job is no longer in this hand; the same below.
    fn begin_export(&self, lease: Lease) -> Answer<'_, Saved>;
    /// # Errors
    /// `Refused` where the name is blank, longer than 200 letters, or the bytes do not have the hash and the length
    /// that the file names; `Taken` where the export has a file of this name.
    fn keep_export_file(&self, lease: Lease, file: ExportFile, bytes: Vec<u8>)
    -> Answer<'_, Saved>;
    /// In the order they were kept; none where they are gone.
    fn export_files(&self, job: JobId) -> Answer<'_, Vec<ExportFile>>;
    /// # Errors
    /// `Missing` where there is no such file; `Damaged` where the bytes no longer have their hash.
    fn export_bytes(&self, job: JobId, name: String) -> Answer<'_, Vec<u8>>;
    /// Takes the files of one export away for good.
    fn forget_export(&self, job: JobId) -> Answer<'_, Saved>;
    /// The same of every export that was asked for before this moment. Answers with how many files went.
    fn forget_exports_before(&self, moment: OffsetDateTime) -> Answer<'_, u64>;
    /// Takes every file of every export away and gives up those that are waiting or in hand: what they hold may no
    /// longer be given. `why` is a sentence without personal data.
    fn withdraw_exports(&self, why: String, now: OffsetDateTime) -> Answer<'_, Saved>;
}
