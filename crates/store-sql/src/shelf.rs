//! Where do the bytes of files lie, and under which seal?
//!
//! One of two places: a folder, or a bucket of an object store that speaks S3. In both a file lies under
//! the name its seal gives it: without a seal the SHA-256 of its bytes.
//!
//! In a folder that is ours alone, files whose record could not be kept are taken back, and a start moves
//! away what no record names. Where several servers may be writing, nothing is ever removed: what no record
//! names may be about to be named by another server. [`crate::SqlStore::unnamed_files`] tells of it.

use crate::fault::{Fault, damaged};
use crate::files::Files;
use crate::objects::{Bucket, Objects};
use record::{ActId, ContentHash};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::io;
use std::path::Path;
use std::sync::Arc;
use store::StoreError;
use zeroize::Zeroizing;

/// How what lies on the shelf differs from what was taken in.
pub trait Seal: fmt::Debug + Send + Sync {
    /// 64 small hexadecimal digits, always the same for the same content.
    fn name(&self, content: ContentHash) -> String;
    /// # Errors
    /// The bytes have another content.
    fn close(&self, content: ContentHash, bytes: &[u8]) -> Result<Vec<u8>, StoreError>;
    /// `None` where it is not what was closed under this content.
    fn open(&self, content: ContentHash, kept: Vec<u8>) -> Option<Vec<u8>>;
    /// Is this closed as it would be closed today?
    fn is_current(&self, _kept: &[u8]) -> bool {
        true
    }
    /// What a record file is closed with: today's key, then older ones, the newest first. None: it is not closed.
    fn database_keys(&self) -> Vec<DatabaseKey> {
        Vec::new()
    }
}

/// 32 bytes in hexadecimal digits, wiped when let go.
pub type DatabaseKey = Zeroizing<String>;

/// Bytes as they came, under their own hash.
#[derive(Debug, Clone, Copy)]
pub struct Unsealed;

impl Seal for Unsealed {
    fn name(&self, content: ContentHash) -> String {
        content.to_string()
    }
    fn close(&self, _content: ContentHash, bytes: &[u8]) -> Result<Vec<u8>, StoreError> {
        Ok(bytes.to_vec())
    }
    fn open(&self, _content: ContentHash, kept: Vec<u8>) -> Option<Vec<u8>> {
        Some(kept)
    }
}

/// Opened and still what it is named by.
pub fn whole(seal: &dyn Seal, content: ContentHash, kept: Vec<u8>) -> Option<Vec<u8>> {
    seal.open(content, kept)
        .filter(|bytes| ContentHash::of(bytes) == content)
}

/// 64 small hexadecimal digits: a name that a seal may give.
pub fn is_name(name: &str) -> bool {
    name.len() == 64 && name.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

/// A file on its way in, under the name its bytes give it.
pub struct Incoming {
    pub content: ContentHash,
    pub bytes: Vec<u8>,
}

impl Incoming {
    pub fn of(bytes: Vec<u8>) -> Self {
        Self {
            content: ContentHash::of(&bytes),
            bytes,
        }
    }
}

/// What a start found lying about.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Swept {
    /// Files that were cut off on their way in; removed.
    pub unfinished: usize,
    /// Whole files that no record names; moved to `left-over`.
    pub left_over: usize,
    /// Files that a record names and that are not there.
    pub missing: Vec<ContentHash>,
}

#[derive(Debug, Clone)]
enum Kind {
    Folder(Files),
    Objects(Objects),
}

#[derive(Debug, Clone)]
pub struct Shelf {
    kind: Kind,
    seal: Arc<dyn Seal>,
    /// No other process writes here.
    alone: bool,
}

impl Shelf {
    /// A folder that several servers may share, for records in a database on a server.
    ///
    /// # Errors
    /// The folder cannot be made.
    pub fn folder(folder: &Path, seal: Arc<dyn Seal>) -> Result<Self, StoreError> {
        let said =
            |e: io::Error| crate::fault::of_io(&folder.display().to_string(), "open the files", &e);
        Ok(Self {
            alone: false,
            ..Self::alone_in(folder, seal).map_err(said)?
        })
    }

    /// A bucket of an object store.
    ///
    /// # Errors
    /// The settings do not name one. Nothing is asked of the store yet.
    pub fn objects(bucket: Bucket, seal: Arc<dyn Seal>) -> Result<Self, StoreError> {
        Ok(Self {
            kind: Kind::Objects(Objects::new(bucket, seal.clone())?),
            seal,
            alone: false,
        })
    }

    pub(crate) fn alone_in(folder: &Path, seal: Arc<dyn Seal>) -> io::Result<Self> {
        Ok(Self {
            kind: Kind::Folder(Files::in_folder(folder, seal.clone())?),
            seal,
            alone: true,
        })
    }

    /// Do two acts have to wait for each other, because one may take back a file that both name?
    pub(crate) fn takes_back(&self) -> bool {
        self.alone
    }

