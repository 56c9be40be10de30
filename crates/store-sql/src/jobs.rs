//! Jobs: asked for once, in one hand at a time, tried again, given up with a sentence.
//!
//! A taker never waits for another: on PostgreSQL a row that is being taken is passed over, on SQLite the
//! one writing connection decides.

use crate::SqlStore;
use crate::act::{Hand, ended};
use crate::cells::{Cells, json_text};
use crate::db::{Db, Row, Value, query, run};
use crate::fault::Fault;
use record::BadRecord;
use sqlx::AssertSqlSafe;
use std::pin::Pin;
use store::jobs::{Job, JobId, JobState, Jobs, Lease, NewJob, Progress, delay_after};
use store::{Answer, Saved, StoreError};
use time::OffsetDateTime;
use uuid::Uuid;

const MOST_LETTERS: usize = 200;

type Step<'c, T> = Pin<Box<dyn Future<Output = Result<T, Fault>> + Send + 'c>>;

impl SqlStore {
    /// A change that is no act: without a journal entry, and on a server without the lock of acts. Runs
    /// to its end even when nobody waits for it.
    async fn change<T, F>(&self, step: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Db) -> Step<'c, T> + Send + 'static,
    {
        let writer = self.writer.clone();
        let done = tokio::spawn(async move {
            let mut hand = Hand::of(writer.acquire().await?);
            let done = in_transaction(&mut hand.db, step).await;
            hand.whole = done.is_ok() || ended(&mut hand.db).await;
            done
        });
        self.ended(done.await, "save the job")
    }
}

async fn in_transaction<T, F>(db: &mut Db, step: F) -> Result<T, Fault>
where
    F: for<'c> FnOnce(&'c mut Db) -> Step<'c, T>,
{
    let begin = db.word("BEGIN IMMEDIATE", "BEGIN ISOLATION LEVEL READ COMMITTED");
    run(begin, db).await?;
    let answer = step(db).await?;
    run("COMMIT", db).await?;
    Ok(answer)
}

impl Jobs for SqlStore {
    fn enqueue(&self, job: NewJob) -> Answer<'_, Job> {
        Box::pin(async move {
            check(&job)?;
            self.change(move |db| Box::pin(async move { add(db, &job).await }))
                .await
        })
    }

    fn take_job(
        &self,
        kinds: Vec<String>,
        taker: Uuid,
        now: OffsetDateTime,
        until: OffsetDateTime,
    ) -> Answer<'_, Option<Job>> {
        Box::pin(self.change(move |db| Box::pin(take(db, kinds, taker, now, until))))
    }

    fn job_progress(
        &self,
        lease: Lease,
        progress: Progress,
        until: OffsetDateTime,
    ) -> Answer<'_, Saved> {
        Box::pin(self.change(move |db| {
            Box::pin(async move {
                let sql = "UPDATE job SET progress_done = $4, progress_of = $5, moment = $6
                     WHERE id = $1 AND state = 'in-hand' AND taker = $2 AND tries = $3";
                let more = [
                    progress.done.into(),
                    progress.of.into(),
                    moment(until)?.into(),
                ];
                held(db, sql, lease, more).await
            })
        }))
    }

    fn job_done(&self, lease: Lease, now: OffsetDateTime) -> Answer<'_, Saved> {
        Box::pin(self.change(move |db| {
            Box::pin(async move {
                let sql = "UPDATE job SET state = 'done', moment = $4, taker = NULL, why = NULL
                     WHERE id = $1 AND state = 'in-hand' AND taker = $2 AND tries = $3";
                held(db, sql, lease, [moment(now)?.into()]).await
            })
        }))
    }

    fn job_failed(&self, lease: Lease, why: String, now: OffsetDateTime) -> Answer<'_, Job> {
        Box::pin(self.change(move |db| {
            Box::pin(async move {
                let sql = "UPDATE job SET taker = NULL, progress_done = NULL, progress_of = NULL,
                       why = $4,
                       state = CASE WHEN tries >= most_tries THEN 'given-up' ELSE 'waiting' END,
                       moment = CASE WHEN tries >= most_tries THEN $5 ELSE $6 END
                     WHERE id = $1 AND state = 'in-hand' AND taker = $2 AND tries = $3";
                let later = moment(now.saturating_add(delay_after(lease.tries)))?;
                let more = [why.into(), moment(now)?.into(), later.into()];
                held(db, sql, lease, more).await?;
                by_id(db, lease.job).await
            })
        }))
    }

    fn call_off_job(&self, id: JobId, why: String, now: OffsetDateTime) -> Answer<'_, Job> {
        Box::pin(self.change(move |db| {
            Box::pin(async move {
                let sql = "UPDATE job SET state = 'given-up', moment = $3, taker = NULL,
                       progress_done = NULL, progress_of = NULL, why = $2
                     WHERE id = $1 AND state IN ('waiting', 'in-hand')";
                query(sql)
                    .bind(id.to_string())
                    .bind(why)
                    .bind(moment(now)?)
                    .execute(db)
                    .await?;
                by_id(db, id).await
            })
        }))
    }

    fn job(&self, id: JobId) -> Answer<'_, Job> {
        Box::pin(self.read(async move |db| by_id(db, id).await))
    }

    fn jobs(&self, kind: Option<String>, most: u32) -> Answer<'_, Vec<Job>> {
        Box::pin(self.read(async move |db| {
            let rows = match kind {
                Some(kind) => query("SELECT * FROM job WHERE kind = $1 ORDER BY seq DESC LIMIT $2")
                    .bind(kind)
                    .bind(most),
                None => query("SELECT * FROM job ORDER BY seq DESC LIMIT $1").bind(most),
            }
            .fetch_all(db)
            .await?;
            rows.iter().map(read).collect()
        }))
    }
}

