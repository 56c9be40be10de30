//! What became of pain, function and stage from visit to visit.

use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet};
use crate::context::Context;
use crate::error::PageError;
use change::{Better, StepKind};
use change::{important, important_changes, stage_course};
use exam::function::foot_function;
use exam::{Examination, Story};
use knowledge::yardstick::Person;
use record::{DecisionRecord, ExamineOf, Visit};
use terms::Side;
use time::Date;

/// What is asked of each foot at a visit and held against a published important change.
const ITEMS: [(&str, &str, Better); 1] = [("pain_level", "Pain, 0 to 10", Better::Less)];
/// Counted, and held against nothing but itself.
const COUNTED: [(&str, &str); 1] = [("heel_rise_count", "Single heel rises")];

/// What belongs to the person: function index, T-scores, what they can do.
///
/// # Errors
/// A sheet that cannot be read back.
pub async fn of_person(
    context: &Context,
    visits: &[Visit],
    person: &Person,
) -> Result<Vec<ScoreLine>, PageError> {
    let mut visits: Vec<&Visit> = visits.iter().collect();
    visits.sort_by_key(|v| v.on);
    let stories = stories_of(context, &visits).await?;
    let each = |value: &dyn Fn(&Story) -> Option<f64>| -> Vec<(Date, Option<f64>)> {
        stories.iter().map(|(day, s)| (*day, value(s))).collect()
    };
    let number = |key: &'static str| each(&move |s: &Story| s.number(key).value());
    let ffi = |part: usize| each(&move |s: &Story| foot_function(s).and_then(|f| f.parts[part]));
    let lines = [
        (
            "Foot function index, total",
            "foot_function_score",
            Better::Less,
            each(&|s| foot_function(s).and_then(|f| f.total)),
        ),
        (
            "Foot function index, pain",
            "foot_function_pain",
            Better::Less,
            ffi(0),
        ),
        (
            "Foot function index, disability",
            "foot_function_disability",
            Better::Less,
            ffi(1),
        ),
        ("Foot function index, limitation", "", Better::Less, ffi(2)),
        (
            "Physical function, T-score",
            "",
            Better::More,
            number("promis_function"),
        ),
        (
            "Pain interference, T-score",
            "",
            Better::Less,
            number("promis_interference"),
        ),
    ];
    let mut out: Vec<ScoreLine> = lines
        .into_iter()
        .filter(|(_, _, _, values)| values.iter().any(|v| v.1.is_some()))
        .map(|(name, item, better, values)| {
            let judged = judged(context, person, item, &values);
            ScoreLine {
                name,
                values: said(&values),
                words: judged.as_ref().map(|j| j.words(name, better)),
                sizes: judged.map(|j| j.sizes()),
            }
        })
        .collect();
    out.extend(DOINGS.iter().filter_map(|key| doing(key, &stories)));
    Ok(out)
}

/// Asked one by one, and never added up: the list is the project's own and has no published score.
const DOINGS: [&str; 6] = [
    "does_walk_ten",
    "does_stairs",
    "does_uneven",
    "does_stand",
    "does_work",
    "does_sport",
];

fn doing(key: &str, stories: &[(Date, Story)]) -> Option<ScoreLine> {
    let question = exam::question(key)?;
    let exam::Kind::Choice { choices } = question.kind else {
        return None;
    };
    let words = |s: &Story| {
        let chosen = s.choice(key).value()?;
        choices.iter().find(|c| c.key == chosen).map(|c| c.words)
    };
    stories
        .iter()
        .any(|(_, s)| words(s).is_some())
        .then(|| ScoreLine {
            name: question.words,
            values: stories
                .iter()
                .map(|(day, s)| {
                    (
                        crate::words::short_day(*day),
                        words(s).unwrap_or("not recorded").to_owned(),
                    )
                })
                .collect(),
            words: None,
            sizes: None,
        })
}

/// The last against the first; `None` where there are not two, or nothing is published of it.
fn judged(
    context: &Context,
    person: &Person,
    item: &str,
    values: &[(Date, Option<f64>)],
) -> Option<change::Importance> {
    let known: Vec<f64> = values.iter().filter_map(|v| v.1).collect();
    let [first, .., last] = known.as_slice() else {
        return None;
    };
    let list = important_changes(context.state.knowledge, item, person);
    Some(important(last - first, Some(*first), &list))
}

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
    /// The published sizes it was held against.
    pub sizes: Option<String>,
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
        let exams = exams_of(context, &visits, side).await?;
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
            let judged = judged(context, person, key, &values);
            lines.push(ScoreLine {
                name,
                values: said(&values),
                words: judged.as_ref().map(|j| j.words(name, better)),
                sizes: judged.map(|j| j.sizes()),
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
                    sizes: None,
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

/// A question's first and last answer, on two days.
pub struct FirstAndLast {
    pub key: &'static str,
    pub side: Option<Side>,
    pub from: (Date, f64),
    pub to: (Date, f64),
    /// Against published sizes; `None` where none is published.
    pub judged: Option<change::Importance>,
}

/// Asked of the person, and held against published sizes where there are some.
const OF_PERSON: [&str; 2] = ["promis_function", "promis_interference"];

/// Pain and heel rises of each foot, and the person's T-scores, first against last; what was asked once only
/// is left out.
///
/// # Errors
/// A sheet that cannot be read back.
pub async fn first_and_last(
    context: &Context,
    visits: &[Visit],
    person: &Person,
) -> Result<Vec<FirstAndLast>, PageError> {
    let mut visits: Vec<&Visit> = visits.iter().collect();
    visits.sort_by_key(|v| v.on);
    let mut out = Vec::new();
    let mut push = |key: &'static str, side, values: Vec<(Date, Option<f64>)>| {
        let known: Vec<(Date, f64)> = values
            .iter()
            .filter_map(|(day, v)| Some((*day, (*v)?)))
            .collect();
        if let [first, .., last] = known.as_slice()
            && first.0 < last.0
        {
            out.push(FirstAndLast {
                key,
                side,
                from: *first,
                to: *last,
                judged: judged(context, person, key, &values),
            });
        }
    };
    let of_feet = ITEMS.map(|i| i.0).into_iter().chain(COUNTED.map(|c| c.0));
    for side in Side::BOTH {
        let exams = exams_of(context, &visits, side).await?;
        for key in of_feet.clone() {
            let values = exams
                .iter()
                .map(|(d, e)| (*d, e.as_ref().and_then(|e| e.number(key).value())))
                .collect();
            push(key, Some(side), values);
        }
    }
    let stories = stories_of(context, &visits).await?;
    for key in OF_PERSON {
        let values = stories
            .iter()
            .map(|(d, s)| (*d, s.number(key).value()))
            .collect();
        push(key, None, values);
    }
    Ok(out)
}

async fn exams_of(
    context: &Context,
    visits: &[&Visit],
    side: Side,
) -> Result<Vec<(Date, Option<Examination>)>, PageError> {
    let mut exams = Vec::new();
    for visit in visits {
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
    Ok(exams)
}

async fn stories_of(context: &Context, visits: &[&Visit]) -> Result<Vec<(Date, Story)>, PageError> {
    let mut stories = Vec::new();
    for visit in visits {
        let kept = context
            .state
            .store
            .exam(visit.id, ExamineOf::Person)
            .await?;
        let sheet: PersonSheet = kept
            .map(|k| k.exam.read(PERSON_FORMAT, PERSON_VERSION))
            .transpose()
            .map_err(|e| PageError::ours("reading an examination back", e))?
            .unwrap_or_default();
        stories.push((visit.on, sheet.story));
    }
    Ok(stories)
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
