//! Who did what, and when?

use crate::act::Entry;
use crate::cells::{Cells, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use record::{Act, ActKind, Stamp, Subject};
use store::StoreError;
use uuid::Uuid;

/// Inside the act's own transaction: no change without its entry, no entry without its change.
/// Answers with its number.
pub async fn add(db: &mut Db, stamp: Stamp, entry: &Entry) -> Result<i64, Fault> {
    let id = stamp.act.to_string();
    let used = query("SELECT count(*) FROM journal WHERE id = $1")
        .bind(&id)
        .number(&mut *db)
        .await?;
    if used > 0 {
        return Err(StoreError::Taken {
            what: "the id of this act",
        }
        .into());
    }
    query(
        "INSERT INTO journal (number, id, at, by, kind, subject, subject_id, summary)
         SELECT coalesce(max(number), 0) + 1, $1, $2, $3, $4, $5, $6, $7 FROM journal
         RETURNING number",
    )
    .bind(id)
    .bind(moment_text(stamp.at)?)
    .bind(stamp.by.to_string())
    .bind(entry.kind.key())
    .bind(entry.on.key())
    .bind(entry.on.uuid().to_string())
    .bind(&entry.summary)
    .number(db)
    .await
}

pub async fn after(db: &mut Db, after: u64, most: u32) -> Result<Vec<Act>, Fault> {
    // A number beyond what the column can hold is beyond every entry.
    let after = i64::try_from(after).unwrap_or(i64::MAX);
    let rows = query("SELECT * FROM journal WHERE number > $1 ORDER BY number LIMIT $2")
        .bind(after)
        .bind(most)
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn of(db: &mut Db, on: Subject) -> Result<Vec<Act>, Fault> {
    let rows =
        query("SELECT * FROM journal WHERE subject = $1 AND subject_id = $2 ORDER BY number")
            .bind(on.key())
            .bind(on.uuid().to_string())
            .fetch_all(db)
            .await?;
    rows.iter().map(read).collect()
}

fn read(row: &Row) -> Result<Act, Fault> {
    let cells = Cells {
        table: "journal",
        row,
    };
    let id: Uuid = cells.parsed("subject_id")?;
    Ok(Act {
        number: cells.number("number")?,
        id: cells.parsed("id")?,
        at: cells.moment("at")?,
        by: cells.parsed("by")?,
        kind: cells.word("kind", ActKind::from_key)?,
        on: cells.word("subject", |key| Subject::from_parts(key, id))?,
        summary: cells.text("summary")?,
    })
}
