//! How does one statement reach either database?
//!
//! Statements are written once, with `$1`; what is bound and what comes back is text, whole numbers or
//! bytes. A flag is 0 or 1. Where the two databases have no common word, the caller asks [`Db::speaks`].
//!
//! PostgreSQL cannot keep the character zero in a text; so that no backend keeps what another could not,
//! both refuse it here.

use crate::fault::Fault;
use futures_util::TryStreamExt;
use record::BadRecord;
use sqlx::pool::PoolConnection;
use sqlx::postgres::PgRow;
use sqlx::sqlite::SqliteRow;
use sqlx::{Column, Connection, Postgres, Row as _, SqlSafeStr, SqlStr, Sqlite, TypeInfo};
use sqlx::{PgPool, SqlitePool};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dialect {
    Sqlite,
    Postgres,
}

/// One connection, on loan from its pool.
pub enum Db {
    Sqlite(PoolConnection<Sqlite>),
    Postgres(PoolConnection<Postgres>),
}

#[derive(Debug, Clone)]
pub enum Pool {
    Sqlite(SqlitePool),
    Postgres(PgPool),
}

impl Pool {
    pub async fn acquire(&self) -> Result<Db, Fault> {
        Ok(match self {
            Pool::Sqlite(pool) => Db::Sqlite(pool.acquire().await?),
            Pool::Postgres(pool) => Db::Postgres(pool.acquire().await?),
        })
    }

    pub async fn close(&self) {
        match self {
            Pool::Sqlite(pool) => pool.close().await,
            Pool::Postgres(pool) => pool.close().await,
        }
    }
}

impl Db {
    pub fn speaks(&self) -> Dialect {
        match self {
            Db::Sqlite(_) => Dialect::Sqlite,
            Db::Postgres(_) => Dialect::Postgres,
        }
    }

    /// The word for this database, where the two have no common one.
    pub fn word<T>(&self, sqlite: T, postgres: T) -> T {
        match self.speaks() {
            Dialect::Sqlite => sqlite,
            Dialect::Postgres => postgres,
        }
    }

    pub async fn is_alive(&mut self) -> bool {
        match self {
            Db::Sqlite(db) => db.ping().await.is_ok(),
            Db::Postgres(db) => db.ping().await.is_ok(),
        }
    }

    /// Not given back to its pool, but closed, when it is dropped.
    pub fn close_on_drop(&mut self) {
        match self {
            Db::Sqlite(db) => db.close_on_drop(),
            Db::Postgres(db) => db.close_on_drop(),
        }
    }
}

/// What is bound to a statement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    Text(Option<String>),
    Number(Option<i64>),
    Bytes(Option<Vec<u8>>),
}

impl Value {
    pub fn is_none(&self) -> bool {
        matches!(
            self,
            Value::Text(None) | Value::Number(None) | Value::Bytes(None)
        )
    }
}

macro_rules! value_of {
    ($($from:ty, $value:ident => $made:expr;)+) => {
        $(impl From<$from> for Value {
            fn from($value: $from) -> Self {
                $made
            }
        })+
    };
}

value_of! {
    String, t => Value::Text(Some(t));
    &String, t => Value::Text(Some(t.clone()));
    &str, t => Value::Text(Some(t.to_owned()));
    Option<String>, t => Value::Text(t);
    &Option<String>, t => Value::Text(t.clone());
    Option<&str>, t => Value::Text(t.map(str::to_owned));
    i64, n => Value::Number(Some(n));
    u32, n => Value::Number(Some(i64::from(n)));
    u8, n => Value::Number(Some(i64::from(n)));
    bool, flag => Value::Number(Some(i64::from(flag)));
    Option<i64>, n => Value::Number(n);
    Vec<u8>, bytes => Value::Bytes(Some(bytes));
}

/// A statement with what is bound to it.
pub struct Query {
    sql: SqlStr,
    values: Vec<Value>,
}

pub fn query(sql: impl SqlSafeStr) -> Query {
    Query {
        sql: sql.into_sql_str(),
        values: Vec::new(),
    }
}

macro_rules! bound {
    ($query:expr) => {{
        let mut bound = sqlx::query($query.sql);
        for value in $query.values {
            bound = match value {
                Value::Text(text) => bound.bind(text),
                Value::Number(number) => bound.bind(number),
                Value::Bytes(bytes) => bound.bind(bytes),
            };
        }
        bound
    }};
}

impl Query {
    pub fn bind(mut self, value: impl Into<Value>) -> Self {
        self.values.push(value.into());
        self
    }

    pub fn bind_all(mut self, values: impl IntoIterator<Item = Value>) -> Self {
        self.values.extend(values);
        self
    }

    fn check(&self) -> Result<(), Fault> {
        let zero = |value: &Value| matches!(value, Value::Text(Some(text)) if text.contains('\0'));
        if self.values.iter().any(zero) {
            let found = "the character zero";
            return Err(BadRecord::new("a text", found, "letters, digits and signs").into());
        }
        Ok(())
    }

