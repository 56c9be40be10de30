//! The files that exports made: kept by whoever has the job in hand, and taken away.

use crate::SqlStore;
use crate::act::in_transaction;
use crate::cells::Cells;
use crate::db::{Db, Row, Value, query};
use crate::fault::Fault;
use crate::jobs::{moment, must_hold};
use crate::verify::named_files;
use record::{BadRecord, ContentHash};
use sqlx::AssertSqlSafe;
use store::exports::{ExportFile, Exports, KIND};
use store::jobs::{JobId, Lease};
use store::{Answer, Saved, StoreError};
use time::OffsetDateTime;

const THIS: &str = "a file of an export";
const MOST_LETTERS: usize = 200;

impl Exports for SqlStore {
    fn begin_export(&self, lease: Lease) -> Answer<'_, Saved> {
        Box::pin(async move { self.without(Off::Begun(lease)).await.map(drop) })
    }

    fn keep_export_file(
        &self,
        lease: Lease,
        file: ExportFile,
        bytes: Vec<u8>,
    ) -> Answer<'_, Saved> {
        Box::pin(self.keep_file(lease, file, bytes))
    }

    fn export_files(&self, job: JobId) -> Answer<'_, Vec<ExportFile>> {
        Box::pin(self.read(async move |db| {
            let rows = query("SELECT * FROM export_file WHERE job = $1 ORDER BY seq")
                .bind(job.to_string())
                .fetch_all(db)
                .await?;
            rows.iter().map(read).collect()
        }))
    }

    fn export_bytes(&self, job: JobId, name: String) -> Answer<'_, Vec<u8>> {
        Box::pin(async move {
            let found = self
                .read(async |db| {
                    let row = query("SELECT * FROM export_file WHERE job = $1 AND name = $2")
                        .bind(job.to_string())
                        .bind(&name)
                        .fetch_optional(db)
                        .await?;
                    read(&row.ok_or_else(|| StoreError::missing("file of an export", job))?)
                })
                .await?;
            self.bytes(found.content).await
        })
    }

    fn forget_export(&self, job: JobId) -> Answer<'_, Saved> {
        Box::pin(async move { self.without(Off::One(job)).await.map(drop) })
    }

    fn forget_exports_before(&self, moment: OffsetDateTime) -> Answer<'_, u64> {
        Box::pin(self.without(Off::Before(moment)))
    }

    fn withdraw_exports(&self, why: String, now: OffsetDateTime) -> Answer<'_, Saved> {
        Box::pin(async move { self.without(Off::All { why, now }).await.map(drop) })
    }
}

impl SqlStore {
    async fn keep_file(
        &self,
        lease: Lease,
        file: ExportFile,
        bytes: Vec<u8>,
    ) -> Result<Saved, StoreError> {
        if file.name.trim().is_empty() || file.name.chars().count() > MOST_LETTERS {
            let found = "a name that is blank or long";
            return Err(BadRecord::new(THIS, found, "1 to 200 letters").into());
        }
        let length = bytes.len() as u64;
        let incoming = self.hashed(bytes).await?;
        if (incoming.content, length) != (file.content, file.bytes) {
            let found = "bytes with another hash or length";
            return Err(BadRecord::new(THIS, found, "those that it names").into());
        }
        let store = self.clone();
        let done = tokio::spawn(async move {
            // One at a time, as for any file: what one puts in place another may take away.
            let _turn = store.file_turn.lock().await;
            let part = format!("export-{}", lease.taker);
            let new = store.shelf.put_for(incoming, part).await?;
            let kept = in_transaction(&store.writer, async move |db| {
                must_hold(db, lease).await?;
                insert(db, lease.job, &file).await
            })
            .await;
            if kept.is_err() {
                store.shelf.take_back(new).await;
            }
            kept
        });
        self.ended(done.await, "keep a file of an export")
    }

