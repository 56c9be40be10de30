//! Searching, paging and refusing.

use exchange::invented::invented;
use exchange_fhir::table::{COMMON, Indexed, ParamKind, param, params, values};
use exchange_fhir::{
    Base, Bundle, Handling, Query, Resource, ResourceType, capability, read, resources_of, search,
};
use proptest::prelude::*;
use record::Chart;
use std::collections::BTreeSet;
use std::sync::LazyLock;
use time::macros::date;

static CHARTS: LazyLock<Vec<Chart>> = LazyLock::new(|| (0..4).map(|n| invented(n).chart).collect());

fn asked(kind: ResourceType, query: &str) -> Bundle {
    let query = Query::parse(kind, query, Handling::Strict)
        .unwrap_or_else(|o| panic!("{query}: {}", o.issue[0].diagnostics));
    search(
        &query,
        CHARTS.iter(),
        &Base::at("https://example.invalid/fhir/"),
    )
}

fn ids(bundle: &Bundle) -> Vec<String> {
    bundle.resources().map(Resource::path).collect()
}

fn refused(kind: ResourceType, query: &str) -> String {
    let outcome = Query::parse(kind, query, Handling::Lenient).unwrap_err();
    assert_eq!(outcome.issue[0].severity, "error");
    outcome.issue[0].diagnostics.clone()
}

fn escaped(text: &str) -> String {
    text.bytes().map(|b| format!("%{b:02X}")).collect()
}

/// The text that asks for an indexed value.
fn text_for(value: &Indexed, resource: &Resource) -> Option<String> {
    Some(match value {
        Indexed::Token(system, code) => {
            let bar = |t: &str| t.replace('|', "\\|").replace(',', "\\,");
            match system.is_empty() {
                true => bar(code),
                false => format!("{}|{}", bar(system), bar(code)),
            }
        }
        Indexed::Reference(to) => to.clone(),
        Indexed::Text(text) => text.clone(),
        Indexed::Date(_) => {
            let json = serde_json::to_value(resource).ok()?;
            let places = [
                "/meta/lastUpdated",
                "/birthDate",
                "/effectiveDateTime",
                "/recordedDate",
                "/authoredOn",
                "/date",
                "/recorded",
                "/performedDateTime",
                "/period/start",
            ];
            let found: Vec<String> = places
                .iter()
                .filter_map(|p| Some(json.pointer(p)?.as_str()?.to_owned()))
                .collect();
            format!("ge{}", found.iter().min()?.get(..4)?)
        }
    })
}

#[test]
fn every_parameter_of_the_table_finds_a_resource_that_has_its_value() {
    for kind in ResourceType::ALL {
        let all: Vec<Resource> = CHARTS
            .iter()
            .flat_map(resources_of)
            .filter(|r| r.kind() == *kind)
            .collect();
        for p in COMMON.iter().chain(params(*kind)) {
            let with = all.iter().find_map(|r| {
                let value = values(r, p.name).into_iter().next()?;
                Some((r, text_for(&value, r)?))
            });
            // No date is recorded of the people of the practice.
            if *kind == ResourceType::Practitioner && p.name == "_lastUpdated" {
                continue;
            }
            let (resource, text) =
                with.unwrap_or_else(|| panic!("{} has no {}", kind.name(), p.name));
            let query = format!("{}={}&_count=500", p.name, escaped(&text));
            let mut found = false;
            let mut offset = 0;
            loop {
                let page = asked(*kind, &format!("{query}&_page=o{offset}"));
                found |= ids(&page).contains(&resource.path());
                offset += 500;
                if found || offset >= page.total.unwrap() {
                    break;
                }
            }
            assert!(found, "{}?{}={text}", kind.name(), p.name);
        }
    }
}

