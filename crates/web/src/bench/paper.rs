//! The papers of an order, set by `letter`: the sheet for whoever makes it, and the one for whoever wears it.

use super::facts::{self, LimitShown};
use super::finish::current;
use super::order::{Opened, open};
use super::preview::gathered;
use crate::context::Context;
use crate::error::PageError;
use crate::letters::draft::practice_lines_in;
use crate::letters::paper::as_pdf;
use crate::letters::spoken::{self, Wish};
use crate::visit::gather::Gathered;
use crate::words;
use axum::{
    extract::{Path, Query},
    response::Response,
};
use care::orthosis::LimitFacts;
use letter::{BreakInFacts, BreakInKind, PatientLine, Words};
use record::OrderSource;
use std::sync::Arc;
use workshop::Files;
use workshop::paper::{self, Heading};

const SETTING: &str = "setting the order's paper";

/// The order sheet as PDF; `signed` says when, in words, or nothing for a draft.
///
/// # Errors
/// Our own fault in setting it.
pub async fn order_sheet(
    context: &Context,
    opened: &Opened,
    person: &Gathered,
    files: &Arc<Files>,
    limits: &[LimitShown],
    signed: Option<String>,
    in_words: &'static Words,
) -> Result<Vec<u8>, PageError> {
    let cautions: Vec<String> = limits
        .iter()
        .map(|l| {
            format!(
                "{}: {}",
                terms::sentence(l.severity).trim_end_matches('.'),
                l.words
            )
        })
        .collect();
    let heading = Heading {
        words: in_words,
        practice: practice_lines_in(in_words, &context.practice),
        invented: context.practice.demo,
        date: words::day(context.today()),
        patient_code: Some(person.patient.chart_number.clone()),
        side: opened.record.side,
        other_foot_length_mm: other_length(context, opened).await,
        cautions,
        clinician: context.worker.name.clone(),
        signed,
    };
    let knowledge = context.state.knowledge;
    let (files, foot) = (files.clone(), opened.foot.clone());
    let strength = opened
        .hand
        .strength(&opened.wish.key(), super::strength::recorded_weight(person));
    let set = tokio::task::spawn_blocking(move || {
        paper::order_sheet(&heading, &foot, &files, strength.as_deref(), knowledge)
    })
    .await;
    let pdf = set
        .map_err(|e| PageError::ours(SETTING, e))?
        .map_err(|e| PageError::ours(SETTING, e))?;
    Ok(pdf.bytes)
}

/// Of the other foot's scan or order at this visit, where one is in hand already.
async fn other_length(context: &Context, opened: &Opened) -> Option<f64> {
    let store = &context.state.store;
    let side = opened.record.side.other();
    let orders = store.orders_of_visit(opened.record.visit).await.ok()?;
    let order = orders.iter().rev().find(|o| o.side == side);
    if let Some(order) = order {
        let foot = super::hand::foot_of(&context.state, order).await.ok()?;
        return Some(foot.foot.points.foot_length_mm());
    }
    if matches!(opened.record.source, OrderSource::Measured { .. }) {
        return None;
    }
    let scans = store.scans_of_visit(opened.record.visit).await.ok()?;
    let scan = scans.iter().rev().find(|s| s.side == Some(side))?;
    let foot = super::hand::foot_of_scan(&context.state, scan).await.ok()?;
    Some(foot.foot.points.foot_length_mm())
}

/// `GET /order/{id}/sheet.pdf`: as it would be sent now, marked as a draft; `language` in the query.
pub async fn draft(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let in_words = spoken::wished(&wish)?;
    let opened = open(&context, &id).await?;
    let files = current(&opened).ok_or_else(|| PageError::NotNow {
        sentence: "found no files of this order as it stands now; make them first, the sheet tells what they hold".to_owned(),
    })?;
    let person = gathered(&context, &opened).await?;
    let limits = facts::limits(
        &person,
        opened.record.side,
        &opened.foot,
        &opened.wish.sheet,
        Some(&files.device),
    );
    let pdf = order_sheet(&context, &opened, &person, &files, &limits, None, in_words).await?;
    Ok(as_pdf(
        &spoken::file_name(&format!("{}-order-draft", opened.record.code), in_words),
        pdf,
    ))
}

/// `GET /order/{id}/break-in.pdf`: for the patient; `language` in the query.
pub async fn break_in(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let in_words = spoken::wished(&wish)?;
    let opened = open(&context, &id).await?;
    let person = gathered(&context, &opened).await?;
    let orders = context
        .state
        .store
        .orders_of_visit(opened.record.visit)
        .await?;
    let sides: Vec<terms::Side> = terms::Side::BOTH
        .into_iter()
        .filter(|s| orders.iter().any(|o| o.side == *s))
        .collect();
    let input = facts::input(
        &person,
        opened.record.side,
        &opened.foot,
        Some(&opened.wish.sheet),
    );
    let feeling_lost = LimitFacts::of(&input).feels.map(|feels| !feels);
    let patient = &person.patient;
    let name = words::full_name(patient);
    let born = patient.born_on.map(words::day);
    let practice = practice_lines_in(in_words, &context.practice);
    let date = words::day(context.today());
    let next = person
        .plan
        .as_ref()
        .and_then(|p| p.review_on)
        .map(words::day);
    let pdf = letter::break_in_sheet(&BreakInFacts {
        words: in_words,
        practice: &practice,
        invented: context.practice.demo,
        date: &date,
        patient: PatientLine {
            name: Some(&name),
            born: born.as_deref(),
            chart: Some(&patient.chart_number),
        },
        kind: BreakInKind::FootOrthosis,
        sides: &sides,
        child: patient
            .age_years_on(person.visit.on)
            .is_some_and(|y| y < 18.0),
        feeling_lost,
        clinician: &context.worker.name,
        next_visit: next.as_deref(),
    })
    .map_err(|e| PageError::ours(SETTING, e))?;
    Ok(as_pdf(&spoken::file_name("break-in", in_words), pdf.bytes))
}
