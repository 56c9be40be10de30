//! What stands beside the page while it is worked through: alarms, stage and plan so far, what is
//! missing (each a link to where it is entered), then the key readings.

use super::gather::{Gathered, VisitFoot, gather};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::page;
use crate::words;
use askama::Template;
use axum::{extract::Path, response::Response};
use exam::{Sheet, question};
use stage::StageReport;
use terms::Stance;

/// Readings named in the summary, most important first.
const MOST_KNOWN: usize = 6;
/// Missing findings named on the page, those that change most first.
pub const MOST_MISSING: usize = 8;
/// Of these, how many the summary names; the rest stands with the decision.
const MOST_MISSING_BESIDE: usize = 5;

#[derive(Template)]
#[template(path = "visit/standing.html")]
pub struct Standing {
    pub id: String,
    pub feet: Vec<StandingFoot>,
}

pub struct StandingFoot {
    pub key: &'static str,
    pub head: &'static str,
    pub alarms: Vec<AlarmLine>,
    /// Decided, or as far as the report goes.
    pub stage: String,
    pub decided: bool,
    pub plan: String,
    pub looked_at: String,
    pub missing: Vec<MissingLine>,
    /// Missing findings that are not named here.
    pub more_missing: usize,
    pub readings: Vec<String>,
    pub not_asked: usize,
}

pub struct AlarmLine {
    pub words: String,
    pub action: String,
    pub urgency: String,
    pub sure: bool,
}

pub struct MissingLine {
    pub words: String,
    /// Anchor of the first input that would answer it; the film section where it is a reading.
    pub link: String,
}

/// `GET /visit/{id}/standing`: the summary by itself, for the page's script after a saved answer.
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let gathered = gather(&context, id.parse()?).await?;
    page(&standing_of(&context, &gathered))
}

pub fn standing_of(context: &Context, g: &Gathered) -> Standing {
    Standing {
        id: g.visit.id.to_string(),
        feet: g.feet.iter().map(|f| foot(context, g, f)).collect(),
    }
}

fn foot(context: &Context, g: &Gathered, foot: &VisitFoot) -> StandingFoot {
    let chosen = foot.decision.as_ref().and_then(|d| d.chosen.clone());
    let so_far = || foot.report.schemes().first().map(|s| s.headline.clone());
    StandingFoot {
        key: foot.side.word(),
        head: words::side_head(foot.side),
        alarms: alarms(&foot.report),
        decided: chosen.is_some(),
        stage: chosen
            .or_else(so_far)
            .unwrap_or_else(|| "cannot tell yet".to_owned()),
        plan: plan(g, foot),
        looked_at: format!("{} looked at", foot.exam.len()),
        missing: foot
            .report
            .missing
            .iter()
            .take(MOST_MISSING_BESIDE)
            .map(|m| MissingLine {
                words: m.words.clone(),
                link: link(&m.ask, foot),
            })
            .collect(),
        more_missing: foot
            .report
            .missing
            .len()
            .saturating_sub(MOST_MISSING_BESIDE),
        readings: readings(context, g, foot),
        not_asked: foot.report.not_asked.len(),
    }
}

/// The rungs that were taken; else how many could come first.
fn plan(g: &Gathered, foot: &VisitFoot) -> String {
    let taken: Vec<&str> = foot
        .proposal
        .rungs
        .iter()
        .chain(&foot.proposal.held)
        .filter(|r| g.kept_plan.taken.contains(&foot.rung_name(r)))
        .map(|r| r.title.as_str())
        .collect();
    let proposed = foot
        .proposal
        .rungs
        .iter()
        .filter(|r| matches!(r.standing, care::Standing::Proposed))
        .count();
    match (taken.is_empty(), proposed) {
        (false, _) => taken.join(", "),
        (true, 0) => "nothing chosen yet".to_owned(),
        (true, n) => format!(
            "nothing chosen yet; {} proposed",
            words::count(n, "rung", "rungs")
        ),
    }
}

pub fn alarms(report: &StageReport) -> Vec<AlarmLine> {
    let line = |f: &stage::RaisedFlag, sure: bool| AlarmLine {
        words: f.words.clone(),
        action: f.action.clone(),
        urgency: f.urgency.clone(),
        sure,
    };
    report
        .red_flags
        .iter()
        .map(|f| line(f, true))
        .chain(report.not_cleared.iter().map(|f| line(f, false)))
        .collect()
}

/// The key readings of one foot with their error.
fn readings(context: &Context, g: &Gathered, foot: &VisitFoot) -> Vec<String> {
    let mut named: Vec<(u32, String)> = g
        .films
        .iter()
        .filter(|f| f.record.side == Some(foot.side))
        .filter_map(|f| f.sheet.as_ref())
        .flat_map(|s| &s.readings)
        .filter_map(|r| {
            let measure = context.state.knowledge.measure(&r.measure)?;
            let not_standing = if r.stance == Stance::Standing {
                ""
            } else {
                ", not (surely) standing"
            };
            let value = words::kept_together(&r.estimate);
            Some((
                measure.importance,
                format!("{} {value}{not_standing}", measure.short),
            ))
        })
        .collect();
    named.sort_by_key(|n| std::cmp::Reverse(n.0));
    named.into_iter().take(MOST_KNOWN).map(|n| n.1).collect()
}

/// Where the first thing that would answer is entered.
fn link(ask: &[String], foot: &VisitFoot) -> String {
    ask.iter()
        .find_map(|key| question(key).map(|q| anchor(q.sheet, foot, key)))
        .unwrap_or_else(|| "#films".to_owned())
}

pub fn anchor(sheet: Sheet, foot: &VisitFoot, key: &str) -> String {
    match sheet {
        Sheet::Foot => format!("#{}.{key}", foot.side.word()),
        Sheet::Person | Sheet::Flags => format!("#person.{key}"),
        // Neither stands on the visit's page, and no stage asks for one.
        Sheet::Leg | Sheet::Given => "#plan".to_owned(),
    }
}