#[test]
fn the_server_s_statement_and_the_search_name_the_same_parameters() {
    let said = capability(&Base::nowhere(), "1", date!(2026 - 11 - 27));
    let resources = said["rest"][0]["resource"].as_array().unwrap();
    assert_eq!(resources.len(), ResourceType::ALL.len());
    for resource in resources {
        let kind = ResourceType::from_name(resource["type"].as_str().unwrap()).unwrap();
        let listed: BTreeSet<&str> = resource["searchParam"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| {
                let name = p["name"].as_str().unwrap();
                let known = param(kind, name).unwrap();
                assert_eq!(p["type"], known.kind.key());
                let query = format!("{name}:missing=false");
                assert!(
                    Query::parse(kind, &query, Handling::Strict).is_ok(),
                    "{query}"
                );
                name
            })
            .collect();
        let all: BTreeSet<&str> = COMMON.iter().chain(params(kind)).map(|p| p.name).collect();
        assert_eq!(listed, all);
        for include in resource["searchInclude"].as_array().into_iter().flatten() {
            let query = format!("_include={}", include.as_str().unwrap());
            assert!(
                Query::parse(kind, &query, Handling::Strict).is_ok(),
                "{query}"
            );
        }
    }
}

#[test]
fn pages_part_the_matches_without_gap_or_overlap() {
    let kind = ResourceType::Observation;
    let whole = asked(kind, "category=imaging&_count=500&_page=o0");
    let total = whole.total.unwrap();
    assert!(total > 40);
    let (mut seen, mut next) = (Vec::new(), Some("category=imaging&_count=17".to_owned()));
    while let Some(query) = next {
        let page = asked(kind, &query);
        assert!(page.resources().count() <= 17);
        seen.extend(ids(&page));
        let link = page.link.iter().find(|l| l.relation == "next");
        next = link.map(|l| l.url.split_once('?').unwrap().1.to_owned());
    }
    assert_eq!(seen.len(), total);
    assert_eq!(seen.iter().collect::<BTreeSet<_>>().len(), total);
}

#[test]
fn a_search_of_one_patient_gives_that_patient_alone() {
    let id = CHARTS[1].patient.id.to_string();
    for query in [
        format!("patient={id}"),
        format!("subject:Patient={id}"),
        format!("patient=Patient%2F{id}"),
    ] {
        let found = asked(ResourceType::Encounter, &query);
        assert_eq!(found.total, Some(CHARTS[1].visits.len()), "{query}");
        let parsed = Query::parse(ResourceType::Encounter, &query, Handling::Strict).unwrap();
        assert_eq!(parsed.only_patient(), Some(id.as_str()));
    }
    assert_eq!(
        asked(ResourceType::Patient, &format!("_id={id}")).total,
        Some(1)
    );
}

#[test]
fn names_are_found_by_their_beginning_without_accents_and_exactly_where_asked() {
    let patient = &CHARTS[2].patient;
    let found = |query: &str| asked(ResourceType::Patient, query).total.unwrap();
    assert_eq!(patient.given_name, "Zéphyrine");
    assert_eq!(found("name=zephy"), 1);
    assert_eq!(found("given=ZEPHYRINE"), 1);
    assert_eq!(found("family=zephy"), 0);
    assert_eq!(found("given:exact=zephyrine"), 0);
    assert_eq!(found(&format!("given:exact={}", escaped("Zéphyrine"))), 1);
    assert_eq!(found("name:contains=phyr"), 1);
    assert_eq!(found("name=nobody-of-this-name"), 0);
}

#[test]
fn dates_with_prefixes_part_the_visits() {
    let kind = ResourceType::Encounter;
    let total = |query: &str| asked(kind, query).total.unwrap();
    let all = total("");
    let day = CHARTS[3].visits[0].on;
    assert_eq!(
        total(&format!("date=ge{day}")) + total(&format!("date=eb{day}")),
        all
    );
    assert_eq!(
        total(&format!("date=eq{day}")) + total(&format!("date=ne{day}")),
        all
    );
    assert!(total(&format!("date=lt{day}")) < all);
    assert_eq!(total("date=ge2024&date=lt2100"), all);
    assert_eq!(total("date:missing=true"), 0);
}

#[test]
fn what_a_report_points_to_comes_with_it_once_and_is_not_counted() {
    let page = asked(
        ResourceType::DiagnosticReport,
        "_count=3&_include=DiagnosticReport:result&_include=DiagnosticReport:patient",
    );
    let modes: Vec<&str> = page.entry.iter().map(|e| e.search.unwrap().mode).collect();
    assert_eq!(modes.iter().filter(|m| **m == "match").count(), 3);
    assert!(modes.iter().filter(|m| **m == "include").count() > 3);
    let all = ids(&page);
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), all.len());
    for resource in page
        .resources()
        .filter(|r| r.kind() == ResourceType::DiagnosticReport)
    {
        for value in values(resource, "result") {
            let Indexed::Reference(to) = value else {
                panic!()
            };
            assert!(all.contains(&to), "{to}");
        }
    }
}

