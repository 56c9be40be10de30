//! Answers of examination, story and alarm questions, and what of each sheet was not looked at.
//!
//! Every answer is an observation of its own; one observation for the sheet holds them together and lists, with a
//! `dataAbsentReason`, the questions meant for this person that nobody answered.

use super::{Making, instant};
use crate::codes::{
    absent, body_site, coding, concept, hl7, own, own_system, quantity_of_question,
};
use crate::ids::derived;
use crate::types::{Annotation, Component, Observation, Reference, Resource, ResourceType, Value};

use exam::{Answer, Found, Kind, Measured, Question, Sheet, Who};
use record::{ActKind, ExamRecord, ExamineOf, Subject};
use std::collections::BTreeMap;

pub(super) fn sheet_id(record: &ExamRecord) -> String {
    derived(&["sheet", &record.visit.to_string(), record.of.key()]).to_string()
}

/// What was answered, and what stood measured beside it.
type Answered = BTreeMap<&'static str, (Answer, Option<Measured>)>;

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let mut all = Vec::new();
    for record in &m.chart().exams {
        let Some((answered, sheets)) = answers(m, record) else {
            continue;
        };
        let shared = shared(m, record);
        let (mut members, mut open) = (Vec::new(), Vec::new());
        for question in exam::form().iter().filter(|q| sheets.contains(&q.sheet)) {
            match answered.get(question.key) {
                Some((answer, measured)) => {
                    let visit = record.visit.to_string();
                    let id = derived(&["answer", &visit, record.of.key(), question.key]);
                    let one = finding(m, question, answer, measured.as_ref(), &shared);
                    all.push(
                        Observation {
                            id: id.to_string(),
                            ..one
                        }
                        .into(),
                    );
                    members.push(Reference::to(ResourceType::Observation, id));
                }
                None if meant_for(m, record, question) => open.push(not_looked_at(question)),
                None => {}
            }
        }
        all.push(
            Observation {
                id: sheet_id(record),
                code: own(
                    "sheet",
                    record.of.key(),
                    &format!("examination, {}", record.of.words()),
                ),
                has_member: members,
                component: open,
                ..shared
            }
            .into(),
        );
    }
    all
}

fn answers(m: &Making<'_>, record: &ExamRecord) -> Option<(Answered, Vec<Sheet>)> {
    macro_rules! of {
        ($sheet:expr) => {
            $sheet
                .answered()
                .map(|(q, a)| (q.key, (a.clone(), $sheet.measured(q.key).cloned())))
        };
    }
    Some(match record.of {
        ExamineOf::Foot(side) => {
            let sheet = m.opened.feet.get(&(record.visit, side))?;
            (of!(sheet).collect(), vec![Sheet::Foot])
        }
        ExamineOf::Leg(side) => {
            let sheet = m.opened.legs.get(&(record.visit, side))?;
            (of!(sheet).collect(), vec![Sheet::Leg])
        }
        ExamineOf::Person => {
            let sheet = m.opened.persons.get(&record.visit)?;
            let both = of!(sheet.story).chain(of!(sheet.flags));
            (both.collect(), vec![Sheet::Person, Sheet::Flags])
        }
    })
}

fn shared(m: &Making<'_>, record: &ExamRecord) -> Observation {
    let act = m.opened.act_at(
        ActKind::ExamSaved,
        Subject::Visit(record.visit),
        record.saved_at,
    );
    let (category, site) = match record.of {
        ExamineOf::Foot(side) => ("exam", Some(body_site("foot", Some(side)))),
        ExamineOf::Leg(side) => ("exam", Some(body_site("leg", Some(side)))),
        ExamineOf::Person => ("survey", None),
    };
    let words = if category == "exam" { "Exam" } else { "Survey" };
    Observation {
        meta: m.meta(Some(record.saved_at)),
        status: "final",
        category: vec![hl7("observation-category", category, words)],
        subject: m.subject(),
        encounter: m.encounter(record.visit),
        effective_date_time: m.opened.visit(record.visit).map(|v| v.on.to_string()),
        issued: instant(record.saved_at),
        performer: act
            .map(|a| m.practitioner(a.by, None))
            .into_iter()
            .collect(),
        body_site: site,
        ..Observation::default()
    }
}

