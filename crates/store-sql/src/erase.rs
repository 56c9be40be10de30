//! How is everything of one patient erased, and what stays?
//!
//! Whatever names the patient, or names something that does, goes; which tables name which is asked of the database, so
//! that a table that is added later is not forgotten. Files go that no other record names. The journal and the trail
//! stay: they name nobody and hold each other by their hashes. A tombstone stays in the patient's place.

use crate::SqlStore;
use crate::act::in_transaction;
use crate::cells::{Cells, moment_text};
use crate::db::{Db, Dialect, Value, query, run};
use crate::fault::{Fault, damaged};
use crate::tables::{self, Table, quoted};
use crate::verify::named_files;
use crate::{exports, people, trail};
use record::{ContentHash, Erasure, PatientId, ToNote, Tombstone};
use sqlx::AssertSqlSafe;
use std::collections::BTreeMap;
use store::StoreError;

const ERASED_MEANWHILE: &str = "somebody was erased after it was asked for; ask again";

impl SqlStore {
    pub(crate) async fn erased(
        &self,
        note: ToNote,
        erasure: Erasure,
    ) -> Result<Tombstone, StoreError> {
        erasure.check()?;
        let store = self.clone();
        let done = tokio::spawn(async move {
            // No act names one of the files meanwhile.
            let _turn = store.file_turn.lock().await;
            let (tombstone, files) = in_transaction(&store.writer, async move |db| {
                // What goes is written over where it lay.
                if db.speaks() == Dialect::Sqlite {
                    run("PRAGMA secure_delete = ON", db).await?;
                }
                let done = erase(db, erasure).await?;
                trail::add(db, note).await?;
                Ok(done)
            })
            .await?;
            store.shelf.erase(&files).await?;
            store.forget_older_states().await?;
            Ok(tombstone)
        });
        self.ended(done.await, "erase")
    }

    /// The log that a record file still has beside it, and what was kept before an update, hold the erased too.
    async fn forget_older_states(&self) -> Result<(), Fault> {
        let mut db = self.writer.acquire().await?;
        match db.speaks() {
            Dialect::Sqlite => {
                run("PRAGMA secure_delete = FAST", &mut db).await?;
                run("PRAGMA wal_checkpoint(TRUNCATE)", &mut db).await?;
                self.shelf.forget_older_states()
            }
            Dialect::Postgres => {
                let schemas = query(
                    "SELECT schema_name::text FROM information_schema.schemata
                     WHERE schema_name LIKE 'before~_layout~_%' ESCAPE '~'",
                )
                .texts(&mut db)
                .await?;
                for schema in schemas {
                    let drop = format!("DROP SCHEMA {} CASCADE", quoted(&schema));
                    run(AssertSqlSafe(drop), &mut db).await?;
                }
                Ok(())
            }
        }
    }
}

/// Answers with the files that nothing names any more.
async fn erase(db: &mut Db, erasure: Erasure) -> Result<(Tombstone, Vec<ContentHash>), Fault> {
    people::patient(db, erasure.patient).await?;
    let tables = tables::all(db).await?;
    let before = named_files(db).await?;
    let doomed = doomed(db, &tables, erasure.patient).await?;
    let stilled = tables::still(&tables, db).await?;
    let mut rows = 0;
    for (table, keys) in &doomed {
        for key in keys {
            rows += query(tables[*table].delete())
                .bind_all(key.iter().cloned())
                .execute(db)
                .await?;
        }
    }
    // An export holds copies of whatever was there.
    exports::withdraw(db, ERASED_MEANWHILE, erasure.at).await?;
    // Lists that are kept beside the rows they come from need nothing: those rows went whole.
    tables::wake(stilled, &tables, db).await?;
    let after = named_files(db).await?;
    let files: Vec<ContentHash> = before.difference(&after).copied().collect();
    let tombstone = Tombstone {
        patient: erasure.patient,
        at: erasure.at,
        by: erasure.by,
        reason: erasure.reason,
        rows,
        files: files.len() as u64,
    };
    query(
        "INSERT INTO tombstone (patient, erased_at, erased_by, reason, row_count, file_count)
         VALUES ($1, $2, $3, $4, $5, $6)",
    )
    .bind(tombstone.patient.to_string())
    .bind(moment_text(tombstone.at)?)
    .bind(tombstone.by.to_string())
    .bind(&tombstone.reason)
    .bind(count(tombstone.rows)?)
    .bind(count(tombstone.files)?)
    .execute(db)
    .await?;
    Ok((tombstone, files))
}

fn count(n: u64) -> Result<i64, Fault> {
    i64::try_from(n).map_err(|_| damaged("a count", "larger than can be kept").into())
}

/// One table naming another: which, and by which columns.
#[derive(Debug)]
struct Reference {
    child: usize,
    parent: usize,
    /// The child's column and the parent's.
    columns: Vec<(String, String)>,
}

