//! How do objects go out, again and again until they arrive or are given up?
//!
//! What was asked for is a job of the store: it outlives the program, and whichever server has a hand free does it. The
//! objects are made anew at every try and have the same identifiers each time, so that a try that was cut off after the
//! other side had kept them does no harm.

use super::made::{Object, of_film, of_letter};
use crate::{AppState, error::PageError, jobs, outside::Way};
use exchange_dicom::send::Sent;
use record::{ClinicianId, FilmId, LetterId, Noted, PatientId, ToNote};
use serde::{Deserialize, Serialize};
use std::time::Duration as Pause;
use store::StoreError;
use store::jobs::{Job, JobId, NewJob};
use time::OffsetDateTime;
use uuid::Uuid;

const KIND: &str = "send";
/// Over about an hour.
const MOST_TRIES: u32 = 8;
const LOOK_EVERY: Pause = Pause::from_secs(2);
/// Jobs that are looked through for those of one film or letter.
const MOST_LOOKED_AT: u32 = 2000;

/// What is sent: of which film or letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    Film(FilmId),
    Letter(LetterId),
}

impl What {
    pub async fn objects(self, state: &AppState) -> Result<Vec<Object>, PageError> {
        match self {
            What::Film(id) => of_film(state, id).await,
            What::Letter(id) => of_letter(state, id).await,
        }
    }

    fn words(self) -> String {
        match self {
            What::Film(id) => format!("film {id}"),
            What::Letter(id) => format!("letter {id}"),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sending {
    pub to: String,
    pub what: What,
    /// Keys of the objects.
    pub objects: Vec<String>,
    pub patient: PatientId,
}

/// Sendings of one film or letter, the last one first.
pub async fn of(state: &AppState, what: What) -> Result<Vec<(Job, Sending)>, PageError> {
    let jobs = state
        .store
        .jobs(Some(KIND.to_owned()), MOST_LOOKED_AT)
        .await?;
    Ok(jobs
        .into_iter()
        .filter_map(|job| {
            let sending: Sending = serde_json::from_value(job.payload.clone()).ok()?;
            (sending.what == what).then_some((job, sending))
        })
        .collect())
}

/// Asks for it. Pressed twice, it is one sending.
pub async fn ask(
    state: &AppState,
    note: ToNote,
    sending: Sending,
    objects: &[Object],
) -> Result<(), PageError> {
    let before = of(state, sending.what).await?;
    let same: Vec<&Job> = before
        .iter()
        .filter(|(_, s)| *s == sending)
        .map(|(job, _)| job)
        .collect();
    if same.iter().any(|job| job.is_open()) {
        return Ok(());
    }
    let mut digest: Vec<&str> = objects
        .iter()
        .map(|o| o.made.instance_uid.as_str())
        .collect();
    digest.sort_unstable();
    let digest = record::ContentHash::of(digest.join(" ").as_bytes()).to_string();
    let name = record::ContentHash::of(sending.to.as_bytes()).to_string();
    let now = state.clock.now();
    let job = NewJob {
        id: JobId(state.ids.fresh()),
        kind: KIND.to_owned(),
        key: format!(
            "{} {} {} {}",
            sending.what.words(),
            name.get(..16).unwrap_or_default(),
            digest.get(..32).unwrap_or_default(),
            same.len() + 1
        ),
        payload: serde_json::to_value(&sending)
            .map_err(|e| PageError::ours("asking for a sending", e))?,
        at: now,
        due_at: now,
        most_tries: MOST_TRIES,
    };
    state.store.note(note).await?;
    state.store.enqueue(job).await?;
    Ok(())
}

/// Sends what is asked for, for as long as the program runs.
pub async fn deliver(state: AppState, stop: impl Future<Output = ()>) {
    let taker = state.ids.fresh();
    jobs::keep_at(KIND, LOOK_EVERY, stop, || one(&state, taker)).await;
}

/// True where there was one to do.
///
/// # Errors
/// Whatever the store fails with.
pub async fn one(state: &AppState, taker: Uuid) -> Result<bool, StoreError> {
    let (store, clock) = (&*state.store, &*state.clock);
    let work = |job, _, _| sent(state.clone(), job);
    jobs::one(store, clock, KIND, taker, work).await
}

async fn sent(state: AppState, job: Job) -> Result<(), String> {
    let Ok(sending) = serde_json::from_value::<Sending>(job.payload) else {
        return Err("this sending was asked for in a way that is not known here".to_owned());
    };
    send(&state, &sending).await?;
    let note = arrived(&sending, state.clock.now());
    let noted = state.store.note(note).await;
    noted.map(drop).map_err(|e| e.to_string())
}

fn arrived(sending: &Sending, at: OffsetDateTime) -> ToNote {
    ToNote {
        at,
        account: None,
        person: Some(ClinicianId::PROGRAM),
        kind: Noted::SentOut,
        patient: Some(sending.patient),
        detail: format!(
            "{} to {}: {} kept there",
            sending.what.words(),
            sending.to,
            sending.objects.join(", ")
        ),
    }
}

/// The trail's entry of who asked.
pub fn asked(note: ToNote, sending: &Sending) -> ToNote {
    ToNote {
        patient: Some(sending.patient),
        detail: format!(
            "{} to {}: {} asked for",
            sending.what.words(),
            sending.to,
            sending.objects.join(", ")
        ),
        ..note
    }
}

/// A sentence without personal data where it did not go.
async fn send(state: &AppState, sending: &Sending) -> Result<(), String> {
    let Some(peer) = state.outside.peers.iter().find(|p| p.name == sending.to) else {
        return Err(format!(
            "the program was started without '{}' among those it sends to",
            sending.to
        ));
    };
    let objects = sending
        .what
        .objects(state)
        .await
        .map_err(|e| e.to_string())?;
    let wanted: Vec<Object> = objects
        .into_iter()
        .filter(|o| sending.objects.iter().any(|key| key == o.key))
        .collect();
    if wanted.len() != sending.objects.len() {
        return Err("what was to be sent cannot be made any more; open the page again".to_owned());
    }
    let files: Vec<Vec<u8>> = wanted.iter().map(|o| o.made.file.clone()).collect();
    let answers = match &peer.way {
        Way::Dicom(there) => there.store(&files).await,
        Way::Stow(there) => {
            let boundary = format!("tiebeam-{}", state.ids.fresh().simple());
            there.store(&files, &boundary).await
        }
    }
    .map_err(|e| e.to_string())?;
    let mut refused = wanted.iter().zip(&answers).filter_map(|(object, answer)| {
        let why = match answer {
            Sent::Kept { .. } => return None,
            Sent::Refused { status } => format!("status {status:04X}"),
            Sent::NotAgreed => "it does not take this kind".to_owned(),
        };
        Some(format!("{} ({why})", object.key))
    });
    match refused.next() {
        None if answers.len() == files.len() => Ok(()),
        None => Err("the other side did not answer for every object".to_owned()),
        Some(first) => {
            let all: Vec<String> = std::iter::once(first).chain(refused).collect();
            Err(format!("the other side did not keep {}", all.join(", ")))
        }
    }
}
