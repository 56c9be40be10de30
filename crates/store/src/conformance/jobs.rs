//! Promises about jobs. Each promise has kinds of its own, so that the store may hold other jobs.

use crate::StoreError;
use crate::jobs::{Job, JobId, JobState, Jobs, Lease, NewJob, Progress, delay_after};
use serde_json::json;
use std::collections::BTreeSet;
use std::sync::Arc;
use time::macros::datetime;
use time::{Duration, OffsetDateTime};
use uuid::Uuid;

const NOON: OffsetDateTime = datetime!(2026-11-24 12:00:00.000001 UTC);
const LEASE: Duration = Duration::minutes(5);

struct Bench {
    store: Arc<dyn Jobs>,
    seed: u64,
    kind: String,
}

impl Bench {
    fn new(store: &Arc<dyn Jobs>, seed: u64, kind: &str) -> Self {
        Self {
            store: store.clone(),
            seed,
            kind: format!("{kind}-{seed}"),
        }
    }

    fn some(&self, n: u64) -> NewJob {
        let bytes = self.kind.bytes();
        let space = bytes.fold(self.seed, |hash, b| {
            (hash ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        });
        NewJob {
            id: JobId(Uuid::from_u64_pair(space, n)),
            kind: self.kind.clone(),
            key: format!("key {n}"),
            payload: json!({"z": 0.1 + 0.2, "a": ["ü", null]}),
            at: NOON,
            due_at: NOON,
            most_tries: 3,
        }
    }

    async fn take(&self, taker: u128, now: OffsetDateTime) -> Option<Job> {
        let kinds = vec![format!("no such kind {}", self.seed), self.kind.clone()];
        let taker = Uuid::from_u128(taker);
        self.store
            .take_job(kinds, taker, now, now + LEASE)
            .await
            .unwrap()
    }

    async fn taken(&self, taker: u128, now: OffsetDateTime) -> (Job, Lease) {
        let job = self.take(taker, now).await.expect("a job is due");
        let lease = job.lease().expect("it is in hand");
        (job, lease)
    }
}

fn is_over<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::LeaseOver))
}

async fn a_job_asked_for_twice_is_there_once(bench: Bench) {
    let first = bench.store.enqueue(bench.some(1)).await.unwrap();
    let again = NewJob {
        id: bench.some(2).id,
        payload: json!("another"),
        ..bench.some(1)
    };
    assert_eq!(bench.store.enqueue(again.clone()).await.unwrap(), first);
    assert_eq!(bench.store.job(first.id).await.unwrap(), first);
    assert!(matches!(
        bench.store.job(again.id).await,
        Err(StoreError::Missing { .. })
    ));
    let other = NewJob {
        key: "another key".into(),
        ..bench.some(1)
    };
    assert!(matches!(
        bench.store.enqueue(other).await,
        Err(StoreError::Taken { .. })
    ));
    assert_eq!(first.payload, bench.some(1).payload);
    assert_eq!(first.asked_at, NOON);
    assert_eq!(first.state, JobState::Waiting { due_at: NOON });
    for bad in [
        NewJob {
            key: " ".into(),
            ..bench.some(3)
        },
        NewJob {
            kind: "k".repeat(201),
            ..bench.some(3)
        },
        NewJob {
            most_tries: 0,
            ..bench.some(3)
        },
    ] {
        let refused = bench.store.enqueue(bad).await;
        assert!(
            matches!(refused, Err(StoreError::Refused(_))),
            "{refused:?}"
        );
    }
    let listed = bench.store.jobs(Some(bench.kind.clone()), 9).await.unwrap();
    assert_eq!(listed, [first]);
}

async fn jobs_are_taken_longest_due_first_and_not_before(bench: Bench) {
    for (n, minutes) in [(1, 3), (2, 1), (3, 2)] {
        let job = NewJob {
            due_at: NOON + Duration::minutes(minutes),
            ..bench.some(n)
        };
        bench.store.enqueue(job).await.unwrap();
    }
    assert_eq!(bench.take(1, NOON).await, None);
    let late = NOON + Duration::minutes(4);
    for n in [2, 3, 1] {
        let (job, _) = bench.taken(1, late).await;
        assert_eq!((job.id, job.tries), (bench.some(n).id, 1));
        let (taker, until) = (Uuid::from_u128(1), late + LEASE);
        assert_eq!(job.state, JobState::InHand { taker, until });
    }
    assert_eq!(bench.take(1, late).await, None);
    assert_eq!(
        bench
            .store
            .take_job(vec![], Uuid::nil(), late, late)
            .await
            .unwrap(),
        None
    );
}

async fn two_takers_never_get_the_same_job(bench: Bench) {
    for n in 0..30 {
        bench.store.enqueue(bench.some(n)).await.unwrap();
    }
    let takers = (0..40).map(|taker| bench.take(taker, NOON)).collect();
    let taken = super::desk::together(takers).await;
    let ids: Vec<JobId> = taken.into_iter().flatten().map(|job| job.id).collect();
    let different: BTreeSet<JobId> = ids.iter().copied().collect();
    assert_eq!(ids.len(), different.len(), "one job in two hands");
    // A taker may pass over a row that another holds at that moment; what it left is still there.
    let mut left = 0;
    while bench.take(99, NOON).await.is_some() {
        left += 1;
    }
    assert_eq!(ids.len() + left, 30);
}

