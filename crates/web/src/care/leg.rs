//! A leg measured for an ankle-foot orthosis or a gauntlet: numbers, and the drawing that shows them.

use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::visit::inputs::{Section, open_sections};
use crate::visit::undo;
use crate::words;
use askama::Template;
use axum::{extract::Path, response::Response};
use exam::{Leg, Sheet};
use figure::{LegLevel, LegModel, Prominence, leg_svg};
use record::{ExamineOf, VisitId};
use terms::Side;

pub const LEG_FORMAT: &str = "tiebeam-leg";
pub const LEG_VERSION: u32 = 1;

#[derive(Template)]
#[template(path = "care/leg.html")]
pub struct LegPage {
    pub shell: Shell,
    pub visit: String,
    pub patient: String,
    pub name: String,
    pub day: String,
    pub of: &'static str,
    pub sheet: &'static str,
    pub head: String,
    pub revision: u32,
    pub undo: Option<String>,
    pub sections: Vec<Section>,
    pub drawing: String,
    pub closed: bool,
}

/// `GET /visit/{id}/leg/{side}`
pub async fn show(
    context: Context,
    Path((id, side)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let side = Side::BOTH
        .into_iter()
        .find(|s| s.word() == side)
        .ok_or(PageError::NotFound { what: "leg" })?;
    let store = &context.state.store;
    let visit = store.visit(id.parse::<VisitId>()?).await?;
    let patient = store.patient(visit.patient).await?;
    let of = ExamineOf::Leg(side);
    let (mut leg, mut revision) = (Leg::new(), 0);
    if let Some(kept) = store.exam(visit.id, of).await? {
        leg = kept
            .exam
            .read(LEG_FORMAT, LEG_VERSION)
            .map_err(|e| PageError::ours("reading a leg's measures back", e))?;
        revision = kept.revision;
    }
    page(&LegPage {
        visit: visit.id.to_string(),
        patient: patient.id.to_string(),
        name: words::full_name(&patient),
        day: words::day(visit.on),
        of: of.key(),
        sheet: of.words(),
        head: format!("{} leg, measured for a brace", words::side_head(side)),
        revision,
        undo: undo::words(&context, visit.id, of).await?,
        sections: open_sections(Sheet::Leg, of.key(), &|key| leg.text_of(key)),
        drawing: leg_svg(&model(side, &leg)),
        closed: visit.state == record::VisitState::Closed,
        shell: context.shell(words::full_name(&patient), Nav::Inside),
    })
}

/// What of the sheet can be drawn.
pub fn model(side: Side, leg: &Leg) -> LegModel {
    let number = |key: &str| leg.number(key).value();
    let level = |height: &str, name: &str, girth: &str| {
        let up = number(height)?;
        let words = match number(girth) {
            Some(mm) => format!("{name} {mm} mm round, {up} mm up"),
            None => format!("{name}, {up} mm up"),
        };
        Some(LegLevel { words, height: up })
    };
    let prominence = || {
        Some(Prominence {
            from_heel: number("relief_from_heel")?,
            above_floor: number("relief_above_floor")?,
            length: number("relief_length")?,
            height: number("relief_height")?,
            out: number("relief_out"),
        })
    };
    LegModel {
        title: format!(
            "{} leg from the inner side, to its measures",
            words::side_head(side)
        ),
        foot_length: number("leg_foot_length"),
        navicular_height: number("height_navicular"),
        levels: [
            level("height_ankle", "ankle", "girth_ankle"),
            level("height_calf", "calf", "girth_calf"),
            level("height_below_knee", "below the knee", "girth_below_knee"),
        ]
        .into_iter()
        .flatten()
        .collect(),
        prominence: prominence(),
    }
}