/// A question without an answer counts as not looked at only for those it is meant for.
fn meant_for(m: &Making<'_>, record: &ExamRecord, question: &Question) -> bool {
    if matches!(question.kind, Kind::Text { .. }) {
        return false;
    }
    let child = m
        .person_at(record.visit)
        .age_years
        .map(|years| years < 18.0);
    match question.who {
        Who::Everyone => true,
        Who::Adults => child == Some(false),
        Who::Children => child == Some(true),
    }
}

fn not_looked_at(question: &Question) -> Component {
    let asked = matches!(question.sheet, Sheet::Person | Sheet::Flags);
    let (code, words) = match asked {
        true => ("not-asked", "not asked"),
        false => ("not-performed", "not looked at"),
    };
    Component {
        code: own("question", question.key, question.words),
        value: Value::default(),
        data_absent_reason: Some(absent(code, words)),
    }
}

/// An answer as a value; `None` for the choice that says nobody looked.
pub(super) fn value(question: &Question, answer: &Answer) -> Option<Value> {
    Some(match (answer, question.kind) {
        (Answer::Number { number, .. }, Kind::Number { unit, .. }) => Value {
            quantity: quantity_of_question(*number, unit),
            ..Value::default()
        },
        (Answer::Choice { choice }, Kind::Choice { choices }) => {
            let words = choices.iter().find(|c| c.key == choice)?.words;
            if words == "not looked at" {
                return None;
            }
            let system = own_system(&format!("answer:{}", question.key));
            Value {
                concept: Some(concept(coding(system, choice.as_str(), words))),
                ..Value::default()
            }
        }
        _ => Value {
            string: Some(answer.as_text()),
            ..Value::default()
        },
    })
}

fn finding(
    m: &Making<'_>,
    question: &Question,
    answer: &Answer,
    measured: Option<&Measured>,
    shared: &Observation,
) -> Observation {
    let value = value(question, answer);
    let mut one = Observation {
        code: own("question", question.key, question.words),
        data_absent_reason: value
            .is_none()
            .then(|| absent("not-performed", "not looked at")),
        value: value.unwrap_or_default(),
        ..shared.clone()
    };
    if let Answer::Number { by_eye: true, .. } = answer {
        one.method = Some(own("method", "by-eye", "judged by eye"));
    }
    if let Some(measured) = measured {
        tell_measured(m, question, measured, &mut one);
    }
    one
}

/// What a print, a photograph or a clip gave for the question; the answer is the clinician's and may say another thing.
fn tell_measured(m: &Making<'_>, question: &Question, measured: &Measured, one: &mut Observation) {
    let part = |code: &str, words: &str, value: Value| Component {
        code: own("reading-part", code, words),
        value,
        data_absent_reason: None,
    };
    match &measured.found {
        Found::Number {
            number,
            standard_error,
        } => {
            let unit = match question.kind {
                Kind::Number { unit, .. } => unit,
                _ => "",
            };
            for (code, words, value) in [
                ("measured", "measured", number),
                (
                    "standard-error",
                    "standard error of what was measured",
                    standard_error,
                ),
            ] {
                let value = Value {
                    quantity: quantity_of_question(*value, unit),
                    ..Value::default()
                };
                one.component.push(part(code, words, value));
            }
        }
        Found::Choice {
            choice,
            probability,
        } => one.note.push(Annotation {
            text: format!("Measured: {choice}, probability {probability:.2}."),
        }),
    }
    let known = m
        .chart()
        .captures
        .iter()
        .find(|c| c.id.to_string() == measured.on);
    one.derived_from
        .extend(known.map(|c| Reference::to(ResourceType::DocumentReference, c.id)));
}
