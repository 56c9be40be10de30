//! Which tables are there, with which columns, in whichever database?
//!
//! Asked of the database itself, so that a table that is added later is in every copy without being named
//! here. Columns and keys are sorted by name: the order in which a layout grew differs between databases.

use crate::db::{Db, Dialect, Row, Value, query};
use crate::fault::{Fault, damaged};
use sqlx::AssertSqlSafe;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Number,
    Text,
    Bytes,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    pub name: String,
    pub kind: Kind,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    pub name: String,
    pub columns: Vec<Column>,
    pub key: Vec<String>,
}

/// The names of [`all`].
pub async fn names(db: &mut Db) -> Result<Vec<String>, Fault> {
    query(db.word(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND substr(name, 1, 7) <> 'sqlite_'
           AND name <> '_sqlx_migrations' ORDER BY name",
        "SELECT table_name::text FROM information_schema.tables
         WHERE table_schema = current_schema() AND table_type = 'BASE TABLE'
           AND table_name NOT IN ('tiebeam', '_sqlx_migrations') ORDER BY table_name::text COLLATE \"C\"",
    ))
    .texts(db)
    .await
}

/// Every table of records, by name; without what a database keeps about its own layout.
pub async fn all(db: &mut Db) -> Result<Vec<Table>, Fault> {
    let mut tables = Vec::new();
    for name in names(db).await? {
        let rows = query(db.word(
            "SELECT name, lower(type) FROM pragma_table_info($1) ORDER BY name",
            "SELECT column_name::text, data_type::text FROM information_schema.columns
             WHERE table_schema = current_schema() AND table_name = $1
             ORDER BY column_name::text COLLATE \"C\"",
        ))
        .bind(&name)
        .fetch_all(db)
        .await?;
        let columns: Vec<Column> = rows
            .iter()
            .map(|row| column(&name, row))
            .collect::<Result<_, _>>()?;
        let key = query(db.word(
            "SELECT name FROM pragma_table_info($1) WHERE pk > 0 ORDER BY name",
            "SELECT a.attname::text FROM pg_index AS i
             JOIN pg_attribute AS a ON a.attrelid = i.indrelid AND a.attnum = ANY (i.indkey)
             WHERE i.indrelid = to_regclass(quote_ident($1)) AND i.indisprimary
             ORDER BY a.attname::text COLLATE \"C\"",
        ))
        .bind(&name)
        .texts(db)
        .await?;
        // A table without a key is ordered by all it has.
        let key = match key.is_empty() {
            true => columns.iter().map(|c| c.name.clone()).collect(),
            false => key,
        };
        tables.push(Table { name, columns, key });
    }
    Ok(tables)
}

fn column(table: &str, row: &Row) -> Result<Column, Fault> {
    let name = row.text(0)?.unwrap_or_default();
    let kind = match row.text(1)?.unwrap_or_default().as_str() {
        "integer" | "bigint" => Kind::Number,
        "text" => Kind::Text,
        "blob" | "bytea" => Kind::Bytes,
        _ => {
            let detail = format!("{table}.{name} is neither text nor number nor bytes");
            return Err(damaged("the records' layout", detail).into());
        }
    };
    Ok(Column { name, kind })
}

/// Its rows are there for a while, can be made again, and are in no copy.
pub const PASSING: &str = "export_file";

impl Table {
    /// Are its rows in a copy?
    pub fn lasts(&self) -> bool {
        self.name != PASSING
    }

    fn names(&self) -> String {
        let quoted: Vec<String> = self.columns.iter().map(|c| quoted(&c.name)).collect();
        quoted.join(", ")
    }

    /// All rows in the order of their key.
    pub fn select(&self) -> AssertSqlSafe<String> {
        let key: Vec<String> = self.key.iter().map(|k| quoted(k)).collect();
        AssertSqlSafe(format!(
            "SELECT {} FROM {} ORDER BY {}",
            self.names(),
            quoted(&self.name),
            key.join(", ")
        ))
    }