fn check(job: &NewJob) -> Result<(), BadRecord> {
    for (field, text) in [
        ("the kind of a job", &job.kind),
        ("the key of a job", &job.key),
    ] {
        if text.trim().is_empty() || text.chars().count() > MOST_LETTERS {
            return Err(BadRecord::new(
                field,
                "a text that is blank or long",
                "1 to 200 letters",
            ));
        }
    }
    if job.most_tries == 0 {
        return Err(BadRecord::new("a job", "no try at all", "one try or more"));
    }
    Ok(())
}

async fn add(db: &mut Db, job: &NewJob) -> Result<Job, Fault> {
    let added = query(
        "INSERT INTO job (id, kind, key, payload, asked_at, state, moment, tries, most_tries)
         VALUES ($1, $2, $3, $4, $5, 'waiting', $6, 0, $7)
         ON CONFLICT DO NOTHING",
    )
    .bind(job.id.to_string())
    .bind(&job.kind)
    .bind(&job.key)
    .bind(json_text(&job.payload)?)
    .bind(moment(job.at)?)
    .bind(moment(job.due_at)?)
    .bind(job.most_tries)
    .execute(db)
    .await?;
    let row = query("SELECT * FROM job WHERE kind = $1 AND key = $2")
        .bind(&job.kind)
        .bind(&job.key)
        .fetch_optional(db)
        .await?;
    match row {
        Some(row) => read(&row),
        None => {
            debug_assert_eq!(added, 0);
            let what = "the id of this job";
            Err(StoreError::Taken { what }.into())
        }
    }
}

