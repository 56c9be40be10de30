//! How is everything of one patient erased, and who was?
//!
//! It cannot be undone, so the page says what goes and what stays, and asks for the number on the chart and a reason.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{
    Form,
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use record::{Erasure, Noted, PatientId, ToNote};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "access/erase.html")]
pub struct ErasePage {
    pub shell: Shell,
    pub id: String,
    pub name: String,
    pub chart_number: String,
    pub visits: usize,
    pub films: usize,
    pub letters: usize,
    pub orders: usize,
    /// Backups are made by the clock, and hold the patient until they go.
    pub backups: bool,
}

/// `GET /patient/{id}/erase`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let id: PatientId = id.parse()?;
    let chart = store::chart(&*context.state.store, id).await?;
    page(&ErasePage {
        id: id.to_string(),
        name: words::full_name(&chart.patient),
        chart_number: chart.patient.chart_number.clone(),
        visits: chart.visits.len(),
        films: chart.films.len(),
        letters: chart.letters.len(),
        orders: chart.orders.len(),
        backups: context.state.safety.backups.is_some(),
        shell: context.shell("Erase", Nav::Inside),
    })
}

#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    #[serde(default)]
    chart_number: String,
    #[serde(default)]
    reason: String,
}

/// `POST /patient/{id}/erase`
pub async fn erase(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<Wanted>,
) -> Result<Response, PageError> {
    let store = &context.state.store;
    let patient = store.patient(id.parse()?).await?;
    if form.chart_number.trim() != patient.chart_number {
        return Err(PageError::input(
            "found another number than the one on this chart; expected the same, so that nobody is erased in another's place: look again",
        ));
    }
    let erasure = Erasure {
        patient: patient.id,
        by: context.worker.id,
        at: context.now,
        reason: form.reason.trim().to_owned(),
    };
    let note = ToNote {
        patient: Some(patient.id),
        ..context
            .who
            .note(&context.state, Noted::Erased, erasure.reason.clone())
    };
    store.erase(note, erasure).await?;
    context.state.forget_all();
    Ok(Redirect::to("/").into_response())
}

#[derive(Template)]
#[template(path = "access/erased.html")]
pub struct ErasedPage {
    pub shell: Shell,
    pub rows: Vec<ErasedRow>,
}

pub struct ErasedRow {
    pub id: String,
    pub when: String,
    pub by: String,
    pub reason: String,
    pub what: String,
}

/// `GET /erased`: ids and reasons; no name is left to show.
pub async fn list(context: Context) -> Result<Response, PageError> {
    let store = &context.state.store;
    let people = store.clinicians().await?;
    let rows = store
        .tombstones()
        .await?
        .into_iter()
        .map(|t| ErasedRow {
            id: t.patient.to_string(),
            when: words::short_day(t.at.to_offset(context.now.offset()).date()),
            by: people
                .iter()
                .find(|p| p.id == t.by)
                .map_or_else(String::new, |p| p.name.clone()),
            what: format!("{} entries, {} files", t.rows, t.files),
            reason: t.reason,
        })
        .collect();
    page(&ErasedPage {
        rows,
        shell: context.shell("Erased", Nav::Trail),
    })
}
