//! The page of a print: the picture with what was found over it, the readings, and every step as a field.

use super::fields::{self, FOOT_FIELDS, by_words};
use super::hand::{self, OpenPrint, Read};
use super::rows::{self, FootPart};
use crate::adapt::person::person_on;
use crate::captures::base::{Base, Texts};
use crate::captures::facts::{Head, facts, head, shell};
use crate::captures::take_in::MEDIA;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Shell, page};
use crate::words;
use askama::Template;
use axum::response::Response;
use figure::of_print::{PrintWish, over_print};
use print::{Index, Medium};
use record::CaptureKind;

#[derive(Template)]
#[template(path = "captures/print/capture.html")]
struct CapturePage {
    shell: Shell,
    id: String,
    head: Head,
    revision: u32,
    width: usize,
    height: usize,
    svg: String,
    readings: String,
    picture: bool,
    medium: &'static str,
    media: Vec<(&'static str, &'static str)>,
    seen: &'static str,
    scale: String,
    texts: Texts,
    level_by: &'static str,
    level_unit: &'static str,
    divide: [(&'static str, &'static str); 2],
    feet: Vec<FootFields>,
    facts: String,
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

/// `GET /capture/{id}?show=…` of a print.
///
/// # Errors
/// Steps that another program wrote.
pub async fn show(context: Context, base: Base, shown: &str) -> Result<Response, PageError> {
    let opened = hand::open(&context, base).await?;
    let record = &opened.base.record;
    let read = &opened.read;
    let work = &read.work;
    let index = Index::ALL.into_iter().find(|i| i.key() == shown);
    let texts = fields::texts(work);
    let cells = match record.kind {
        CaptureKind::Pressure => "cells",
        _ => "pixels",
    };
    page(&CapturePage {
        id: record.id.to_string(),
        head: head(&opened.base),
        revision: opened.base.kept.revision,
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
        divide: [
            (fields::DIVIDE[0], "One end of the line"),
            (fields::DIVIDE[1], "Other end of the line"),
        ],
        feet: feet_fields(work, &texts),
        texts,
        facts: facts(
            record,
            &format!("{} × {} {cells}", read.sheet.width(), read.sheet.height()),
        )?,
        shell: shell(&context, &opened.base),
    })
}

fn feet_fields(work: &print::Work, texts: &Texts) -> Vec<FootFields> {
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
#[template(path = "captures/print/readings.html")]
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
    let record = &opened.base.record;
    let visit = context.state.store.visit(record.visit).await?;
    let person = person_on(&opened.base.patient, record.taken_on.unwrap_or(visit.on));
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
