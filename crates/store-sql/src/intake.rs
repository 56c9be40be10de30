//! How does a file get into the practice together with the record that names it?
//!
//! The file goes first: a record that names a file which is not there would be a loss, a file that no
//! record names is only moved aside at the next start. What is the same for everything that is taken in
//! from outside (films, scans) is written here once; each kind adds its own columns as an [`Import`].

use crate::SqlStore;
use crate::act::{Entry, Step};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::shelf::Incoming;
use crate::{people, visits};
use record::{ActKind, BadRecord, ContentHash, PatientId, Stamp, Subject, VisitId};
use sqlx::AssertSqlSafe;
use std::fmt::Display;
use store::StoreError;

/// A file from outside with what is known of it: one row of its kind's table, which has the columns
/// `seq`, `id`, `patient`, `visit` and `content`.
pub trait Import: Sized + Send + Sync + 'static {
    /// Also the word for one in a sentence.
    const TABLE: &'static str;
    /// With the article.
    const THIS: &'static str;
    const ITS_ID: &'static str;
    const TAKEN_IN: ActKind;
    const CHANGED: ActKind;
    type Id: Display + Copy + Send;

    fn id(&self) -> Self::Id;
    fn subject(&self) -> Subject;
    fn patient(&self) -> PatientId;
    fn visit(&self) -> VisitId;
    fn content(&self) -> ContentHash;
    fn check(&self) -> Result<(), BadRecord>;
    /// The same file, patient and visit, with the same name and nature.
    fn came_as(&self, before: &Self) -> bool;

    fn insert<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()>;
    /// May what is known of it change to this? Asked inside the act that changes it.
    fn check_change<'c>(&'c self, _before: &'c Self, _db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async { Ok(()) })
    }
    /// Writes what may change.
    fn update<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()>;
    fn read(row: &Row) -> Result<Self, Fault>;
}

impl SqlStore {
    pub(crate) async fn take_in<T: Import>(
        &self,
        stamp: Stamp,
        record: T,
        bytes: Vec<u8>,
    ) -> Result<(), StoreError> {
        record.check()?;
        let file = self.hashed(bytes).await?;
        if file.content != record.content() {
            let bad = BadRecord::new(T::THIS, "bytes with another hash", "the hash it names");
            return Err(bad.into());
        }
        self.with_files(stamp, vec![file], move |store| async move {
            store.keep_new(stamp, record).await
        })
        .await
    }

    async fn keep_new<T: Import>(&self, stamp: Stamp, record: T) -> Result<(), StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                if there::<T>(db, record.id()).await? {
                    return Err(StoreError::Taken { what: T::ITS_ID }.into());
                }
                check_patient(db, T::THIS, record.visit(), record.patient()).await?;
                record.insert(db).await?;
                Ok((Entry::new(T::TAKEN_IN, record.subject()), ()))
            })
        })
        .await
    }

    /// Changes what is known of it; the file and whose it is stay.
    pub(crate) async fn keep_known<T: Import>(
        &self,
        stamp: Stamp,
        record: T,
    ) -> Result<(), StoreError> {
        record.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let before: T = by_id(db, record.id()).await?;
                if !record.came_as(&before) {
                    let bad = BadRecord::new(
                        T::THIS,
                        "another file, patient or visit",
                        "those it was taken in with",
                    );
                    return Err(bad.into());
                }
                record.check_change(&before, db).await?;
                record.update(db).await?;
                Ok((Entry::new(T::CHANGED, record.subject()), ()))
            })
        })
        .await
    }

    /// Hashing a large file takes a while: not on the threads that answer.
    pub(crate) async fn hashed(&self, bytes: Vec<u8>) -> Result<Incoming, StoreError> {
        let hashed = tokio::task::spawn_blocking(move || Ok(Incoming::of(bytes))).await;
        self.ended(hashed, "take in the file")
    }

    /// Puts files in place, then keeps the record that names them; takes the files back where the
    /// record could not be kept. Runs to its end even when nobody waits for it.
    pub(crate) async fn with_files<T, F, R>(
        &self,
        stamp: Stamp,
        incoming: Vec<Incoming>,
        keep: F,
    ) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnOnce(SqlStore) -> R + Send + 'static,
        R: Future<Output = Result<T, StoreError>> + Send,
    {
        let store = self.clone();
        let done = tokio::spawn(async move {
            // One at a time: else one act could take back the file another has just named.
            let _turn = match store.shelf.takes_back() {
                true => Some(store.file_turn.clone().lock_owned().await),
                false => None,
            };
            let new = store.shelf.put_all(incoming, stamp.act).await?;
            let kept = keep(store.clone()).await;
            if kept.is_err() {
                store.shelf.take_back(new).await;
            }
            kept.map_err(Fault::Said)
        });
        self.ended(done.await, "write the file")
    }
}

/// What is kept at a visit belongs to the visit's patient.
pub async fn check_patient(
    db: &mut Db,
    this: &'static str,
    visit: VisitId,
    patient: PatientId,
) -> Result<(), Fault> {
    if visits::by_id(db, visit).await?.patient == patient {
        Ok(())
    } else {
        let found = "another patient than the visit's";
        Err(BadRecord::new(this, found, "the patient of the visit").into())
    }
}

async fn there<T: Import>(db: &mut Db, id: T::Id) -> Result<bool, Fault> {
    let table = T::TABLE;
    let found = query(AssertSqlSafe(format!(
        "SELECT count(*) FROM {table} WHERE id = $1"
    )))
    .bind(id.to_string())
    .number(db)
    .await?;
    Ok(found > 0)
}

pub async fn must_be_there<T: Import>(db: &mut Db, id: T::Id) -> Result<(), Fault> {
    if there::<T>(db, id).await? {
        Ok(())
    } else {
        Err(StoreError::missing(T::TABLE, id).into())
    }
}

pub async fn if_there<T: Import>(db: &mut Db, id: T::Id) -> Result<Option<T>, Fault> {
    let rows = rows_with(db, T::TABLE, "id", id.to_string()).await?;
    rows.first().map(T::read).transpose()
}

pub async fn by_id<T: Import>(db: &mut Db, id: T::Id) -> Result<T, Fault> {
    match if_there(db, id).await? {
        Some(found) => Ok(found),
        None => Err(StoreError::missing(T::TABLE, id).into()),
    }
}

/// In the order they were taken in, like the two below.
pub async fn of_visit<T: Import>(db: &mut Db, visit: VisitId) -> Result<Vec<T>, Fault> {
    visits::must_be_there(db, visit).await?;
    all_with(db, "visit", visit.to_string()).await
}

pub async fn of<T: Import>(db: &mut Db, patient: PatientId) -> Result<Vec<T>, Fault> {
    people::must_be_there(db, patient).await?;
    all_with(db, "patient", patient.to_string()).await
}

pub async fn with<T: Import>(db: &mut Db, content: ContentHash) -> Result<Vec<T>, Fault> {
    all_with(db, "content", content.to_string()).await
}

async fn all_with<T: Import>(
    db: &mut Db,
    column: &'static str,
    value: String,
) -> Result<Vec<T>, Fault> {
    let rows = rows_with(db, T::TABLE, column, value).await?;
    rows.iter().map(T::read).collect()
}

async fn rows_with(
    db: &mut Db,
    table: &'static str,
    column: &'static str,
    value: String,
) -> Result<Vec<Row>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT * FROM {table} WHERE {column} = $1 ORDER BY seq"
    )))
    .bind(value)
    .fetch_all(db)
    .await?;
    Ok(rows)
}
