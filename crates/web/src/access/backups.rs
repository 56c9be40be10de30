//! When was everything last kept elsewhere, and can it be kept now? For the administrator; no clinical content.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::response::{Redirect, Response};
use store::jobs::{Job, JobId, JobState, NewJob};
use time::{Duration, OffsetDateTime};

const KIND: &str = "backup";
const LISTED: u32 = 12;

#[derive(Template)]
#[template(path = "access/backups.html")]
pub struct BackupsPage {
    pub shell: Shell,
    pub sealed: bool,
    /// `None` where none are made by the clock.
    pub made: Option<MadeView>,
    pub jobs: Vec<(String, String)>,
    /// One is waiting or in hand.
    pub under_way: bool,
}

pub struct MadeView {
    pub folder: String,
    pub hours: u32,
    /// Newest first: when, how large.
    pub kept: Result<Vec<(String, String)>, String>,
    pub last: Option<String>,
    /// None for twice as long as one should have been made.
    pub overdue: bool,
}

/// `GET /backups`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let jobs = context
        .state
        .store
        .jobs(Some(KIND.to_owned()), LISTED)
        .await?;
    let moment = |at: OffsetDateTime| words::moment(at, context.now.offset());
    let made = match context.state.safety.backups.clone() {
        None => None,
        Some(backups) => {
            let kept = {
                let backups = backups.clone();
                tokio::task::spawn_blocking(move || backups.kept())
                    .await
                    .map_err(|e| PageError::ours("looking through the backups", e))?
            };
            let last = kept.as_ref().ok().and_then(|k| k.last().copied());
            let long = Duration::hours(2 * i64::from(backups.hours()));
            Some(MadeView {
                folder: backups.folder(),
                hours: backups.hours(),
                last: last.map(|k| moment(k.at)),
                overdue: last.is_none_or(|k| context.now - k.at > long),
                kept: kept.map(|kept| {
                    let newest_first = kept.iter().rev();
                    newest_first
                        .map(|k| (moment(k.at), words::size(k.bytes)))
                        .collect()
                }),
            })
        }
    };
    page(&BackupsPage {
        sealed: context.state.safety.sealed,
        made,
        under_way: jobs
            .iter()
            .any(|j| matches!(j.state, JobState::Waiting { .. } | JobState::InHand { .. })),
        jobs: jobs
            .iter()
            .map(|job| (moment(job.asked_at), state_of(job, &moment)))
            .collect(),
        shell: context.shell("Backups", Nav::Backups),
    })
}

fn state_of(job: &Job, moment: &impl Fn(OffsetDateTime) -> String) -> String {
    let why = job.why.as_deref().unwrap_or("no reason was told");
    match job.state {
        JobState::Waiting { .. } if job.tries == 0 => "waiting".to_owned(),
        JobState::Waiting { due_at } => {
            format!(
                "failed and will be tried again at {}: {why}",
                moment(due_at)
            )
        }
        JobState::InHand { .. } => "being made".to_owned(),
        JobState::Done { at } => format!("made and proved by {}", moment(at)),
        JobState::GivenUp { at } => format!("given up at {}: {why}", moment(at)),
    }
}

/// `POST /backups`: one more now; asking twice in a minute asks once.
pub async fn ask(context: Context) -> Result<Redirect, PageError> {
    if context.state.safety.backups.is_none() {
        return Err(PageError::NotNow {
            sentence:
                "found no folder for backups; expected the program to be started with --backup-to"
                    .to_owned(),
        });
    }
    let minute = context.now.unix_timestamp().div_euclid(60);
    context
        .state
        .store
        .enqueue(NewJob {
            id: JobId(context.state.ids.fresh()),
            kind: KIND.to_owned(),
            key: format!("asked in minute {minute}"),
            payload: serde_json::json!({}),
            at: context.now,
            due_at: context.now,
            most_tries: 3,
        })
        .await?;
    Ok(Redirect::to("/backups"))
}
