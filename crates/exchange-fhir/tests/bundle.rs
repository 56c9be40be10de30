//! One chart as one bundle.

use exchange::invented::invented;
use exchange_fhir::{Base, Resource, ResourceType, bundle, resources_of};
use record::{Chart, Kept};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

fn rich() -> Chart {
    invented(1).chart
}

fn json_of(chart: &Chart) -> Value {
    serde_json::to_value(bundle(chart, &Base::nowhere())).unwrap()
}

/// Every `reference` anywhere in a value.
fn references(value: &Value, into: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                match (key.as_str(), value) {
                    ("reference", Value::String(to)) => into.push(to.clone()),
                    _ => references(value, into),
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|v| references(v, into)),
        _ => {}
    }
}

/// The standard knows no empty element: what is not there is not written.
fn nothing_is_empty(value: &Value, place: &str) {
    match value {
        Value::Object(map) => {
            assert!(!map.is_empty(), "{place} is empty");
            for (key, value) in map {
                nothing_is_empty(value, &format!("{place}/{key}"));
            }
        }
        Value::Array(items) => {
            assert!(!items.is_empty(), "{place} is empty");
            for value in items {
                nothing_is_empty(value, place);
            }
        }
        Value::String(text) => assert!(!text.trim().is_empty(), "{place} is blank"),
        Value::Null => panic!("{place} is null"),
        Value::Bool(_) | Value::Number(_) => {}
    }
}

fn all_references_resolve(chart: &Chart) -> usize {
    let bundle = json_of(chart);
    nothing_is_empty(&bundle, "");
    let paths: BTreeSet<String> = bundle["entry"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| {
            let r = &e["resource"];
            let path = format!(
                "{}/{}",
                r["resourceType"].as_str().unwrap(),
                r["id"].as_str().unwrap()
            );
            assert!(e["fullUrl"].as_str().unwrap().ends_with(&path));
            path
        })
        .collect();
    assert_eq!(
        paths.len(),
        bundle["entry"].as_array().unwrap().len(),
        "an id twice"
    );
    let mut to = Vec::new();
    references(&bundle, &mut to);
    for reference in &to {
        assert!(paths.contains(reference), "{reference} does not resolve");
    }
    to.len()
}

#[test]
fn every_reference_resolves_inside_the_bundle_and_no_id_is_there_twice() {
    for person in 0..6 {
        assert!(all_references_resolve(&invented(person).chart) > 100);
    }
}

#[test]
fn references_resolve_also_where_parts_of_the_chart_are_lost() {
    let mut chart = rich();
    chart.visits.clear();
    all_references_resolve(&chart);
    let mut chart = rich();
    chart.clinicians.clear();
    chart.points.iter_mut().for_each(|p| p.reader_name.clear());
    chart.patient.given_name.clear();
    chart.patient.family_name.clear();
    chart.films.clear();
    chart.scans.clear();
    chart.captures.clear();
    all_references_resolve(&chart);
}

#[test]
fn every_type_of_resource_is_made_from_a_rich_chart() {
    let made: BTreeSet<ResourceType> = resources_of(&rich()).iter().map(Resource::kind).collect();
    let all: BTreeSet<ResourceType> = ResourceType::ALL.iter().copied().collect();
    assert_eq!(made, all);
}

#[test]
fn the_same_chart_makes_the_same_bytes() {
    let bytes = || bundle(&rich(), &Base::nowhere()).to_json().unwrap();
    assert_eq!(bytes(), bytes());
}

fn of_kind<'r>(all: &'r [Value], kind: &str) -> Vec<&'r Value> {
    all.iter().filter(|r| r["resourceType"] == kind).collect()
}

fn resources(chart: &Chart) -> Vec<Value> {
    resources_of(chart)
        .iter()
        .map(|r| serde_json::to_value(r).unwrap())
        .collect()
}

#[test]
fn a_reading_has_unit_side_method_error_and_interval() {
    let chart = rich();
    let opened = exchange::Opened::of(&chart);
    let reading = opened
        .readings()
        .find(|r| r.measure == "calc_pitch")
        .unwrap();
    let all = resources(&chart);
    let one = of_kind(&all, "Observation")
        .into_iter()
        .find(|o| {
            o["code"]["coding"][0]["code"] == "calc_pitch"
                && o["valueQuantity"]["value"] == reading.estimate.value
        })
        .unwrap();
    assert_eq!(one["valueQuantity"]["code"], "deg");
    assert_eq!(one["valueQuantity"]["system"], "http://unitsofmeasure.org");
    let side = reading.side.unwrap().word();
    assert_eq!(one["bodySite"]["text"], format!("{side} foot"));
    assert_eq!(one["bodySite"]["extension"][0]["valueCoding"]["code"], side);
    assert_eq!(one["method"]["coding"][0]["code"], "calc_pitch-1");
    let part = |code: &str| {
        let parts = one["component"].as_array().unwrap();
        parts
            .iter()
            .find(|c| c["code"]["coding"][0]["code"] == code)
            .unwrap()
            .clone()
    };
    assert_eq!(
        part("standard-error")["valueQuantity"]["value"],
        reading.estimate.standard_error
    );
    let (low, high) = reading.estimate.interval_95();
    let range = &part("interval-95")["valueRange"];
    assert!((range["low"]["value"].as_f64().unwrap() - low).abs() < 1e-12);
    assert!((range["high"]["value"].as_f64().unwrap() - high).abs() < 1e-12);
}