async fn take(
    db: &mut Db,
    kinds: Vec<String>,
    taker: Uuid,
    now: OffsetDateTime,
    until: OffsetDateTime,
) -> Result<Option<Job>, Fault> {
    if kinds.is_empty() {
        return Ok(None);
    }
    let (now, until) = (moment(now)?, moment(until)?);
    let places: Vec<String> = (2..kinds.len() + 2).map(|n| format!("${n}")).collect();
    let pass_over = db.word("", " FOR UPDATE SKIP LOCKED");
    let next = format!(
        "SELECT * FROM job WHERE state IN ('waiting', 'in-hand') AND moment <= $1
           AND kind IN ({}) ORDER BY moment, seq LIMIT 1{pass_over}",
        places.join(", ")
    );
    loop {
        let found = query(AssertSqlSafe(next.clone()))
            .bind(now)
            .bind_all(kinds.iter().map(Value::from))
            .fetch_optional(db)
            .await?;
        let Some(row) = found else {
            return Ok(None);
        };
        let job = read(&row)?;
        if job.tries < job.most_tries {
            query(
                "UPDATE job SET state = 'in-hand', taker = $2, moment = $3, tries = tries + 1,
                   progress_done = NULL, progress_of = NULL WHERE id = $1",
            )
            .bind(job.id.to_string())
            .bind(taker.to_string())
            .bind(until)
            .execute(db)
            .await?;
            return Ok(Some(by_id(db, job.id).await?));
        }
        query(
            "UPDATE job SET state = 'given-up', taker = NULL, moment = $2, progress_done = NULL,
               progress_of = NULL, why = coalesce(why, $3) WHERE id = $1",
        )
        .bind(job.id.to_string())
        .bind(now)
        .bind("whoever had it in hand the last time did not end in time")
        .execute(db)
        .await?;
    }
}

/// A change by whoever has the job in hand.
async fn held(
    db: &mut Db,
    sql: &'static str,
    lease: Lease,
    more: impl IntoIterator<Item = Value>,
) -> Result<(), Fault> {
    let touched = query(sql)
        .bind(lease.job.to_string())
        .bind(lease.taker.to_string())
        .bind(lease.tries)
        .bind_all(more)
        .execute(db)
        .await?;
    match touched {
        0 => Err(StoreError::LeaseOver.into()),
        _ => Ok(()),
    }
}

/// # Errors
/// `LeaseOver` where the job is no longer in this hand.
pub async fn must_hold(db: &mut Db, lease: Lease) -> Result<(), Fault> {
    let touch = "UPDATE job SET taker = taker
         WHERE id = $1 AND state = 'in-hand' AND taker = $2 AND tries = $3";
    held(db, touch, lease, []).await
}

async fn by_id(db: &mut Db, id: JobId) -> Result<Job, Fault> {
    let row = query("SELECT * FROM job WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read(&row.ok_or_else(|| StoreError::missing("job", id))?)
}

/// Whole microseconds: what is kept can be compared.
pub fn moment(at: OffsetDateTime) -> Result<i64, Fault> {
    i64::try_from(at.unix_timestamp_nanos().div_euclid(1000))
        .map_err(|_| BadRecord::new("a moment", "one too far away", "a moment of our time").into())
}

fn read(row: &Row) -> Result<Job, Fault> {
    let cells = Cells { table: "job", row };
    let at = |column: &str| -> Result<OffsetDateTime, Fault> {
        let micros: i64 = cells.number(column)?;
        OffsetDateTime::from_unix_timestamp_nanos(i128::from(micros) * 1000)
            .map_err(|_| cells.wrong(column))
    };
    let moment = at("moment")?;
    let state = match (cells.text("state")?.as_str(), cells.parsed_if_any("taker")?) {
        ("waiting", None) => JobState::Waiting { due_at: moment },
        ("in-hand", Some(taker)) => JobState::InHand {
            taker,
            until: moment,
        },
        ("done", None) => JobState::Done { at: moment },
        ("given-up", None) => JobState::GivenUp { at: moment },
        _ => return Err(cells.wrong("state")),
    };
    let progress = match (
        cells.number_if_any("progress_done")?,
        cells.number_if_any("progress_of")?,
    ) {
        (Some(done), Some(of)) => Some(Progress { done, of }),
        _ => None,
    };
    Ok(Job {
        id: JobId(cells.parsed("id")?),
        kind: cells.text("kind")?,
        key: cells.text("key")?,
        payload: cells.json("payload")?,
        asked_at: at("asked_at")?,
        state,
        tries: cells.number("tries")?,
        most_tries: cells.number("most_tries")?,
        progress,
        why: cells.text_if_any("why")?,
    })
}
