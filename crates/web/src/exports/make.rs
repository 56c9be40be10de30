//! Who does what was asked for, and how do files get into an export?

use super::asked::{KEPT_FOR, Wanted, What};
use super::{again, records, study};
use crate::{AppState, jobs, jobs::Told};
use record::{ClinicianId, ContentHash, Noted, PatientId, ToNote};
use serde::{Deserialize, Serialize};
use std::time::Duration as Pause;
use store::StoreError;
use store::exports::{ExportFile, KIND};
use store::jobs::{Job, JobId, Lease};
use uuid::Uuid;

const LOOK_EVERY: Pause = Pause::from_secs(2);
const TIDY_EVERY: Pause = Pause::from_secs(3600);
/// Pages go first: between two records an export waits a little while people work.
const GIVE_WAY: Pause = Pause::from_millis(20);
/// What there is to say of an export.
pub const ABOUT: &str = "about.json";

/// Why an export came to nothing.
#[derive(Debug, thiserror::Error)]
pub enum Failed {
    #[error("{0}")]
    Store(#[from] StoreError),
    #[error("{0}")]
    Said(String),
    #[error("{doing} failed; report what was asked for")]
    Ours { doing: &'static str },
}

/// Lies with the files.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct About {
    /// Sentences for whoever is given the files.
    pub says: Vec<String>,
}

/// Makes what is asked for, for as long as the program runs, and lets go of what lay long enough.
pub async fn work(state: AppState, stop: impl Future<Output = ()>) {
    let taker = state.ids.fresh();
    tokio::select! {
        () = jobs::keep_at(KIND, LOOK_EVERY, stop, || one(&state, taker)) => {}
        () = tidied(&state) => {}
    }
}

async fn tidied(state: &AppState) {
    loop {
        if let Err(fault) = tidy(state).await {
            tracing::warn!(%fault, "old exports stay");
        }
        tokio::time::sleep(TIDY_EVERY).await;
    }
}

/// Lets go of what lay long enough. Answers with how many files went.
///
/// # Errors
/// Whatever the store fails with.
pub async fn tidy(state: &AppState) -> Result<u64, StoreError> {
    let before = state.clock.now() - KEPT_FOR;
    state.store.forget_exports_before(before).await
}

/// True where there was one to make.
///
/// # Errors
/// Whatever the store fails with.
pub async fn one(state: &AppState, taker: Uuid) -> Result<bool, StoreError> {
    let work = |job, lease, told| made(state.clone(), job, lease, told);
    jobs::one(&*state.store, &*state.clock, KIND, taker, work).await
}

async fn made(state: AppState, job: Job, lease: Lease, told: Told) -> Result<(), String> {
    let wanted = Wanted::of(&job)?;
    let making = Making {
        state,
        wanted,
        lease,
        told,
    };
    making.whole().await.map_err(|failed| {
        if let Failed::Ours { doing } = failed {
            tracing::error!(doing, "an export failed");
        }
        failed.to_string()
    })
}

/// One export in hand.
pub struct Making {
    pub state: AppState,
    pub wanted: Wanted,
    lease: Lease,
    told: Told,
}

impl Making {
    async fn whole(&self) -> Result<(), Failed> {
        self.state.store.begin_export(self.lease).await?;
        let about = match self.wanted.what {
            What::Records => records::make(self).await?,
            What::Study => study::make(self).await?,
            What::Readings => again::make(self).await?,
        };
        let lines = about.says.len();
        let bytes = serde_json::to_vec_pretty(&about).map_err(|_| Failed::Ours {
            doing: "writing what there is to say of an export",
        })?;
        self.keep(ABOUT, "sentence", lines, bytes).await
    }

    /// How far it is; waits a little while people work.
    pub async fn is(&self, done: usize, of: usize) {
        self.told.is(done, of);
        if !self.state.is_quiet() {
            tokio::time::sleep(GIVE_WAY).await;
        }
    }

    pub async fn keep(
        &self,
        name: &str,
        holds: &str,
        lines: usize,
        bytes: Vec<u8>,
    ) -> Result<(), Failed> {
        let file = ExportFile {
            name: name.to_owned(),
            holds: holds.to_owned(),
            lines: lines as u64,
            bytes: bytes.len() as u64,
            content: ContentHash::of(&bytes),
        };
        let kept = self.state.store.keep_export_file(self.lease, file, bytes);
        Ok(kept.await?)
    }

    /// What is taken out is written down before it is there.
    pub async fn takes_out(&self, patient: PatientId) -> Result<(), Failed> {
        let note = ToNote {
            at: self.state.clock.now(),
            account: None,
            person: Some(ClinicianId::PROGRAM),
            kind: Noted::TookOut,
            patient: Some(patient),
            detail: format!("{}, export {}", self.wanted.what.words(), self.job()),
        };
        self.state.store.note(note).await?;
        Ok(())
    }

    pub fn job(&self) -> JobId {
        self.lease.job
    }
}

/// `3 closed records are not in it.`
pub fn left_out(closed: usize) -> Option<String> {
    (closed > 0).then(|| {
        let records = crate::words::count(closed, "closed record is", "closed records are");
        format!("{records} not in it.")
    })
}

/// On a thread where it may take its time.
///
/// # Errors
/// The work itself came to an end before its time.
pub async fn aside<T: Send + 'static>(
    doing: &'static str,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Failed> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|_| Failed::Ours { doing })
}
