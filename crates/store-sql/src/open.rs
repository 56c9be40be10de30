//! What is an open store made of, and how is it asked?

use crate::act::{Hand, ended, snapshot};
use crate::db::{Db, Pool, query};
use crate::fault::{Fault, Place};
use crate::lock::FolderLock;
use crate::shelf::Shelf;
use crate::trail::Notebook;
use record::ContentHash;
use sqlx::migrate::MigrateError;
use std::sync::Arc;
use store::StoreError;
use tokio::sync::Mutex;

/// A practice's records and files, open.
#[derive(Debug, Clone)]
pub struct SqlStore {
    pub(crate) place: Place,
    /// One connection: acts queue for it.
    pub(crate) writer: Pool,
    pub(crate) readers: Pool,
    pub(crate) shelf: Shelf,
    pub(crate) file_turn: Arc<Mutex<()>>,
    pub(crate) notebook: Notebook,
    pub(crate) notes: Arc<Vec<String>>,
    /// Where the data lie in a folder that must be ours alone.
    pub(crate) _lock: Option<Arc<FolderLock>>,
}

impl SqlStore {
    /// What the start found and put in order, a sentence each; to be shown once.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Waits for the acts in hand and, of a record file, folds the write-ahead log into it. A store that
    /// is dropped instead is just as safe, its next start a little slower.
    pub async fn close(&self) {
        let _turn = self.file_turn.lock().await;
        self.readers.close().await;
        self.writer.close().await;
    }

    pub(crate) async fn read<T>(
        &self,
        ask: impl AsyncFnOnce(&mut Db) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        let said = |fault: Fault| fault.said(&self.place, "read");
        let mut db = self.readers.acquire().await.map_err(said)?;
        ask(&mut db).await.map_err(said)
    }

    /// The same, with everything that is read of one moment.
    pub(crate) async fn read_at_once<T>(
        &self,
        ask: impl AsyncFnOnce(&mut Db) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        let said = |fault: Fault| fault.said(&self.place, "read");
        let mut hand = Hand::of(self.readers.acquire().await.map_err(said)?);
        snapshot(&mut hand.db).await.map_err(said)?;
        let answer = ask(&mut hand.db).await;
        hand.whole = ended(&mut hand.db).await;
        answer.map_err(said)
    }

    pub(crate) async fn bytes(&self, content: ContentHash) -> Result<Vec<u8>, StoreError> {
        self.shelf.get(content).await
    }
}

/// The number of the layout that the records have.
pub async fn layout(db: &mut Db) -> Result<i64, Fault> {
    let ask = db.word("PRAGMA user_version", "SELECT layout FROM tiebeam");
    query(ask).number(db).await
}

/// A layout that was cut off, or written by another hand, is damage.
pub fn of_migration(error: MigrateError) -> Fault {
    use crate::fault::damaged;
    match error {
        MigrateError::Execute(sql) | MigrateError::ExecuteMigration(sql, _) => Fault::Sql(sql),
        other => damaged("the records' layout", other.to_string()).into(),
    }
}
