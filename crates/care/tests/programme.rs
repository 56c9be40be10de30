//! The therapy programme: read from its file, and judged by what was recorded.

use care::log::{Entry, Kind, Load, Progress, progress};
use care::programme::{BUILT_IN_FILES, GoalOf, Programme};
use exam::Given;
use terms::Side;
use time::{Date, macros::date};

fn entry(id: &str, kind: Kind, began: Date, answers: &[(&str, &str)]) -> Entry {
    let mut given = Given::new();
    for (key, text) in answers {
        given.set(key, text).unwrap();
    }
    Entry {
        id: id.to_owned(),
        about: None,
        kind,
        side: Some(Side::Left),
        began,
        ended: None,
        answers: given,
    }
}

fn therapy(answers: &[(&str, &str)]) -> Entry {
    entry("t", Kind::Therapy, date!(2026 - 06 - 01), answers)
}

fn check(of: &Entry, on: Date, answers: &[(&str, &str)]) -> Entry {
    Entry {
        about: Some(of.id.clone()),
        ..entry("c", Kind::Check, on, answers)
    }
}

fn one(entries: &[Entry]) -> Progress {
    let mut all = progress(entries);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

#[test]
fn the_programme_on_disk_is_the_one_built_in() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../knowledge/programme");
    let mut on_disk: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap())
        .map(|f| {
            (
                f.file_name().into_string().unwrap(),
                std::fs::read_to_string(f.path()).unwrap(),
            )
        })
        .collect();
    on_disk.sort();
    let built_in: Vec<(String, String)> = BUILT_IN_FILES
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect();
    assert_eq!(on_disk, built_in);
}

#[test]
fn every_source_of_the_programme_is_in_the_folder() {
    let knowledge = knowledge::Knowledge::built_in();
    for source in Programme::built_in().all_sources() {
        let key = terms::SourceKey::new(&source.key).unwrap();
        assert!(knowledge.source(&key).is_some(), "{}", source.key);
    }
}

#[test]
fn a_broken_programme_is_refused_with_one_sentence() {
    let (_, text) = BUILT_IN_FILES[0];
    for (found, put, said) in [
        (
            "item = \"check_rises\"",
            "item = \"pain_level\"",
            "pain_level",
        ),
        (
            "exercises = [\"calf-stretch\"]",
            "exercises = [\"hop\"]",
            "'hop'",
        ),
        ("at_least = 50.0\n", "", "at_least or at_most"),
        ("letter = \"c\"", "letter = \"x\"", "'x'"),
        ("key = \"tendon\"", "name = \"tendon\"", "unknown field"),
        (
            "sets = \"therapy_band_sets\"",
            "sets = \"nothing\"",
            "'nothing'",
        ),
    ] {
        let broken = text.replacen(found, put, 1);
        assert_ne!(broken, text, "{found}");
        let fault = Programme::from_text("mine.toml", &broken)
            .unwrap_err()
            .to_string();
        assert!(
            fault.starts_with("mine.toml: found") && fault.contains(said),
            "{fault}"
        );
    }
}

#[test]
fn each_goal_is_met_not_yet_or_not_recorded_by_the_last_check_that_asked() {
    let programme = therapy(&[]);
    let first = check(
        &programme,
        date!(2026 - 07 - 01),
        &[("check_rises", "9"), ("check_toe_walk", "30")],
    );
    let second = check(&programme, date!(2026 - 09 - 01), &[("check_rises", "50")]);
    let found = one(&[programme, second, first]);
    let met: Vec<Option<bool>> = found
        .goals
        .iter()
        .filter(|g| g.of == GoalOf::Discharge)
        .map(|g| g.met)
        .collect();
    assert_eq!(met, [None, Some(true), Some(true), None]);
    assert_eq!(
        found.ready_for_discharge(),
        None,
        "strength is not recorded"
    );
}

#[test]
fn a_recalled_goal_neither_grants_nor_refuses_discharge() {
    let programme = therapy(&[]);
    let read = [
        ("check_deficit", "8"),
        ("check_rises", "52"),
        ("check_toe_walk", "30"),
    ];
    for each in ["10", "200"] {
        let mut answers = read.to_vec();
        answers.push(("check_each", each));
        let check = check(&programme, date!(2026 - 09 - 01), &answers);
        let found = one(&[programme.clone(), check]);
        assert_eq!(found.ready_for_discharge(), Some(true), "{each}");
        let recalled = found
            .goals
            .iter()
            .find(|g| g.words.contains("200 repetitions"))
            .unwrap();
        assert!(recalled.unconfirmed && recalled.words.contains("unconfirmed"));
        assert_eq!(recalled.met, Some(each == "200"));
    }
    let weak = check(
        &programme,
        date!(2026 - 09 - 01),
        &[("check_deficit", "30")],
    );
    assert_eq!(one(&[programme, weak]).ready_for_discharge(), Some(false));
}

#[test]
fn the_load_follows_the_last_check_and_the_pain_that_was_agreed() {
    let on = date!(2026 - 07 - 01);
    let all = |during: &'static str, settled, easy| {
        [
            ("check_during", during),
            ("check_settled", settled),
            ("check_easy", easy),
        ]
    };
    for (answers, wanted) in [
        (all("3", "yes", "yes").to_vec(), Load::More),
        (all("3", "yes", "no").to_vec(), Load::Stay),
        (all("6", "yes", "yes").to_vec(), Load::Less),
        (all("1", "no", "yes").to_vec(), Load::Less),
        (vec![("check_during", "3")], Load::NotKnown),
    ] {
        let programme = therapy(&[]);
        let check = check(&programme, on, &answers);
        let found = one(&[programme, check]);
        assert_eq!(found.load, wanted, "{answers:?}: {}", found.load_words);
        assert_eq!(found.checked, Some(on));
    }
    // Less was agreed on than the rule allows.
    let strict = therapy(&[("therapy_pain_limit", "2")]);
    let three = check(&strict, on, &all("3", "yes", "yes"));
    assert_eq!(one(&[strict, three]).load, Load::Less);
    let unlooked = one(&[therapy(&[])]);
    assert_eq!((unlooked.load, unlooked.checked), (Load::NotKnown, None));
}

#[test]
fn a_phase_is_followed_by_the_next_and_the_last_by_none() {
    for (phase, next) in [
        ("settle", Some("build")),
        ("build", Some("return")),
        ("return", None),
    ] {
        let found = one(&[therapy(&[("therapy_phase", phase)])]);
        assert_eq!(found.phase.map(|p| p.key.as_str()), Some(phase));
        assert_eq!(found.next_phase.map(|p| p.key.as_str()), next);
    }
    assert!(one(&[therapy(&[])]).phase.is_none());
}
