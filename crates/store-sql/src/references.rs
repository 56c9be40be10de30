//! Does every entry that names another one name one that is there, on PostgreSQL?
//!
//! The server holds references itself; a privileged hand can switch that off, so `verify` looks. Which
//! references there are is asked of the database.

use crate::db::{Db, query};
use crate::fault::Fault;
use sqlx::AssertSqlSafe;

pub async fn broken(db: &mut Db) -> Result<Vec<String>, Fault> {
    // Names come quoted from the server.
    let rows = query(
        "SELECT c.conrelid::regclass::text, c.confrelid::regclass::text,
                (SELECT string_agg(format('child.%I = parent.%I', a.attname, b.attname), ' AND ' ORDER BY n)
                 FROM unnest(c.conkey, c.confkey) WITH ORDINALITY AS pair (ours, theirs, n)
                 JOIN pg_attribute AS a ON a.attrelid = c.conrelid AND a.attnum = pair.ours
                 JOIN pg_attribute AS b ON b.attrelid = c.confrelid AND b.attnum = pair.theirs),
                (SELECT string_agg(format('child.%I IS NOT NULL', a.attname), ' AND ')
                 FROM unnest(c.conkey) AS key (ours)
                 JOIN pg_attribute AS a ON a.attrelid = c.conrelid AND a.attnum = key.ours)
         FROM pg_constraint AS c
         WHERE c.contype = 'f' AND c.connamespace = current_schema()::regnamespace
         ORDER BY c.conname",
    )
    .fetch_all(db)
    .await?;
    let mut faults = Vec::new();
    for row in rows {
        let [child, parent, fits, whole] =
            [row.text(0)?, row.text(1)?, row.text(2)?, row.text(3)?].map(Option::unwrap_or_default);
        let lost = query(AssertSqlSafe(format!(
            "SELECT count(*) FROM {child} AS child WHERE {whole}
               AND NOT EXISTS (SELECT 1 FROM {parent} AS parent WHERE {fits})"
        )))
        .number(db)
        .await?;
        for _ in 0..lost {
            faults.push(format!(
                "found an entry of {child} that names one of {parent} which is not there; restore the last backup"
            ));
        }
    }
    Ok(faults)
}
