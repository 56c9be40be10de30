//! What waits to be done behind the pages, and who has it in hand?
//!
//! A job is done at least once: a taker that dies lets its lease run out, and the next one takes the job
//! again. Whoever took it too long ago can no longer say anything about it. Jobs are no acts: the
//! journal tells of what a job changes, not of the job. Times are passed in.

use crate::{Answer, Saved};
use serde_json::Value;
use std::fmt;
use time::{Duration, OffsetDateTime};
use uuid::Uuid;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JobId(pub Uuid);

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct NewJob {
    pub id: JobId,
    /// Which part of the program does it.
    pub kind: String,
    /// Of one kind and key there is one job, however often it is asked for.
    pub key: String,
    pub payload: Value,
    pub at: OffsetDateTime,
    /// Not before.
    pub due_at: OffsetDateTime,
    /// How often it is tried before it is given up.
    pub most_tries: u32,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    pub id: JobId,
    pub kind: String,
    pub key: String,
    pub payload: Value,
    pub asked_at: OffsetDateTime,
    pub state: JobState,
    /// How often it was taken.
    pub tries: u32,
    pub most_tries: u32,
    /// Said by whoever has it in hand.
    pub progress: Option<Progress>,
    /// Why it failed the last time, a sentence.
    pub why: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobState {
    Waiting { due_at: OffsetDateTime },
    InHand { taker: Uuid, until: OffsetDateTime },
    Done { at: OffsetDateTime },
    GivenUp { at: OffsetDateTime },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Progress {
    pub done: u32,
    pub of: u32,
}

/// Proof of having a job in hand: good until the lease runs out and somebody else takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lease {
    pub job: JobId,
    pub taker: Uuid,
    /// The job's `tries` when it was taken.
    pub tries: u32,
}

impl Job {
    /// Still to be done, or being done.
    pub fn is_open(&self) -> bool {
        match self.state {
            JobState::Waiting { .. } | JobState::InHand { .. } => true,
            JobState::Done { .. } | JobState::GivenUp { .. } => false,
        }
    }

    /// Of a job that was just taken.
    pub fn lease(&self) -> Option<Lease> {
        match self.state {
            JobState::InHand { taker, .. } => Some(Lease {
                job: self.id,
                taker,
                tries: self.tries,
            }),
            _ => None,
        }
    }
}

/// How long a job waits after it failed: half a minute, and twice as long each time up to an hour.
pub fn delay_after(tries: u32) -> Duration {
    let doubled = 30_i64 << tries.saturating_sub(1).min(7);
    Duration::seconds(doubled.min(3600))
}

pub trait Jobs: Send + Sync {
    /// Adds the job, or answers with the one of this kind and key that is there.
    ///
    /// # Errors
    /// `Refused` for a kind or key that is blank or longer than 200 letters, or no try at all; `Taken`
    /// where the id belongs to another job.
    fn enqueue(&self, job: NewJob) -> Answer<'_, Job>;
    /// Takes the job of one of these kinds that is due longest, until `until`. One whose lease ran out
    /// without a try left is given up on the way.
    fn take_job(
        &self,
        kinds: Vec<String>,
        taker: Uuid,
        now: OffsetDateTime,
        until: OffsetDateTime,
    ) -> Answer<'_, Option<Job>>;
    /// Tells how far it is, and holds it longer.
    ///
    /// # Errors
    /// `LeaseOver` where the job is no longer in this hand; the same for the two below.
    fn job_progress(
        &self,
        lease: Lease,
        progress: Progress,
        until: OffsetDateTime,
    ) -> Answer<'_, Saved>;
    fn job_done(&self, lease: Lease, now: OffsetDateTime) -> Answer<'_, Saved>;
    /// Puts it back for later, or gives it up where it has no try left. `why` is a sentence without
    /// personal data.
    fn job_failed(&self, lease: Lease, why: String, now: OffsetDateTime) -> Answer<'_, Job>;
    /// Gives up a job that is not done, whoever has it in hand; one that has ended stays as it is.
    fn call_off_job(&self, id: JobId, why: String, now: OffsetDateTime) -> Answer<'_, Job>;
    fn job(&self, id: JobId) -> Answer<'_, Job>;
    /// The last ones asked for first, at most `most`; of one kind, or of all.
    fn jobs(&self, kind: Option<String>, most: u32) -> Answer<'_, Vec<Job>>;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_that_fails_waits_longer_each_time_and_never_more_than_an_hour() {
        let seconds: Vec<i64> = [1, 2, 3, 7, 8, 100, u32::MAX]
            .map(|tries| delay_after(tries).whole_seconds())
            .into();
        assert_eq!(seconds, [30, 60, 120, 1920, 3600, 3600, 3600]);
    }
}
