//! Is the data folder ours, whole, free and of a layout we know?
//!
//! Asked in this order, and nothing is changed before the answer is yes: the lock, whose file it
//! is, its layout, its integrity. Only then the layout is brought up to date and what a cut-off
//! act left behind is cleared.

use crate::SqlStore;
use crate::act::in_transaction;
use crate::db::Pool;
use crate::disk::{flush_above, flush_folder, private_folder};
use crate::fault::{Fault, Place, damaged, of_io};
use crate::files::{BEFORE_UPDATE, any_kept};
use crate::lock::FolderLock;
use crate::open::of_migration;
use crate::shelf::{DatabaseKey, Seal, Shelf, Swept, Unsealed};
use crate::trail::{self, Notebook};
use crate::verify;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use store::StoreError;

static MIGRATIONS: Migrator = sqlx::migrate!("migrations/sqlite");

/// 'TIEB': written into the head of the file, so that the file of another program is not taken
/// for ours.
const APPLICATION: i64 = 0x5449_4542;
const RECORD_FILE: &str = "records.sqlite3";
const READERS: u32 = 4;
/// The page of SQLCipher 4.
const SEALED_PAGE: u64 = 4096;

impl SqlStore {
    /// Opens the data folder, making it where it is not there yet.
    ///
    /// # Errors
    /// The folder is in use, of another program, of a newer layout, damaged or not writable. Each
    /// is one sentence, and the folder is left as it was.
    pub async fn open_folder(folder: impl AsRef<Path>) -> Result<Self, StoreError> {
        Self::open_sealed_folder(folder, Arc::new(Unsealed)).await
    }

    /// The same with records and files that lie there under a seal.
    ///
    /// # Errors
    /// As for an open one; sealed with another keyring, or not sealed.
    pub async fn open_sealed_folder(
        folder: impl AsRef<Path>,
        seal: Arc<dyn Seal>,
    ) -> Result<Self, StoreError> {
        Self::open_folder_as_of(folder, seal, newest_layout()).await
    }

    /// The same at an earlier layout, for a copy of that time to be put back: nothing else works on it. The next
    /// start brings it up to date.
    ///
    /// # Errors
    /// As for an open one; a layout that never was.
    pub async fn open_folder_as_of(
        folder: impl AsRef<Path>,
        seal: Arc<dyn Seal>,
        layout: i64,
    ) -> Result<Self, StoreError> {
        let folder = folder.as_ref();
        make_private(folder)?;
        let lock = FolderLock::take(folder)?;
        let place = Place::folder(folder);
        let said = |fault: Fault| fault.said(&place, "open the record file");
        let file = folder.join(RECORD_FILE);
        if !MIGRATIONS.version_exists(layout) {
            let (path, found, known) = (file.display().to_string(), layout, newest_layout());
            return Err(StoreError::TooNew { path, found, known });
        }
        let keys = seal.database_keys();
        let mut notes = Vec::new();
        notes.extend(look_at(&file, &keys, layout).await.map_err(said)?);

        let options = || options(&file, keys.first());
        let writer = SqlitePoolOptions::new()
            .max_connections(1)
            .connect_with(options().journal_mode(SqliteJournalMode::Wal))
            .await
            .map_err(|e| said(e.into()))?;
        let migrated = MIGRATIONS.run_to(layout, &writer).await;
        migrated.map_err(|e| said(of_migration(e)))?;
        let writer = Pool::Sqlite(writer);
        if layout == newest_layout() {
            in_transaction(&writer, trail::begin).await.map_err(said)?;
        }
        let readers = SqlitePoolOptions::new()
            .max_connections(READERS)
            .connect_with(options().pragma("query_only", "ON"))
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
        notes.extend(notes_on(&swept));
        Ok(Self {
            notebook: Notebook::open(writer.clone(), place.clone()),
            place,
            writer,
            readers,
            shelf,
            file_turn: Arc::default(),
            notes: Arc::new(notes),
            _lock: Some(Arc::new(lock)),
        })
    }
}

