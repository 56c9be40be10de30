//! How does a change happen whole or not at all, with its journal entry?
//!
//! Every change runs as a task of its own: a browser that hangs up in the middle does not stop
//! it. `BEGIN IMMEDIATE` takes the write lock at once, so that what a step reads cannot be changed
//! under it. BEGIN, COMMIT and ROLLBACK are sent as plain statements: after a full disk SQLite may
//! have rolled back by itself, and a second ROLLBACK that fails must not confuse the connection's
//! book-keeping.

use crate::fault::Fault;
use crate::{SqliteStore, journal, trail};
use record::{ActKind, Stamp, Subject};
use sqlx::pool::PoolConnection;
use sqlx::sqlite::SqlitePool;
use sqlx::{Connection, Sqlite, SqliteConnection};
use std::future::Future;
use std::pin::Pin;
use store::StoreError;

/// A step of an act on the open transaction.
pub type Step<'c, T> = Pin<Box<dyn Future<Output = Result<T, Fault>> + Send + 'c>>;

/// What the journal will say of an act.
pub struct Entry {
    pub kind: ActKind,
    pub on: Subject,
    /// Without personal data.
    pub summary: String,
}

impl Entry {
    pub fn new(kind: ActKind, on: Subject) -> Self {
        Self {
            kind,
            on,
            summary: kind.words().into(),
        }
    }

    pub fn saying(kind: ActKind, on: Subject, more: impl std::fmt::Display) -> Self {
        Self {
            kind,
            on,
            summary: format!("{}: {more}", kind.words()),
        }
    }
}

impl SqliteStore {
    /// Runs the step and writes its entry in one transaction.
    pub(crate) async fn act<T, F>(&self, stamp: Stamp, step: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut SqliteConnection) -> Step<'c, (Entry, T)> + Send + 'static,
    {
        let writer = self.writer.clone();
        let done = tokio::spawn(async move {
            in_transaction(&writer, async move |db| {
                let (entry, answer) = step(&mut *db).await?;
                journal::add(&mut *db, stamp, &entry).await?;
                trail::add_act(&mut *db, stamp, &entry).await?;
                Ok(answer)
            })
            .await
        });
        self.ended(done.await, "save")
    }

    pub(crate) fn ended<T>(
        &self,
        done: Result<Result<T, Fault>, tokio::task::JoinError>,
        doing: &'static str,
    ) -> Result<T, StoreError> {
        match done {
            Ok(done) => done.map_err(|fault| fault.said(&self.folder, doing)),
            Err(broken) => Err(StoreError::Failed {
                doing,
                detail: if broken.is_panic() {
                    "a fault in the program"
                } else {
                    "stopping"
                }
                .into(),
            }),
        }
    }
}

/// Runs the step whole or not at all, on the one writing connection.
pub(crate) async fn in_transaction<T>(
    writer: &SqlitePool,
    step: impl AsyncFnOnce(&mut SqliteConnection) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let mut hand = Hand {
        connection: writer.acquire().await?,
        whole: false,
    };
    let done = whole_or_not(&mut hand.connection, step).await;
    hand.whole = done.is_ok() || ended(&mut hand.connection).await;
    done
}

async fn whole_or_not<T>(
    connection: &mut SqliteConnection,
    step: impl AsyncFnOnce(&mut SqliteConnection) -> Result<T, Fault>,
) -> Result<T, Fault> {
    sqlx::query("BEGIN IMMEDIATE")
        .execute(&mut *connection)
        .await?;
    let answer = step(&mut *connection).await?;
    sqlx::query("COMMIT").execute(&mut *connection).await?;
    Ok(answer)
}

/// Rolls back after a failure. True where the connection can be used again.
async fn ended(connection: &mut SqliteConnection) -> bool {
    // Fails with 'no transaction is active' where SQLite rolled back by itself: just as good.
    let _ = sqlx::query("ROLLBACK").execute(&mut *connection).await;
    connection.ping().await.is_ok()
        && sqlx::query("BEGIN").execute(&mut *connection).await.is_ok()
        && sqlx::query("ROLLBACK")
            .execute(&mut *connection)
            .await
            .is_ok()
}

/// The writing connection; thrown away unless its transaction is known to have ended.
struct Hand {
    connection: PoolConnection<Sqlite>,
    whole: bool,
}

impl Drop for Hand {
    fn drop(&mut self) {
        if !self.whole {
            self.connection.close_on_drop();
        }
    }
}