async fn a_lease_that_ran_out_is_taken_again_and_the_late_hand_can_say_nothing(bench: Bench) {
    bench.store.enqueue(bench.some(1)).await.unwrap();
    let (_, late) = bench.taken(1, NOON).await;
    let half = Progress { done: 1, of: 2 };
    let longer = NOON + LEASE * 2;
    bench.store.job_progress(late, half, longer).await.unwrap();
    let before = NOON + LEASE + Duration::minutes(1);
    assert_eq!(bench.take(2, before).await, None, "it is held longer");
    assert_eq!(
        bench.store.job(late.job).await.unwrap().progress,
        Some(half)
    );
    let (job, lease) = bench.taken(2, longer).await;
    assert_eq!((job.tries, job.progress), (2, None));
    assert!(is_over(bench.store.job_progress(late, half, longer).await));
    assert!(is_over(bench.store.job_done(late, longer).await));
    assert!(is_over(
        bench.store.job_failed(late, "late".into(), longer).await
    ));
    // The same hand again is another lease.
    let stale = Lease { tries: 1, ..lease };
    assert!(is_over(bench.store.job_done(stale, longer).await));
    bench.store.job_done(lease, longer).await.unwrap();
    assert!(is_over(bench.store.job_done(lease, longer).await));
    let done = bench.store.job(lease.job).await.unwrap();
    assert_eq!(done.state, JobState::Done { at: longer });
    assert_eq!(bench.take(1, longer + LEASE * 9).await, None);
}

async fn a_job_that_fails_comes_back_later_and_is_given_up_in_the_end(bench: Bench) {
    bench.store.enqueue(bench.some(1)).await.unwrap();
    let mut now = NOON;
    for tries in 1..3 {
        let (_, lease) = bench.taken(1, now).await;
        let why = format!("no answer the {tries}. time");
        let job = bench
            .store
            .job_failed(lease, why.clone(), now)
            .await
            .unwrap();
        let due_at = now + delay_after(tries);
        assert_eq!(job.state, JobState::Waiting { due_at });
        assert_eq!(job.why, Some(why));
        assert_eq!(bench.take(1, due_at - Duration::SECOND).await, None);
        now = due_at;
    }
    let (_, lease) = bench.taken(1, now).await;
    let job = bench
        .store
        .job_failed(lease, "no answer".into(), now)
        .await
        .unwrap();
    assert_eq!(job.state, JobState::GivenUp { at: now });
    assert_eq!((job.tries, job.why.as_deref()), (3, Some("no answer")));
    assert_eq!(bench.take(1, now + LEASE * 99).await, None);
}

async fn a_job_whose_last_lease_ran_out_is_given_up_with_a_sentence(bench: Bench) {
    let once = NewJob {
        most_tries: 1,
        ..bench.some(1)
    };
    bench.store.enqueue(once).await.unwrap();
    let (job, _) = bench.taken(1, NOON).await;
    let later = NOON + LEASE;
    assert_eq!(bench.take(2, later).await, None);
    let job = bench.store.job(job.id).await.unwrap();
    assert_eq!(job.state, JobState::GivenUp { at: later });
    assert!(
        job.why
            .is_some_and(|why| why.contains("did not end in time"))
    );
}

async fn a_job_is_called_off_whoever_has_it_and_one_that_ended_stays_as_it_is(bench: Bench) {
    let off = |id: JobId| {
        bench
            .store
            .call_off_job(id, "called off".into(), NOON + LEASE)
    };
    for n in [1, 2] {
        bench.store.enqueue(bench.some(n)).await.unwrap();
    }
    let (held, lease) = bench.taken(1, NOON).await;
    for id in [bench.some(1).id, bench.some(2).id] {
        let job = off(id).await.unwrap();
        assert_eq!(job.state, JobState::GivenUp { at: NOON + LEASE });
        assert_eq!(job.why.as_deref(), Some("called off"));
    }
    assert!(is_over(bench.store.job_done(lease, NOON).await));
    assert_eq!(bench.take(2, NOON + LEASE * 9).await, None);
    assert_eq!(
        off(held.id).await.unwrap(),
        bench.store.job(held.id).await.unwrap()
    );
    bench.store.enqueue(bench.some(3)).await.unwrap();
    let (_, lease) = bench.taken(1, NOON).await;
    bench.store.job_done(lease, NOON).await.unwrap();
    let done = off(lease.job).await.unwrap();
    assert_eq!(done.state, JobState::Done { at: NOON });
    assert!(matches!(
        off(bench.some(4).id).await,
        Err(StoreError::Missing { .. })
    ));
}

/// Runs every promise about jobs; answers with their number. The store may hold other jobs, but none made
/// from the same seed.
///
/// # Panics
/// At the first broken promise: this is a test kit.
pub async fn every_promise_of_jobs(store: Arc<dyn Jobs>, seed: u64) -> usize {
    let bench = |kind: &str| Bench::new(&store, seed, kind);
    a_job_asked_for_twice_is_there_once(bench("once")).await;
    jobs_are_taken_longest_due_first_and_not_before(bench("due")).await;
    two_takers_never_get_the_same_job(bench("two")).await;
    a_lease_that_ran_out_is_taken_again_and_the_late_hand_can_say_nothing(bench("lease")).await;
    a_job_that_fails_comes_back_later_and_is_given_up_in_the_end(bench("fails")).await;
    a_job_whose_last_lease_ran_out_is_given_up_with_a_sentence(bench("out")).await;
    a_job_is_called_off_whoever_has_it_and_one_that_ended_stays_as_it_is(bench("off")).await;
    7
}
