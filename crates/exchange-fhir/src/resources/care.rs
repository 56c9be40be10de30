//! What was given and done, and which devices were ordered.

use super::documents::{order_sheet_id, order_solids_id};
use super::findings::value;
use super::{Making, instant};
use crate::codes::{absent, body_site, coding, extension_url, own, own_system, quantity, text};
use crate::types::{
    Annotation, CodeableConcept, DeviceRequest, Extension, ExtensionValue, Identifier, Parameter,
    Period, Procedure, Reference, Resource, ResourceType,
};
use ::care::log::{Entry, Kind, name};
use ::quantity::{Angle, Length, Unit};
use exam::{Answer, Question};
use record::{CareRecord, OrderRecord, OrderSource};
use shell::Prescription;

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let mut all: Vec<Resource> = m
        .opened
        .care
        .iter()
        .map(|(record, entry)| procedure(m, record, entry.as_ref()).into())
        .collect();
    all.extend(
        m.chart()
            .orders
            .iter()
            .map(|o| Resource::from(device_request(m, o))),
    );
    all
}

fn procedure(m: &Making<'_>, record: &CareRecord, entry: Option<&Entry>) -> Procedure {
    let kind = Kind::from_key(&record.kind);
    let lasts = kind.is_some_and(Kind::lasts);
    let ended = record.ended_on.is_some() || !lasts;
    let words = entry.map_or_else(|| record.kind.clone(), name);
    let began = record.began_on.to_string();
    let answered: Vec<(&Question, &Answer)> =
        entry.iter().flat_map(|e| e.answers.answered()).collect();
    let about = record
        .about
        .filter(|id| m.chart().care.iter().any(|c| c.id == *id));
    Procedure {
        id: record.id.to_string(),
        meta: m.meta(Some(record.saved_at)),
        extension: answered.iter().map(|(q, a)| given_answer(q, a)).collect(),
        part_of: about
            .map(|id| Reference::to(ResourceType::Procedure, id))
            .into_iter()
            .collect(),
        status: match (record.taken_away, ended) {
            (true, _) => "entered-in-error",
            (false, true) => "completed",
            (false, false) => "in-progress",
        },
        code: CodeableConcept {
            text: Some(words),
            ..own(
                "care",
                record.kind.split_whitespace().collect::<String>(),
                kind.map_or("", Kind::words),
            )
        },
        subject: m.subject(),
        encounter: record
            .visit
            .filter(|v| m.opened.visit(*v).is_some())
            .map(|v| m.encounter(v)),
        performed_date_time: (!lasts).then(|| began.clone()),
        performed_period: lasts.then(|| Period {
            start: Some(began),
            end: record.ended_on.map(|d| d.to_string()),
        }),
        body_site: record
            .side
            .map(|side| body_site("foot", Some(side)))
            .into_iter()
            .collect(),
        note: answered
            .iter()
            .map(|(q, a)| Annotation {
                text: format!("{}: {}", q.words, words_of(q, a)),
            })
            .collect(),
    }
}

/// An answer in the words of its question.
fn words_of(question: &Question, answer: &Answer) -> String {
    match (answer, question.kind) {
        (Answer::Choice { choice }, exam::Kind::Choice { choices }) => choices
            .iter()
            .find(|c| c.key == choice)
            .map_or_else(|| choice.clone(), |c| c.words.to_owned()),
        (Answer::Number { .. }, exam::Kind::Number { unit, .. }) => {
            format!("{} {unit}", answer.as_text()).trim_end().to_owned()
        }
        _ => answer.as_text(),
    }
}

/// A procedure has no place for answers, so each is an extension of question and value.
fn given_answer(question: &Question, answer: &Answer) -> Extension {
    let part = |url: &str, value| Extension {
        url: url.to_owned(),
        value: Some(value),
        ..Extension::default()
    };
    let asked = coding(own_system("question"), question.key, question.words);
    let found = match value(question, answer) {
        None => {
            let reason = absent("not-performed", "not looked at");
            let code = reason.coding.into_iter().next().unwrap_or_default();
            part("data-absent-reason", ExtensionValue::Coding(code))
        }
        Some(v) => match (
            v.quantity,
            v.concept.and_then(|c| c.coding.into_iter().next()),
        ) {
            (Some(q), _) => part("value", ExtensionValue::Quantity(q)),
            (None, Some(code)) => part("value", ExtensionValue::Coding(code)),
            (None, None) => part("value", ExtensionValue::String(answer.as_text())),
        },
    };
    Extension {
        url: extension_url("answer"),
        extension: vec![part("question", ExtensionValue::Coding(asked)), found],
        value: None,
    }
}

