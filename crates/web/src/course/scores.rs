//! What became of pain, function and stage from visit to visit.

use super::measured;
use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet};
use crate::context::Context;
use crate::error::PageError;
use change::{Better, StepKind};
use change::{important, important_changes, stage_course};
use exam::function::foot_function;
use exam::{Examination, Story};
use knowledge::{Knowledge, yardstick::Person};
use record::{DecisionRecord, ExamineOf, KeptError, Patient, Visit, VisitId};
use terms::Side;
use time::Date;

/// What is asked of each foot at a visit and held against a published important change.
const ITEMS: [(&str, &str, Better); 1] = [("pain_level", "Pain, 0 to 10", Better::Less)];
/// Counted or measured, and held against nothing but itself; with the decimals worth telling.
const COUNTED: [(&str, &str, usize); 3] = [
    ("heel_rise_count", "Single heel rises", 1),
    ("arch_index_standing", "Arch index, standing print", 3),
    ("arch_index_walking", "Arch index, walking print", 3),
];

/// Shown where it was measured at some visit.
const MEASURED: [(&str, &str, usize); 3] = [
    ("heel_angle_deg", "Standing heel angle", 1),
    ("navicular_height_mm", "Navicular height, standing", 1),
    (
        "arch_height_index_standing",
        "Arch height index, standing",
        3,
    ),
];

/// What was asked at one visit; `None` where a foot was not examined.
struct AskedAt {
    visit: VisitId,
    on: Date,
    story: Story,
    feet: [(Side, Option<Examination>); 2],
}

/// What was asked at a patient's visits, oldest first.
pub struct Asked(Vec<AskedAt>);

impl Asked {
    /// `visits` are those that count, in any order.
    ///
    /// # Errors
    /// No such patient, or a sheet that cannot be read back.
    pub async fn of_patient(
        context: &Context,
        patient: &Patient,
        visits: &[Visit],
    ) -> Result<Self, PageError> {
        let exams = context.state.store.exams_of(patient.id).await?;
        let mut asked = visits
            .iter()
            .map(|visit| {
                let at = |of| exams.iter().find(|e| (e.visit, e.of) == (visit.id, of));
                let foot = |side| {
                    let exam = at(ExamineOf::Foot(side));
                    let exam = exam.map(|e| e.exam.read(FOOT_FORMAT, FOOT_VERSION));
                    Ok((side, exam.transpose()?))
                };
                let sheet = at(ExamineOf::Person);
                let sheet =
                    sheet.map(|e| e.exam.read::<PersonSheet>(PERSON_FORMAT, PERSON_VERSION));
                Ok(AskedAt {
                    visit: visit.id,
                    on: visit.on,
                    story: sheet.transpose()?.unwrap_or_default().story,
                    feet: [foot(Side::Left)?, foot(Side::Right)?],
                })
            })
            .collect::<Result<Vec<AskedAt>, KeptError>>()
            .map_err(|e| PageError::ours("reading an examination back", e))?;
        asked.sort_by_key(|a| a.on);
        Ok(Asked(asked))
    }

    fn of_story(&self, value: impl Fn(&Story) -> Option<f64>) -> Vec<(Date, Option<f64>)> {
        self.0.iter().map(|a| (a.on, value(&a.story))).collect()
    }

    #[cfg(test)]
    pub fn of_left_foot(exams: Vec<(Date, Examination)>) -> Self {
        let visit = VisitId::new(uuid::Uuid::nil());
        Asked(
            exams
                .into_iter()
                .map(|(on, exam)| AskedAt {
                    visit,
                    on,
                    story: Story::new(),
                    feet: [(Side::Left, Some(exam)), (Side::Right, None)],
                })
                .collect(),
        )
    }

    /// A foot's examination at every visit, oldest first.
    pub fn exams(&self, side: Side) -> impl Iterator<Item = (Date, Option<&Examination>)> {
        self.0.iter().map(move |a| {
            let of_side = a.feet.iter().find(|(s, _)| *s == side);
            (a.on, of_side.and_then(|(_, exam)| exam.as_ref()))
        })
    }

    fn of_foot(&self, side: Side, key: &str) -> Vec<(Date, Option<f64>)> {
        self.exams(side)
            .map(|(on, exam)| (on, exam.and_then(|e| e.number(key).value())))
            .collect()
    }
}