fn options(file: &Path, key: Option<&DatabaseKey>) -> SqliteConnectOptions {
    keyed(file, key)
        .foreign_keys(true)
        // The log is flushed at every commit: what was confirmed survives a power cut.
        .synchronous(SqliteSynchronous::Full)
        // Where a plain flush stops at the drive's own memory; without effect elsewhere.
        .pragma("fullfsync", "ON")
}

fn keyed(file: &Path, key: Option<&DatabaseKey>) -> SqliteConnectOptions {
    let options = SqliteConnectOptions::new()
        .filename(file)
        .busy_timeout(Duration::from_secs(10));
    match key {
        // What does not open is told by us, not on standard error.
        Some(key) => options
            .pragma("key", key_word(key))
            .pragma("cipher_log_level", "NONE"),
        None => options,
    }
}

/// A key of 32 bytes as it is, without the slow making of one from a passphrase: the keyring has done that.
fn key_word(key: &DatabaseKey) -> String {
    format!("\"x'{}'\"", **key)
}

/// A new folder is for its owner alone: it will hold records of patients.
fn make_private(folder: &Path) -> Result<(), StoreError> {
    if folder.exists() && !folder.is_dir() {
        return Err(StoreError::NotOurs {
            path: folder.display().to_string(),
            found: "a file and not a folder".into(),
        });
    }
    private_folder(folder)
        .map_err(|e| of_io(&folder.display().to_string(), "make the data folder", &e))
}

/// Whose file is it, of which layout, and is it whole? Marks an empty file as ours, gives it today's key where it
/// has an older one, and keeps it as it is where its layout is about to change. Answers with what there is to say.
async fn look_at(file: &Path, keys: &[DatabaseKey], wanted: i64) -> Result<Option<String>, Fault> {
    refuse_what_is_no_database(file, !keys.is_empty())?;
    let (mut db, older) = opened_with_one_of(file, keys).await?;
    let answer = match look_at_open(&mut db, file, wanted).await {
        Ok(layout) => {
            prepared(
                &mut db,
                file,
                keys.first().filter(|_| older),
                layout,
                wanted,
            )
            .await
        }
        Err(fault) => Err(fault),
    };
    db.close().await?;
    answer
}

/// True where it is not today's key that opens it.
async fn opened_with_one_of(
    file: &Path,
    keys: &[DatabaseKey],
) -> Result<(SqliteConnection, bool), Fault> {
    let connect = async |key| {
        let options = keyed(file, key).create_if_missing(true);
        let mut db = SqliteConnection::connect_with(&options).await?;
        let read = sqlx::query("SELECT count(*) FROM sqlite_schema");
        match read.fetch_one(&mut db).await {
            Ok(_) => Ok(Ok(db)),
            Err(error) if key.is_some() && is_no_database(&error) => Ok(Err(db.close().await?)),
            Err(error) => Err(Fault::Sql(error)),
        }
    };
    if keys.is_empty()
        && let Ok(db) = connect(None).await?
    {
        return Ok((db, false));
    }
    for (n, key) in keys.iter().enumerate() {
        if let Ok(db) = connect(Some(key)).await? {
            return Ok((db, n > 0));
        }
    }
    let path = file.display().to_string();
    Err(StoreError::Sealed { path }.into())
}

fn is_no_database(error: &sqlx::Error) -> bool {
    let code = error.as_database_error().and_then(|d| d.code());
    code.is_some_and(|code| code == "26")
}

