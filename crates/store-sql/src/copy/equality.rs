//! Do two stores hold the same?

use super::stream::{add_cell, table_bytes};
use crate::act::{Hand, snapshot};
use crate::db::{Db, query, run};
use crate::fault::Fault;
use crate::tables;
use crate::{SqlStore, verify};
use record::ContentHash;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use store::StoreError;

type TableDigest = (u64, [u8; 32]);

/// One sentence for each table and each file in which the two differ; empty where they hold the same.
/// Every file is read in both.
///
/// # Errors
/// Whatever reading fails with; a damaged file is a difference and no error.
pub async fn equality(one: &SqlStore, other: &SqlStore) -> Result<Vec<String>, StoreError> {
    let (mut left, left_files) = digests(one).await?;
    let (mut right, right_files) = digests(other).await?;
    let mut off = Vec::new();
    let names: BTreeSet<String> = left.keys().chain(right.keys()).cloned().collect();
    for name in names {
        let (left, right) = (left.remove(&name), right.remove(&name));
        if left == right {
            continue;
        }
        let rows = |digest: Option<TableDigest>| match digest {
            Some((rows, _)) => format!("{rows} rows"),
            None => "no such table".into(),
        };
        off.push(format!(
            "found the table {name} different: {} here and {} there; expected the same rows",
            rows(left),
            rows(right)
        ));
    }
    for content in left_files.union(&right_files) {
        let both = [one.bytes(*content).await, other.bytes(*content).await];
        // Bytes that come back have the hash they are named by.
        if both.iter().any(Result::is_err) {
            off.push(format!(
                "found the file {content} missing or changed in one of the two; expected it whole in both"
            ));
        }
    }
    Ok(off)
}

async fn digests(
    store: &SqlStore,
) -> Result<(BTreeMap<String, TableDigest>, BTreeSet<ContentHash>), StoreError> {
    let said = |fault: Fault| fault.said(&store.place, "compare");
    let mut hand = Hand::of(store.readers.acquire().await.map_err(said)?);
    let done = of_tables(&mut hand.db).await;
    hand.whole = done.is_ok();
    done.map_err(said)
}

async fn of_tables(
    db: &mut Db,
) -> Result<(BTreeMap<String, TableDigest>, BTreeSet<ContentHash>), Fault> {
    snapshot(db).await?;
    let mut digests = BTreeMap::new();
    for table in tables::all(db)
        .await?
        .into_iter()
        .filter(tables::Table::lasts)
    {
        let (mut rows, mut digest) = (0, Sha256::new_with_prefix(table_bytes(&table)));
        query(table.select())
            .each(db, |row| {
                let mut bytes = Vec::new();
                for cell in &table.cells(&row)? {
                    add_cell(&mut bytes, cell)?;
                }
                digest.update(bytes);
                rows += 1;
                Ok(())
            })
            .await?;
        digests.insert(table.name, (rows, digest.finalize().into()));
    }
    let files = verify::lasting_files(db).await?;
    run("COMMIT", db).await?;
    Ok((digests, files))
}
