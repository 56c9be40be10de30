//! Which sentence does a failure get?
//!
//! Inside the crate a step fails with a [`Fault`]; at the edge, where the folder is known, it
//! becomes the sentence a person reads.

use libsqlite3_sys as sqlite;
use record::BadRecord;
use std::io;
use store::StoreError;

#[derive(Debug)]
pub enum Fault {
    /// Already a sentence.
    Said(StoreError),
    Sql(sqlx::Error),
    Io(io::Error),
}

impl From<StoreError> for Fault {
    fn from(said: StoreError) -> Self {
        Fault::Said(said)
    }
}

impl From<sqlx::Error> for Fault {
    fn from(error: sqlx::Error) -> Self {
        Fault::Sql(error)
    }
}

impl From<io::Error> for Fault {
    fn from(error: io::Error) -> Self {
        Fault::Io(error)
    }
}

impl From<BadRecord> for Fault {
    fn from(bad: BadRecord) -> Self {
        Fault::Said(bad.into())
    }
}

impl Fault {
    pub fn said(self, place: &str, doing: &'static str) -> StoreError {
        match self {
            Fault::Said(said) => said,
            Fault::Io(error) => of_io(place, doing, &error),
            Fault::Sql(error) => of_sql(place, doing, &error),
        }
    }
}

pub fn of_io(place: &str, doing: &'static str, error: &io::Error) -> StoreError {
    use io::ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull, WriteZero};
    match error.kind() {
        StorageFull | QuotaExceeded | FileTooLarge | WriteZero => full(place),
        _ => StoreError::Failed {
            doing,
            detail: format!("{place}: {error}"),
        },
    }
}

pub fn of_sql(place: &str, doing: &'static str, error: &sqlx::Error) -> StoreError {
    if let sqlx::Error::Io(io) = error {
        return of_io(place, doing, io);
    }
    let Some(database) = error.as_database_error() else {
        return StoreError::Failed {
            doing,
            detail: error.to_string(),
        };
    };
    let code = database
        .code()
        .and_then(|c| c.parse::<i32>().ok())
        .unwrap_or(sqlite::SQLITE_ERROR);
    match code {
        // No space left says FULL; a quota or a limit on the file's size says one of the others.
        sqlite::SQLITE_FULL
        | sqlite::SQLITE_IOERR_WRITE
        | sqlite::SQLITE_IOERR_FSYNC
        | sqlite::SQLITE_IOERR_TRUNCATE
        | sqlite::SQLITE_IOERR_SHMSIZE
        | sqlite::SQLITE_IOERR_SHMOPEN => full(place),
        code if matches!(code & 0xff, sqlite::SQLITE_CORRUPT | sqlite::SQLITE_NOTADB) => {
            damaged("the record file", database.message())
        }
        code => StoreError::Failed {
            doing,
            detail: format!("SQLite {code}: {}", database.message()),
        },
    }
}

pub fn damaged(place: impl Into<String>, detail: impl Into<String>) -> StoreError {
    StoreError::Damaged {
        place: place.into(),
        detail: detail.into(),
    }
}

fn full(place: &str) -> StoreError {
    StoreError::DiskFull {
        folder: place.to_owned(),
    }
}
