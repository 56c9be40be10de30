//! What is asked for, by whom, and what became of it?

use crate::{AppState, error::PageError};
use record::{ClinicianId, Closure, ContentHash, Patient, PatientId, ToNote};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use store::StoreError;
use store::exports::KIND;
use store::jobs::{Job, JobId, NewJob};
use time::{Duration, OffsetDateTime};
use uuid::Uuid;

/// How long the files are there (our own choice: time enough to fetch them, too short to become an archive).
pub const KEPT_FOR: Duration = Duration::days(7);
/// Of one asker at once.
const MOST_OPEN: usize = 3;
/// Jobs that are looked through for those of one asker.
const MOST_LOOKED_AT: u32 = 1000;
const MOST_TRIES: u32 = 4;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Everybody's health record.
    Records,
    /// Tables without names.
    Study,
    /// Every film read again.
    Readings,
}

impl What {
    pub const ALL: [What; 3] = [What::Records, What::Study, What::Readings];

    pub fn key(self) -> &'static str {
        match self {
            What::Records => "records",
            What::Study => "study",
            What::Readings => "readings",
        }
    }

    pub fn of_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|what| what.key() == key)
    }

    pub fn words(self) -> &'static str {
        match self {
            What::Records => "health records of everybody",
            What::Study => "a study without names",
            What::Readings => "every film read again",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    Person(ClinicianId),
    Key(Uuid),
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Wanted {
    pub what: What,
    pub by: By,
    /// Closed records too.
    pub closed_too: bool,
    /// Names of types of resources; none for all.
    pub types: Vec<String>,
    /// The address that asked, where a machine did.
    pub request: Option<String>,
}

impl Wanted {
    /// # Errors
    /// A sentence: another program of this practice asked in a way that is not known here.
    pub fn of(job: &Job) -> Result<Self, String> {
        serde_json::from_value(job.payload.clone())
            .map_err(|_| "this export was asked for in a way that is not known here".to_owned())
    }

    /// What is not given to whoever asked.
    fn hides(&self, closure: &Closure) -> bool {
        match self.by {
            _ if self.closed_too => false,
            By::Person(person) => !closure.open_to.contains(&person),
            By::Key(_) => true,
        }
    }

    /// Everybody who may be in it, by their ids, and how many closed records are left out.
    ///
    /// # Errors
    /// Whatever the store fails with.
    pub async fn people(&self, state: &AppState) -> Result<(Vec<Patient>, usize), StoreError> {
        let closures = state.store.closures().await?;
        let hidden: BTreeSet<PatientId> = closures
            .iter()
            .filter(|c| self.hides(c))
            .map(|c| c.patient)
            .collect();
        let mut people = state.store.find_patients(String::new(), u32::MAX).await?;
        let all = people.len();
        people.retain(|p| !hidden.contains(&p.id));
        people.sort_by_key(|p| p.id);
        let left_out = all - people.len();
        Ok((people, left_out))
    }
}

/// Those of one asker, the last one first.
///
/// # Errors
/// Whatever the store fails with.
pub async fn of(state: &AppState, by: By) -> Result<Vec<(Job, Wanted)>, StoreError> {
    let jobs = state
        .store
        .jobs(Some(KIND.to_owned()), MOST_LOOKED_AT)
        .await?;
    Ok(jobs
        .into_iter()
        .filter_map(|job| Wanted::of(&job).ok().map(|wanted| (job, wanted)))
        .filter(|(_, wanted)| wanted.by == by)
        .collect())
}

/// One of this asker's.
///
/// # Errors
/// `NotFound` also where it is another's.
pub async fn one(state: &AppState, by: By, id: &str) -> Result<(Job, Wanted), PageError> {
    let none = PageError::NotFound { what: "export" };
    let Ok(id) = id.parse::<Uuid>() else {
        return Err(none);
    };
    let job = match state.store.job(JobId(id)).await {
        Err(StoreError::Missing { .. }) => return Err(none),
        found => found?,
    };
    match Wanted::of(&job) {
        Ok(wanted) if job.kind == KIND && wanted.by == by => Ok((job, wanted)),
        _ => Err(none),
    }
}

/// Asks for it; while the same is under way for the same asker, that one is the answer.
///
/// # Errors
/// `TooMany` where the asker has others under way.
pub async fn ask(
    state: &AppState,
    now: OffsetDateTime,
    note: ToNote,
    wanted: Wanted,
) -> Result<Job, PageError> {
    let before = of(state, wanted.by).await?;
    let open: Vec<&(Job, Wanted)> = before.iter().filter(|(job, _)| job.is_open()).collect();
    if let Some((job, _)) = open.iter().find(|(_, w)| *w == wanted) {
        return Ok(job.clone());
    }
    if open.len() >= MOST_OPEN {
        return Err(PageError::TooMany {
            sentence: format!(
                "found {MOST_OPEN} exports under way that you asked for; expected fewer: wait until one is ready, or stop it"
            ),
            seconds: 60,
        });
    }
    let payload =
        serde_json::to_value(&wanted).map_err(|e| PageError::ours("asking for an export", e))?;
    let digest = ContentHash::of(payload.to_string().as_bytes()).to_string();
    let same = before.iter().filter(|(_, w)| *w == wanted).count();
    let minute = now.unix_timestamp().div_euclid(60);
    let id = JobId(state.ids.fresh());
    let note = ToNote {
        detail: format!("{}, export {id}", note.detail),
        ..note
    };
    state.store.note(note).await?;
    let job = NewJob {
        id,
        kind: KIND.to_owned(),
        // Two requests at once are one.
        key: format!(
            "{} minute {minute} number {same}",
            digest.get(..32).unwrap_or_default()
        ),
        payload,
        at: now,
        due_at: now,
        most_tries: MOST_TRIES,
    };
    Ok(state.store.enqueue(job).await?)
}
