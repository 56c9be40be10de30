//! Whose record is closed, and how is it opened with a reason?
//!
//! A record can be closed to all but some (a colleague, a neighbour). Anybody who may see patients can still open it for an
//! hour in need: with a reason, and seen by the administrator.

use super::gate::Who;
use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
};
use askama::Template;
use axum::{
    Form,
    extract::Path,
    response::{Redirect, Response},
};
use record::{ClinicianId, Noted, Opening, Patient, PatientId, ToNote};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use time::Duration;

/// How long a record stays open with a reason (our own choice: one visit).
const OPEN_FOR: Duration = Duration::hours(1);

#[derive(Template)]
#[template(path = "access/closed.html")]
pub struct ClosedPage {
    pub shell: Shell,
    pub id: String,
}

/// `GET /patient/{id}/closed`: says nothing of whose record it is.
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let id: PatientId = id.parse()?;
    page(&ClosedPage {
        id: id.to_string(),
        shell: context.shell("Closed record", Nav::Inside),
    })
}

#[derive(Debug, Default, Deserialize)]
pub struct Reason {
    #[serde(default)]
    reason: String,
}

/// `POST /patient/{id}/closed`
pub async fn break_glass(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<Reason>,
) -> Result<Redirect, PageError> {
    let patient: PatientId = id.parse()?;
    let opening = Opening {
        patient,
        by: context.worker.id,
        at: context.now,
        until: context.now + OPEN_FOR,
        reason: form.reason.trim().to_owned(),
    };
    let note = ToNote {
        patient: Some(patient),
        ..context
            .who
            .note(&context.state, Noted::BrokeGlass, opening.reason.clone())
    };
    context.state.store.break_glass(note, opening).await?;
    Ok(Redirect::to(&format!("/patient/{patient}")))
}

/// `POST /patient/{id}/closure`: `closed` closes it; `to-ID` for everybody it stays open to. Always open to the one who
/// closes it.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let patient: PatientId = id.parse()?;
    let open_to = texts.contains_key("closed").then(|| {
        let mut to: Vec<ClinicianId> = texts
            .keys()
            .filter_map(|name| name.strip_prefix("to-")?.parse().ok())
            .collect();
        to.push(context.worker.id);
        to.sort_unstable();
        to.dedup();
        to
    });
    let detail = match &open_to {
        Some(to) => format!("closed to all but {}", to.len()),
        None => "open to everybody".to_owned(),
    };
    let note = ToNote {
        patient: Some(patient),
        ..context.who.note(&context.state, Noted::Closed, detail)
    };
    let closes = open_to.is_some();
    let store = &context.state.store;
    store.set_closure(note, patient, open_to).await?;
    if closes {
        // What was taken together before may hold this record.
        let why = "a record was closed after it was asked for; ask again";
        store.withdraw_exports(why.to_owned(), context.now).await?;
    }
    Ok(Redirect::to(&format!("/patient/{patient}")))
}

/// What the patient's page says about who may open the record.
pub struct ClosureView {
    pub may: bool,
    pub closed: bool,
    /// Everybody but the one who looks: id, name, whether it is open to them.
    pub people: Vec<(String, String, bool)>,
}

pub async fn view(context: &Context, patient: PatientId) -> Result<ClosureView, PageError> {
    let store = &context.state.store;
    let closure = store.closure(patient).await?;
    // Without accounts nobody is kept out of anything.
    let may =
        matches!(context.who, Who::SignedIn(..)) && context.who.may(account::Action::CloseRecord);
    let people = store
        .clinicians()
        .await?
        .into_iter()
        .filter(|p| p.active && p.id != context.worker.id)
        .map(|p| {
            let open = closure.as_ref().is_some_and(|c| c.open_to.contains(&p.id));
            (p.id.to_string(), p.name, open)
        })
        .collect();
    Ok(ClosureView {
        may,
        closed: closure.is_some(),
        people,
    })
}

/// Takes the name off a patient who is among the hidden, for a list.
pub fn without_name(patient: &mut Patient, hidden: &BTreeSet<PatientId>) {
    if hidden.contains(&patient.id) {
        patient.given_name = String::new();
        patient.family_name = "Closed record".to_owned();
        patient.born_on = None;
        patient.sex = None;
        patient.note = String::new();
    }
}