fn device_request(m: &Making<'_>, order: &OrderRecord) -> DeviceRequest {
    let document = |id: String| Reference::to(ResourceType::DocumentReference, id);
    let mut supporting: Vec<Reference> = Vec::new();
    if let OrderSource::Scan { scan } = &order.source
        && m.chart().scans.iter().any(|s| s.id == *scan)
    {
        supporting.push(document(scan.to_string()));
    }
    if order.sent.is_some() {
        supporting.push(document(order_sheet_id(&order.id)));
        supporting.push(document(order_solids_id(&order.id)));
    }
    DeviceRequest {
        id: order.id.to_string(),
        meta: m.meta(Some(order.saved_at)),
        identifier: vec![Identifier {
            system: own_system("order-code"),
            value: order.code.clone(),
        }],
        status: if order.sent.is_some() {
            "active"
        } else {
            "draft"
        },
        intent: "order",
        code_codeable_concept: own(
            "device",
            format!("foot-orthosis-{}", order.side.word()),
            &format!("foot orthosis, {}", order.side.word()),
        ),
        parameter: parameters(order),
        subject: m.subject(),
        encounter: m.encounter(order.visit),
        authored_on: order
            .sent
            .as_ref()
            .map_or(Some(order.saved_at), |s| Some(s.at))
            .and_then(instant),
        supporting_info: supporting,
    }
}

/// The values a maker looks at first; the whole prescription stands on the order sheet and in the chart.
fn parameters(order: &OrderRecord) -> Vec<Parameter> {
    let kept = order
        .prescription
        .read::<Prescription>("tiebeam-prescription", 1);
    let Ok(p) = kept else { return Vec::new() };
    let mut all = vec![Parameter {
        code: own("prescription", "material", "material"),
        value_codeable_concept: Some(text(p.shell.material.as_str())),
        ..Parameter::default()
    }];
    let mut put = |key: &str, words: &str, value: f64, unit: Unit| {
        if let Some(q) = quantity(value, unit) {
            all.push(Parameter {
                code: own("prescription", key, words),
                value_quantity: Some(q),
                ..Parameter::default()
            });
        }
    };
    let mm = Length::to_mm;
    match p.shell.thickness {
        shell::prescription::Thickness::Uniform { all } => {
            put("thickness", "thickness", mm(all), Unit::Millimetre)
        }
        shell::prescription::Thickness::ThickerArch { arch, rest } => {
            put(
                "thickness-arch",
                "thickness at the arch",
                mm(arch),
                Unit::Millimetre,
            );
            put(
                "thickness-rest",
                "thickness elsewhere",
                mm(rest),
                Unit::Millimetre,
            );
        }
    }
    let lengths = [
        (
            "heel-cup-depth",
            "depth of the heel cup",
            Some(p.shell.heel_cup_depth),
        ),
        (
            "behind-heads",
            "front edge behind the metatarsal heads",
            Some(p.shell.behind_heads),
        ),
        (
            "medial-flange",
            "inner rim at the arch",
            p.shell.medial_flange,
        ),
        ("lateral-flange", "outer rim", p.shell.lateral_flange),
        (
            "skive-depth",
            "depth of the cut at the heel",
            p.corrections.skive.map(|s| s.depth),
        ),
        (
            "heel-expansion",
            "widening of the heel",
            p.corrections.heel_expansion,
        ),
    ];
    for (key, words, value) in lengths {
        if let Some(value) = value {
            put(key, words, mm(value), Unit::Millimetre);
        }
    }
    let angles = [
        (
            "inversion",
            "inversion of the positive",
            p.corrections.inversion.map(|i| i.angle),
        ),
        (
            "forefoot-balance",
            "forefoot turned against the rearfoot",
            p.corrections.forefoot_balance,
        ),
        (
            "skive-angle",
            "angle of the cut at the heel",
            p.corrections.skive.map(|s| s.angle),
        ),
    ];
    for (key, words, value) in angles {
        if let Some(value) = value {
            put(key, words, Angle::to_degrees(value), Unit::Degree);
        }
    }
    all
}
