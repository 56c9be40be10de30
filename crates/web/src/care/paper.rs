//! Papers of an entry of care: how a device is got used to.

use super::log::{entry_of, last_visit};
use crate::context::Context;
use crate::error::PageError;
use crate::letters::draft::practice_lines_in;
use crate::letters::paper::as_pdf;
use crate::letters::spoken::{self, Wish};
use crate::words;
use axum::{
    extract::{Path, Query},
    response::Response,
};
use care::log::Entry;
use letter::compose::{BreakInFacts, BreakInKind, PatientLine};

/// Of which kind the sheet is; `None` where nothing has to be got used to.
pub fn break_in_kind(entry: &Entry) -> Option<BreakInKind> {
    BreakInKind::of_rung(entry.rung()?)
}

/// `GET /care/{id}/break-in.pdf`: for the patient; `language` in the query.
pub async fn break_in(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let in_words = spoken::wished(&wish)?;
    let record = context.state.store.care(id.parse()?).await?;
    let entry = entry_of(&record).filter(|_| !record.taken_away);
    let found = entry.and_then(|e| Some((break_in_kind(&e)?, e.side?)));
    let (kind, side) = found.ok_or(PageError::NotFound {
        what: "sheet for getting used to a device",
    })?;
    let patient = context.state.store.patient(record.patient).await?;
    let visit = last_visit(&context, &patient, context.today()).await?;
    let name = words::full_name(&patient);
    let born = patient.born_on.map(words::day);
    let practice = practice_lines_in(in_words, &context.practice);
    let next = visit
        .as_ref()
        .and_then(|g| g.plan.as_ref())
        .and_then(|p| p.review_on)
        .filter(|on| *on >= context.today())
        .map(words::day);
    let pdf = letter::break_in_sheet(&BreakInFacts {
        words: in_words,
        practice: &practice,
        invented: context.practice.demo,
        date: &words::day(record.began_on),
        patient: PatientLine {
            name: Some(&name),
            born: born.as_deref(),
            chart: Some(&patient.chart_number),
        },
        kind,
        sides: &[side],
        child: patient
            .age_years_on(context.today())
            .is_some_and(|years| years < 18.0),
        feeling_lost: visit
            .as_ref()
            .and_then(|g| care::protective_feeling(&g.sheet.story, &g.foot(side).exam))
            .map(|feels| !feels),
        clinician: &context.worker.name,
        next_visit: next.as_deref(),
    })
    .map_err(|e| PageError::ours("setting a sheet for getting used to a device", e))?;
    Ok(as_pdf(&spoken::file_name("break-in", in_words), pdf.bytes))
}
