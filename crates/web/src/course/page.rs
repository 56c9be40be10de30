//! The page of a patient's course: verdicts first, then the drawings, then the numbers.

use super::around::{Event, events};
use super::lines::{BothFeet, Ground, both_feet};
use super::repeats::own_repeats;
use super::scores::{Asked, FootScores, ScoreLine, of_feet, of_person};
use super::seen::Readings;
use crate::adapt::person::person_on;
use crate::care::log::{CareLog, of_patient};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::{
    extract::{Path, Query},
    response::Response,
};
use care::log::Kind;
use record::{DecisionRecord, Patient, Visit};
use serde::Deserialize;
use terms::Side;
use time::Date;

/// Measures that are drawn in the open; the others are one press away.
const MOST_DRAWN: usize = 4;

#[derive(Template)]
#[template(path = "course/course.html")]
pub struct CoursePage {
    pub shell: Shell,
    pub id: String,
    pub name: String,
    pub about: String,
    pub scores: Vec<FootScores>,
    /// Function and what they can do: of the person, not of one foot.
    pub function: Vec<ScoreLine>,
    pub lines: Vec<BothFeet>,
    pub events: Vec<Event>,
    /// Key, name, chosen.
    pub measures: Vec<(String, String, bool)>,
    pub size: String,
    pub problem: Option<String>,
    pub left_out: usize,
    pub compared: usize,
}

#[derive(Debug, Default, Deserialize)]
pub struct Wish {
    #[serde(default)]
    measure: String,
    #[serde(default)]
    size: String,
}

/// `GET /patient/{id}/course?measure=…&size=…`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let store = &context.state.store;
    let patient = store.patient(id.parse()?).await?;
    let visits = store.visits_of(patient.id).await?;
    let log = of_patient(&context, &patient).await?;
    let readings = readings_of(&context, &patient, &visits).await?;
    let own = own_repeats(&context.state).await?;
    let person = person_on(&patient, context.today());
    let marks = marks(&log);
    let ground = Ground {
        knowledge: context.state.knowledge,
        patient: &patient,
        person: &person,
        own: &own,
        marks: &marks,
    };
    let (size, problem) = match size_of(&wish.size) {
        Ok(size) => (size, None),
        Err(words) => (None, Some(words)),
    };
    let all = readings.measures(context.state.knowledge);
    let chosen = all.iter().find(|m| m.key.as_str() == wish.measure);
    let drawn: Vec<_> = match chosen {
        Some(one) => vec![*one],
        None => all.iter().take(MOST_DRAWN).copied().collect(),
    };
    let lines: Vec<BothFeet> = drawn
        .into_iter()
        .map(|m| both_feet(&ground, m, &readings, size))
        .collect();
    let asked = Asked::of_patient(&context, &patient, &visits).await?;
    let decisions = decisions_of(&context, &patient, &visits).await?;
    page(&CoursePage {
        id: patient.id.to_string(),
        name: words::full_name(&patient),
        about: words::age_and_sex(&patient, context.today()),
        function: of_person(context.state.knowledge, &asked, &person),
        scores: of_feet(context.state.knowledge, &asked, &person, &decisions),
        compared: lines
            .iter()
            .flat_map(|l| l.feet.iter().flatten())
            .filter(|f| matches!(f.word, "changed" | "no change shown"))
            .count(),
        lines,
        events: events(&ground, &readings, &log),
        measures: all
            .iter()
            .map(|m| {
                let key = m.key.to_string();
                let is = key == wish.measure;
                (key, m.name.clone(), is)
            })
            .collect(),
        size: wish.size.trim().to_owned(),
        problem,
        left_out: readings.left_out,
        shell: context.shell(words::full_name(&patient), Nav::Inside),
    })
}

/// # Errors
/// No such patient.
pub async fn readings_of(
    context: &Context,
    patient: &Patient,
    visits: &[Visit],
) -> Result<Readings, PageError> {
    let store = &context.state.store;
    let films = store.films_of(patient.id).await?;
    let sheets = store.sheets_of(patient.id).await?;
    Ok(Readings::of(&films, visits, &sheets))
}

/// Newest visit first, each with the day of its visit.
///
/// # Errors
/// No such patient.
pub async fn decisions_of(
    context: &Context,
    patient: &Patient,
    visits: &[Visit],
) -> Result<Vec<(Date, DecisionRecord)>, PageError> {
    let decisions = context.state.store.decisions_of(patient.id).await?;
    Ok(decisions
        .into_iter()
        .filter_map(|d| Some((visits.iter().find(|v| v.id == d.visit)?.on, d)))
        .collect())
}

/// What was begun, as a word over its day.
pub fn marks(log: &CareLog) -> Vec<(Side, Date, String)> {
    log.kept
        .iter()
        .filter(|k| {
            matches!(
                k.entry.kind,
                Kind::Device | Kind::Operation | Kind::Injection | Kind::Boot
            )
        })
        .filter_map(|k| {
            Some((
                k.entry.side?,
                k.entry.began,
                k.entry.kind.words().to_owned(),
            ))
        })
        .collect()
}

fn size_of(typed: &str) -> Result<Option<f64>, String> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    match typed.replace(',', ".").parse::<f64>() {
        Ok(size) if size > 0.0 && size <= 1000.0 => Ok(Some(size)),
        _ => Err(format!(
            "Found {typed:?} as the size of a change; expected a number above 0 and at most 1000, such as 4: correct it."
        )),
    }
}