    /// Puts all in place. Answers with those that can be taken back.
    pub(crate) async fn put_all(
        &self,
        incoming: Vec<Incoming>,
        act: ActId,
    ) -> Result<Vec<ContentHash>, Fault> {
        self.put_under(incoming, act.to_string()).await
    }

    /// `part` names the file while it is not whole; nothing else that runs has the same.
    async fn put_under(
        &self,
        incoming: Vec<Incoming>,
        part: String,
    ) -> Result<Vec<ContentHash>, Fault> {
        match &self.kind {
            Kind::Folder(files) => {
                let (files, alone) = (files.clone(), self.alone);
                on_a_thread(move || Ok(files.put_all(&incoming, &part, alone)?)).await
            }
            Kind::Objects(objects) => {
                for file in incoming {
                    objects.put(file).await?;
                }
                Ok(Vec::new())
            }
        }
    }

    /// Puts one file in place that comes out of a copy. Answers with what can be taken back.
    pub(crate) async fn put_aside(&self, file: Incoming) -> Result<Vec<ContentHash>, Fault> {
        self.put_under(vec![file], "copy".into()).await
    }

    /// The same for a file that is no act's; nothing else that runs says `part`.
    pub(crate) async fn put_for(
        &self,
        file: Incoming,
        part: String,
    ) -> Result<Vec<ContentHash>, Fault> {
        self.put_under(vec![file], part).await
    }

    /// Takes back files whose record could not be kept.
    pub(crate) async fn take_back(&self, new: Vec<ContentHash>) {
        if let Kind::Folder(files) = &self.kind
            && self.alone
        {
            let files = files.clone();
            // Failing is harmless: the next start moves them away.
            let _ = on_a_thread(move || {
                files.take_back(&new);
                Ok(())
            })
            .await;
        }
    }

    pub(crate) async fn get(&self, content: ContentHash) -> Result<Vec<u8>, StoreError> {
        match &self.kind {
            Kind::Folder(files) => {
                let files = files.clone();
                let read = on_a_thread(move || Ok(files.get(content)?)).await;
                read.map_err(|fault| match fault {
                    Fault::Said(said) => said,
                    _ => damaged(format!("the file {content}"), "not readable"),
                })
            }
            Kind::Objects(objects) => objects.get(content).await,
        }
    }

    /// Takes files away for good that no record names any more.
    pub(crate) async fn erase(&self, gone: &[ContentHash]) -> Result<(), Fault> {
        match &self.kind {
            Kind::Folder(files) => {
                let (files, gone) = (files.clone(), gone.to_vec());
                on_a_thread(move || Ok(files.erase(&gone)?)).await
            }
            Kind::Objects(objects) => objects.erase(gone).await,
        }
    }

    /// Takes away the record files that were kept before an update.
    pub(crate) fn forget_older_states(&self) -> Result<(), Fault> {
        match &self.kind {
            Kind::Folder(files) if self.alone => Ok(files.forget_older_states()?),
            _ => Ok(()),
        }
    }

    /// Closes a file anew that was closed with an older key. True where it was.
    pub(crate) async fn seal_anew(&self, content: ContentHash) -> Result<bool, Fault> {
        match &self.kind {
            Kind::Folder(files) => {
                let files = files.clone();
                on_a_thread(move || files.seal_anew(content)).await
            }
            Kind::Objects(objects) => objects.seal_anew(content).await,
        }
    }

    /// Clears what a cut-off act left behind. `named` are the files that records name.
    pub(crate) async fn sweep(&self, named: BTreeSet<ContentHash>) -> Result<Swept, Fault> {
        match &self.kind {
            Kind::Folder(files) if self.alone => {
                let files = files.clone();
                on_a_thread(move || Ok(files.sweep(&named)?)).await
            }
            _ => Ok(Swept::default()),
        }
    }

    /// All names that lie here.
    pub(crate) async fn names(&self) -> Result<BTreeSet<String>, Fault> {
        match &self.kind {
            Kind::Folder(files) => {
                let files = files.clone();
                on_a_thread(move || Ok(files.names()?)).await
            }
            Kind::Objects(objects) => objects.names().await,
        }
    }

    /// Those of the names that none of `named` has.
    pub(crate) fn unnamed(
        &self,
        mut there: BTreeSet<String>,
        named: &BTreeSet<ContentHash>,
    ) -> Vec<String> {
        for name in names_of(&*self.seal, named).keys() {
            there.remove(name);
        }
        there.into_iter().collect()
    }
}

pub fn names_of(
    seal: &dyn Seal,
    contents: &BTreeSet<ContentHash>,
) -> BTreeMap<String, ContentHash> {
    contents.iter().map(|c| (seal.name(*c), *c)).collect()
}

async fn on_a_thread<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Fault> + Send + 'static,
) -> Result<T, Fault> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => Err(StoreError::Failed {
            doing: "reach the files",
            detail: "a fault in the program".into(),
        }
        .into()),
    }
}
