//! How does the stream become a store, or is refused?

use super::Copied;
use super::stream::{Cut, Part, Reader, bad};
use crate::act::{Hand, begin, ended};
use crate::db::{Db, query, run};
use crate::fault::{Fault, Place};
use crate::shelf::Incoming;
use crate::tables::{self, Table};
use crate::{SqlStore, open, verify};
use record::ContentHash;
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use store::StoreError;

/// The layout of the records in a copy; reads only its beginning.
///
/// # Errors
/// `BadCopy` for what is no copy or one of another version.
pub fn layout(from: &mut (dyn Read + Send)) -> Result<i64, StoreError> {
    let begun = Reader::begin(from).map(|(_, layout)| layout);
    begun.map_err(|fault| fault.said(&Place::folder("the copy".as_ref()), "read the copy"))
}

/// Puts a copy back into a store that holds nothing yet, as it was, whole or not at all.
///
/// # Errors
/// `BadCopy` for a stream that is cut off, changed, of another version or layout, or no copy; `Taken` for
/// a store that holds something. Nothing is kept then.
pub async fn restore(from: &mut (dyn Read + Send), fresh: &SqlStore) -> Result<Copied, StoreError> {
    let said = |fault: Fault| fault.said(&fresh.place, "put the copy back");
    let _turn = fresh.file_turn.lock().await;
    let mut hand = Hand::of(fresh.writer.acquire().await.map_err(said)?);
    let mut new = Vec::new();
    let done = whole(from, fresh, &mut hand.db, &mut new).await;
    hand.whole = done.is_ok() || ended(&mut hand.db).await;
    if done.is_err() {
        fresh.shelf.take_back(new).await;
    }
    done.map_err(said)
}

async fn whole(
    from: &mut (dyn Read + Send),
    fresh: &SqlStore,
    db: &mut Db,
    new: &mut Vec<ContentHash>,
) -> Result<Copied, Fault> {
    let (mut reader, layout) = Reader::begin(from)?;
    let ours = open::layout(db).await?;
    if layout != ours {
        return Err(bad(format!(
            "records of layout {layout} where this store has {ours}; a store that is opened as of layout {layout} takes it"
        )));
    }
    begin(db).await?;
    let tables = tables::all(db).await?;
    for table in &tables {
        if query(table.count()).number(db).await? > 0 {
            let what = "the store that the copy is to be put into";
            return Err(StoreError::Taken { what }.into());
        }
    }
    let stilled = tables::still(&tables, db).await?;
    let mut desk = Desk {
        waiting: tables.iter().map(|t| (t.name.as_str(), t)).collect(),
        now: None,
        copied: Copied::default(),
        contents: BTreeSet::new(),
    };
    loop {
        let (part, body) = reader.part()?;
        let number = reader.number();
        match part {
            Part::Table => desk.table(&body, number)?,
            Part::Rows => desk.rows(&body, number, db).await?,
            Part::File => {
                let file = desk.file(body, number)?;
                new.extend(fresh.shelf.put_aside(file).await?);
            }
            Part::End => {
                desk.end(&body)?;
                break;
            }
            Part::Head => return Err(bad(format!("a second beginning at part {number}"))),
        }
    }
    let lost = |fault| match fault {
        Fault::Sql(sql) if is_refusal(&sql) => bad("a row that names one that is not there"),
        other => other,
    };
    tables::wake(stilled, &tables, db).await.map_err(lost)?;
    let named = verify::named_files(db).await.map_err(|fault| match fault {
        Fault::Said(_) => bad("a file's name that is no hash"),
        other => other,
    })?;
    if named != desk.contents {
        return Err(bad("other files than its records name"));
    }
    // SQLite looks at references here.
    run("COMMIT", db).await.map_err(lost)?;
    Ok(desk.copied)
}

struct Desk<'t> {
    /// Tables of ours that have not come yet.
    waiting: BTreeMap<&'t str, &'t Table>,
    now: Option<&'t Table>,
    copied: Copied,
    contents: BTreeSet<ContentHash>,
}

impl Desk<'_> {
    fn table(&mut self, body: &[u8], number: u64) -> Result<(), Fault> {
        let mut cut = Cut::of(body, number);
        let (name, columns) = cut.table()?;
        cut.is_over()?;
        let ours = self.waiting.remove(name.as_str());
        let Some(ours) = ours.filter(|ours| ours.columns == columns) else {
            return Err(bad(format!(
                "a table at part {number} that is not one of this layout"
            )));
        };
        self.now = Some(ours);
        self.copied.tables += 1;
        Ok(())
    }

    async fn rows(&mut self, body: &[u8], number: u64, db: &mut Db) -> Result<(), Fault> {
        let Some(table) = self.now else {
            return Err(bad(format!("rows without a table at part {number}")));
        };
        let mut cut = Cut::of(body, number);
        for _ in 0..u32::from_le_bytes(cut.array()?) {
            let mut cells = Vec::with_capacity(table.columns.len());
            for column in &table.columns {
                cells.push(cut.cell(column.kind)?);
            }
            let insert = query(table.insert()).bind_all(cells);
            insert.execute(db).await.map_err(|fault| match fault {
                // The database refuses what its rules do not allow.
                Fault::Sql(sql) if is_refusal(&sql) => bad(format!(
                    "a row of {} at part {number} that breaks a rule of the records",
                    table.name
                )),
                other => other,
            })?;
            self.copied.rows += 1;
        }
        cut.is_over()
    }

    fn file(&mut self, mut body: Vec<u8>, number: u64) -> Result<Incoming, Fault> {
        let content = Cut::of(&body, number).content()?;
        body.drain(..64);
        let file = Incoming::of(body);
        if file.content != content || !self.contents.insert(content) {
            return Err(bad(format!(
                "a file at part {number} that is not what it is named by, or comes twice"
            )));
        }
        self.copied.files += 1;
        Ok(file)
    }

    fn end(&self, body: &[u8]) -> Result<(), Fault> {
        let mut cut = Cut::of(body, 0);
        let counts = [cut.array()?, cut.array()?].map(u64::from_le_bytes);
        if counts != [self.copied.rows, self.copied.files] || !self.waiting.is_empty() {
            return Err(bad("fewer tables, rows or files than it says"));
        }
        Ok(())
    }
}

fn is_refusal(error: &sqlx::Error) -> bool {
    error.as_database_error().is_some_and(|database| {
        use sqlx::error::ErrorKind::Other;
        !matches!(database.kind(), Other)
    })
}
