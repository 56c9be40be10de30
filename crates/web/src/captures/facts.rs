//! What is known of a capture besides its steps: how it was taken, the day and a note.

use super::base::Base;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell};
use crate::words;
use askama::Template;
use axum::{Form, extract::Path, response::Redirect};
use record::{CaptureKind, CaptureRecord, Doing};
use std::collections::BTreeMap;

/// The top of every page of a capture.
pub struct Head {
    pub patient: String,
    pub visit: String,
    pub name: String,
    pub what: &'static str,
    pub taken: String,
    pub revision: u32,
    pub can_undo: bool,
}

pub fn head(base: &Base) -> Head {
    Head {
        patient: base.patient.id.to_string(),
        visit: base.record.visit.to_string(),
        name: words::full_name(&base.patient),
        what: head_words(base.record.kind),
        taken: base.record.taken_on.map(words::day).unwrap_or_default(),
        revision: base.kept.revision,
        can_undo: base.can_undo,
    }
}

pub fn shell(context: &Context, base: &Base) -> Shell {
    let what = base.record.kind.words();
    context.shell(
        format!("{what}, {}", words::full_name(&base.patient)),
        Nav::Inside,
    )
}

fn head_words(kind: CaptureKind) -> &'static str {
    match kind {
        CaptureKind::Print => "Print of the foot",
        CaptureKind::Pressure => "Pressure under the foot",
        CaptureKind::FromBehind => "Photograph from behind",
        CaptureKind::FromSide => "Photograph from the side",
        CaptureKind::HeelRise => "Heel rise",
        CaptureKind::Markers => "Markers of a heel rise",
    }
}

fn doing_hint(kind: CaptureKind) -> &'static str {
    match kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            "Walking and standing prints have norms of their own; in one study walking values came out about 28 % higher (Mathieson1999)."
        }
        _ => "Rises on one leg and on both have norms of their own.",
    }
}

#[derive(Template)]
#[template(path = "captures/facts.html")]
struct Facts {
    id: String,
    doing: &'static str,
    doings: Vec<(&'static str, &'static str)>,
    doing_hint: &'static str,
    taken_on: String,
    note: String,
    file_name: String,
    size: String,
}

/// The form of it; `size` in words.
///
/// # Errors
/// Never for a record that was stored.
pub fn facts(record: &CaptureRecord, size: &str) -> Result<String, PageError> {
    let doings = record.kind.doings().iter();
    Ok(Facts {
        id: record.id.to_string(),
        doing: record.doing.map_or("", Doing::key),
        doings: doings.map(|d| (d.key(), d.words())).collect(),
        doing_hint: doing_hint(record.kind),
        taken_on: record.taken_on.map(words::iso_day).unwrap_or_default(),
        note: record.note.clone(),
        file_name: record.file_name.clone(),
        size: size.to_owned(),
    }
    .render()?)
}

/// `POST /capture/{id}`: how it was taken, the day and a note.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let before = store.capture(id.parse()?).await?;
    let patient = store.patient(before.patient).await?;
    let text = |key: &str| texts.get(key).map_or("", |t| t.trim());
    let taken_on = match text("taken_on") {
        "" => None,
        day => Some(words::parse_day(day).ok_or_else(|| {
            PageError::input("found a day that is none; expected one such as 2026-11-02")
        })?),
    };
    if let Some(on) = taken_on {
        words::check_day(before.kind.words(), on, &patient, context.today())?;
    }
    let record = CaptureRecord {
        doing: Doing::from_key(text("doing")),
        taken_on,
        note: text("note").to_owned(),
        ..before
    };
    let place = format!("/capture/{}", record.id);
    store.save_capture(context.stamp(), record).await?;
    Ok(Redirect::to(&place))
}
