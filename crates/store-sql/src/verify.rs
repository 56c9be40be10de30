//! Is everything still whole?
//!
//! Reads the record file, every film (also one that waits), scan, capture, paper and solid, every seal, and every order's
//! revisions. Slow on a large practice; for the `verify` command and for tests, not for every start.

use crate::SqlStore;
use crate::db::{Db, Dialect, query};
use crate::fault::{Fault, damaged};
use crate::{care, letters, orders, references, tables, trail};
use record::ContentHash;
use sqlx::{AssertSqlSafe, SqliteConnection};
use std::collections::BTreeSet;
use store::StoreError;

impl SqlStore {
    /// A sentence for each file that no record names: it is kept, and may be about to be named. Files that
    /// records name and that are not there are told by `verify`.
    ///
    /// # Errors
    /// Whatever reading and listing fails with.
    pub async fn unnamed_files(&self) -> Result<Vec<String>, StoreError> {
        let said = |fault: Fault| fault.said(&self.place, "list the files");
        // In this order: what came in between is named by now.
        let there = self.shelf.names().await.map_err(said)?;
        let named = self.read(async |db| named_files(db).await).await?;
        let unnamed = self.shelf.unnamed(there, &named);
        let sentence = |name| {
            format!(
                "found the file {name} that no record names; expected one: keep it, unless it is still there when nobody works and every film, scan and paper is where it should be"
            )
        };
        Ok(unnamed.into_iter().map(sentence).collect())
    }

    pub(crate) async fn faults(&self) -> Result<Vec<String>, StoreError> {
        let mut faults = self.read(async |db| faults_in_pages(db).await).await?;
        // Rows and the names of files of one moment. Where pages are off, a row may not be found or not read: that
        // must not hide what was found before.
        let at_once = async |db: &mut Db| Ok((faults_in_rows(db).await, named_files(db).await));
        let (rows, named) = self.read_at_once(at_once).await?;
        let said = |fault: Fault| fault.said(&self.place, "read");
        match rows.map_err(said) {
            Ok(more) => faults.extend(more),
            Err(said) if faults.is_empty() => return Err(said),
            Err(said) => faults.push(said.to_string()),
        }
        let named = match named.map_err(said) {
            Ok(named) => named,
            Err(said) if faults.is_empty() => return Err(said),
            Err(said) => {
                faults.push(said.to_string());
                return Ok(faults);
            }
        };
        for content in named {
            if let Err(fault) = self.bytes(content).await {
                faults.push(fault.to_string());
            }
        }
        Ok(faults)
    }
}

async fn faults_in_pages(db: &mut Db) -> Result<Vec<String>, Fault> {
    let mut faults = match db {
        Db::Sqlite(file) => {
            // Of a sealed file the seal over each page; says nothing of an open one.
            let mut faults = integrity(file, "PRAGMA cipher_integrity_check").await?;
            faults.extend(integrity(file, "PRAGMA integrity_check").await?);
            faults
        }
        // The server checks its own pages.
        Db::Postgres(_) => Vec::new(),
    };
    match broken_references(db).await {
        Ok(more) => faults.extend(more),
        Err(fault) if faults.is_empty() => return Err(fault),
        // It could not be asked of pages that are off; those are told.
        Err(_) => {}
    }
    Ok(faults)
}

async fn faults_in_rows(db: &mut Db) -> Result<Vec<String>, Fault> {
    let mut faults = Vec::new();
    let count = query("SELECT count(*) FROM journal").number(db).await?;
    let last = query("SELECT coalesce(max(number), 0) FROM journal")
        .number(db)
        .await?;
    if count != last {
        faults.push(format!(
            "found {count} entries in the journal up to number {last}; expected no gap: restore the last backup"
        ));
    }
    for id in letters::ids(db).await? {
        let letter = letters::by_id(db, id).await?;
        if letter.seal_holds() == Some(false) {
            faults.push(format!(
                "found letter {} changed after it was signed; expected its seal to hold: restore it from the last backup",
                letter.id
            ));
        }
    }
    faults.extend(orders::faults(db).await?);
    faults.extend(care::faults(db).await?);
    faults.extend(trail::faults(db).await?);
    faults.extend(lists_off(db).await?);
    Ok(faults)
}

