//! What can go wrong, and what can the person do?

use std::io;
use store::StoreError;
use vault::VaultError;

#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    #[error(transparent)]
    Store(#[from] StoreError),
    #[error(transparent)]
    Vault(#[from] VaultError),
    #[error(
        "found it impossible to {doing} ({detail}); expected a folder that can be written to and has room for the practice twice: choose another or make room"
    )]
    Folder { doing: &'static str, detail: String },
    #[error(
        "found that the backup does not give back what was put in ({detail}); expected the same: it was thrown away, look at the disk and make it again"
    )]
    NotTheSame { detail: String },
    #[error(
        "found records of layout {found} in the backup; this program knows up to {known}: start the newer program that wrote it"
    )]
    TooNew { found: i64, known: i64 },
}

impl BackupError {
    pub(crate) fn folder(doing: &'static str) -> impl Fn(io::Error) -> Self {
        move |error| {
            // What the vault or the store said through a reader or writer comes back as it was.
            match error.get_ref().and_then(|e| e.downcast_ref::<VaultError>()) {
                Some(said) => BackupError::Vault(said.clone()),
                None => BackupError::Folder {
                    doing,
                    detail: error.to_string(),
                },
            }
        }
    }
}
