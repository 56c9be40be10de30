//! Is the data folder ours, whole, free and of a layout we know?
//!
//! Asked in this order, and nothing is changed before the answer is yes: the lock, whose file it
//! is, its layout, its integrity. Only then the layout is brought up to date and what a cut-off
//! act left behind is cleared.

use crate::SqlStore;
use crate::act::in_transaction;
use crate::db::Pool;
use crate::fault::{Fault, Place, damaged, of_io};
use crate::files::{any_kept, flush_folder};
use crate::lock::FolderLock;
use crate::open::of_migration;
use crate::shelf::{Seal, Shelf, Swept, Unsealed};
use crate::trail::{self, Notebook};
use crate::verify;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Connection, SqliteConnection};
use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use store::StoreError;

static MIGRATIONS: Migrator = sqlx::migrate!("migrations/sqlite");

/// 'TIEB': written into the head of the file, so that the file of another program is not taken
/// for ours.
const APPLICATION: i64 = 0x5449_4542;
const RECORD_FILE: &str = "records.sqlite3";
const READERS: u32 = 4;

impl SqlStore {
    /// Opens the data folder, making it where it is not there yet.
    ///
    /// # Errors
    /// The folder is in use, of another program, of a newer layout, damaged or not writable. Each
    /// is one sentence, and the folder is left as it was.
    pub async fn open_folder(folder: impl AsRef<Path>) -> Result<Self, StoreError> {
        Self::open_sealed_folder(folder, Arc::new(Unsealed)).await
    }

    /// The same with files that lie there under a seal.
    ///
    /// # Errors
    /// As for an open one.
    pub async fn open_sealed_folder(
        folder: impl AsRef<Path>,
        seal: Arc<dyn Seal>,
    ) -> Result<Self, StoreError> {
        let folder = folder.as_ref();
        make_private(folder)?;
        let lock = FolderLock::take(folder)?;
        let place = Place::folder(folder);
        let said = |fault: Fault| fault.said(&place, "open the record file");
        look_at(&folder.join(RECORD_FILE)).await.map_err(said)?;

        let writer = SqlitePoolOptions::new()
            .max_connections(1)
            .connect_with(options(folder).journal_mode(SqliteJournalMode::Wal))
            .await
            .map_err(|e| said(e.into()))?;
        migrate(&writer).await.map_err(said)?;
        let writer = Pool::Sqlite(writer);
        in_transaction(&writer, trail::begin).await.map_err(said)?;
        let readers = SqlitePoolOptions::new()
            .max_connections(READERS)
            .connect_with(options(folder).pragma("query_only", "ON"))
            .await
            .map_err(|e| said(e.into()))?;
        let readers = Pool::Sqlite(readers);

        let shelf = Shelf::alone_in(folder, seal)
            .map_err(|e| of_io(&place.to_string(), "open the files", &e))?;
        let named = {
            let mut db = readers.acquire().await.map_err(said)?;
            verify::named_files(&mut db).await.map_err(said)?
        };
        let swept = shelf
            .sweep(named)
            .await
            .map_err(|fault| fault.said(&place, "tidy the files"))?;
        Ok(Self {
            notebook: Notebook::open(writer.clone(), place.clone()),
            place,
            writer,
            readers,
            shelf,
            file_turn: Arc::default(),
            notes: Arc::new(notes_on(&swept)),
            _lock: Some(Arc::new(lock)),
        })
    }
}

fn options(folder: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(folder.join(RECORD_FILE))
        .foreign_keys(true)
        // The log is flushed at every commit: what was confirmed survives a power cut.
        .synchronous(SqliteSynchronous::Full)
        // Where a plain flush stops at the drive's own memory; without effect elsewhere.
        .pragma("fullfsync", "ON")
        .busy_timeout(Duration::from_secs(10))
}