fn refuse_what_is_no_database(file: &Path, sealed: bool) -> Result<(), Fault> {
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
    let plain = head.starts_with(b"SQLite format 3\0");
    let path = || file.display().to_string();
    match (plain, sealed) {
        (true, true) => Err(StoreError::NotSealed { path: path() }.into()),
        (false, false) => Err(not_ours(file, "no database, or a sealed one")),
        (true, false) => {
            let page = match head.get(16..18) {
                Some([0, 1]) => 65_536,
                Some([high, low]) => u64::from(*high) << 8 | u64::from(*low),
                _ => 0,
            };
            refuse_what_was_cut_short(file, page)
        }
        (false, true) => refuse_what_was_cut_short(file, SEALED_PAGE),
    }
}

/// SQLite reads a last page that is cut off as if zeros stood there.
fn refuse_what_was_cut_short(file: &Path, page: u64) -> Result<(), Fault> {
    let length = |beside: &str| fs::metadata(file.with_extension(beside)).map_or(0, |m| m.len());
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

/// Answers with the layout it has; 0 for an empty one.
async fn look_at_open(db: &mut SqliteConnection, file: &Path, wanted: i64) -> Result<i64, Fault> {
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
        return Ok(0);
    }
    if application != APPLICATION {
        return Err(not_ours(file, "the database of another program"));
    }
    let found: i64 = sqlx::query_scalar("PRAGMA user_version")
        .fetch_one(&mut *db)
        .await?;
    if found > wanted {
        let path = file.display().to_string();
        let known = wanted;
        return Err(StoreError::TooNew { path, found, known }.into());
    }
    match verify::integrity(db, "PRAGMA quick_check").await?.first() {
        None => Ok(found),
        Some(first) => Err(damaged(file.display().to_string(), first.clone()).into()),
    }
}

async fn prepared(
    db: &mut SqliteConnection,
    file: &Path,
    new_key: Option<&DatabaseKey>,
    layout: i64,
    wanted: i64,
) -> Result<Option<String>, Fault> {
    let mut note = None;
    if layout > 0 && layout < wanted {
        let kept = keep_before(db, file, layout).await?;
        note = Some(format!(
            "the records were brought from layout {layout} to {wanted}; as they were before they lie in {}, until you remove them",
            kept.display()
        ));
    }
    if let Some(key) = new_key {
        // Every page is written anew in one transaction; a plain journal mends it if that is cut off.
        sqlx::query("PRAGMA journal_mode = DELETE")
            .execute(&mut *db)
            .await?;
        let rekey = format!("PRAGMA rekey = {}", key_word(key));
        sqlx::query(AssertSqlSafe(rekey)).execute(&mut *db).await?;
    }
    Ok(note)
}

/// Byte by byte and flushed: nothing is left to be shared between the two files.
fn copied(from: &Path, to: &Path) -> std::io::Result<()> {
    use std::io::{Read, Write};
    let (mut from, mut to) = (fs::File::open(from)?, fs::File::create(to)?);
    let mut piece = vec![0; 1 << 20];
    loop {
        match from.read(&mut piece)? {
            0 => return to.sync_all(),
            many => to.write_all(&piece[..many])?,
        }
    }
}

/// Puts the record file aside as it is. The folder is ours alone, so with the log folded in the file is all there is.
async fn keep_before(
    db: &mut SqliteConnection,
    file: &Path,
    layout: i64,
) -> Result<PathBuf, Fault> {
    sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
        .execute(&mut *db)
        .await?;
    let folder = file.with_file_name(BEFORE_UPDATE);
    fs::create_dir_all(&folder)?;
    let name = |n: u32| match n {
        1 => format!("records-of-layout-{layout}.sqlite3"),
        n => format!("records-of-layout-{layout}-{n}.sqlite3"),
    };
    let mut n = 1;
    while folder.join(name(n)).exists() {
        n += 1;
    }
    let (part, kept) = (folder.join("unfinished"), folder.join(name(n)));
    copied(file, &part)?;
    fs::rename(&part, &kept)?;
    flush_folder(&folder)?;
    flush_above(&folder)?;
    Ok(kept)
}

fn newest_layout() -> i64 {
    MIGRATIONS.iter().map(|m| m.version).max().unwrap_or(0)
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