#[test]
fn a_parameter_of_another_type_is_left_out_with_a_warning_or_refused_where_asked() {
    let query = "colour=blue&status=finished";
    let lenient = Query::parse(ResourceType::Encounter, query, Handling::Lenient).unwrap();
    let page = search(&lenient, CHARTS.iter(), &Base::nowhere());
    let json = serde_json::to_value(&page).unwrap();
    let last = json["entry"].as_array().unwrap().last().unwrap();
    assert_eq!(last["resource"]["resourceType"], "OperationOutcome");
    assert_eq!(last["resource"]["issue"][0]["severity"], "warning");
    assert_eq!(last["search"]["mode"], "outcome");
    assert!(!page.link[0].url.contains("colour"), "{}", page.link[0].url);
    assert!(Query::parse(ResourceType::Encounter, query, Handling::Strict).is_err());
}

#[test]
fn hostile_queries_are_refused_with_a_sentence_that_repeats_no_value() {
    let long = "a".repeat(10_000);
    let many = "status=a&".repeat(40);
    let values = format!("status={}", "a,".repeat(100));
    let cases = [
        format!("name={long}"),
        many,
        values,
        format!("status={}", "b".repeat(300)),
        "patient=../../etc/passwd".to_owned(),
        "patient=Practitioner/1".to_owned(),
        "date=yesterday".to_owned(),
        "date=ap2026".to_owned(),
        "_count=-1".to_owned(),
        "_count=99999999999".to_owned(),
        "_page=17".to_owned(),
        "_id=a%20b".to_owned(),
        "status=%zz".to_owned(),
        "status=%ff%fe".to_owned(),
        "status=%00".to_owned(),
        "status:above=a".to_owned(),
        "status=".to_owned(),
        "_format=xml".to_owned(),
        "date:missing=perhaps".to_owned(),
    ];
    for case in &cases {
        let said = refused(ResourceType::Encounter, case);
        assert!(said.starts_with("found"), "{said}");
        for value in ["etc", "yesterday", "aaaaa", "bbbbb", "perhaps"] {
            assert!(!said.contains(value), "{said}");
        }
    }
    assert!(refused(ResourceType::Patient, "name=%2C").contains("at least one letter"));
}

#[test]
fn a_resource_is_read_by_its_id_and_what_is_no_id_is_refused() {
    for resource in resources_of(&CHARTS[1]).iter().step_by(25) {
        let found = read(resource.kind(), resource.id(), CHARTS.iter()).unwrap();
        assert_eq!(&found, resource);
    }
    let outcome = read(ResourceType::Patient, "nobody", CHARTS.iter()).unwrap_err();
    assert_eq!(outcome.http_status(), 404);
    let outcome = read(ResourceType::Patient, "../x", CHARTS.iter()).unwrap_err();
    assert_eq!(outcome.http_status(), 400);
}

#[test]
fn every_date_parameter_takes_the_usual_prefixes() {
    for kind in ResourceType::ALL {
        for p in params(*kind).iter().filter(|p| p.kind == ParamKind::Date) {
            for prefix in ["eq", "lt", "gt", "le", "ge"] {
                let query = format!("{}={prefix}2026-11-27", p.name);
                assert!(
                    Query::parse(*kind, &query, Handling::Strict).is_ok(),
                    "{query}"
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    #[test]
    fn no_query_panics(query in "\\PC{0,200}", at in 0..ResourceType::ALL.len()) {
        let _ = Query::parse(ResourceType::ALL[at], &query, Handling::Lenient);
    }

    #[test]
    fn no_query_of_known_words_panics(
        name in "(date|name|patient|_id|_count|_page|code|_include|identifier)(:(exact|missing|not|contains|Patient))?",
        value in "[a-z0-9|,:%\\\\+T.Z/-]{0,40}",
        at in 0..ResourceType::ALL.len(),
    ) {
        let _ = Query::parse(ResourceType::ALL[at], &format!("{name}={value}"), Handling::Strict);
    }
}
