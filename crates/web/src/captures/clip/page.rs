//! The page of a clip: a frame with its points, curves, every rise, and the points as fields.

use super::follow::shown;
use super::rises::{self, LegPart};
use super::steps::{self, OpenClip, frame_of};
use crate::adapt::person::person_on;
use crate::captures::base::{Base, Texts, base};
use crate::captures::facts::{Head, facts, head, shell};
use crate::captures::points::{Group, groups};
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::layout::{Shell, page};
use askama::Template;
use axum::{
    Json,
    extract::Path,
    response::{IntoResponse, Response},
};
use figure::of_posture::over_frame;
use motion::work::ClipWork;
use record::CaptureKind;
use serde::Serialize;

#[derive(Template)]
#[template(path = "captures/clip/clip.html")]
struct ClipPage {
    shell: Shell,
    id: String,
    head: Head,
    width: usize,
    height: usize,
    frames: usize,
    /// Counted from one, as people do.
    frame: usize,
    marked: usize,
    seconds: String,
    svg: String,
    readings: String,
    revision: u32,
    groups: Vec<Group>,
    texts: Texts,
    rule: String,
    facts: String,
}

/// `GET /capture/{id}?frame=…` of a clip.
///
/// # Errors
/// Steps that another program wrote.
pub async fn show(context: Context, base: Base, frame: &str) -> Result<Response, PageError> {
    let opened = steps::open(base)?;
    let work = &opened.work;
    let frame = frame_of(work, Some(frame).filter(|f| !f.is_empty()));
    let texts = steps::texts(work, frame);
    let record = &opened.base.record;
    let count = work.times_s.len();
    let length = match (work.times_s.first(), work.times_s.last()) {
        (Some(a), Some(b)) => b - a,
        _ => 0.0,
    };
    let size = format!(
        "{count} frames of {} × {} pixels, {} s",
        work.width,
        work.height,
        quantity::written(length, 1)
    );
    page(&ClipPage {
        id: record.id.to_string(),
        head: head(&opened.base),
        width: work.width,
        height: work.height,
        frames: count,
        frame: frame + 1,
        marked: work.frame + 1,
        seconds: seconds(work, frame),
        svg: drawing(work, frame),
        readings: readings(&context, &opened).await?,
        revision: opened.base.kept.revision,
        groups: groups(&work.wanted(), &texts),
        rule: texts.get("rule").cloned().unwrap_or_default(),
        texts,
        facts: facts(record, &size)?,
        shell: shell(&context, &opened.base),
    })
}

fn seconds(work: &ClipWork, frame: usize) -> String {
    let at = work.times_s.get(frame).copied().unwrap_or_default();
    format!("{} s", quantity::written(at, 2))
}

pub fn drawing(work: &ClipWork, frame: usize) -> String {
    figure::overlay_svg(&over_frame(work, frame))
}

#[derive(Serialize)]
struct AtFrame {
    svg: String,
    texts: Texts,
    seconds: String,
}

/// `GET /capture/{id}/at/{frame}`: the drawing and the points of another frame, for the script.
pub async fn at(
    context: Context,
    Path((id, frame)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let base = base(&context, id.parse()?).await?;
    if base.record.kind != CaptureKind::HeelRise {
        return Err(PageError::NotFound { what: "clip" });
    }
    let work = steps::work_of(&base)?;
    let frame = frame_of(&work, Some(&frame));
    Ok(Json(AtFrame {
        svg: drawing(&work, frame),
        texts: steps::texts(&work, frame),
        seconds: seconds(&work, frame),
    })
    .into_response())
}

#[derive(Template)]
#[template(path = "captures/clip/readings.html")]
pub struct Readings {
    pub id: String,
    /// What is to be done before there are readings.
    pub before: String,
    pub notes: Vec<String>,
    pub legs: Vec<LegPart>,
    pub between: Vec<String>,
    /// Pictures of single frames can be shown, so wide and so high.
    pub pictures: bool,
    pub width: usize,
    pub height: usize,
    pub can_examine: bool,
}

/// # Errors
/// No such visit.
pub async fn readings(context: &Context, opened: &OpenClip) -> Result<String, PageError> {
    let before = match (&opened.readings, opened.work.followed.is_some()) {
        (Some(_), _) => "",
        (None, false) => {
            "Set the four points of a leg in one frame, then follow them through the clip."
        }
        (None, true) => "The points were changed since they were followed; follow them again.",
    };
    let job = shown(context, opened.base.record.id);
    let before = match job.state {
        "running" => format!("{}. Load the page again in a moment.", job.words),
        "failed" if opened.readings.is_none() => job.words,
        _ => before.to_owned(),
    };
    let readings = opened.readings.as_ref();
    let size = Some((opened.work.width, opened.work.height));
    told(context, &opened.base, readings, &before, size).await
}

/// Readings of rises, of a clip or of markers; frames can be shown where they have a size.
///
/// # Errors
/// No such visit.
pub async fn told(
    context: &Context,
    base: &Base,
    readings: Option<&motion::RiseReadings>,
    before: &str,
    frame_size: Option<(usize, usize)>,
) -> Result<String, PageError> {
    let record = &base.record;
    let visit = context.state.store.visit(record.visit).await?;
    let person = person_on(&base.patient, record.taken_on.unwrap_or(visit.on));
    let knowledge = context.state.knowledge;
    let open = visit.state == record::VisitState::Open;
    Ok(Readings {
        id: record.id.to_string(),
        before: before.to_owned(),
        notes: readings
            .map(|r| r.notes.iter().map(|n| sentence(&n.words())).collect())
            .unwrap_or_default(),
        legs: readings
            .map(|r| rises::legs(knowledge, &person, r, record.doing))
            .unwrap_or_default(),
        between: readings
            .and_then(|r| r.between.as_ref())
            .map(rises::between)
            .unwrap_or_default(),
        pictures: frame_size.is_some(),
        width: frame_size.unwrap_or_default().0,
        height: frame_size.unwrap_or_default().1,
        can_examine: readings.is_some() && record.doing.is_some() && open,
    }
    .render()?)
}