/// A new folder is for its owner alone: it will hold records of patients.
fn make_private(folder: &Path) -> Result<(), StoreError> {
    if folder.exists() && !folder.is_dir() {
        return Err(StoreError::NotOurs {
            path: folder.display().to_string(),
            found: "a file and not a folder".into(),
        });
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    let new = |f: &&Path| !f.as_os_str().is_empty() && !f.exists();
    let made: Vec<&Path> = folder.ancestors().skip(1).take_while(new).collect();
    builder
        .create(folder)
        .and_then(|()| flush_folder(folder))
        // The folder and those made for it must be found again after a power cut, each in the one above it. The
        // folder itself also where it was there: whoever made it may not have come to this.
        .and_then(|()| flush_above(folder))
        .and_then(|()| made.into_iter().try_for_each(flush_above))
        .map_err(|e| of_io(&folder.display().to_string(), "make the data folder", &e))
}

/// Flushes the folder that this one's name stands in, unless it may not be read.
fn flush_above(folder: &Path) -> std::io::Result<()> {
    let above = match folder.parent() {
        Some(above) if above.as_os_str().is_empty() => Path::new("."),
        Some(above) => above,
        None => return Ok(()),
    };
    match flush_folder(above) {
        Err(e) if e.kind() == std::io::ErrorKind::PermissionDenied => Ok(()),
        flushed => flushed,
    }
}

/// Whose file is it, of which layout, and is it whole? Marks an empty file as ours.
async fn look_at(file: &Path) -> Result<(), Fault> {
    refuse_what_is_no_database(file)?;
    let plain = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .busy_timeout(Duration::from_secs(10));
    let mut db = SqliteConnection::connect_with(&plain).await?;
    let answer = look_at_open(&mut db, file).await;
    db.close().await?;
    answer
}

fn refuse_what_is_no_database(file: &Path) -> Result<(), Fault> {
    use std::io::Read;
    let mut head = Vec::new();
    match fs::File::open(file) {
        Ok(open) => open.take(18).read_to_end(&mut head)?,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => 0,
        Err(e) => return Err(e.into()),
    };
    // An empty file is what a start leaves that was cut off before its first write; no file was kept by then.
    if head.is_empty() && file.parent().map_or(Ok(false), any_kept)? {
        let detail = "it is empty or gone, and films or papers lie beside it";
        return Err(damaged(file.display().to_string(), detail).into());
    }
    if head.is_empty() {
        return Ok(());
    }
    if !head.starts_with(b"SQLite format 3\0") {
        return Err(not_ours(file, "no database"));
    }
    refuse_what_was_cut_short(file, &head)
}

/// SQLite reads a last page that is cut off as if zeros stood there.
fn refuse_what_was_cut_short(file: &Path, head: &[u8]) -> Result<(), Fault> {
    let length = |beside: &str| fs::metadata(file.with_extension(beside)).map_or(0, |m| m.len());
    let page = match head.get(16..18) {
        Some([0, 1]) => 65_536,
        Some([high, low]) => u64::from(*high) << 8 | u64::from(*low),
        _ => 0,
    };
    // A log or journal beside it still mends what a power cut left half written.
    let mended = length("sqlite3-wal") > 0 || length("sqlite3-journal") > 0;
    if mended || page == 0 || length("sqlite3") % page == 0 {
        return Ok(());
    }
    let detail = "its length is no whole number of pages: it was cut short";
    Err(damaged(file.display().to_string(), detail).into())
}

fn not_ours(file: &Path, found: &str) -> Fault {
    StoreError::NotOurs {
        path: file.display().to_string(),
        found: found.into(),
    }
    .into()
}

async fn look_at_open(db: &mut SqliteConnection, file: &Path) -> Result<(), Fault> {
    let application: i64 = sqlx::query_scalar("PRAGMA application_id")
        .fetch_one(&mut *db)
        .await?;
    let tables: i64 = sqlx::query_scalar("SELECT count(*) FROM sqlite_schema")
        .fetch_one(&mut *db)
        .await?;
    if application == 0 && tables == 0 {
        sqlx::query("PRAGMA application_id = 1414088002")
            .execute(&mut *db)
            .await?;
        return Ok(());
    }
    if application != APPLICATION {
        return Err(not_ours(file, "the database of another program"));
    }
    let found: i64 = sqlx::query_scalar("PRAGMA user_version")
        .fetch_one(&mut *db)
        .await?;
    let known = newest_layout();
    if found > known {
        let path = file.display().to_string();
        return Err(StoreError::TooNew { path, found, known }.into());
    }
    match verify::integrity(db, "PRAGMA quick_check").await?.first() {
        None => Ok(()),
        Some(first) => Err(damaged(file.display().to_string(), first.clone()).into()),
    }
}

fn newest_layout() -> i64 {
    MIGRATIONS.iter().map(|m| m.version).max().unwrap_or(0)
}

async fn migrate(writer: &SqlitePool) -> Result<(), Fault> {
    MIGRATIONS.run(writer).await.map_err(of_migration)
}

fn notes_on(swept: &Swept) -> Vec<String> {
    let mut notes = Vec::new();
    if swept.unfinished > 0 {
        notes.push(format!(
            "{} file(s) that were cut off on their way in were removed; nothing that was confirmed is among them",
            swept.unfinished
        ));
    }
    if swept.left_over > 0 {
        notes.push(format!(
            "{} file(s) that no record names were moved to the folder left-over; look there if a film, scan or paper is missed",
            swept.left_over
        ));
    }
    for content in &swept.missing {
        notes.push(format!(
            "the file {content} is named by a record and is not there; restore it from the last backup"
        ));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_in_the_file_is_the_word_tieb() {
        assert_eq!(APPLICATION, 1_414_088_002);
        assert_eq!(APPLICATION.to_be_bytes()[4..], *b"TIEB");
    }

    #[tokio::test]
    async fn the_newest_migration_sets_the_layout_number_to_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let mut db = store.readers.acquire().await.unwrap();
        let found = crate::db::query("PRAGMA user_version")
            .number(&mut db)
            .await
            .unwrap();
        assert_eq!(found, newest_layout());
    }
}
