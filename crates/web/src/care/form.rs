//! One entry of care as a form: written down, changed, checked, taken back, taken away.
//!
//! What cannot have happened stops the save and shows the form again with all that was typed. What should
//! not have happened is kept, since it happened, and the page of care warns of it.

use super::log::{CareLog, GIVEN_FORMAT, GIVEN_VERSION, Kept, entry_of, of_patient};
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::layout::{Nav, Shell, page};
use crate::visit::inputs::{Input, of_section};
use crate::words;
use askama::Template;
use axum::{
    Form,
    extract::{Path, Query},
    http::StatusCode,
    response::{IntoResponse, Redirect, Response},
};
use care::log::{self, DueState, Entry, Kind};
use care::programme::Programme;
use exam::{Given, Sheet};
use record::{CareId, CareRecord, Patient, PatientId, VisitId};
use std::collections::BTreeMap;
use terms::Side;
use time::Date;

type Fields = BTreeMap<String, String>;

#[derive(Template)]
#[template(path = "care/entry.html")]
pub struct EntryPage {
    pub shell: Shell,
    pub patient: String,
    pub name: String,
    pub head: String,
    pub action: String,
    pub kind: &'static str,
    /// What a check looks at.
    pub about: Option<(String, String)>,
    pub visit: String,
    pub revision: u32,
    pub problems: Vec<String>,
    /// `None` where a foot makes no sense; else left, right or still open.
    pub side: Option<String>,
    pub began: String,
    pub began_words: &'static str,
    /// `None` where it is over the moment it is done.
    pub ended: Option<String>,
    pub look_on: String,
    pub look_hint: String,
    pub today: String,
    pub inputs: Vec<Input>,
    /// Where the form of a new programme is filled in with the protocol's amounts.
    pub usual_amounts: Option<String>,
    pub id: Option<String>,
    pub undo: Option<String>,
}

fn of_a_foot(kind: Kind) -> bool {
    !matches!(kind, Kind::Medicine)
}

fn text<'f>(fields: &'f Fields, key: &str) -> &'f str {
    fields.get(key).map_or("", |t| t.trim())
}

fn side_of(key: &str) -> Option<Side> {
    Side::BOTH.into_iter().find(|s| s.word() == key)
}

/// `GET /patient/{id}/care/new?kind=…&side=…&about=…&visit=…`
pub async fn fresh(
    context: Context,
    Path(id): Path<String>,
    Query(mut fields): Query<Fields>,
) -> Result<Response, PageError> {
    let patient = context.state.store.patient(id.parse()?).await?;
    let log = of_patient(&context, &patient).await?;
    fields.insert("began".to_owned(), words::iso_day(context.today()));
    if text(&fields, "amounts") == "usual" {
        fields.extend(usual_amounts());
    }
    shown(&context, &patient, &log, None, &fields, Vec::new())
}

/// `GET /care/{id}`
pub async fn edit(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let record = context.state.store.care(id.parse()?).await?;
    let patient = context.state.store.patient(record.patient).await?;
    let log = of_patient(&context, &patient).await?;
    let fields = fields_of(&record)?;
    shown(&context, &patient, &log, Some(&record), &fields, Vec::new())
}

fn fields_of(record: &CareRecord) -> Result<Fields, PageError> {
    let entry = entry_of(record).ok_or_else(|| {
        PageError::ours("reading an entry of care back", "another program wrote it")
    })?;
    let mut fields: Fields = entry
        .answers
        .answered()
        .map(|(q, a)| (format!("q.{}", q.key), a.as_text()))
        .collect();
    let day = |d: Option<Date>| d.map(words::iso_day).unwrap_or_default();
    fields.extend([
        ("kind".to_owned(), record.kind.clone()),
        ("began".to_owned(), words::iso_day(record.began_on)),
        ("ended".to_owned(), day(record.ended_on)),
        ("look_on".to_owned(), day(record.review_on)),
        (
            "side".to_owned(),
            record.side.map_or("", Side::word).to_owned(),
        ),
        (
            "about".to_owned(),
            record.about.map(|a| a.to_string()).unwrap_or_default(),
        ),
    ]);
    Ok(fields)
}

