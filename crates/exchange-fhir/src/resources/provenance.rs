//! Who did what, when, and by which version of which method.

use super::decided::{condition_id, plan_id};
use super::findings::sheet_id;
use super::readings::report_id;
use super::{Making, instant};
use crate::codes::{coding, extension_url, hl7, own, own_system};
use crate::types::{
    Agent, Extension, ExtensionValue, Provenance, ProvenanceEntity, Reference, Resource,
    ResourceType,
};
use exchange::taken::SheetFacts;
use record::{Act, ActKind, Subject, VisitId};
use std::collections::BTreeSet;

/// One for each act whose subject is in the bundle.
pub(super) fn all(m: &Making<'_>, made: &[Resource]) -> Vec<Resource> {
    let there: BTreeSet<String> = made.iter().map(Resource::path).collect();
    let acts = m.chart().acts.iter();
    acts.filter_map(|act| {
        let sheet = sheet_of(m, act);
        let mut target: Vec<Reference> = targets(m, act, sheet);
        target.retain(|t| t.reference.as_ref().is_some_and(|r| there.contains(r)));
        if target.is_empty() {
            target = fallback(m, act);
        }
        (!target.is_empty()).then(|| provenance(m, act, target, sheet).into())
    })
    .collect()
}

fn provenance(
    m: &Making<'_>,
    act: &Act,
    target: Vec<Reference>,
    sheet: Option<&SheetFacts<'_>>,
) -> Provenance {
    Provenance {
        id: act.id.to_string(),
        meta: m.meta(Some(act.at)),
        extension: sheet.map(methods).unwrap_or_default(),
        target,
        recorded: instant(act.at).unwrap_or_default(),
        activity: own("act", act.kind.key(), act.kind.words()),
        agent: vec![Agent {
            kind: hl7("provenance-participant-type", "author", "Author"),
            who: m.practitioner(act.by, None),
        }],
        entity: sheet
            .map(|s| {
                let id = match s.origin {
                    exchange::Origin::Film(film, _) => film.id.to_string(),
                    exchange::Origin::Capture(capture, _) => capture.id.to_string(),
                };
                ProvenanceEntity {
                    role: "source",
                    what: Reference::to(ResourceType::DocumentReference, id),
                }
            })
            .into_iter()
            .collect(),
    }
}

/// The version of each construction that made the readings.
fn methods(sheet: &SheetFacts<'_>) -> Vec<Extension> {
    let used: BTreeSet<(&str, u32)> = sheet
        .readings
        .iter()
        .map(|r| (r.measure.as_str(), r.method_version))
        .collect();
    let part = |url: &str, value| Extension {
        url: url.to_owned(),
        value: Some(value),
        ..Extension::default()
    };
    used.into_iter()
        .map(|(measure, version)| Extension {
            url: extension_url("method"),
            extension: vec![
                part(
                    "measure",
                    ExtensionValue::Coding(coding(own_system("measure"), measure, "")),
                ),
                part("version", ExtensionValue::UnsignedInt(version)),
            ],
            value: None,
        })
        .collect()
}

/// The sheet that an act of placing points or steps made, where it still stands.
fn sheet_of<'m, 'c>(m: &'m Making<'c>, act: &Act) -> Option<&'m SheetFacts<'c>> {
    m.opened.sheets.iter().find(|s| match (s.origin, act.on) {
        (exchange::Origin::Film(_, points), Subject::Points(id)) => {
            points.id == id && points.placed_at <= act.at
        }
        (exchange::Origin::Capture(capture, steps), Subject::Capture(id)) => {
            capture.id == id && act.kind == ActKind::StepsSaved && steps.saved_at == act.at
        }
        _ => false,
    })
}

fn targets(m: &Making<'_>, act: &Act, sheet: Option<&SheetFacts<'_>>) -> Vec<Reference> {
    let one = |kind, id: String| vec![Reference::to(kind, id)];
    if let Some(sheet) = sheet {
        return one(ResourceType::DiagnosticReport, report_id(&sheet.origin));
    }
    match act.on {
        Subject::Patient(id) => one(ResourceType::Patient, id.to_string()),
        Subject::Visit(id) => of_visit(m, act, id),
        Subject::Film(id) => one(ResourceType::DocumentReference, id.to_string()),
        Subject::Points(id) => one(ResourceType::DiagnosticReport, id.to_string()),
        Subject::Letter(id) => one(ResourceType::DocumentReference, id.to_string()),
        Subject::Scan(id) => one(ResourceType::DocumentReference, id.to_string()),
        Subject::Capture(id) => one(ResourceType::DocumentReference, id.to_string()),
        Subject::Order(id) => one(ResourceType::DeviceRequest, id.to_string()),
        Subject::Care(id) => one(ResourceType::Procedure, id.to_string()),
        Subject::Practice | Subject::Clinician(_) | Subject::Arrival(_) => Vec::new(),
    }
}

/// What was saved in that moment, else the visit.
fn of_visit(m: &Making<'_>, act: &Act, visit: VisitId) -> Vec<Reference> {
    let chart = m.chart();
    let found: Vec<Reference> = match act.kind {
        ActKind::ExamSaved => chart
            .exams
            .iter()
            .filter(|e| e.visit == visit && e.saved_at == act.at)
            .map(|e| Reference::to(ResourceType::Observation, sheet_id(e)))
            .collect(),
        ActKind::DecisionSaved => chart
            .decisions
            .iter()
            .filter(|d| d.visit == visit && d.saved_at == act.at)
            .map(|d| Reference::to(ResourceType::Condition, condition_id(visit, d.side)))
            .collect(),
        ActKind::PlanSaved => chart
            .plans
            .iter()
            .filter(|p| p.visit == visit && p.saved_at == act.at)
            .map(|_| Reference::to(ResourceType::CarePlan, plan_id(visit)))
            .collect(),
        _ => Vec::new(),
    };
    match found.is_empty() {
        true => vec![Reference::to(ResourceType::Encounter, visit)],
        false => found,
    }
}

/// A draft letter is in no bundle; an act on it is one of its visit.
fn fallback(m: &Making<'_>, act: &Act) -> Vec<Reference> {
    let visit = match act.on {
        Subject::Letter(id) => m
            .chart()
            .letters
            .iter()
            .find(|l| l.id == id)
            .map(|l| l.visit),
        Subject::Visit(id) => Some(id),
        _ => None,
    };
    let known = visit.filter(|v| m.opened.visit(*v).is_some());
    match (known, act.on) {
        (Some(visit), _) => vec![Reference::to(ResourceType::Encounter, visit)],
        (None, Subject::Practice | Subject::Clinician(_)) => Vec::new(),
        (None, _) => vec![m.subject()],
    }
}