    /// Takes files off, then takes those away that nothing names any more. Answers with how many were taken off.
    async fn without(&self, off: Off) -> Result<u64, StoreError> {
        let store = self.clone();
        let done = tokio::spawn(async move {
            let _turn = store.file_turn.lock().await;
            let (files, contents) = in_transaction(&store.writer, async move |db| {
                let (files, mut contents) = taken_off(db, &off).await?;
                if !contents.is_empty() {
                    let named = named_files(db).await?;
                    contents.retain(|content| !named.contains(content));
                }
                Ok((files, contents))
            })
            .await?;
            store.shelf.erase(&contents).await?;
            Ok(files)
        });
        self.ended(done.await, "take an export away")
    }
}

enum Off {
    /// Of the job that is in this hand.
    Begun(Lease),
    One(JobId),
    /// Of every export asked for before.
    Before(OffsetDateTime),
    /// And those that are open are given up.
    All {
        why: String,
        now: OffsetDateTime,
    },
}

/// How many files, and what was in them.
async fn taken_off(db: &mut Db, off: &Off) -> Result<(u64, Vec<ContentHash>), Fault> {
    let (which, value): (&str, Option<Value>) = match off {
        Off::Begun(lease) => {
            must_hold(db, *lease).await?;
            ("WHERE job = $1", Some(lease.job.to_string().into()))
        }
        Off::One(job) => ("WHERE job = $1", Some(job.to_string().into())),
        Off::Before(at) => (
            "WHERE job IN (SELECT id FROM job WHERE asked_at < $1)",
            Some(moment(*at)?.into()),
        ),
        Off::All { why, now } => {
            give_up(db, why, *now).await?;
            ("", None)
        }
    };
    let of = |what: &str| {
        query(AssertSqlSafe(format!("{what} FROM export_file {which}"))).bind_all(value.clone())
    };
    let rows = of("SELECT *").fetch_all(db).await?;
    let contents = rows
        .iter()
        .map(|row| read(row).map(|file| file.content))
        .collect::<Result<_, _>>()?;
    Ok((of("DELETE").execute(db).await?, contents))
}

async fn give_up(db: &mut Db, why: &str, now: OffsetDateTime) -> Result<(), Fault> {
    query(
        "UPDATE job SET state = 'given-up', moment = $2, taker = NULL, progress_done = NULL,
           progress_of = NULL, why = $3
         WHERE kind = $1 AND state IN ('waiting', 'in-hand')",
    )
    .bind(KIND)
    .bind(moment(now)?)
    .bind(why)
    .execute(db)
    .await?;
    Ok(())
}

/// Inside a transaction; what was in the files goes with whatever else nothing names any more.
pub async fn withdraw(db: &mut Db, why: &str, now: OffsetDateTime) -> Result<(), Fault> {
    let why = why.to_owned();
    taken_off(db, &Off::All { why, now }).await.map(drop)
}

async fn insert(db: &mut Db, job: JobId, file: &ExportFile) -> Result<(), Fault> {
    let there = query("SELECT count(*) FROM export_file WHERE job = $1 AND name = $2")
        .bind(job.to_string())
        .bind(&file.name)
        .number(&mut *db)
        .await?;
    if there > 0 {
        let what = "the name of this file of an export";
        return Err(StoreError::Taken { what }.into());
    }
    let size = |n: u64| {
        i64::try_from(n)
            .map_err(|_| BadRecord::new(THIS, "a count beyond all measure", "a smaller one"))
    };
    query(
        "INSERT INTO export_file (job, name, holds, lines, bytes, content)
         VALUES ($1, $2, $3, $4, $5, $6)",
    )
    .bind(job.to_string())
    .bind(&file.name)
    .bind(&file.holds)
    .bind(size(file.lines)?)
    .bind(size(file.bytes)?)
    .bind(file.content.to_string())
    .execute(db)
    .await?;
    Ok(())
}

fn read(row: &Row) -> Result<ExportFile, Fault> {
    let cells = Cells {
        table: "export_file",
        row,
    };
    Ok(ExportFile {
        name: cells.text("name")?,
        holds: cells.text("holds")?,
        lines: cells.number("lines")?,
        bytes: cells.number("bytes")?,
        content: cells.parsed("content")?,
    })
}