    /// Answers with the number of rows that were touched.
    pub async fn execute(self, db: &mut Db) -> Result<u64, Fault> {
        self.check()?;
        Ok(match db {
            Db::Sqlite(db) => bound!(self).execute(&mut **db).await?.rows_affected(),
            Db::Postgres(db) => bound!(self).execute(&mut **db).await?.rows_affected(),
        })
    }

    pub async fn fetch_all(self, db: &mut Db) -> Result<Vec<Row>, Fault> {
        self.check()?;
        Ok(match db {
            Db::Sqlite(db) => {
                let rows: Vec<SqliteRow> = bound!(self).fetch_all(&mut **db).await?;
                rows.into_iter().map(Row::Sqlite).collect()
            }
            Db::Postgres(db) => {
                let rows: Vec<PgRow> = bound!(self).fetch_all(&mut **db).await?;
                rows.into_iter().map(Row::Postgres).collect()
            }
        })
    }

    pub async fn fetch_optional(self, db: &mut Db) -> Result<Option<Row>, Fault> {
        self.check()?;
        Ok(match db {
            Db::Sqlite(db) => bound!(self)
                .fetch_optional(&mut **db)
                .await?
                .map(Row::Sqlite),
            Db::Postgres(db) => bound!(self)
                .fetch_optional(&mut **db)
                .await?
                .map(Row::Postgres),
        })
    }

    pub async fn fetch_one(self, db: &mut Db) -> Result<Row, Fault> {
        match self.fetch_optional(db).await? {
            Some(row) => Ok(row),
            None => Err(sqlx::Error::RowNotFound.into()),
        }
    }

    /// Row after row, without holding all of them at once.
    pub async fn each(
        self,
        db: &mut Db,
        mut take: impl FnMut(Row) -> Result<(), Fault>,
    ) -> Result<(), Fault> {
        self.check()?;
        match db {
            Db::Sqlite(db) => {
                let mut rows = bound!(self).fetch(&mut **db);
                while let Some(row) = rows.try_next().await? {
                    take(Row::Sqlite(row))?;
                }
            }
            Db::Postgres(db) => {
                let mut rows = bound!(self).fetch(&mut **db);
                while let Some(row) = rows.try_next().await? {
                    take(Row::Postgres(row))?;
                }
            }
        }
        Ok(())
    }

    /// The first column of the only row.
    pub async fn number(self, db: &mut Db) -> Result<i64, Fault> {
        self.number_if_any(db)
            .await?
            .ok_or_else(|| sqlx::Error::RowNotFound.into())
    }

    pub async fn number_if_any(self, db: &mut Db) -> Result<Option<i64>, Fault> {
        match self.fetch_optional(db).await? {
            Some(row) => Ok(row.number(0)?),
            None => Ok(None),
        }
    }

    /// The first column of every row.
    pub async fn texts(self, db: &mut Db) -> Result<Vec<String>, Fault> {
        let rows = self.fetch_all(db).await?;
        rows.iter()
            .map(|row| row.text(0)?.ok_or_else(|| sqlx::Error::RowNotFound.into()))
            .collect()
    }
}

/// Statements without anything bound, more than one at once.
pub async fn run(sql: impl SqlSafeStr, db: &mut Db) -> Result<(), Fault> {
    let sql = sqlx::raw_sql(sql);
    match db {
        Db::Sqlite(db) => sql.execute(&mut **db).await.map(drop)?,
        Db::Postgres(db) => sql.execute(&mut **db).await.map(drop)?,
    }
    Ok(())
}

pub enum Row {
    Sqlite(SqliteRow),
    Postgres(PgRow),
}

/// A column by its name or its place.
pub trait Which: sqlx::ColumnIndex<SqliteRow> + sqlx::ColumnIndex<PgRow> + Copy {}
impl<P: sqlx::ColumnIndex<SqliteRow> + sqlx::ColumnIndex<PgRow> + Copy> Which for P {}

impl Row {
    pub fn text(&self, column: impl Which) -> Result<Option<String>, sqlx::Error> {
        match self {
            Row::Sqlite(row) => row.try_get(column),
            Row::Postgres(row) => row.try_get(column),
        }
    }

    pub fn bytes(&self, column: impl Which) -> Result<Option<Vec<u8>>, sqlx::Error> {
        match self {
            Row::Sqlite(row) => row.try_get(column),
            Row::Postgres(row) => row.try_get(column),
        }
    }

    /// A whole number of any width, or a flag.
    pub fn number(&self, column: impl Which) -> Result<Option<i64>, sqlx::Error> {
        match self {
            Row::Sqlite(row) => row.try_get(column),
            Row::Postgres(row) => match row.try_column(column)?.type_info().name() {
                "BOOL" => Ok(row.try_get::<Option<bool>, _>(column)?.map(i64::from)),
                "INT4" => Ok(row.try_get::<Option<i32>, _>(column)?.map(i64::from)),
                _ => row.try_get(column),
            },
        }
    }
}
