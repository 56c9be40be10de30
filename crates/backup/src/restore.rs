//! How does a backup become a practice again?
//!
//! A backup of an earlier layout is put back as what it was and then brought up to date, as a practice of that time
//! would be.

use crate::BackupError;
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::StoreError;
use store_sql::copy::{self, Copied};
use store_sql::{Seal, Shelf, SqlStore};
use vault::Keyring;
use vault::stream::Opener;

/// Where to: empty, or not there yet.
#[derive(Debug, Clone)]
pub enum Target {
    Folder {
        folder: PathBuf,
        seal: Arc<dyn Seal>,
    },
    Postgres {
        address: String,
        shelf: Shelf,
    },
}

impl Target {
    /// As of this layout; of today's where `None`.
    ///
    /// # Errors
    /// Whatever opening it fails with.
    pub async fn open(&self, layout: Option<i64>) -> Result<SqlStore, StoreError> {
        Ok(match (self, layout) {
            (Target::Folder { folder, seal }, None) => {
                SqlStore::open_sealed_folder(folder, seal.clone()).await?
            }
            (Target::Folder { folder, seal }, Some(layout)) => {
                SqlStore::open_folder_as_of(folder, seal.clone(), layout).await?
            }
            (Target::Postgres { address, shelf }, None) => {
                SqlStore::open_postgres(address, shelf.clone()).await?
            }
            (Target::Postgres { address, shelf }, Some(layout)) => {
                SqlStore::open_postgres_as_of(address, shelf.clone(), layout).await?
            }
        })
    }
}

const READ: &str = "read the backup";

/// The keyring that the backup carries, still closed.
///
/// # Errors
/// It is no backup of ours.
pub fn keyring_of(backup: &Path) -> Result<Keyring, BackupError> {
    let file = File::open(backup).map_err(BackupError::folder(READ))?;
    Ok(vault::stream::keyring(BufReader::new(file))?)
}

/// Puts the whole backup back and answers with the open practice and what came back.
///
/// # Errors
/// Cut short, changed, of another keyring, of a newer layout; a place that holds something. Nothing is kept then.
pub async fn restore(
    backup: &Path,
    seal: &vault::Seal,
    target: &Target,
) -> Result<(SqlStore, Copied), BackupError> {
    let file = || File::open(backup).map_err(BackupError::folder(READ));
    // All of it holds before anything is made.
    let mut opener = Opener::verified(BufReader::new(file()?), seal)?;
    let layout = copy::layout(&mut Opener::start(BufReader::new(file()?), seal)?)?;
    let known = store_sql::newest_layout();
    if layout > known {
        return Err(BackupError::TooNew {
            found: layout,
            known,
        });
    }
    let as_it_was = target.open(Some(layout)).await?;
    let done = copy::restore(&mut opener, &as_it_was).await;
    as_it_was.close().await;
    drop(as_it_was);
    let copied = done?;
    Ok((target.open(None).await?, copied))
}