/// The amounts of the programme's protocol, for the fields that hold them.
fn usual_amounts() -> Fields {
    let mut fields = Fields::new();
    for exercise in &Programme::built_in().exercises {
        let asked = &exercise.asked;
        for (key, amount) in [
            (&asked.sets, exercise.sets),
            (&asked.repetitions, exercise.repetitions),
            (&asked.times_a_day, exercise.times_a_day),
            (&asked.hold_s, exercise.hold_s),
        ] {
            if let (Some(key), Some(amount)) = (key, amount) {
                fields.insert(format!("q.{key}"), amount.to_string());
            }
        }
    }
    fields
}

/// What a check of this kind asks; what was answered stands in any case.
fn asks(of: Kind, question: &str) -> bool {
    let of_all = ["check_pain", "check_outcome", "check_words"];
    let own: &[&str] = match of {
        Kind::Therapy => &[
            "check_rises",
            "check_toe_walk",
            "check_deficit",
            "check_load",
            "check_during",
            "check_settled",
            "check_easy",
            "check_each",
            "check_lunge",
            "check_hop",
            "check_after_run",
        ],
        Kind::Device | Kind::Boot | Kind::Wrap => {
            &["check_hours", "check_skin", "check_where", "check_fits"]
        }
        Kind::Operation => &["check_skin", "check_where", "check_rises"],
        Kind::Injection => &["check_skin"],
        Kind::Medicine | Kind::Check => &[],
    };
    of_all.contains(&question) || own.contains(&question)
}

fn shown(
    context: &Context,
    patient: &Patient,
    log: &CareLog,
    record: Option<&CareRecord>,
    fields: &Fields,
    problems: Vec<String>,
) -> Result<Response, PageError> {
    let kind = kind_of(fields)?;
    let about = log.find(text(fields, "about"));
    if kind == Kind::Check && about.is_none() {
        return Err(PageError::input(
            "found a check without what it looks at; go to the page of care and press 'Write a check down' there",
        ));
    }
    let side: String = match about.and_then(|a| a.entry.side) {
        Some(side) => side.word().to_owned(),
        None => text(fields, "side").to_owned(),
    };
    let answered = |key: &str| fields.get(&format!("q.{key}")).cloned();
    let wrong = !problems.is_empty();
    let child = patient
        .age_years_on(context.today())
        .map(|years| years < 18.0);
    let mut response = page(&EntryPage {
        shell: context.shell(words::full_name(patient), Nav::Inside),
        patient: patient.id.to_string(),
        name: words::full_name(patient),
        head: sentence(kind.words()).trim_end_matches('.').to_owned(),
        action: match record {
            Some(record) => format!("/care/{}", record.id),
            None => format!("/patient/{}/care", patient.id),
        },
        kind: kind.key(),
        about: about.map(|a| (a.entry.id.clone(), super::page::title(&a.entry))),
        visit: text(fields, "visit").to_owned(),
        revision: record.map_or(0, |r| r.revision),
        problems,
        side: (of_a_foot(kind) && about.is_none()).then_some(side),
        began: text(fields, "began").to_owned(),
        began_words: if kind.lasts() { "From" } else { "Day" },
        ended: kind.lasts().then(|| text(fields, "ended").to_owned()),
        look_on: text(fields, "look_on").to_owned(),
        look_hint: if record.is_none() {
            "Left open, the ladder's next day is taken.".to_owned()
        } else {
            "Left open, nothing more is due.".to_owned()
        },
        today: words::iso_day(context.today()),
        inputs: of_section(Sheet::Given, kind.section(), "care", child, &answered)
            .into_iter()
            .filter(|i| {
                let key = i.name.trim_start_matches("q.");
                let said = answered(key).is_some_and(|a| !a.is_empty());
                about.is_none_or(|a| said || asks(a.entry.kind, key))
            })
            .collect(),
        usual_amounts: (kind == Kind::Therapy && record.is_none()).then(|| {
            let side = text(fields, "side");
            let visit = text(fields, "visit");
            format!(
                "/patient/{}/care/new?kind=therapy&side={side}&visit={visit}&amounts=usual",
                patient.id
            )
        }),
        id: record.map(|r| r.id.to_string()),
        undo: record
            .filter(|r| r.content_of > 1)
            .map(|_| "Undo the last change".to_owned()),
    })?;
    if wrong {
        *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
        // The page itself says what is wrong; it must not be replaced by the error page.
        response.extensions_mut().insert(crate::shell::OwnPage);
    }
    Ok(response)
}

