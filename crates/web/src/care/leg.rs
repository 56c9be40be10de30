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
use figure::leg_svg;
use letter::{Words, compose::leg_model};
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
        drawing: leg_svg(&leg_model(Words::english(), side, &leg)),
        closed: visit.state == record::VisitState::Closed,
        shell: context.shell(words::full_name(&patient), Nav::Inside),
    })
}
