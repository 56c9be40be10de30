//! Answers of the examination: each save is one confirmed act and a new revision; every one can be
//! taken back.

use super::gather::fill_in_person;
use super::{inputs, nothing, undo};
use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet};
use crate::care::leg::{LEG_FORMAT, LEG_VERSION};
use crate::context::Context;
use crate::error::PageError;
use axum::{
    Form, Json,
    extract::Path,
    response::{IntoResponse, Redirect, Response},
};
use exam::{ExamError, Examination, Leg, Question, Sheet};
use record::{ExamRecord, ExamineOf, Kept, Visit, VisitId, VisitState};
use serde_json::json;
use std::collections::BTreeMap;

/// `POST /visit/{id}/exam/{of}`: fields `q.KEY`, empty for 'not looked at', and `revision`, the one
/// that the page showed. Fields that are not sent stay as they are.
pub async fn save(
    context: Context,
    Path((id, of)): Path<(String, String)>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Result<Response, PageError> {
    let (visit, of) = (id.parse::<VisitId>()?, subject(&of)?);
    let store = &context.state.store;
    let record = store.visit(visit).await?;
    check_open(&record)?;
    let patient = store.patient(record.patient).await?;
    let child = patient.age_years_on(record.on).map(|y| y < 18.0);
    let asked = |q: &Question| inputs::asked(q, child);
    let before = store.exam(visit, of).await?;
    let seen = seen(&fields, before.as_ref())?;
    let reading_back = |e| PageError::ours("reading an examination back", e);
    let keeping = |e| PageError::ours("keeping an examination", e);
    let kept = match of {
        ExamineOf::Foot(_) => {
            let mut exam: Examination = match &before {
                Some(b) => b
                    .exam
                    .read(FOOT_FORMAT, FOOT_VERSION)
                    .map_err(reading_back)?,
                None => Examination::new(),
            };
            apply(&fields, |key, text| {
                if text.is_empty() {
                    exam.clear(key)
                } else {
                    exam.set(key, text)
                }
            })?;
            let known = exam.clone();
            nothing_found(&fields, &asked, &|k| known.text_of(k).is_none(), |k, t| {
                exam.set(k, t)
            })?;
            Kept::of(FOOT_FORMAT, FOOT_VERSION, &exam).map_err(keeping)?
        }
        ExamineOf::Leg(_) => {
            let mut leg: Leg = match &before {
                Some(b) => b.exam.read(LEG_FORMAT, LEG_VERSION).map_err(reading_back)?,
                None => Leg::new(),
            };
            apply(&fields, |key, text| {
                if text.is_empty() {
                    leg.clear(key)
                } else {
                    leg.set(key, text)
                }
            })?;
            Kept::of(LEG_FORMAT, LEG_VERSION, &leg).map_err(keeping)?
        }
        ExamineOf::Person => {
            let mut sheet: PersonSheet = match &before {
                Some(b) => b
                    .exam
                    .read(PERSON_FORMAT, PERSON_VERSION)
                    .map_err(reading_back)?,
                None => PersonSheet::default(),
            };
            apply(&fields, |key, text| {
                match (exam::question(key).map(|q| q.sheet), text.is_empty()) {
                    (Some(Sheet::Flags), true) => sheet.flags.clear(key),
                    (Some(Sheet::Flags), false) => sheet.flags.set(key, text),
                    (_, true) => sheet.story.clear(key),
                    (_, false) => sheet.story.set(key, text),
                }
            })?;
            let known = sheet.clone();
            let open = |k: &str| known.story.text_of(k).or(known.flags.text_of(k)).is_none();
            nothing_found(&fields, &asked, &open, |key, text| {
                match exam::question(key).map(|q| q.sheet) {
                    Some(Sheet::Flags) => sheet.flags.set(key, text),
                    _ => sheet.story.set(key, text),
                }
            })?;
            fill_in_person(&mut sheet, &patient, &record);
            Kept::of(PERSON_FORMAT, PERSON_VERSION, &sheet).map_err(keeping)?
        }
    };
    let saved = store
        .save_exam(context.stamp(), visit, of, kept, seen)
        .await?;
    answer(&context, visit, of, &saved).await
}

fn check_open(visit: &Visit) -> Result<(), PageError> {
    match visit.state {
        VisitState::Open => Ok(()),
        VisitState::Closed => Err(PageError::NotNow {
            sentence: "this visit is closed; open it again to change it".to_owned(),
        }),
    }
}

/// `POST /visit/{id}/exam/{of}/undo`: `revision` as the page showed it, so that nothing else is taken back
/// than what the page said.
pub async fn take_back(
    context: Context,
    Path((id, of)): Path<(String, String)>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Result<Response, PageError> {
    let (visit, of) = (id.parse::<VisitId>()?, subject(&of)?);
    let store = &context.state.store;
    check_open(&store.visit(visit).await?)?;
    let before = store.exam(visit, of).await?;
    let seen = seen(&fields, before.as_ref())?;
    store.undo_exam(context.stamp(), visit, of, seen).await?;
    Ok(Redirect::to(&place(visit, of)).into_response())
}

/// Where the sheet stands: a leg has a page of its own.
fn place(visit: VisitId, of: ExamineOf) -> String {
    match of {
        ExamineOf::Leg(side) => format!("/visit/{visit}/leg/{}", side.word()),
        ExamineOf::Foot(_) | ExamineOf::Person => format!("/visit/{visit}#{}", of.key()),
    }
}

fn subject(key: &str) -> Result<ExamineOf, PageError> {
    ExamineOf::from_key(key).ok_or(PageError::NotFound {
        what: "examination",
    })
}

/// The revision the page saw; without the field (a single autosaved answer) the newest one.
fn seen(fields: &BTreeMap<String, String>, before: Option<&ExamRecord>) -> Result<u32, PageError> {
    match fields.get("revision") {
        None => Ok(before.map_or(0, |b| b.revision)),
        Some(text) => text.trim().parse().map_err(|_| {
            PageError::input(format!(
                "found {text:?} as the revision; load the page again"
            ))
        }),
    }
}

fn apply(
    fields: &BTreeMap<String, String>,
    mut set: impl FnMut(&str, &str) -> Result<(), ExamError>,
) -> Result<(), PageError> {
    for (name, text) in fields {
        if let Some(key) = name.strip_prefix("q.") {
            set(key, text.trim()).map_err(|e| PageError::input(e.to_string()))?;
        }
    }
    Ok(())
}

/// Only where the field names a section of which that can be said.
fn nothing_found(
    fields: &BTreeMap<String, String>,
    asked: &dyn Fn(&Question) -> bool,
    is_open: &dyn Fn(&str) -> bool,
    set: impl FnMut(&str, &str) -> Result<(), ExamError>,
) -> Result<(), PageError> {
    let Some(heading) = fields.get("nothing") else {
        return Ok(());
    };
    match nothing::write(heading, asked, is_open, set) {
        Ok(true) => Ok(()),
        Ok(false) => Err(PageError::input(format!(
            "'nothing found' cannot be said of {heading:?} at once; answer its questions one by one"
        ))),
        Err(e) => Err(PageError::input(e.to_string())),
    }
}

async fn answer(
    context: &Context,
    visit: VisitId,
    of: ExamineOf,
    saved: &ExamRecord,
) -> Result<Response, PageError> {
    if !context.by_script {
        return Ok(Redirect::to(&place(visit, of)).into_response());
    }
    let words = format!("Saved {}", crate::words::clock(saved.saved_at));
    let undo = undo::words(context, visit, of).await?;
    Ok(Json(json!({ "revision": saved.revision, "words": words, "undo": undo })).into_response())
}
