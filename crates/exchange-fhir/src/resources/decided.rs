//! What was decided and planned: the stage a clinician chose, and the plan of a visit.

use super::{Making, instant};
use crate::codes::{body_site, hl7, own};
use crate::ids::derived;
use crate::types::{
    Activity, ActivityDetail, Annotation, CarePlan, Condition, ConditionStage, Period, Resource,
};
use care::Ladder;
use record::{ActKind, DecisionRecord, Subject, VisitId};
use stage::StageReport;
use terms::Side;

pub(super) fn condition_id(visit: VisitId, side: Side) -> String {
    derived(&["decided", &visit.to_string(), side.word()]).to_string()
}

pub(super) fn plan_id(visit: VisitId) -> String {
    derived(&["plan", &visit.to_string()]).to_string()
}

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let mut all = conditions(m);
    all.extend(plans(m));
    all
}

/// The scheme and the words of a stage, where the report that was shown holds it.
fn words_of(report: &StageReport, chosen: &str) -> Option<(&'static str, String)> {
    report.schemes().into_iter().find_map(|scheme| {
        let stage = scheme.candidate(chosen)?;
        Some((scheme.scheme.words(), stage.words.clone()))
    })
}

/// Only what a clinician decided; what a report proposed is no condition.
fn conditions(m: &Making<'_>) -> Vec<Resource> {
    let mut all = Vec::new();
    for ((visit, side), (decision, report)) in &m.opened.decisions {
        let Some(chosen) = &decision.chosen else {
            continue;
        };
        let found = report.as_ref().and_then(|r| words_of(r, chosen));
        let (kind, words) = match found {
            Some((scheme, words)) => {
                let key = scheme.to_lowercase().replace([' ', '’', '\''], "-");
                (
                    Some(own("scheme", key, scheme)),
                    format!("{chosen}, {words}"),
                )
            }
            None => (None, chosen.clone()),
        };
        let saved_at = decision.saved_at;
        let act = m
            .opened
            .act_at(ActKind::DecisionSaved, Subject::Visit(*visit), saved_at);
        let current = is_current(m, decision);
        let status = if current { "active" } else { "inactive" };
        all.push(
            Condition {
                id: condition_id(*visit, *side),
                meta: m.meta(Some(saved_at)),
                clinical_status: hl7("condition-clinical", status, ""),
                verification_status: hl7("condition-ver-status", "confirmed", "Confirmed"),
                category: vec![hl7(
                    "condition-category",
                    "encounter-diagnosis",
                    "Encounter Diagnosis",
                )],
                code: own(
                    "condition",
                    "flat-foot",
                    "flat foot, by the stage decided on",
                ),
                body_site: vec![body_site("foot", Some(*side))],
                subject: m.subject(),
                encounter: m.encounter(*visit),
                recorded_date: instant(saved_at).unwrap_or_default(),
                recorder: act.map(|a| m.practitioner(a.by, None)),
                stage: vec![ConditionStage {
                    summary: own("stage", code_of(chosen), &words),
                    kind,
                }],
                note: decision
                    .overruled_reason
                    .iter()
                    .map(|why| Annotation {
                        text: format!("Decided otherwise than the report: {why}"),
                    })
                    .collect(),
            }
            .into(),
        );
    }
    all
}

/// A code holds no blanks at its ends and none twice.
fn code_of(chosen: &str) -> String {
    chosen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// No later visit has a decision on this foot.
fn is_current(m: &Making<'_>, decision: &DecisionRecord) -> bool {
    let day = |visit| m.opened.visit(visit).map(|v| (v.on, v.id));
    let own_day = day(decision.visit);
    let others = m.chart().decisions.iter();
    !others
        .filter(|d| d.side == decision.side && d.chosen.is_some())
        .any(|d| day(d.visit) > own_day)
}

fn plans(m: &Making<'_>) -> Vec<Resource> {
    let last_visit = m.opened.visits.last().map(|v| v.id);
    let mut all = Vec::new();
    for (visit, (record, plan)) in &m.opened.plans {
        let act = m
            .opened
            .act_at(ActKind::PlanSaved, Subject::Visit(*visit), record.saved_at);
        let mut activity: Vec<Activity> = plan
            .rungs()
            .map(|(side, key)| {
                let title = Ladder::built_in()
                    .rung(key)
                    .map_or(key, |r| r.title.as_str());
                let words = match side {
                    Some(side) => format!("{title}, {} foot", side.word()),
                    None => title.to_owned(),
                };
                step(own("rung", code_of(key), title), None, Some(words))
            })
            .collect();
        for side in Side::BOTH {
            let worn = plan.worn(side).trim();
            if !worn.is_empty() {
                let words = format!("worn on the {} foot: {worn}", side.word());
                activity.push(step(
                    own("plan-part", "worn", "worn until the next visit"),
                    None,
                    Some(words),
                ));
            }
        }
        if let Some(day) = record.review_on {
            let when = Period {
                start: Some(day.to_string()),
                end: None,
            };
            activity.push(step(
                own("plan-part", "review", "seen again"),
                Some(when),
                None,
            ));
        }
        let words = plan.words.trim();
        let visited = m.opened.visit(*visit).map(|v| v.on.to_string());
        all.push(
            CarePlan {
                id: plan_id(*visit),
                meta: m.meta(Some(record.saved_at)),
                // A plan holds until the next visit.
                status: if last_visit == Some(*visit) {
                    "active"
                } else {
                    "completed"
                },
                intent: "plan",
                subject: m.subject(),
                encounter: m.encounter(*visit),
                period: visited.map(|day| Period {
                    start: Some(day),
                    end: None,
                }),
                created: instant(record.saved_at).unwrap_or_default(),
                author: act.map(|a| m.practitioner(a.by, None)),
                activity,
                note: (!words.is_empty())
                    .then(|| Annotation {
                        text: words.to_owned(),
                    })
                    .into_iter()
                    .collect(),
            }
            .into(),
        );
    }
    all
}

/// Whether a step was taken up is not recorded with the plan: its status is unknown.
fn step(
    code: crate::types::CodeableConcept,
    scheduled_period: Option<Period>,
    description: Option<String>,
) -> Activity {
    Activity {
        detail: ActivityDetail {
            code,
            status: "unknown",
            scheduled_period,
            description,
        },
    }
}
