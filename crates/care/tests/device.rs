//! Which kind of device, and why: lines from the folder, brought by what was found.

use care::device::{BUILT_IN_FILES, Compared, Lines, compare};
use care::{CareInput, propose};
use exam::{Examination, RedFlags, Story};
use knowledge::Knowledge;
use stage::{StageInput, stage};
use terms::Side;

fn of(story: &[(&str, &str)], foot: &[(&str, &str)]) -> Vec<Compared> {
    let (mut person, mut exam) = (Story::new(), Examination::new());
    for (key, text) in story {
        person.set(key, text).unwrap();
    }
    for (key, text) in foot {
        exam.set(key, text).unwrap();
    }
    let flags = RedFlags::new();
    let report = stage(&StageInput {
        knowledge: Knowledge::built_in(),
        person: &person,
        side: Side::Left,
        exam: &exam,
        sheets: &[],
        flags: &flags,
    });
    let proposal = propose(
        &report,
        &CareInput {
            person: &person,
            exam: &exam,
            flags: &flags,
        },
    );
    compare(&person, &exam, &proposal)
}

fn said<'a>(all: &'a [Compared], key: &str) -> &'a Compared {
    all.iter().find(|c| c.key == key).unwrap()
}

#[test]
fn the_lines_on_disk_are_those_built_in_and_their_sources_are_known() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../knowledge/devices");
    let on_disk: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|f| f.unwrap())
        .map(|f| {
            (
                f.file_name().into_string().unwrap(),
                std::fs::read_to_string(f.path()).unwrap(),
            )
        })
        .collect();
    let built_in: Vec<(String, String)> = BUILT_IN_FILES
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect();
    assert_eq!(on_disk, built_in);
    for line in &Lines::built_in().lines {
        let key = terms::SourceKey::new(&line.source.key).unwrap();
        assert!(Knowledge::built_in().source(&key).is_some(), "{key}");
    }
}

#[test]
fn a_broken_line_is_refused_with_one_sentence() {
    let (_, text) = BUILT_IN_FILES[0];
    for (found, put, said) in [
        ("of = [\"gauntlet\"]", "of = [\"sling\"]", "'sling'"),
        ("is = [\"free\"]", "is = [\"lots\"]", "'lots'"),
        (
            "question = \"skin_ulcer\"",
            "question = \"weight_kg\"",
            "'weight_kg'",
        ),
        (
            "mass_index_at_least = 30.0\n",
            "",
            "a question or a mass index",
        ),
        ("letter = \"c\"", "letter = \"z\"", "'z'"),
        (
            "speaks = \"for\"",
            "speaks = \"perhaps\"",
            "unknown variant",
        ),
    ] {
        let broken = text.replacen(found, put, 1);
        assert_ne!(broken, text, "{found}");
        let fault = Lines::from_text("mine.toml", &broken)
            .unwrap_err()
            .to_string();
        assert!(
            fault.starts_with("mine.toml: found") && fault.contains(said),
            "{fault}"
        );
    }
}

#[test]
fn a_swollen_leg_speaks_for_the_lacer_and_weak_hands_speak_against_it() {
    let all = of(
        &[
            ("hands_weak", "yes"),
            ("weight_kg", "96"),
            ("height_cm", "165"),
        ],
        &[("swelling_leg", "marked"), ("heel_corrects", "fully")],
    );
    let gauntlet = said(&all, "gauntlet");
    let words = |reasons: &[care::device::Reason]| {
        let all: Vec<&str> = reasons.iter().map(|r| r.words.as_str()).collect();
        all.join(" / ")
    };
    assert!(words(&gauntlet.speaks_for).contains("a lacer follows swelling"));
    assert!(words(&gauntlet.speaks_for).contains("high weight"));
    assert!(words(&gauntlet.speaks_against).contains("too weak"));
    assert!(words(&said(&all, "solid-afo").speaks_against).contains("Marked swelling"));
    let orthosis = said(&all, "orthosis");
    assert!(words(&orthosis.speaks_for).contains("from below"));
    assert!(words(&orthosis.speaks_against).contains("high weight"));
}

#[test]
fn what_nobody_looked_at_speaks_neither_way_and_is_named() {
    let all = of(&[], &[]);
    for device in &all {
        assert!(device.speaks_for.is_empty() && device.speaks_against.is_empty());
        assert!(
            device.not_known.contains(&"Ulcer or open wound"),
            "{}",
            device.key
        );
    }
    assert!(said(&all, "orthosis").not_known.contains(&"Weight"));
}

#[test]
fn a_stiff_heel_is_not_forced() {
    let all = of(&[], &[("heel_corrects", "not")]);
    assert_eq!(said(&all, "hinged-afo").speaks_against.len(), 1);
    assert_eq!(said(&all, "solid-afo").speaks_for.len(), 1);
    assert!(said(&all, "solid-afo").speaks_against.is_empty());
}
