//! How is everything written as one stream?

use super::Copied;
use super::stream::{Part, ROWS, Writer, add_cell, table_bytes};
use crate::act::{Hand, snapshot};
use crate::db::{Db, query, run};
use crate::fault::Fault;
use crate::tables::{self, Table};
use crate::{SqlStore, open, verify};
use record::ContentHash;
use std::collections::BTreeSet;
use std::io::Write;
use store::StoreError;

/// Writes all rows of one moment and every file they name. Acts go on meanwhile and are not in it.
///
/// # Errors
/// A file that is damaged or missing: a copy holds everything or is none. Whatever reading and writing
/// fails with.
pub async fn dump(store: &SqlStore, out: &mut (dyn Write + Send)) -> Result<Copied, StoreError> {
    let done = whole(store, out).await;
    done.map_err(|fault| fault.said(&store.place, "write the copy"))
}

async fn whole(store: &SqlStore, out: &mut (dyn Write + Send)) -> Result<Copied, Fault> {
    let mut hand = Hand::of(store.readers.acquire().await?);
    snapshot(&mut hand.db).await?;
    let layout = open::layout(&mut hand.db).await?;
    let mut writer = Writer::begin(out, layout)?;
    let mut copied = Copied::default();
    for table in tables::all(&mut hand.db).await? {
        copied.tables += 1;
        copied.rows += rows(&table, &mut writer, &mut hand.db).await?;
    }
    let named = verify::lasting_files(&mut hand.db).await?;
    run("COMMIT", &mut hand.db).await?;
    hand.whole = true;
    drop(hand);
    copied.files = files(store, &named, &mut writer).await?;
    writer.end(copied.rows, copied.files)?;
    Ok(copied)
}

async fn rows(table: &Table, writer: &mut Writer<'_>, db: &mut Db) -> Result<u64, Fault> {
    writer.part(Part::Table, &[&table_bytes(table)])?;
    if !table.lasts() {
        return Ok(0);
    }
    let (mut all, mut count, mut body) = (0, 0_u32, Vec::new());
    let flush = |count: &mut u32, body: &mut Vec<u8>, writer: &mut Writer<'_>| {
        let done = match count {
            0 => Ok(()),
            _ => writer.part(Part::Rows, &[&count.to_le_bytes(), body]),
        };
        (*count, *body) = (0, Vec::new());
        done
    };
    query(table.select())
        .each(db, |row| {
            for cell in &table.cells(&row)? {
                add_cell(&mut body, cell)?;
            }
            (all, count) = (all + 1, count + 1);
            match body.len() {
                0..ROWS => Ok(()),
                _ => flush(&mut count, &mut body, writer),
            }
        })
        .await?;
    flush(&mut count, &mut body, writer)?;
    Ok(all)
}

async fn files(
    store: &SqlStore,
    named: &BTreeSet<ContentHash>,
    writer: &mut Writer<'_>,
) -> Result<u64, Fault> {
    for content in named {
        let bytes = store.shelf.get(*content).await?;
        writer.part(Part::File, &[content.to_string().as_bytes(), &bytes])?;
    }
    Ok(named.len() as u64)
}
