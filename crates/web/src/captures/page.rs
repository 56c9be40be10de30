//! The page of a print: the picture with what was found over it, the readings, and every step as a field.

use super::fields::{self, FOOT_FIELDS, by_words};
use super::hand::{self, OpenPrint, Read};
use super::rows::{self, FootPart};
use super::take_in::MEDIA;
use crate::adapt::person::person_on;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::{
    Form,
    extract::{Path, Query},
    response::{Redirect, Response},
};
use figure::of_print::{PrintWish, over_print};
use print::{Index, Medium};
use record::{CaptureKind, CaptureRecord, Doing};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Template)]
#[template(path = "captures/capture.html")]
struct CapturePage {
    shell: Shell,
    id: String,
    patient: String,
    visit: String,
    name: String,
    what: &'static str,
    file_name: String,
    taken: String,
    revision: u32,
    can_undo: bool,
    width: usize,
    height: usize,
    svg: String,
    readings: String,
    picture: bool,
    medium: &'static str,
    media: Vec<(&'static str, &'static str)>,
    seen: &'static str,
    scale: String,
    texts: fields::Texts,
    level_by: &'static str,
    level_unit: &'static str,
    feet: Vec<FootFields>,
    doing: &'static str,
    doings: Vec<(&'static str, &'static str)>,
    taken_on: String,
    note: String,
}

struct FootFields {
    at: usize,
    head: &'static str,
    side: &'static str,
    side_by: &'static str,
    fields: Vec<FieldShown>,
}

struct FieldShown {
    key: String,
    label: &'static str,
    hint: &'static str,
    text: String,
    by: &'static str,
    /// A place that a handle over the picture moves.
    handle: bool,
}

/// What may be shown strong.
#[derive(Debug, Default, Deserialize)]
pub struct Show {
    #[serde(default)]
    show: String,
}

/// `GET /capture/{id}?show=…`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Show>,
) -> Result<Response, PageError> {
    let opened = hand::open(&context, id.parse()?).await?;
    let record = &opened.record;
    let read = &opened.read;
    let work = &read.work;
    let index = Index::ALL.into_iter().find(|i| i.key() == wish.show);
    let texts = fields::texts(work);
    let what = record.kind.words();
    page(&CapturePage {
        id: record.id.to_string(),
        patient: opened.patient.id.to_string(),
        visit: record.visit.to_string(),
        name: words::full_name(&opened.patient),
        what: capitalised(record.kind),
        file_name: record.file_name.clone(),
        taken: record.taken_on.map(words::day).unwrap_or_default(),
        revision: opened.revision,
        can_undo: opened.can_undo,
        width: read.sheet.width(),
        height: read.sheet.height(),
        svg: drawing(read, index),
        readings: readings(&context, &opened).await?,
        picture: record.kind == CaptureKind::Print,
        medium: fields::medium_key(work.steps.medium.is),
        media: MEDIA
            .iter()
            .filter(|(_, m)| *m != Medium::Pressure)
            .map(|(key, m)| (*key, m.words()))
            .collect(),
        seen: fields::seen_key(work.steps.seen.is),
        scale: texts.get("scale").cloned().unwrap_or_default(),
        level_by: by_words(work.steps.level.by),
        level_unit: match record.kind {
            CaptureKind::Pressure => "kPa",
            _ => "grey, 0 to 255",
        },
        feet: feet_fields(work, &texts),
        texts,
        doing: record.doing.map_or("", Doing::key),
        doings: doings(record),
        taken_on: record.taken_on.map(words::iso_day).unwrap_or_default(),
        note: record.note.clone(),
        shell: context.shell(
            format!("{what}, {}", words::full_name(&opened.patient)),
            Nav::Inside,
        ),
    })
}

fn capitalised(kind: CaptureKind) -> &'static str {
    match kind {
        CaptureKind::Pressure => "Pressure under the foot",
        _ => "Print of the foot",
    }
}

fn doings(record: &CaptureRecord) -> Vec<(&'static str, &'static str)> {
    let all = record.kind.doings().iter();
    all.map(|d| (d.key(), d.words())).collect()
}

fn feet_fields(work: &print::Work, texts: &fields::Texts) -> Vec<FootFields> {
    let steps = work.steps.feet.iter().enumerate();
    steps
        .map(|(at, foot)| {
            let by = |key: &str| match key {
                "heel" | "toe" => foot.axis.by,
                "line" => foot.toe_line.by,
                "parts" => foot.parts.by,
                "inner" => foot.inner_tangent.by,
                "outer" => foot.outer_tangent.by,
                _ => foot.thirds.by,
            };
            FootFields {
                at,
                head: words::side_head(foot.side.is.side),
                side: foot.side.is.side.word(),
                side_by: by_words(foot.side.by),
                fields: FOOT_FIELDS
                    .iter()
                    .map(|(key, label, hint)| FieldShown {
                        text: texts
                            .get(&format!("{key}-{at}"))
                            .cloned()
                            .unwrap_or_default(),
                        key: format!("{key}-{at}"),
                        label,
                        hint,
                        by: by_words(by(key)),
                        handle: matches!(*key, "heel" | "toe"),
                    })
                    .collect(),
            }
        })
        .collect()
}

/// The drawing over the picture, complete.
pub fn drawing(read: &Read, shown: Option<Index>) -> String {
    let (width, height) = (read.sheet.width() as f64, read.sheet.height() as f64);
    figure::overlay_svg(&over_print(
        &read.work.steps,
        &read.readings,
        &PrintWish {
            title: "What was found on the print".to_owned(),
            size: (width, height),
            // On a screen the picture is about so many units high.
            pen: height.max(width) / 800.0,
            shown: shown.or(Some(Index::ArchIndex)),
            name: &rows::name,
        },
    ))
}

#[derive(Template)]
#[template(path = "captures/readings.html")]
struct Readings {
    id: String,
    feet: Vec<FootPart>,
    split: Option<(String, String)>,
    can_examine: bool,
}

/// The readings of both feet, as the page and its script show them.
///
/// # Errors
/// No such visit.
pub async fn readings(context: &Context, opened: &OpenPrint) -> Result<String, PageError> {
    let record = &opened.record;
    let visit = context.state.store.visit(record.visit).await?;
    let person = person_on(&opened.patient, record.taken_on.unwrap_or(visit.on));
    let knowledge = context.state.knowledge;
    let split = opened.read.readings.split;
    Ok(Readings {
        id: record.id.to_string(),
        feet: rows::feet(knowledge, &opened.read, record.doing, &person),
        split: split.map(|s| (s.left.to_string(), s.right.to_string())),
        can_examine: record.doing.is_some() && visit.state == record::VisitState::Open,
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
        words::check_day("print", on, &patient, context.today())?;
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
