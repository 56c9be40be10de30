//! Readings of films and captures with error and yardsticks, one report for each sheet, and grades of joint wear.

use super::{Making, instant};
use crate::codes::{HL7, absent, body_site, coding, concept, hl7, own, own_system, quantity};
use crate::ids::derived;
use crate::types::{
    Annotation, CodeableConcept, Component, DiagnosticReport, Observation, Range, Reference,
    ReferenceRange, Resource, ResourceType, Value,
};
use exchange::measures::yardsticks_of_capture;
use exchange::taken::SheetFacts;
use exchange::{Origin, TakenReading, measure};
use reading::{Comparison, Refusal, Refused, against, held_against};
use record::{ActKind, Subject};
use std::collections::BTreeMap;

/// The id of the report of a sheet: the placing's own, or one derived from the capture.
pub(super) fn report_id(origin: &Origin<'_>) -> String {
    match origin {
        Origin::Film(_, points) => points.id.to_string(),
        Origin::Capture(capture, _) => {
            derived(&["capture-report", &capture.id.to_string()]).to_string()
        }
    }
}

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let mut all = Vec::new();
    for sheet in &m.opened.sheets {
        let report = report_id(&sheet.origin);
        let mut seen: BTreeMap<(String, String), u32> = BTreeMap::new();
        let mut results = Vec::new();
        for reading in &sheet.readings {
            let side = reading.side.map_or("", |s| s.word());
            let nth = seen
                .entry((reading.measure.clone(), side.into()))
                .or_default();
            *nth += 1;
            let id = derived(&["reading", &report, &reading.measure, side, &nth.to_string()]);
            all.push(observation(m, reading, id.to_string()).into());
            results.push(Reference::to(ResourceType::Observation, id));
        }
        for refused in &sheet.refused {
            let id = derived(&["refused", &report, refused.measure.as_str()]);
            all.push(not_read(m, sheet, refused, id.to_string()).into());
            results.push(Reference::to(ResourceType::Observation, id));
        }
        all.push(diagnostic_report(m, sheet, report, results).into());
    }
    all.extend(wear(m));
    all
}

fn imaging() -> Vec<CodeableConcept> {
    vec![hl7("observation-category", "imaging", "Imaging")]
}

fn category(origin: &Origin<'_>) -> Vec<CodeableConcept> {
    match origin {
        Origin::Film(..) => imaging(),
        Origin::Capture(..) => vec![hl7("observation-category", "exam", "Exam")],
    }
}