async fn broken_references(db: &mut Db) -> Result<Vec<String>, Fault> {
    let mut faults = Vec::new();
    if db.speaks() == Dialect::Postgres {
        return references::broken(db).await;
    }
    let rows = query("PRAGMA foreign_key_check").fetch_all(db).await?;
    for row in rows {
        let (table, parent) = (row.text(0)?, row.text(2)?);
        let [table, parent] = [table, parent].map(Option::unwrap_or_default);
        faults.push(format!(
            "found an entry of {table} that names one of {parent} which is not there; restore the last backup"
        ));
    }
    Ok(faults)
}

/// Do the columns that the day's lists ask say what the rows they were made from say?
async fn lists_off(db: &mut Db) -> Result<Option<String>, Fault> {
    let off = query(
        "SELECT (SELECT count(*) FROM visit
                 WHERE review_on IS DISTINCT FROM (SELECT plan.review_on FROM plan WHERE plan.visit = visit.id
                                         ORDER BY plan.revision DESC LIMIT 1)
                    OR next_day IS DISTINCT FROM (SELECT later.day FROM visit AS later
                                        WHERE later.patient = visit.patient
                                          AND (later.day, later.seq) > (visit.day, visit.seq)
                                        ORDER BY later.day, later.seq LIMIT 1))
              + (SELECT count(*) FROM film
                 WHERE waits <> CASE
                   WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0) THEN 1
                   WHEN EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1) THEN 0
                   ELSE 1 END)",
    )
    .number(db)
    .await?;
    Ok((off > 0).then(|| {
        format!("found {off} entries of the day's lists at odds with plans, visits or points; expected none: restore the last backup")
    }))
}

/// SQLite's own check; says the single word 'ok' where nothing is wrong.
pub async fn integrity(
    db: &mut SqliteConnection,
    pragma: &'static str,
) -> Result<Vec<String>, Fault> {
    let lines: Vec<String> = sqlx::query_scalar(pragma).fetch_all(db).await?;
    Ok(lines.into_iter().filter(|line| line != "ok").collect())
}

/// Table and column.
const NAMES_FILES: [(&str, &str); 8] = [
    ("film", "content"),
    ("arrival", "content"),
    ("scan", "content"),
    ("capture", "content"),
    ("letter", "pdf"),
    ("order_sent", "sheet"),
    ("order_sent", "solids"),
    ("export_file", "content"),
];

/// Every file that a film, an arrival, a scan, a capture, a signed letter, a sent order or an export names.
pub async fn named_files(db: &mut Db) -> Result<BTreeSet<ContentHash>, Fault> {
    files_of(db, |_| true).await
}

/// The same without what is there for a while only: the files of a copy.
pub async fn lasting_files(db: &mut Db) -> Result<BTreeSet<ContentHash>, Fault> {
    files_of(db, |table| table != tables::PASSING).await
}

async fn files_of(
    db: &mut Db,
    wanted: impl Fn(&str) -> bool,
) -> Result<BTreeSet<ContentHash>, Fault> {
    // A copy of an earlier layout has not all of these tables.
    let there = tables::names(db).await?;
    let asked: Vec<String> = NAMES_FILES
        .iter()
        .filter(|(table, _)| wanted(table) && there.iter().any(|name| name == table))
        .map(|(table, column)| format!("SELECT {column} FROM {table} WHERE {column} IS NOT NULL"))
        .collect();
    if asked.is_empty() {
        return Ok(BTreeSet::new());
    }
    let names = query(AssertSqlSafe(asked.join(" UNION ")))
        .texts(db)
        .await?;
    let place = "the names of kept files in film, arrival, scan, capture, letter, order_sent or export_file";
    names
        .iter()
        .map(|name| {
            let read = name.parse();
            read.map_err(|_| damaged(place, "one is no content hash").into())
        })
        .collect()
}
