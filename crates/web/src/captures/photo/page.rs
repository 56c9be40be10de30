//! The page of a photograph: the picture with its points and lines, the readings, and every point as a field.

use super::steps::{self, OpenPhoto};
use crate::adapt::person::person_on;
use crate::captures::base::{Base, Texts};
use crate::captures::facts::{Head, facts, head, shell};
use crate::captures::measures::{Part, row};
use crate::captures::points::{Group, groups};
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::layout::{Shell, page};
use crate::words;
use askama::Template;
use axum::response::Response;
use figure::of_posture::over_photo;
use knowledge::{Knowledge, yardstick::Person};
use motion::posture::side::OFF_HALF;
use motion::posture::{BehindReadings, SideReadings};
use motion::work::View;

#[derive(Template)]
#[template(path = "captures/photo/photo.html")]
struct PhotoPage {
    shell: Shell,
    id: String,
    head: Head,
    width: usize,
    height: usize,
    svg: String,
    readings: String,
    behind: bool,
    revision: u32,
    groups: Vec<Group>,
    texts: Texts,
    by_edges: bool,
    side: &'static str,
    facts: String,
}

/// `GET /capture/{id}` of a photograph.
///
/// # Errors
/// Steps that another program wrote.
pub async fn show(context: Context, base: Base) -> Result<Response, PageError> {
    let opened = steps::open(&context, base).await?;
    let work = &opened.work;
    let texts = steps::texts(work);
    let record = &opened.base.record;
    let size = format!("{} × {} pixels", work.width, work.height);
    page(&PhotoPage {
        id: record.id.to_string(),
        head: head(&opened.base),
        width: work.width,
        height: work.height,
        svg: drawing(&opened),
        readings: readings(&context, &opened).await?,
        behind: work.view == View::Behind,
        revision: opened.base.kept.revision,
        groups: groups(&work.wanted(), &texts),
        texts,
        by_edges: work.by_edges,
        side: match work.view {
            View::Side { side } => side.word(),
            View::Behind => "",
        },
        facts: facts(record, &size)?,
        shell: shell(&context, &opened.base),
    })
}

pub fn drawing(opened: &OpenPhoto) -> String {
    figure::overlay_svg(&over_photo(&opened.work, &opened.readings))
}

#[derive(Template)]
#[template(path = "captures/photo/readings.html")]
struct Readings {
    id: String,
    parts: Vec<Part>,
    missing: Vec<String>,
    between: Option<String>,
    can_examine: bool,
}

/// # Errors
/// No such visit.
pub async fn readings(context: &Context, opened: &OpenPhoto) -> Result<String, PageError> {
    let record = &opened.base.record;
    let visit = context.state.store.visit(record.visit).await?;
    let person = person_on(&opened.base.patient, record.taken_on.unwrap_or(visit.on));
    let knowledge = context.state.knowledge;
    let read = &opened.readings;
    let legs = read.behind.iter();
    let mut parts: Vec<Part> = legs.map(|leg| behind(knowledge, &person, leg)).collect();
    parts.extend(read.side.as_ref().map(|s| side(knowledge, &person, s)));
    Ok(Readings {
        id: record.id.to_string(),
        can_examine: !parts.is_empty() && visit.state == record::VisitState::Open,
        parts,
        missing: read.missing.iter().map(|m| sentence(m)).collect(),
        between: read.between.map(|e| e.to_string()),
    }
    .render()?)
}

fn behind(knowledge: &Knowledge, person: &Person, leg: &BehindReadings) -> Part {
    let error = format!(
        "Standard errors: setting the lines {}°, a camera askew {}°.",
        quantity::written(leg.parts.lines, 1),
        quantity::written(leg.parts.camera, 1)
    );
    let row = |name: &str, item, estimate, notes: &[&str]| {
        row(knowledge, person, name, item, estimate, notes)
    };
    Part {
        head: format!("{} foot", words::side_head(leg.side)),
        rows: vec![
            row(
                "Heel against the upright",
                Some("heel_angle_deg"),
                leg.heel_to_upright,
                &[
                    "Outward (valgus) is plus. The picture's own upright counts: hold the camera level.",
                ],
            ),
            row(
                "Heel against the leg",
                None,
                leg.heel_to_leg,
                &[
                    "Outward is plus. Published angles are against the upright; none is held against this one.",
                    &error,
                ],
            ),
            row("Leg against the upright", None, leg.leg_to_upright, &[]),
        ],
        said: vec![match leg.toes {
            Some(0) => "No toe is marked as seen on the outer side.".to_owned(),
            Some(1) => "One toe is seen on the outer side.".to_owned(),
            Some(n) => format!("{n} toes are seen on the outer side."),
            None => "Toes on the outer side: not marked.".to_owned(),
        }],
        doubts: Vec::new(),
    }
}

fn side(knowledge: &Knowledge, person: &Person, foot: &SideReadings) -> Part {
    let all = [
        (
            "Navicular height",
            Some("navicular_height_mm"),
            foot.navicular_height,
        ),
        (
            "Navicular over truncated length",
            Some("navicular_height_truncated"),
            foot.navicular_truncated,
        ),
        (
            "Navicular over foot length",
            Some("navicular_height_foot"),
            foot.navicular_foot,
        ),
        ("Height of the top of the foot", None, foot.dorsum_height),
        (
            "Arch height index, standing",
            Some("arch_height_index_standing"),
            foot.arch_height_index,
        ),
        ("Foot length", None, foot.foot_length),
        ("Truncated length", None, foot.truncated_length),
    ];
    let mut doubts = Vec::new();
    if let Some(off) = foot.dorsum_off_half.filter(|off| *off > OFF_HALF) {
        doubts.push(format!(
            "The point on the top of the foot lies {} % of the length away from half of it; the arch height index is defined there. Set it over the middle.",
            quantity::written(off, 0)
        ));
    }
    Part {
        head: format!("{} foot", words::side_head(foot.side)),
        rows: all
            .into_iter()
            .filter_map(|(name, item, e)| Some(row(knowledge, person, name, item, e?, &[])))
            .collect(),
        said: match foot.foot_length {
            None => vec![
                "Without a known length in the picture there are shares and no millimetres."
                    .to_owned(),
            ],
            Some(_) => Vec::new(),
        },
        doubts,
    }
}