fn status(origin: &Origin<'_>) -> &'static str {
    if origin.finished() {
        "final"
    } else {
        "preliminary"
    }
}

fn performers(m: &Making<'_>, origin: &Origin<'_>) -> Vec<Reference> {
    match origin {
        Origin::Film(_, points) => vec![m.practitioner(points.reader, Some(&points.reader_name))],
        Origin::Capture(capture, steps) => {
            let on = Subject::Capture(capture.id);
            let act = m.opened.act_at(ActKind::StepsSaved, on, steps.saved_at);
            act.map(|a| m.practitioner(a.by, None))
                .into_iter()
                .collect()
        }
    }
}

fn document(origin: &Origin<'_>) -> Reference {
    match origin {
        Origin::Film(film, _) => Reference::to(ResourceType::DocumentReference, film.id),
        Origin::Capture(capture, _) => Reference::to(ResourceType::DocumentReference, capture.id),
    }
}

/// What all observations of one sheet share.
fn of_sheet(m: &Making<'_>, origin: &Origin<'_>, id: String) -> Observation {
    Observation {
        id,
        meta: m.meta(Some(origin.read_at())),
        status: status(origin),
        category: category(origin),
        subject: m.subject(),
        encounter: m.encounter(origin.visit()),
        effective_date_time: origin.taken_on().map(|d| d.to_string()),
        issued: instant(origin.read_at()),
        performer: performers(m, origin),
        derived_from: vec![document(origin)],
        ..Observation::default()
    }
}

fn observation(m: &Making<'_>, r: &TakenReading<'_>, id: String) -> Observation {
    let facts = measure(m.knowledge, &r.measure);
    let name = facts
        .as_ref()
        .map_or(r.measure.as_str(), |f| f.name.as_str());
    let comparison = comparison(m, r);
    Observation {
        code: own("measure", r.measure.as_str(), name),
        value: Value {
            quantity: quantity(r.estimate.value, r.estimate.unit),
            ..Value::default()
        },
        interpretation: interpretation(&comparison),
        note: r
            .notes
            .iter()
            .map(|n| Annotation { text: n.clone() })
            .collect(),
        body_site: Some(body_site("foot", r.side)),
        method: Some(CodeableConcept {
            coding: vec![coding(
                own_system("method"),
                format!("{}-{}", r.measure, r.method_version),
                "",
            )],
            text: Some(match facts {
                Some(f) => format!("{} (version {})", f.words, r.method_version),
                None => format!("version {}", r.method_version),
            }),
            ..CodeableConcept::default()
        }),
        reference_range: ranges(&comparison),
        component: errors(r),
        ..of_sheet(m, &r.origin, id)
    }
}

/// Standard error, 95 % interval and the error's parts: they are no ranges of health.
fn errors(r: &TakenReading<'_>) -> Vec<Component> {
    let unit = r.estimate.unit;
    let part = |code: &str, words: &str, value: Value| Component {
        code: own("reading-part", code, words),
        value,
        data_absent_reason: None,
    };
    let number = |value| Value {
        quantity: quantity(value, unit),
        ..Value::default()
    };
    let (low, high) = r.interval_95();
    let mut all = vec![
        part(
            "standard-error",
            "standard error",
            number(r.estimate.standard_error),
        ),
        part(
            "interval-95",
            "95 % interval of the reading's own error",
            Value {
                range: Some(Range {
                    low: quantity(low, unit),
                    high: quantity(high, unit),
                }),
                ..Value::default()
            },
        ),
    ];
    for (cause, value) in &r.error_parts {
        let words = format!("standard error from {}", cause.replace('_', " "));
        let code = format!("error-{}", cause.replace('_', "-"));
        if let Some(quantity) = quantity(*value, unit) {
            let value = Value {
                quantity: Some(quantity),
                ..Value::default()
            };
            all.push(part(&code, &words, value));
        }
    }
    all
}

fn comparison(m: &Making<'_>, r: &TakenReading<'_>) -> Comparison {
    let person = m.person_at(r.origin.visit());
    match (&r.origin, &r.film_reading) {
        (Origin::Film(..), Some(reading)) => against(m.knowledge, reading, &person),
        (Origin::Capture(capture, _), _) => {
            let yardsticks = yardsticks_of_capture(
                m.knowledge,
                &r.measure,
                r.estimate.unit,
                capture.kind,
                capture.doing,
            );
            held_against(&yardsticks, r.estimate, &person)
        }
        _ => held_against(&[], r.estimate, &person),
    }
}

/// Only rows that apply to this person and may decide: a reader of a reference range takes it for one.
fn ranges(comparison: &Comparison) -> Vec<ReferenceRange> {
    let rows = comparison.rows.iter().filter(|r| r.decides);
    rows.filter_map(|row| {
        let (limits, y) = (row.limits?, &row.yardstick);
        let end = |value: Option<f64>| value.and_then(|v| quantity(v, y.unit));
        Some(ReferenceRange {
            low: end(limits.lower),
            high: end(limits.upper),
            text: format!("{} ({}, {})", y.population, y.source, y.provenance.words()),
        })
    })
    .collect()
}

fn interpretation(comparison: &Comparison) -> Vec<CodeableConcept> {
    let judged = comparison.rows.iter().any(|r| r.decides);
    let words = comparison.summary.words();
    let code = words.replace(' ', "-");
    judged
        .then(|| own("place", code, words))
        .into_iter()
        .collect()
}

/// A measure that the sheet could not give, with its reason.
fn not_read(m: &Making<'_>, sheet: &SheetFacts<'_>, refused: &Refused, id: String) -> Observation {
    let key = refused.measure.as_str();
    let name = measure(m.knowledge, key).map_or_else(|| key.to_owned(), |f| f.name);
    let why = match &refused.why {
        Refusal::NotANumber { .. } => "not-a-number",
        Refusal::MissingPoints { .. }
        | Refusal::NoScale { .. }
        | Refusal::NoFrame { .. }
        | Refusal::NoFloorLevel => "not-performed",
        _ => "error",
    };
    let side = match &sheet.origin {
        Origin::Film(film, _) => film.side,
        Origin::Capture(capture, _) => capture.side,
    };
    Observation {
        code: own("measure", key, &name),
        data_absent_reason: Some(absent(why, refused.sentence.as_str())),
        body_site: Some(body_site("foot", side)),
        ..of_sheet(m, &sheet.origin, id)
    }
}

fn diagnostic_report(
    m: &Making<'_>,
    sheet: &SheetFacts<'_>,
    id: String,
    result: Vec<Reference>,
) -> DiagnosticReport {
    let origin = &sheet.origin;
    let (code, words) = match origin {
        Origin::Film(film, _) => match film.view {
            Some(view) => (view.key(), format!("readings of a film, {}", view.words())),
            None => ("film", "readings of a film".to_owned()),
        },
        Origin::Capture(capture, _) => (
            capture.kind.key(),
            format!("readings of a {}", capture.kind.words()),
        ),
    };
    let mut said: Vec<String> = sheet.warnings.iter().map(|w| w.sentence.clone()).collect();
    if sheet.unreadable > 0 {
        said.push(format!(
            "{} readings are kept in a way that this program does not read; they stay in the record.",
            sheet.unreadable
        ));
    }
    let section = match origin {
        Origin::Film(..) => concept(coding(format!("{HL7}v2-0074"), "RAD", "Radiology")),
        Origin::Capture(..) => concept(coding(format!("{HL7}v2-0074"), "OTH", "Other")),
    };
    DiagnosticReport {
        id,
        meta: m.meta(Some(origin.read_at())),
        extension: Vec::new(),
        status: status(origin),
        category: vec![section],
        code: own("report", format!("reading-sheet-{code}"), &words),
        subject: m.subject(),
        encounter: m.encounter(origin.visit()),
        effective_date_time: origin.taken_on().map(|d| d.to_string()),
        issued: instant(origin.read_at()).unwrap_or_default(),
        performer: performers(m, origin),
        result,
        conclusion: (!said.is_empty()).then(|| said.join(" ")),
    }
}

/// Grades 0 to 4 of joints on a film; a joint that was not graded is not there.
fn wear(m: &Making<'_>) -> Vec<Resource> {
    let mut all = Vec::new();
    for wear in &m.chart().wear {
        let Some(film) = m.chart().films.iter().find(|f| f.id == wear.film) else {
            continue;
        };
        for (joint, grade) in &wear.grades {
            let key = serde_json::to_value(joint).unwrap_or_default();
            let key = key.as_str().unwrap_or_default();
            let id = derived(&["wear", &film.id.to_string(), key]).to_string();
            let on = Subject::Film(film.id);
            let act = m.opened.act_at(ActKind::WearSaved, on, wear.saved_at);
            all.push(
                Observation {
                    id,
                    meta: m.meta(Some(wear.saved_at)),
                    status: "final",
                    category: imaging(),
                    code: own(
                        "wear",
                        key,
                        &format!(
                            "joint wear, {}, 0 (none) to 4 (bone on bone)",
                            joint.words()
                        ),
                    ),
                    subject: m.subject(),
                    encounter: m.encounter(film.visit),
                    effective_date_time: film.taken_on.map(|d| d.to_string()),
                    issued: instant(wear.saved_at),
                    performer: act
                        .map(|a| m.practitioner(a.by, None))
                        .into_iter()
                        .collect(),
                    value: Value {
                        integer: Some(i32::from(grade.get())),
                        ..Value::default()
                    },
                    body_site: Some(body_site("foot", film.side)),
                    derived_from: vec![Reference::to(ResourceType::DocumentReference, film.id)],
                    ..Observation::default()
                }
                .into(),
            );
        }
    }
    all
}
