//! What became of pain, function and stage from visit to visit.

use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION};
use crate::context::Context;
use crate::error::PageError;
use change::{Better, StepKind};
use change::{important, important_changes, stage_course};
use exam::Examination;
use knowledge::yardstick::Person;
use record::{DecisionRecord, ExamineOf, Visit};
use terms::Side;
use time::Date;

/// What is asked of each foot at a visit and held against a published important change.
const ITEMS: [(&str, &str, Better); 1] = [("pain_level", "Pain, 0 to 10", Better::Less)];
/// Counted, and held against nothing but itself.
const COUNTED: [(&str, &str); 1] = [("heel_rise_count", "Single heel rises")];

/// One foot's scores over the visits.
pub struct FootScores {
    pub head: &'static str,
    pub stage: String,
    pub stage_class: &'static str,
    pub lines: Vec<ScoreLine>,
}

pub struct ScoreLine {
    pub name: &'static str,
    /// Day and value, oldest first; visits that did not ask stand as such.
    pub values: Vec<(String, String)>,
    /// The last against the first.
    pub words: Option<String>,
    pub amount: Option<String>,
}

/// `visits` in any order.
///
/// # Errors
/// An examination that cannot be read back.
pub async fn of_feet(
    context: &Context,
    visits: &[Visit],
    person: &Person,
    decisions: &[(Date, DecisionRecord)],
) -> Result<Vec<FootScores>, PageError> {
    let mut visits: Vec<&Visit> = visits.iter().collect();
    visits.sort_by_key(|v| v.on);
    let mut feet = Vec::new();
    for side in Side::BOTH {
        let mut exams: Vec<(Date, Option<Examination>)> = Vec::new();
        for visit in &visits {
            let kept = context
                .state
                .store
                .exam(visit.id, ExamineOf::Foot(side))
                .await?;
            let exam = kept
                .map(|k| k.exam.read(FOOT_FORMAT, FOOT_VERSION))
                .transpose()
                .map_err(|e| PageError::ours("reading an examination back", e))?;
            exams.push((visit.on, exam));
        }
        let number = |exam: &Option<Examination>, key: &str| {
            exam.as_ref().and_then(|e| e.number(key).value())
        };
        let mut lines = Vec::new();
        for (key, name, better) in ITEMS {
            let values: Vec<(Date, Option<f64>)> =
                exams.iter().map(|(d, e)| (*d, number(e, key))).collect();
            let known: Vec<f64> = values.iter().filter_map(|v| v.1).collect();
            if known.is_empty() {
                continue;
            }
            let judged = match known.as_slice() {
                [first, .., last] => {
                    let list = important_changes(context.state.knowledge, key, person);
                    Some(important(last - first, Some(*first), &list))
                }
                _ => None,
            };
            lines.push(ScoreLine {
                name,
                values: said(&values),
                words: judged.as_ref().map(|j| j.words(name, better)),
                amount: judged.map(|j| j.amount()),
            });
        }
        for (key, name) in COUNTED {
            let values: Vec<(Date, Option<f64>)> =
                exams.iter().map(|(d, e)| (*d, number(e, key))).collect();
            if values.iter().any(|v| v.1.is_some()) {
                lines.push(ScoreLine {
                    name,
                    values: said(&values),
                    words: None,
                    amount: None,
                });
            }
        }
        let chosen = visits
            .iter()
            .map(|v| {
                let decided = decisions
                    .iter()
                    .find(|(_, d)| d.visit == v.id && d.side == side)
                    .and_then(|(_, d)| d.chosen.clone());
                (v.on, decided)
            })
            .collect();
        let course = stage_course(chosen, &ranks());
        let kind = course.overall.as_ref().map(|s| s.kind);
        feet.push(FootScores {
            head: crate::words::side_head(side),
            stage: course.words(&|stage| stage.to_owned()),
            stage_class: match kind {
                Some(StepKind::Progressed) => "outside",
                Some(StepKind::WentBack | StepKind::Same) => "inside",
                Some(StepKind::OtherOfSameRank | StepKind::NotKnown) | None => "none",
            },
            lines,
        });
    }
    Ok(feet)
}

fn said(values: &[(Date, Option<f64>)]) -> Vec<(String, String)> {
    values
        .iter()
        .map(|(day, value)| {
            let value = value.map_or_else(
                || "not recorded".to_owned(),
                |v| quantity::written_short(v, 1),
            );
            (crate::words::short_day(*day), value)
        })
        .collect()
}

/// Stages as the clinician writes them down, mildest first.
pub fn ranks() -> Vec<Vec<String>> {
    [
        &["I", "IA", "IB", "IC"][..],
        &["II", "IIA", "IIA1", "IIA2", "IIB", "IIC"],
        &["III", "IIIA", "IIIB"],
        &["IV", "IVA", "IVB"],
    ]
    .iter()
    .map(|rank| rank.iter().map(|s| (*s).to_owned()).collect())
    .collect()
}
