//! A capture as every page of it needs it: the record, whose it is, and what stands of its steps.

use crate::context::Context;
use crate::error::PageError;
use crate::shell::OwnPage;
use axum::{
    Json,
    http::StatusCode,
    response::{IntoResponse, Redirect, Response},
};
use record::{CaptureId, CaptureRecord, Kept, Patient, Stamp, StepsRecord};
use serde::Serialize;
use std::collections::BTreeMap;

/// The steps as texts, one for each field of a page.
pub type Texts = BTreeMap<String, String>;

pub struct Base {
    pub record: CaptureRecord,
    pub patient: Patient,
    pub kept: StepsRecord,
    pub can_undo: bool,
}

/// # Errors
/// No such capture.
pub async fn base(context: &Context, id: CaptureId) -> Result<Base, PageError> {
    let store = &context.state.store;
    let record = store.capture(id).await?;
    let patient = store.patient(record.patient).await?;
    let Some(kept) = store.steps(id).await? else {
        return Err(PageError::NotFound { what: "capture" });
    };
    let can_undo = store.steps_before(id).await?.is_some();
    Ok(Base {
        record,
        patient,
        kept,
        can_undo,
    })
}

impl Base {
    /// With another revision of steps and readings.
    ///
    /// # Errors
    /// Another revision than the one seen.
    pub async fn save(
        self,
        context: &Context,
        (steps, readings): (Kept, Kept),
        seen: u32,
    ) -> Result<Base, PageError> {
        let stamp = context.stamp();
        let steps = unsaved(&stamp, self.record.id, steps, readings);
        let kept = context.state.store.save_steps(stamp, steps, seen).await?;
        Ok(Base {
            kept,
            // What stood there before can be brought back.
            can_undo: true,
            ..self
        })
    }
}

/// As the store takes it; the store gives the revision.
pub fn unsaved(stamp: &Stamp, capture: CaptureId, steps: Kept, readings: Kept) -> StepsRecord {
    StepsRecord {
        capture,
        steps,
        readings,
        revision: 0,
        content_of: 0,
        saved_at: stamp.at,
    }
}

/// A text that is no such step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadField {
    pub field: String,
    pub sentence: String,
}

impl BadField {
    pub fn new(field: &str, found: &str, expected: &str) -> BadField {
        let found: String = found.chars().take(60).collect();
        BadField {
            field: field.to_owned(),
            sentence: format!("Found {found:?}; expected {expected}: correct it."),
        }
    }

    /// What a crate below said of a field.
    pub fn said(field: &str, fault: &impl std::fmt::Display) -> BadField {
        BadField {
            field: field.to_owned(),
            sentence: crate::error::sentence(&fault.to_string()),
        }
    }
}

/// What a moving hand gets back.
#[derive(Serialize)]
pub struct Answer {
    pub revision: u32,
    pub can_undo: bool,
    pub svg: String,
    pub readings: String,
    pub texts: Texts,
}

#[derive(Serialize)]
struct Refused {
    field: String,
    error: String,
    todo: &'static str,
}

/// To a script with the field at fault, else as a page.
///
/// # Errors
/// The sentence, where no script asked.
pub fn refused(context: &Context, bad: BadField) -> Result<Response, PageError> {
    if !context.by_script {
        return Err(PageError::input(bad.sentence));
    }
    let refused = Refused {
        field: bad.field,
        error: bad.sentence,
        todo: "What you typed is still here.",
    };
    let mut response = (StatusCode::UNPROCESSABLE_ENTITY, Json(refused)).into_response();
    response.extensions_mut().insert(OwnPage);
    Ok(response)
}

/// To a script as data, else back to the page.
///
/// # Errors
/// As `make`.
pub async fn answered(
    context: &Context,
    id: CaptureId,
    make: impl Future<Output = Result<Answer, PageError>>,
) -> Result<Response, PageError> {
    match context.by_script {
        true => Ok(Json(make.await?).into_response()),
        false => Ok(Redirect::to(&format!("/capture/{id}#readings")).into_response()),
    }
}

/// The revision a form was made from.
///
/// # Errors
/// A form that names none.
pub fn seen(texts: &Texts) -> Result<u32, PageError> {
    let revision = texts.get("revision").and_then(|r| r.parse().ok());
    revision.ok_or_else(|| {
        PageError::input("found no revision; load the page again and make the change once more")
    })
}