/// What belongs to the person: function index, T-scores, what they can do.
pub fn of_person(knowledge: &Knowledge, asked: &Asked, person: &Person) -> Vec<ScoreLine> {
    let number = |key: &'static str| asked.of_story(|s| s.number(key).value());
    let ffi = |part: usize| asked.of_story(|s| foot_function(s).and_then(|f| f.parts[part]));
    let lines = [
        (
            "Foot function index, total",
            "foot_function_score",
            Better::Less,
            asked.of_story(|s| foot_function(s).and_then(|f| f.total)),
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
            let judged = judged(knowledge, person, item, &values);
            ScoreLine {
                name,
                values: said(&values, 1),
                words: judged.as_ref().map(|j| j.words(name, better)),
                sizes: judged.map(|j| j.sizes()),
            }
        })
        .collect();
    out.extend(DOINGS.iter().filter_map(|key| doing(key, asked)));
    out
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

fn doing(key: &str, asked: &Asked) -> Option<ScoreLine> {
    let question = exam::question(key)?;
    let exam::Kind::Choice { choices } = question.kind else {
        return None;
    };
    let words = |s: &Story| {
        let chosen = s.choice(key).value()?;
        choices.iter().find(|c| c.key == chosen).map(|c| c.words)
    };
    let answered = asked.0.iter().any(|a| words(&a.story).is_some());
    answered.then(|| ScoreLine {
        name: question.words,
        values: asked
            .0
            .iter()
            .map(|a| {
                (
                    crate::words::short_day(a.on),
                    words(&a.story).unwrap_or("not recorded").to_owned(),
                )
            })
            .collect(),
        words: None,
        sizes: None,
    })
}

/// The last against the first; `None` where there are not two, or nothing is published of it.
fn judged(
    knowledge: &Knowledge,
    person: &Person,
    item: &str,
    values: &[(Date, Option<f64>)],
) -> Option<change::Importance> {
    let known: Vec<f64> = values.iter().filter_map(|v| v.1).collect();
    let [first, .., last] = known.as_slice() else {
        return None;
    };
    let list = important_changes(knowledge, item, person);
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

pub fn of_feet(
    knowledge: &Knowledge,
    asked: &Asked,
    person: &Person,
    decisions: &[(Date, DecisionRecord)],
) -> Vec<FootScores> {
    let mut feet = Vec::new();
    for side in Side::BOTH {
        let mut lines = Vec::new();
        for (key, name, better) in ITEMS {
            let values = asked.of_foot(side, key);
            let known: Vec<f64> = values.iter().filter_map(|v| v.1).collect();
            if known.is_empty() {
                continue;
            }
            let judged = judged(knowledge, person, key, &values);
            lines.push(ScoreLine {
                name,
                values: said(&values, 1),
                words: judged.as_ref().map(|j| j.words(name, better)),
                sizes: judged.map(|j| j.sizes()),
            });
        }
        let more = MEASURED
            .into_iter()
            .filter(|(key, _, _)| measured::any(asked, side, key));
        for (key, name, decimals) in COUNTED.into_iter().chain(more) {
            let values = asked.of_foot(side, key);
            if values.iter().any(|v| v.1.is_some()) {
                let verdict = measured::verdict(knowledge, asked, side, key, person);
                lines.push(ScoreLine {
                    name,
                    values: measured::said(asked, side, key, decimals),
                    words: verdict
                        .as_ref()
                        .map(|v| format!("{name}, as measured: {}", v.words())),
                    sizes: verdict
                        .map(|v| v.cautions.join(" "))
                        .filter(|cautions| !cautions.is_empty()),
                });
            }
        }
        let chosen = asked
            .0
            .iter()
            .map(|a| {
                let decided = decisions
                    .iter()
                    .find(|(_, d)| d.visit == a.visit && d.side == side)
                    .and_then(|(_, d)| d.chosen.clone());
                (a.on, decided)
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
    feet
}

/// A question's first and last answer, on two days.
pub struct FirstAndLast {
    pub key: &'static str,
    pub side: Option<Side>,
    pub from: (Date, f64),
    pub to: (Date, f64),
    /// Against published sizes; `None` where none is published.
    pub judged: Option<change::Importance>,
    /// Where both were measured and stand as measured: more than their error?
    pub measured: Option<change::Verdict>,
}

/// Asked of the person, and held against published sizes where there are some.
const OF_PERSON: [&str; 2] = ["promis_function", "promis_interference"];

/// Pain and heel rises of each foot, and the person's T-scores, first against last; what was asked once only
/// is left out.
pub fn first_and_last(knowledge: &Knowledge, asked: &Asked, person: &Person) -> Vec<FirstAndLast> {
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
                judged: judged(knowledge, person, key, &values),
                measured: side
                    .and_then(|side| measured::verdict(knowledge, asked, side, key, person))
                    .filter(|v| (v.since, v.until) == (first.0, last.0)),
            });
        }
    };
    let of_feet = ITEMS.map(|i| i.0).into_iter().chain(COUNTED.map(|c| c.0));
    for side in Side::BOTH {
        for key in of_feet.clone() {
            push(key, Some(side), asked.of_foot(side, key));
        }
    }
    for key in OF_PERSON {
        push(key, None, asked.of_story(|s| s.number(key).value()));
    }
    out
}

fn said(values: &[(Date, Option<f64>)], decimals: usize) -> Vec<(String, String)> {
    values
        .iter()
        .map(|(day, value)| {
            let value = value.map_or_else(
                || "not recorded".to_owned(),
                |v| quantity::written_short(v, decimals),
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
