//! Which sentence does a failure get?
//!
//! Inside the crate a step fails with a [`Fault`]; at the edge, where the place of the records is known,
//! it becomes the sentence a person reads. No sentence holds a password or what was bound to a statement.

use libsqlite3_sys as sqlite;
use record::BadRecord;
use sqlx::postgres::PgConnectOptions;
use std::fmt;
use std::io;
use std::path::Path;
use std::sync::Arc;
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

/// Where records lie, as a sentence names it.
#[derive(Debug, Clone)]
pub enum Place {
    Folder(Arc<str>),
    Server(Arc<str>),
}

impl Place {
    pub fn folder(folder: &Path) -> Self {
        Place::Folder(folder.display().to_string().into())
    }

    pub fn server(options: &PgConnectOptions) -> Self {
        let database = options.get_database().unwrap_or("without a name");
        let host = match options.get_socket() {
            Some(socket) => socket.display().to_string(),
            None => format!("{}:{}", options.get_host(), options.get_port()),
        };
        Place::Server(format!("the database {database} on {host}").into())
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Folder(name) | Place::Server(name) => f.write_str(name),
        }
    }
}

impl Fault {
    pub fn said(self, place: &Place, doing: &'static str) -> StoreError {
        match (self, place) {
            (Fault::Said(said), _) => said,
            (Fault::Io(error), _) => of_io(&place.to_string(), doing, &error),
            (Fault::Sql(error), Place::Folder(folder)) => of_sqlite(folder, doing, &error),
            (Fault::Sql(error), Place::Server(server)) => of_postgres(server, doing, &error),
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

fn of_sqlite(folder: &str, doing: &'static str, error: &sqlx::Error) -> StoreError {
    if let sqlx::Error::Io(io) = error {
        return of_io(folder, doing, io);
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
        | sqlite::SQLITE_IOERR_SHMOPEN => full(folder),
        code if matches!(code & 0xff, sqlite::SQLITE_CORRUPT | sqlite::SQLITE_NOTADB) => {
            damaged("the record file", database.message())
        }
        // What a sealed file says of a page whose seal does not hold; a statement of ours has words of its own.
        sqlite::SQLITE_ERROR if database.message() == "SQL logic error" => {
            damaged("the record file", "the seal of a page does not hold")
        }
        code => StoreError::Failed {
            doing,
            detail: format!("SQLite {code}: {}", database.message()),
        },
    }
}

/// By the codes of PostgreSQL's appendix A.
fn of_postgres(server: &str, doing: &'static str, error: &sqlx::Error) -> StoreError {
    let server = || server.to_owned();
    let no_answer = |detail: String| StoreError::NoAnswer {
        server: server(),
        detail,
    };
    let Some(database) = error.as_database_error() else {
        return match error {
            sqlx::Error::Io(io) => match io.kind() {
                io::ErrorKind::ConnectionReset
                | io::ErrorKind::ConnectionAborted
                | io::ErrorKind::BrokenPipe
                | io::ErrorKind::UnexpectedEof => StoreError::CutOff { server: server() },
                _ => no_answer(io.to_string()),
            },
            sqlx::Error::PoolTimedOut => no_answer("no connection came free in time".into()),
            sqlx::Error::Tls(tls) => no_answer(format!("no safe connection: {tls}")),
            other => StoreError::Failed {
                doing,
                detail: other.to_string(),
            },
        };
    };
    let code = database.code().unwrap_or_default();
    match &*code {
        "28000" | "28P01" => StoreError::NotLetIn { server: server() },
        "3D000" => StoreError::NotOurDatabase {
            database: server(),
            found: "not there".into(),
        },
        "53100" => full(&server()),
        "53300" | "57P03" => no_answer(database.message().to_owned()),
        "57P01" | "57P02" | "25P03" => StoreError::CutOff { server: server() },
        "XX001" | "XX002" => damaged(server(), database.message()),
        code if code.starts_with("08") => StoreError::CutOff { server: server() },
        code => StoreError::Failed {
            doing,
            detail: format!("PostgreSQL {code}: {}", database.message()),
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