async fn references(db: &mut Db, tables: &[Table]) -> Result<Vec<Reference>, Fault> {
    let at = |name: &str| tables.iter().position(|t| t.name == name);
    let mut all: BTreeMap<(usize, String), Reference> = BTreeMap::new();
    for (child, table) in tables.iter().enumerate() {
        let rows = query(db.word(
            "SELECT CAST(id AS TEXT), \"table\", \"from\", \"to\" FROM pragma_foreign_key_list($1) ORDER BY id, seq",
            "SELECT c.conname::text, p.relname::text, a.attname::text, b.attname::text
             FROM pg_constraint AS c
             JOIN pg_class AS p ON p.oid = c.confrelid
             CROSS JOIN LATERAL unnest(c.conkey, c.confkey) WITH ORDINALITY AS pair (ours, theirs, n)
             JOIN pg_attribute AS a ON a.attrelid = c.conrelid AND a.attnum = pair.ours
             JOIN pg_attribute AS b ON b.attrelid = c.confrelid AND b.attnum = pair.theirs
             WHERE c.contype = 'f' AND c.conrelid = to_regclass(quote_ident($1))
             ORDER BY c.conname, pair.n",
        ))
        .bind(&table.name)
        .fetch_all(db)
        .await?;
        for row in rows {
            let cells = [row.text(0)?, row.text(1)?, row.text(2)?, row.text(3)?];
            let [id, parent, ours, theirs] = cells.map(Option::unwrap_or_default);
            let Some(parent) = at(&parent) else {
                return Err(damaged("the records' layout", "a reference to no table").into());
            };
            let entry = all.entry((child, id)).or_insert(Reference {
                child,
                parent,
                columns: Vec::new(),
            });
            entry.columns.push((ours, theirs));
        }
    }
    Ok(all.into_values().collect())
}

type Key = Vec<Value>;

/// The keys of every row that names the patient, or names one that does.
async fn doomed(
    db: &mut Db,
    tables: &[Table],
    patient: PatientId,
) -> Result<BTreeMap<usize, Vec<Key>>, Fault> {
    let references = references(db, tables).await?;
    let Some(first) = tables.iter().position(|t| t.name == "patient") else {
        return Err(damaged("the records' layout", "no table of patients").into());
    };
    let mut found: BTreeMap<usize, Vec<Key>> = BTreeMap::new();
    let mut waiting = vec![(first, vec![Value::from(patient.to_string())])];
    while let Some((parent, key)) = waiting.pop() {
        let seen = found.entry(parent).or_default();
        if seen.contains(&key) {
            continue;
        }
        seen.push(key.clone());
        for reference in references.iter().filter(|r| r.parent == parent) {
            let named = match tables[parent]
                .cells_at(db, &reference.columns, &key)
                .await?
            {
                Some(named) if !named.iter().any(Value::is_none) => named,
                _ => continue,
            };
            for child in tables[reference.child]
                .keys_where(db, &reference.columns, named)
                .await?
            {
                waiting.push((reference.child, child));
            }
        }
    }
    Ok(found)
}

impl Table {
    fn by_key(&self) -> String {
        let parts: Vec<String> = (1..)
            .zip(&self.key)
            .map(|(n, column)| format!("{} IS NOT DISTINCT FROM ${n}", quoted(column)))
            .collect();
        parts.join(" AND ")
    }

    fn delete(&self) -> AssertSqlSafe<String> {
        AssertSqlSafe(format!(
            "DELETE FROM {} WHERE {}",
            quoted(&self.name),
            self.by_key()
        ))
    }

    fn kinds_of<'c>(&self, columns: impl Iterator<Item = &'c String>) -> Vec<tables::Kind> {
        columns
            .filter_map(|name| self.columns.iter().find(|c| c.name == *name))
            .map(|c| c.kind)
            .collect()
    }

    /// What the row has in the columns that another table names.
    async fn cells_at(
        &self,
        db: &mut Db,
        columns: &[(String, String)],
        key: &[Value],
    ) -> Result<Option<Vec<Value>>, Fault> {
        let names: Vec<String> = columns.iter().map(|(_, theirs)| quoted(theirs)).collect();
        let sql = format!(
            "SELECT {} FROM {} WHERE {}",
            names.join(", "),
            quoted(&self.name),
            self.by_key()
        );
        let row = query(AssertSqlSafe(sql))
            .bind_all(key.iter().cloned())
            .fetch_optional(db)
            .await?;
        let kinds = self.kinds_of(columns.iter().map(|(_, theirs)| theirs));
        row.map(|row| tables::values(&row, &kinds)).transpose()
    }

    /// The keys of the rows that have these values.
    async fn keys_where(
        &self,
        db: &mut Db,
        columns: &[(String, String)],
        values: Vec<Value>,
    ) -> Result<Vec<Key>, Fault> {
        let names: Vec<String> = self.key.iter().map(|k| quoted(k)).collect();
        let fits: Vec<String> = (1..)
            .zip(columns)
            .map(|(n, (ours, _))| format!("{} = ${n}", quoted(ours)))
            .collect();
        let sql = format!(
            "SELECT {} FROM {} WHERE {}",
            names.join(", "),
            quoted(&self.name),
            fits.join(" AND ")
        );
        let kinds = self.kinds_of(self.key.iter());
        let rows = query(AssertSqlSafe(sql))
            .bind_all(values)
            .fetch_all(db)
            .await?;
        rows.iter().map(|row| tables::values(row, &kinds)).collect()
    }
}

/// Newest first.
pub async fn tombstones(db: &mut Db) -> Result<Vec<Tombstone>, Fault> {
    let rows = query(
        "SELECT patient, erased_at, erased_by, reason, row_count, file_count FROM tombstone
         ORDER BY erased_at DESC, patient",
    )
    .fetch_all(db)
    .await?;
    rows.iter().map(tombstone).collect()
}

fn tombstone(row: &crate::db::Row) -> Result<Tombstone, Fault> {
    let table = "tombstone";
    let cells = Cells { table, row };
    Ok(Tombstone {
        patient: cells.parsed("patient")?,
        at: cells.moment("erased_at")?,
        by: cells.parsed("erased_by")?,
        reason: cells.text("reason")?,
        rows: cells.number("row_count")?,
        files: cells.number("file_count")?,
    })
}