fn kind_of(fields: &Fields) -> Result<Kind, PageError> {
    let key = text(fields, "kind");
    Kind::from_key(key).ok_or_else(|| {
        let kinds: Vec<&str> = Kind::ALL.iter().map(|k| k.words()).collect();
        PageError::input(format!(
            "found no such kind of care; expected one of {}: choose one on the page of care",
            kinds.join(", ")
        ))
    })
}

/// `POST /patient/{id}/care`
pub async fn add(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Response, PageError> {
    let id: PatientId = id.parse()?;
    let patient = context.state.store.patient(id).await?;
    keep(&context, &patient, None, &fields).await
}

/// `POST /care/{id}`
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Response, PageError> {
    let record = context.state.store.care(id.parse()?).await?;
    let patient = context.state.store.patient(record.patient).await?;
    keep(&context, &patient, Some(record), &fields).await
}

async fn keep(
    context: &Context,
    patient: &Patient,
    before: Option<CareRecord>,
    fields: &Fields,
) -> Result<Response, PageError> {
    let log = of_patient(context, patient).await?;
    let id = before
        .as_ref()
        .map_or_else(|| CareId::new(context.state.ids.fresh()), |b| b.id);
    let (entry, mut problems) = read(&log, before.as_ref(), id, fields)?;
    let look_on = day_of(
        text(fields, "look_on"),
        "the day to look again",
        &mut problems,
    );
    if let Some(entry) = &entry {
        let others: Vec<Entry> = log
            .entries()
            .into_iter()
            .filter(|o| o.id != entry.id)
            .collect();
        let faults = log::faults(entry, &others, patient.born_on, context.today());
        problems.extend(faults.into_iter().filter(|f| f.stops).map(|f| f.sentence));
    }
    let Some(entry) = entry.filter(|_| problems.is_empty()) else {
        return shown(context, patient, &log, before.as_ref(), fields, problems);
    };
    let visit = match &before {
        Some(before) => before.visit,
        None => match text(fields, "visit") {
            "" => None,
            visit => Some(visit.parse::<VisitId>()?),
        },
    };
    // A proposal is for what is new; whoever changes an entry has seen the day and means it.
    let look_on = match &before {
        None => look_on.or_else(|| next_look(&log, &entry, context.today())),
        Some(_) => look_on,
    };
    let seen = text(fields, "revision").parse().unwrap_or(0);
    let record = CareRecord {
        id,
        patient: patient.id,
        visit,
        about: entry.about.as_deref().map(str::parse).transpose()?,
        kind: entry.kind.key().to_owned(),
        side: entry.side,
        began_on: entry.began,
        ended_on: entry.ended,
        review_on: look_on,
        answers: record::Kept::of(GIVEN_FORMAT, GIVEN_VERSION, &entry.answers)?,
        taken_away: false,
        revision: 0,
        content_of: 0,
        saved_at: context.now,
    };
    let done = context
        .state
        .store
        .save_care(context.stamp(), record, seen)
        .await
        .map_err(PageError::from);
    match done {
        Ok(_) => {
            let place = entry.about.as_deref().unwrap_or(&entry.id);
            Ok(Redirect::to(&format!("/patient/{}/care#c-{place}", patient.id)).into_response())
        }
        Err(bad @ PageError::Input { .. }) => {
            let problem = vec![sentence(&bad.to_string())];
            shown(context, patient, &log, before.as_ref(), fields, problem)
        }
        Err(other) => Err(other),
    }
}

/// The first look that is still to come once this entry stands in the log.
fn next_look(log: &CareLog, entry: &Entry, today: Date) -> Option<Date> {
    let root = entry.about.as_deref().unwrap_or(&entry.id);
    let mut entries: Vec<Entry> = log.entries();
    entries.retain(|e| e.id != entry.id);
    entries.push(entry.clone());
    log::due(&entries, today)
        .into_iter()
        .filter(|d| d.entry == root && !matches!(d.state, DueState::Done | DueState::Missed))
        .map(|d| d.on)
        .min()
}

/// What was typed as an entry, with a sentence for all that is none.
fn read(
    log: &CareLog,
    before: Option<&CareRecord>,
    id: CareId,
    fields: &Fields,
) -> Result<(Option<Entry>, Vec<String>), PageError> {
    let kind = kind_of(fields)?;
    let mut problems = Vec::new();
    let began = day_of(text(fields, "began"), "the first day", &mut problems);
    if began.is_none() && problems.is_empty() {
        problems.push("Found no day; expected the day it began or was done: choose it.".to_owned());
    }
    let ended = day_of(text(fields, "ended"), "the last day", &mut problems);
    let about: Option<&Kept> = log.find(text(fields, "about"));
    let mut answers = Given::new();
    for (name, value) in fields {
        let Some(key) = name.strip_prefix("q.") else {
            continue;
        };
        if value.trim().is_empty() {
            continue;
        }
        if let Err(fault) = answers.set(key, value.trim()) {
            problems.push(sentence(&fault.to_string()));
        }
    }
    let entry = began.map(|began| Entry {
        id: id.to_string(),
        about: about.map(|a| a.entry.id.clone()),
        kind: before.and_then(|b| Kind::from_key(&b.kind)).unwrap_or(kind),
        side: about
            .and_then(|a| a.entry.side)
            .or_else(|| side_of(text(fields, "side"))),
        began,
        ended: ended.filter(|_| kind.lasts()),
        answers,
    });
    Ok((entry, problems))
}

fn day_of(typed: &str, what: &str, problems: &mut Vec<String>) -> Option<Date> {
    if typed.is_empty() {
        return None;
    }
    let day = words::parse_day(typed);
    if day.is_none() {
        problems.push(format!(
            "Found {typed:?} as {what}; expected a day of the calendar such as 2026-11-24: correct it."
        ));
    }
    day
}

/// `POST /care/{id}/undo`: `revision` as the page showed it.
pub async fn take_back(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Redirect, PageError> {
    let seen = text(&fields, "revision").parse().unwrap_or(0);
    let record = context
        .state
        .store
        .undo_care(context.stamp(), id.parse()?, seen)
        .await?;
    Ok(to_log(&record))
}

/// `POST /care/{id}/gone`: takes an entry out of the lists, or puts it back (`back=yes`).
pub async fn take_away(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Result<Redirect, PageError> {
    let before = context.state.store.care(id.parse()?).await?;
    let seen = text(&fields, "revision").parse().unwrap_or(0);
    let record = CareRecord {
        taken_away: text(&fields, "back") != "yes",
        ..before
    };
    let record = context
        .state
        .store
        .save_care(context.stamp(), record, seen)
        .await?;
    Ok(to_log(&record))
}

fn to_log(record: &CareRecord) -> Redirect {
    let place = record.about.unwrap_or(record.id);
    Redirect::to(&format!("/patient/{}/care#c-{place}", record.patient))
}
