//! Who saw and did what? For the administrator: people, kinds and numbers, and no name of a patient.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{extract::Query, response::Response};
use record::{ClinicianId, Noted, TrailEntry};
use serde::Deserialize;

const ON_A_PAGE: u32 = 100;

#[derive(Template)]
#[template(path = "access/trail.html")]
pub struct TrailPage {
    pub shell: Shell,
    pub entries: Vec<Line>,
    /// The last number and hash: to be written down outside.
    pub end: Option<(u64, String)>,
    pub newer: Option<u64>,
    pub older: Option<u64>,
    /// Entries about one patient only.
    pub patient: Option<String>,
    pub faults: Option<Vec<String>>,
}

pub struct Line {
    pub number: u64,
    pub when: String,
    pub who: String,
    pub what: &'static str,
    pub detail: String,
    pub patient: Option<String>,
}

#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    /// Entries up to this number; the newest without.
    until: Option<u64>,
    /// An id, as the entries name it.
    #[serde(default)]
    patient: String,
    #[serde(default)]
    check: String,
}

/// `GET /trail`
pub async fn show(context: Context, Query(wanted): Query<Wanted>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let people = store.clinicians().await?;
    let end = store.trail_end().await?;
    let last = end.as_ref().map_or(0, |e| e.number);
    let patient = match wanted.patient.trim() {
        "" => None,
        id => Some(id.parse()?),
    };
    let until = wanted.until.unwrap_or(last).min(last);
    let entries = match patient {
        Some(patient) => store.trail_of(patient, ON_A_PAGE).await?,
        None => {
            let after = until.saturating_sub(u64::from(ON_A_PAGE));
            let mut found = store.trail(after, ON_A_PAGE).await?;
            found.retain(|e| e.number <= until);
            found.reverse();
            found
        }
    };
    let offset = context.now.offset();
    let line = |e: &TrailEntry| Line {
        number: e.number,
        when: words::moment(e.at, offset),
        who: match e.person.and_then(|id| people.iter().find(|p| p.id == id)) {
            Some(person) => person.name.clone(),
            None if matches!(e.kind, Noted::MachineSaw | Noted::MachineSent) => {
                "a machine".to_owned()
            }
            None if e.person == Some(ClinicianId::PROGRAM) => ClinicianId::PROGRAM_WORDS.to_owned(),
            None => "nobody signed in".to_owned(),
        },
        what: e.kind.words(),
        detail: e.detail.clone(),
        patient: e.patient.map(|id| id.to_string()),
    };
    let faults = match wanted.check.as_str() {
        "" => None,
        _ => Some(store.verify().await?),
    };
    let paged = patient.is_none();
    page(&TrailPage {
        older: (paged && until > u64::from(ON_A_PAGE)).then(|| until - u64::from(ON_A_PAGE)),
        newer: (paged && until < last).then(|| (until + u64::from(ON_A_PAGE)).min(last)),
        entries: entries.iter().map(line).collect(),
        end: end.map(|e| (e.number, e.hash)),
        patient: patient.map(|id: record::PatientId| id.to_string()),
        faults,
        shell: context.shell("Trail", Nav::Trail),
    })
}
