//! The page 'Films that wait': what each says of itself, whose it may be, and what can be done.

use super::{
    judge::{Judged, judge},
    seen::{candidates, is_closed, name_words, seen},
};
use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{Form, extract::Path, response::Response};
use record::{
    ArrivalId, ArrivalRecord, ArrivalState, ArrivalWay, Clinician, Noted, Patient, PatientId,
};
use serde::Deserialize;
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// Films shown with their forms; the others are counted and come up as these are dealt with.
const MOST_SHOWN: usize = 50;
const MOST_AWAY: u32 = 30;
const MOST_FOUND: u32 = 20;

#[derive(Template)]
#[template(path = "arrivals/arrivals.html")]
pub struct ArrivalsPage {
    pub shell: Shell,
    pub waiting: Vec<Waiting>,
    pub more: usize,
    pub away: Vec<Away>,
    /// By which ways films come in here; empty where none is open.
    pub ways: Vec<String>,
}

pub struct Waiting {
    pub id: String,
    pub came: String,
    pub what: String,
    pub facts: Vec<(&'static str, String)>,
    pub why: String,
    /// Seems to belong to a record that is closed to whoever looks.
    pub closed: bool,
    pub candidates: Vec<Candidate>,
    /// Somebody was searched for.
    pub searched: bool,
}

pub struct Candidate {
    pub id: String,
    pub name: String,
    pub about: String,
    pub how: &'static str,
    /// Id, day and reason; the first one is proposed.
    pub visits: Vec<(String, String)>,
    /// The day of a visit that would be opened.
    pub new_on: Option<String>,
}

pub struct Away {
    pub id: String,
    pub what: String,
    pub came: String,
    pub reason: String,
    pub by: String,
    pub closed: bool,
}

/// `GET /arrivals`
pub async fn show(context: Context) -> Result<Response, PageError> {
    shown(&context, None).await
}

#[derive(Debug, Default, Deserialize)]
pub struct Search {
    #[serde(default)]
    words: String,
}

/// `POST /arrival/{id}/find`: the same page, with whoever was found beside this film.
pub async fn find(
    context: Context,
    Path(id): Path<String>,
    Form(search): Form<Search>,
) -> Result<Response, PageError> {
    let arrival = seen(&context, &id).await?;
    let found = match search.words.trim() {
        "" => Vec::new(),
        words => {
            let store = &context.state.store;
            store.find_patients(words.to_owned(), MOST_FOUND).await?
        }
    };
    shown(&context, Some((arrival.id, found))).await
}

async fn shown(
    context: &Context,
    found: Option<(ArrivalId, Vec<Patient>)>,
) -> Result<Response, PageError> {
    let store = &context.state.store;
    let mut all = store.arrivals_waiting().await?;
    // The one that was searched for comes first, so that the answer is where the eye is.
    if let Some((id, _)) = &found {
        all.sort_by_key(|a| a.id != *id);
    }
    let hidden = context.hidden().await?;
    let people = store.clinicians().await?;
    let note = context.who.note(
        &context.state,
        Noted::Saw,
        format!("/arrivals, {} that wait", all.len()),
    );
    store.note(note).await?;
    let mut waiting = Vec::new();
    for arrival in all.iter().take(MOST_SHOWN) {
        let found = match &found {
            Some((id, patients)) if *id == arrival.id => Some(patients.as_slice()),
            _ => None,
        };
        waiting.push(waiting_row(context, arrival, &hidden, found).await?);
    }
    let mut away = Vec::new();
    for arrival in store.arrivals_put_away(MOST_AWAY).await? {
        away.push(away_row(context, &arrival, &hidden, &people).await?);
    }
    page(&ArrivalsPage {
        more: all.len().saturating_sub(MOST_SHOWN),
        waiting,
        away,
        ways: context.state.outside.ways_in.clone(),
        shell: context.shell("Films that wait", Nav::Arrivals),
    })
}

async fn waiting_row(
    context: &Context,
    arrival: &ArrivalRecord,
    hidden: &BTreeSet<PatientId>,
    found: Option<&[Patient]>,
) -> Result<Waiting, PageError> {
    let mut known = candidates(&context.state, arrival).await?;
    let closed = is_closed(arrival, &known, hidden);
    if let Some(found) = found {
        known = found.iter().map(|p| (p.clone(), "found")).collect();
    }
    let mut shown = Vec::new();
    let mut why = String::new();
    if !closed {
        why = match judge(&context.state, arrival).await? {
            Judged::Waits { why, .. } => why,
            Judged::Into(visit) => format!(
                "Since it came in, a visit of {} was opened for the patient with its number: take it there.",
                words::day(visit.on)
            ),
        };
        for (patient, how) in known.iter().filter(|(p, _)| !hidden.contains(&p.id)) {
            shown.push(candidate(context, arrival, patient, how).await?);
        }
    }
    Ok(Waiting {
        id: arrival.id.to_string(),
        came: came(arrival, context.now),
        what: what(arrival),
        facts: if closed { Vec::new() } else { facts(arrival) },
        why,
        closed,
        candidates: shown,
        searched: found.is_some(),
    })
}

async fn candidate(
    context: &Context,
    arrival: &ArrivalRecord,
    patient: &Patient,
    how: &'static str,
) -> Result<Candidate, PageError> {
    let mut visits = context.state.store.visits_of(patient.id).await?;
    let day = arrival.says.taken_on;
    // The day it was taken comes first, then the newest.
    visits.sort_by_key(|v| Some(v.on) != day);
    let has_day = day.is_some() && visits.first().is_some_and(|v| Some(v.on) == day);
    let new_on = day.unwrap_or(context.today());
    let born = patient.born_on.map_or_else(
        || "birth date not given".to_owned(),
        |d| format!("born {}", words::short_day(d)),
    );
    Ok(Candidate {
        id: patient.id.to_string(),
        name: words::list_name(patient),
        about: format!("chart {}, {born}", patient.chart_number),
        how,
        visits: visits
            .iter()
            .map(|v| {
                let reason = match v.reason.trim() {
                    "" => String::new(),
                    reason => format!(": {reason}"),
                };
                (
                    v.id.to_string(),
                    format!("{}{reason}", words::short_day(v.on)),
                )
            })
            .collect(),
        new_on: (!has_day && new_on <= context.today()).then(|| words::short_day(new_on)),
    })
}

async fn away_row(
    context: &Context,
    arrival: &ArrivalRecord,
    hidden: &BTreeSet<PatientId>,
    people: &[Clinician],
) -> Result<Away, PageError> {
    let closed = !hidden.is_empty()
        && is_closed(arrival, &candidates(&context.state, arrival).await?, hidden);
    let (reason, by) = match &arrival.state {
        ArrivalState::PutAway { reason, by, at } => {
            let who = people.iter().find(|p| p.id == *by);
            let who = who.map_or(words::not_on_the_list(*by), |p| p.name.as_str());
            (
                reason.clone(),
                format!("{who}, {}", words::moment(*at, context.now.offset())),
            )
        }
        ArrivalState::Waiting | ArrivalState::Taken { .. } => Default::default(),
    };
    Ok(Away {
        id: arrival.id.to_string(),
        what: what(arrival),
        came: came(arrival, context.now),
        reason: if closed { String::new() } else { reason },
        by,
        closed,
    })
}

fn what(arrival: &ArrivalRecord) -> String {
    let view = arrival.says.view.map_or("view not said", |v| v.words());
    let side = arrival.says.side.map_or("side not said", |s| s.word());
    words::capitalised(&format!("{view}, {side}"))
}

fn came(arrival: &ArrivalRecord, now: OffsetDateTime) -> String {
    let way = match &arrival.way {
        ArrivalWay::Network { title } => format!("over the network from {title}"),
        ArrivalWay::Folder => "from the watched folder".to_owned(),
        ArrivalWay::Web => "over the web".to_owned(),
    };
    format!("{}, {way}", words::moment(arrival.came_at, now.offset()))
}

/// What it says of itself; what it does not say is told too.
fn facts(arrival: &ArrivalRecord) -> Vec<(&'static str, String)> {
    let says = &arrival.says;
    let or_not = |text: Option<String>| text.unwrap_or_else(|| "not said".to_owned());
    let mut facts = vec![
        ("Chart number", or_not(says.chart_number.clone())),
        ("Name", or_not(says.name.as_deref().map(name_words))),
        ("Born", or_not(says.born_on.map(words::short_day))),
        ("Taken on", or_not(says.taken_on.map(words::short_day))),
        ("Kind of picture", or_not(says.modality.clone())),
    ];
    if let Some(issuer) = &says.issuer {
        facts.insert(1, ("Number given by", issuer.clone()));
    }
    if !arrival.file_name.is_empty() {
        facts.push(("File", arrival.file_name.clone()));
    }
    facts
}
