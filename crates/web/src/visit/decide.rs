//! What the clinician made of it: the stage decided on, the plan agreed, the visit closed or opened.

use super::gather::{Gathered, gather};
use crate::adapt::plan::{KeptPlan, PLAN_FORMAT, PLAN_VERSION};
use crate::context::Context;
use crate::error::PageError;
use axum::{Form, extract::Path, response::Redirect};
use record::{DecisionRecord, Kept, PlanRecord, VisitId, VisitState};
use std::collections::BTreeMap;
use terms::Side;
use time::{Date, Duration};

pub const REPORT_FORMAT: &str = "tiebeam-stage-report";
pub const REPORT_VERSION: u32 = 1;

/// `POST /visit/{id}/decision/{side}`: `chosen`, `reason`, `revision`.
pub async fn decision(
    context: Context,
    Path((id, side)): Path<(String, String)>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: VisitId = id.parse()?;
    let side = match side.as_str() {
        "left" => Side::Left,
        "right" => Side::Right,
        _ => return Err(PageError::NotFound { what: "foot" }),
    };
    let gathered = gather(&context, id).await?;
    let foot = gathered.foot(side);
    let text = |key: &str| {
        form.get(key)
            .map(|t| t.trim().to_owned())
            .filter(|t| !t.is_empty())
    };
    let (chosen, reason) = (text("chosen"), text("reason"));
    if let Some(chosen) = &chosen
        && reason.is_none()
        && !fits(&foot.report, chosen)
    {
        return Err(PageError::input(format!(
            "the report does not hold {chosen:?} possible; write down why you decide so, then save again"
        )));
    }
    let record = DecisionRecord {
        visit: id,
        side,
        report: Kept::of(REPORT_FORMAT, REPORT_VERSION, &foot.report)
            .map_err(|e| PageError::ours("keeping the report", e))?,
        chosen,
        overruled_reason: reason,
        revision: 0,
        saved_at: context.now,
    };
    let seen = form
        .get("revision")
        .and_then(|s| s.parse().ok())
        .unwrap_or(0);
    context
        .state
        .store
        .save_decision(context.stamp(), record, seen)
        .await?;
    Ok(Redirect::to(&format!("/visit/{id}#decision")))
}

/// Does some scheme hold this stage possible?
fn fits(report: &stage::StageReport, chosen: &str) -> bool {
    let schemes = [
        &report.tendon,
        &report.three_column,
        &report.child,
        &report.traffic_light,
    ];
    let candidates = schemes
        .into_iter()
        .flatten()
        .flat_map(|s| &s.candidates)
        .any(|c| c.key.eq_ignore_ascii_case(chosen) && !c.by_definition().is_false());
    candidates
        || report
            .consensus
            .as_ref()
            .is_some_and(|c| c.string.as_deref() == Some(chosen))
}

/// The earliest day on which the ladder looks at something that was chosen; `None` where it names none.
fn first_look(gathered: &Gathered, kept: &KeptPlan) -> Option<Date> {
    let days = kept.taken.iter().filter_map(|taken| {
        let (_, key) = taken.split_once(':')?;
        let looks = &care::Ladder::built_in().rung(key)?.look;
        looks.iter().filter_map(|l| l.days).map(|d| d[0]).min()
    });
    let first = days.min()?;
    gathered
        .visit
        .on
        .checked_add(Duration::days(i64::from(first)))
}

/// `POST /visit/{id}/plan`: `rung.SIDE:KEY`, `worn_left`, `worn_right`, `words`, `review_on`, `revision`.
pub async fn plan(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: VisitId = id.parse()?;
    let gathered = gather(&context, id).await?;
    let text = |key: &str| {
        form.get(key)
            .map(|t| t.trim().to_owned())
            .unwrap_or_default()
    };
    let review = text("review_on");
    let review_on = if review.is_empty() {
        None
    } else {
        Some(crate::words::parse_day(&review).ok_or_else(|| {
            PageError::input(format!(
                "found {review:?} as the day of review; choose a day, such as 2027-03-01"
            ))
        })?)
    };
    let kept = KeptPlan {
        proposed: gathered
            .feet
            .iter()
            .filter_map(|f| serde_json::to_value(&f.proposal).ok())
            .collect(),
        taken: form
            .keys()
            .filter_map(|k| k.strip_prefix("rung."))
            .map(str::to_owned)
            .collect(),
        worn_left: text("worn_left"),
        worn_right: text("worn_right"),
        words: text("words"),
    };
    let seen = form
        .get("revision")
        .and_then(|s| s.parse().ok())
        .unwrap_or(0);
    // A proposal is for a new plan; whoever changes one has seen the day and means it.
    let review_on = review_on.or_else(|| first_look(&gathered, &kept).filter(|_| seen == 0));
    let record = PlanRecord {
        visit: id,
        plan: Kept::of(PLAN_FORMAT, PLAN_VERSION, &kept)
            .map_err(|e| PageError::ours("keeping the plan", e))?,
        review_on,
        revision: 0,
        saved_at: context.now,
    };
    context
        .state
        .store
        .save_plan(context.stamp(), record, seen)
        .await?;
    Ok(Redirect::to(&format!("/visit/{id}#plan")))
}

/// `POST /visit/{id}/state`: closes the visit, or opens it again.
pub async fn state(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let mut visit = context.state.store.visit(id.parse::<VisitId>()?).await?;
    visit.state = if form.get("state").is_some_and(|s| s == "closed") {
        VisitState::Closed
    } else {
        VisitState::Open
    };
    if let Some(reason) = form.get("reason") {
        visit.reason = reason.trim().to_owned();
    }
    let id = visit.id;
    context
        .state
        .store
        .save_visit(context.stamp(), visit)
        .await?;
    Ok(Redirect::to(&format!("/visit/{id}")))
}
