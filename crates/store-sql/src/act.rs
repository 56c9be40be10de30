//! How does a change happen whole or not at all, with its journal entry?
//!
//! Every change runs as a task of its own: a browser that hangs up in the middle does not stop
//! it. The write lock is taken first, so that what a step reads cannot be changed under it: on SQLite by
//! `BEGIN IMMEDIATE`, on PostgreSQL by a lock of the database that every act of every server takes and
//! that ends with its transaction. BEGIN, COMMIT and ROLLBACK are sent as plain statements: after a full disk SQLite may
//! have rolled back by itself, and a second ROLLBACK that fails must not confuse the connection's
//! book-keeping.

use crate::db::{Db, Dialect, Pool, run};
use crate::fault::Fault;
use crate::{SqlStore, journal, trail};
use record::{ActKind, Stamp, Subject};
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

impl SqlStore {
    /// Runs the step and writes its entry in one transaction.
    pub(crate) async fn act<T, F>(&self, stamp: Stamp, step: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Db) -> Step<'c, (Entry, T)> + Send + 'static,
    {
        let writer = self.writer.clone();
        let done = tokio::spawn(async move {
            in_transaction(&writer, async move |db| {
                let (entry, answer) = step(&mut *db).await?;
                let number = journal::add(&mut *db, stamp, &entry).await?;
                trail::add_act(&mut *db, number, stamp, &entry).await?;
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
            Ok(done) => done.map_err(|fault| fault.said(&self.place, doing)),
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

/// Runs the step whole or not at all, alone with the database.
pub(crate) async fn in_transaction<T>(
    writer: &Pool,
    step: impl AsyncFnOnce(&mut Db) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let mut hand = Hand::of(writer.acquire().await?);
    let done = whole_or_not(&mut hand.db, step).await;
    hand.whole = done.is_ok() || ended(&mut hand.db).await;
    done
}

async fn whole_or_not<T>(
    db: &mut Db,
    step: impl AsyncFnOnce(&mut Db) -> Result<T, Fault>,
) -> Result<T, Fault> {
    begin(db).await?;
    let answer = step(&mut *db).await?;
    run("COMMIT", db).await?;
    Ok(answer)
}

/// Alone with the database until the transaction ends.
pub async fn begin(db: &mut Db) -> Result<(), Fault> {
    match db.speaks() {
        Dialect::Sqlite => run("BEGIN IMMEDIATE", db).await,
        // 'TIEBACTS'. Each statement after the lock sees all that was confirmed before it.
        Dialect::Postgres => {
            run("BEGIN ISOLATION LEVEL READ COMMITTED", db).await?;
            run("SELECT pg_advisory_xact_lock(6073461723350914131)", db).await
        }
    }
}

/// Whatever is read until the transaction ends is of one moment.
pub async fn snapshot(db: &mut Db) -> Result<(), Fault> {
    let begin = db.word("BEGIN", "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
    run(begin, db).await
}

/// Rolls back after a failure. True where the connection can be used again.
pub async fn ended(db: &mut Db) -> bool {
    // Fails with 'no transaction is active' where SQLite rolled back by itself: just as good.
    let _ = run("ROLLBACK", db).await;
    db.is_alive().await && run("BEGIN", db).await.is_ok() && run("ROLLBACK", db).await.is_ok()
}

/// A connection that may be in a transaction; thrown away unless that is known to have ended.
pub struct Hand {
    pub db: Db,
    pub whole: bool,
}

impl Hand {
    pub fn of(db: Db) -> Self {
        Self { db, whole: false }
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        if !self.whole {
            self.db.close_on_drop();
        }
    }
}