    pub fn insert(&self) -> AssertSqlSafe<String> {
        let places: Vec<String> = (1..=self.columns.len()).map(|n| format!("${n}")).collect();
        AssertSqlSafe(format!(
            "INSERT INTO {} ({}) VALUES ({})",
            quoted(&self.name),
            self.names(),
            places.join(", ")
        ))
    }

    pub fn count(&self) -> AssertSqlSafe<String> {
        AssertSqlSafe(format!("SELECT count(*) FROM {}", quoted(&self.name)))
    }

    /// The cells of a row of [`Table::select`].
    pub fn cells(&self, row: &Row) -> Result<Vec<Value>, Fault> {
        let kinds: Vec<Kind> = self.columns.iter().map(|c| c.kind).collect();
        values(row, &kinds)
    }
}

/// The cells of a row whose columns are of these kinds.
pub fn values(row: &Row, kinds: &[Kind]) -> Result<Vec<Value>, Fault> {
    let mut cells = Vec::with_capacity(kinds.len());
    for (n, kind) in kinds.iter().enumerate() {
        cells.push(match kind {
            Kind::Number => Value::Number(row.number(n)?),
            Kind::Text => Value::Text(row.text(n)?),
            Kind::Bytes => Value::Bytes(row.bytes(n)?),
        });
    }
    Ok(cells)
}

/// As a name in a statement.
pub fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// What the tables' triggers do while rows are put back as they were: nothing.
pub struct Stilled {
    /// On SQLite the statements that make the triggers again.
    again: Vec<String>,
}

/// Inside a transaction. References are checked when [`wake`] is called.
pub async fn still(tables: &[Table], db: &mut Db) -> Result<Stilled, Fault> {
    let mut again = Vec::new();
    match db.speaks() {
        Dialect::Sqlite => {
            crate::db::run("PRAGMA defer_foreign_keys = ON", db).await?;
            let rows = query("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
                .fetch_all(db)
                .await?;
            for row in rows {
                let name = row.text(0)?.unwrap_or_default();
                again.push(row.text(1)?.unwrap_or_default());
                let drop = format!("DROP TRIGGER {}", quoted(&name));
                crate::db::run(AssertSqlSafe(drop), db).await?;
            }
        }
        Dialect::Postgres => {
            crate::db::run("SET LOCAL idle_in_transaction_session_timeout = 0", db).await?;
            crate::db::run("SET CONSTRAINTS ALL DEFERRED", db).await?;
            for table in tables {
                let off = format!("ALTER TABLE {} DISABLE TRIGGER USER", quoted(&table.name));
                crate::db::run(AssertSqlSafe(off), db).await?;
            }
        }
    }
    Ok(Stilled { again })
}

pub async fn wake(stilled: Stilled, tables: &[Table], db: &mut Db) -> Result<(), Fault> {
    for trigger in stilled.again {
        crate::db::run(AssertSqlSafe(trigger), db).await?;
    }
    if db.speaks() == Dialect::Postgres {
        // Looks at every reference now: a table with checks still to come cannot be altered.
        crate::db::run("SET CONSTRAINTS ALL IMMEDIATE", db).await?;
        for table in tables {
            let on = format!("ALTER TABLE {} ENABLE TRIGGER USER", quoted(&table.name));
            crate::db::run(AssertSqlSafe(on), db).await?;
        }
        count_on(db).await?;
    }
    Ok(())
}

/// Numbers that the database gives go on behind those that were put back.
async fn count_on(db: &mut Db) -> Result<(), Fault> {
    let rows = query(
        "SELECT table_name::text, column_name::text FROM information_schema.columns
         WHERE table_schema = current_schema() AND is_identity = 'YES'",
    )
    .fetch_all(db)
    .await?;
    for row in rows {
        let [table, column] = [row.text(0)?, row.text(1)?].map(Option::unwrap_or_default);
        let next = format!(
            "SELECT setval(pg_get_serial_sequence($1, $2), coalesce(max({}), 0) + 1, false) FROM {}",
            quoted(&column),
            quoted(&table)
        );
        query(AssertSqlSafe(next))
            .bind(quoted(&table))
            .bind(column)
            .number(db)
            .await?;
    }
    Ok(())
}