#[test]
fn a_reference_range_is_a_yardstick_that_applies_and_may_decide_and_without_age_there_are_fewer() {
    let with = |chart: &Chart| -> usize {
        let all = resources(chart);
        let ranges = all.iter().filter_map(|r| r["referenceRange"].as_array());
        ranges.map(Vec::len).sum()
    };
    let chart = rich();
    let ranges = with(&chart);
    assert!(ranges > 0);
    for r in resources(&chart) {
        for range in r["referenceRange"].as_array().into_iter().flatten() {
            let text = range["text"].as_str().unwrap();
            assert!(!text.contains("unconfirmed"), "{text}");
        }
    }
    let mut nobody = chart;
    nobody.patient.born_on = None;
    nobody.patient.sex = None;
    assert!(with(&nobody) < ranges);
}

#[test]
fn what_is_missing_in_the_chart_is_missing_in_the_resource() {
    let mut chart = rich();
    chart.patient.born_on = None;
    chart.patient.sex = None;
    chart.patient.given_name.clear();
    chart.films.iter_mut().for_each(|f| f.taken_on = None);
    let all = resources(&chart);
    let patient = of_kind(&all, "Patient")[0];
    for key in ["birthDate", "gender"] {
        assert!(patient.get(key).is_none(), "{key}");
    }
    assert!(patient["name"][0].get("given").is_none());
    let reports = of_kind(&all, "DiagnosticReport");
    let of_films = reports
        .iter()
        .filter(|r| r["category"][0]["coding"][0]["code"] == "RAD");
    assert!(of_films.clone().count() > 0);
    assert!(
        of_films
            .into_iter()
            .all(|r| r.get("effectiveDateTime").is_none())
    );
}

#[test]
fn an_open_question_is_told_as_not_looked_at_and_an_answered_one_with_its_answer() {
    let all = resources(&rich());
    let sheets: Vec<&Value> = of_kind(&all, "Observation")
        .into_iter()
        .filter(|o| o["code"]["coding"][0]["system"] == "urn:tiebeam:sheet")
        .collect();
    assert!(!sheets.is_empty());
    let mut absent = 0;
    for sheet in sheets {
        let open: BTreeSet<&str> = sheet["component"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|c| {
                let reason = &c["dataAbsentReason"]["coding"][0]["code"];
                assert!(reason == "not-performed" || reason == "not-asked");
                absent += 1;
                c["code"]["coding"][0]["code"].as_str().unwrap()
            })
            .collect();
        for member in sheet["hasMember"].as_array().into_iter().flatten() {
            let id = member["reference"]
                .as_str()
                .unwrap()
                .rsplit('/')
                .next()
                .unwrap();
            let answer = all.iter().find(|r| r["id"] == id).unwrap();
            let key = answer["code"]["coding"][0]["code"].as_str().unwrap();
            assert!(!open.contains(key), "{key} is answered and open");
        }
    }
    assert!(absent > 20);
}

#[test]
fn only_a_decided_stage_is_a_condition_and_only_signed_letters_are_documents() {
    let mut chart = rich();
    let decided = chart
        .decisions
        .iter()
        .filter(|d| d.chosen.is_some())
        .count();
    assert!(decided > 0);
    assert_eq!(of_kind(&resources(&chart), "Condition").len(), decided);
    chart.decisions.iter_mut().for_each(|d| d.chosen = None);
    assert!(of_kind(&resources(&chart), "Condition").is_empty());
    let signed = chart.letters.iter().filter(|l| l.is_signed()).count();
    let all = resources(&chart);
    let letters = of_kind(&all, "DocumentReference");
    let letters = letters.iter().filter(|d| d["docStatus"] == "final").count();
    assert_eq!((letters, signed < chart.letters.len()), (signed, true));
}

#[test]
fn every_act_is_told_with_who_when_and_its_target() {
    let chart = rich();
    let all = resources(&chart);
    let told: BTreeMap<&str, &Value> = of_kind(&all, "Provenance")
        .into_iter()
        .map(|p| (p["id"].as_str().unwrap(), p))
        .collect();
    for act in &chart.acts {
        let id = act.id.to_string();
        let p = told
            .get(id.as_str())
            .unwrap_or_else(|| panic!("{:?}", act.kind));
        assert_eq!(p["activity"]["coding"][0]["code"], act.kind.key());
        assert_eq!(
            p["agent"][0]["who"]["reference"],
            format!("Practitioner/{}", act.by)
        );
        if act.kind == record::ActKind::PointsFinished {
            assert!(
                !p["extension"].as_array().unwrap().is_empty(),
                "no method version"
            );
        }
    }
}

#[test]
fn what_a_newer_program_kept_is_left_out_and_the_bundle_is_made_all_the_same() {
    let mut chart = rich();
    for exam in &mut chart.exams {
        exam.exam = Kept {
            format: "newer".into(),
            version: 9,
            body: json!({}),
        };
    }
    chart.orders[0].prescription.version = 99;
    all_references_resolve(&chart);
}

#[test]
fn invented_people_are_marked_as_test_data_and_others_are_not() {
    let mut chart = rich();
    assert!(
        resources(&chart)
            .iter()
            .all(|r| r["meta"]["tag"][0]["code"] == "HTEST")
    );
    chart.practice = None;
    assert!(
        resources(&chart)
            .iter()
            .all(|r| r["meta"].get("tag").is_none())
    );
}
