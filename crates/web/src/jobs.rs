//! How is a job done behind the pages, by whichever server has a hand free?
//!
//! Whoever takes a job holds it for as long as it works on it, and lets go where it is called off or another has it by
//! now. A fault in the work ends that try and not the worker.

use crate::Clock;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration as Pause;
use store::StoreError;
use store::jobs::{Job, Jobs, Lease, Progress};
use time::Duration;
use uuid::Uuid;

/// A taker that died is not waited for longer than this.
const LEASE: Duration = Duration::minutes(2);
/// How often it is told how far a job is, and that it is still in hand.
const BEAT: Pause = Pause::from_secs(2);

/// How far the work is; told to whoever looks with the next beat.
#[derive(Debug, Clone, Default)]
pub struct Told(Arc<Mutex<Progress>>);

impl Told {
    pub fn is(&self, done: usize, of: usize) {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Progress {
            done: count(done),
            of: count(of),
        };
    }

    fn now(&self) -> Progress {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Takes one job of this kind and does it. True where there was one. What the work says where it fails is a sentence
/// without personal data.
///
/// # Errors
/// Whatever the store fails with; `LeaseOver` where the job was called off or another has it.
pub async fn one<F>(
    store: &dyn Jobs,
    clock: &dyn Clock,
    kind: &str,
    taker: Uuid,
    work: impl FnOnce(Job, Lease, Told) -> F + Send,
) -> Result<bool, StoreError>
where
    F: Future<Output = Result<(), String>> + Send + 'static,
{
    let now = clock.now();
    let taken = store
        .take_job(vec![kind.to_owned()], taker, now, now + LEASE)
        .await?;
    let Some((job, lease)) = taken.and_then(|job| job.lease().map(|lease| (job, lease))) else {
        return Ok(false);
    };
    let told = Told::default();
    let mut work = InHand(tokio::spawn(work(job, lease, told.clone())));
    let done = loop {
        tokio::select! {
            done = &mut work.0 => break done,
            () = tokio::time::sleep(BEAT) => {
                store.job_progress(lease, told.now(), clock.now() + LEASE).await?;
            }
        }
    };
    let failed = match done {
        Ok(Ok(())) => {
            store.job_done(lease, clock.now()).await?;
            return Ok(true);
        }
        Ok(Err(why)) => why,
        Err(_) => "a fault in the program".to_owned(),
    };
    store.job_failed(lease, failed, clock.now()).await?;
    Ok(true)
}

/// Ends with whoever waits for it.
struct InHand<T>(tokio::task::JoinHandle<T>);

impl<T> Drop for InHand<T> {
    fn drop(&mut self) {
        self.0.abort();
    }
}

/// Does one after the other for as long as the program runs, and looks for more after each pause.
pub async fn keep_at<F: Future<Output = Result<bool, StoreError>>>(
    kind: &'static str,
    pause: Pause,
    stop: impl Future<Output = ()>,
    mut one: impl FnMut() -> F,
) {
    tokio::pin!(stop);
    loop {
        let more = tokio::select! {
            () = &mut stop => return,
            more = one() => more,
        };
        match more {
            Ok(true) => continue,
            Ok(false) => {}
            // Called off, or somebody else's by now.
            Err(StoreError::LeaseOver) => continue,
            Err(fault) => tracing::warn!(%fault, kind, "jobs could not be looked at"),
        }
        tokio::select! {
            () = &mut stop => return,
            () = tokio::time::sleep(pause) => {}
        }
    }
}
