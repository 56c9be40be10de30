//! Rungs are proposed, held back, or wait; nothing missing is taken for clear.

use care::{CareInput, CheckState, Ladder, Proposal, Standing, propose};
use exam::{Examination, RedFlags, Sheet, Story};
use stage::{Facts, stage_from};
use terms::Side;

type Answers = &'static [(&'static str, &'static str)];

#[derive(Clone, Default)]
struct Foot {
    story: Story,
    exam: Examination,
    flags: RedFlags,
}

impl Foot {
    fn and(mut self, answers: &[(&str, &str)]) -> Foot {
        for (key, text) in answers {
            let done = match exam::question(key)
                .unwrap_or_else(|| panic!("no question {key}"))
                .sheet
            {
                Sheet::Foot => self.exam.set(key, text),
                Sheet::Person => self.story.set(key, text),
                Sheet::Flags => self.flags.set(key, text),
                Sheet::Leg | Sheet::Given => panic!("{key} is no finding"),
            };
            done.unwrap_or_else(|e| panic!("{e}"));
        }
        self
    }

    fn proposal(&self) -> Proposal {
        let report = stage_from(&Facts::new(
            Side::Right,
            &self.story,
            &self.exam,
            &self.flags,
        ));
        propose(
            &report,
            &CareInput {
                person: &self.story,
                exam: &self.exam,
                flags: &self.flags,
            },
        )
    }
}

/// Everything that a check asks for, answered 'nothing against it'.
fn clear() -> Foot {
    let mut foot = Foot::default().and(&[
        ("age_years", "55"),
        ("pulse_dorsal", "strong"),
        ("pulse_tibial", "strong"),
        ("filament_great_toe", "felt"),
        ("filament_mt1", "felt"),
        ("filament_mt5", "felt"),
        ("swelling_leg", "none"),
        ("tendon_image", "inflamed"),
        ("heel_corrects", "fully"),
        ("steroid_injections_here", "0"),
        ("pregnancy", "no"),
        ("pain_inner_ankle", "pressed"),
        ("heel_line", "usual"),
        ("forefoot_drifts_out", "no"),
        ("ankle_tilt_seen", "no"),
    ]);
    for key in exam::score::CLOT_ITEMS {
        foot = foot.and(&[(key, "no")]);
    }
    for key in [
        "skin_ulcer",
        "skin_infection",
        "skin_weeping",
        "skin_fragile",
        "heart_failure",
        "paste_allergy",
        "liver_failure",
        "stomach_ulcer_now",
        "kidney_disease",
        "stomach_ulcer_before",
        "takes_aspirin",
        "takes_anticoagulant",
        "takes_steroid",
        "takes_ssri",
        "takes_ace_or_arb",
        "takes_diuretic",
        "asthma",
        "hands_weak",
        "infection_now",
        "diabetes_uncontrolled",
        "nicotine",
        "known_neuropathy",
        "dvt_other_likely",
        "hot_red_swollen",
        "inflammatory_disease",
    ] {
        foot = foot.and(&[(key, "no")]);
    }
    foot
}

fn stage_two() -> Foot {
    clear().and(&[("heel_line", "clear")])
}

fn standing(p: &Proposal, key: &str) -> Standing {
    p.rung(key)
        .unwrap_or_else(|| panic!("no rung {key} in {}", p.text()))
        .standing
}

#[test]
fn every_rung_says_why_how_long_what_to_look_at_and_on_what_evidence() {
    let ladder = Ladder::built_in();
    assert_eq!(ladder.rungs().len(), 15);
    for rung in ladder.rungs() {
        assert!(
            !rung.stage.is_empty()
                && !rung.how_long.is_empty()
                && !rung.look.is_empty()
                && !rung.evidence.is_empty(),
            "{}",
            rung.key
        );
        for source in rung.all_sources() {
            let key = terms::SourceKey::new(source.key.clone()).unwrap();
            let known = knowledge::Knowledge::built_in()
                .source(&key)
                .unwrap_or_else(|| panic!("{}: {}", rung.key, source.key));
            let claimed = knowledge::Provenance::ALL
                .into_iter()
                .find(|p| p.letter() == source.letter)
                .unwrap();
            assert!(
                claimed >= known.provenance,
                "{}: {} was read less than '{}' says",
                rung.key,
                source.key,
                source.letter
            );
        }
    }
}

#[test]
fn a_clear_foot_is_offered_the_rungs_of_its_stage_and_no_other() {
    let keys = |foot: Foot| {
        foot.proposal()
            .rungs
            .iter()
            .map(|r| r.key.clone())
            .collect::<Vec<_>>()
    };
    let one = keys(clear());
    assert!(
        one.contains(&"injection".to_owned()) && !one.contains(&"gauntlet".to_owned()),
        "{one:?}"
    );
    let three = keys(clear().and(&[("heel_line", "clear"), ("heel_corrects", "not")]));
    assert!(
        three.contains(&"gauntlet".to_owned()) && !three.contains(&"orthosis".to_owned()),
        "{three:?}"
    );
    let four = keys(clear().and(&[("heel_line", "clear"), ("ankle_tilt_seen", "yes")]));
    assert!(
        four.contains(&"solid-afo".to_owned()) && !four.contains(&"hinged-afo".to_owned()),
        "{four:?}"
    );
    for rung in stage_two()
        .proposal()
        .rungs
        .iter()
        .filter(|r| r.key != "injection")
    {
        assert_eq!(
            rung.standing,
            Standing::Proposed,
            "{}: {:?}",
            rung.key,
            rung.checks
        );
    }
}

#[test]
fn what_speaks_against_a_rung_holds_it_back_with_the_reason() {
    let cases: &[(&str, Answers, &str)] = &[
        (
            "wrap",
            &[("ankle_brachial_index", "0.7")],
            "Ankle-brachial index 0.7",
        ),
        (
            "wrap",
            &[("pulse_tibial", "weak")],
            "measure the ankle-brachial index first",
        ),
        ("wrap", &[("heart_failure", "yes")], "Heart failure"),
        ("wrap", &[("skin_weeping", "yes")], "Weeping eczema"),
        ("wrap", &[("paste_allergy", "yes")], "Allergy"),
        ("tablets", &[("stomach_ulcer_now", "yes")], "ulcer"),
        ("tablets", &[("kidney_disease", "yes")], "Kidney"),
        ("tablets", &[("pregnancy", "after_28")], "Pregnancy"),
        ("therapy", &[("tendon_image", "partial_tear")], "torn"),
        ("injection", &[("tendon_image", "full_tear")], "torn"),
        (
            "injection",
            &[("steroid_injections_here", "2")],
            "2 injections already",
        ),
        ("injection", &[("infection_now", "yes")], "infection"),
        ("injection", &[("diabetes_uncontrolled", "yes")], "Sugar"),
        ("gauntlet", &[("hands_weak", "yes")], "laces"),
    ];
    for (key, answers, reason) in cases {
        let p = stage_two().and(answers).proposal();
        assert_eq!(standing(&p, key), Standing::HeldBack, "{key} {answers:?}");
        let said = p
            .rung(key)
            .unwrap()
            .checks
            .iter()
            .any(|c| c.state == CheckState::Against && c.words.contains(reason));
        assert!(said, "{key} {answers:?}: {:?}", p.rung(key).unwrap().checks);
    }
}

#[test]
fn a_skipped_check_is_shown_as_not_recorded_and_never_as_clear() {
    let mut foot = stage_two();
    for key in [
        "filament_great_toe",
        "pulse_dorsal",
        "swelling_leg",
        "tendon_image",
    ] {
        foot.exam.clear(key).unwrap();
    }
    foot.story.clear("hands_weak").unwrap();
    let p = foot.proposal();
    for (rung, check) in [
        ("orthosis", "feeling"),
        ("wrap", "flow"),
        ("hinged-afo", "oedema"),
        ("therapy", "tear"),
        ("gauntlet", "hands"),
    ] {
        assert_eq!(standing(&p, rung), Standing::LookFirst, "{rung}");
        let found = p
            .rung(rung)
            .unwrap()
            .checks
            .iter()
            .find(|c| c.key == check)
            .unwrap();
        assert_eq!(found.state, CheckState::NotRecorded);
        assert!(
            found.words.contains("ot recorded") || found.words.contains("no image recorded"),
            "{}",
            found.words
        );
        assert!(p.not_recorded.iter().any(|c| c.key == check), "{check}");
    }
}

#[test]
fn a_numb_foot_keeps_its_rungs_with_the_caution_about_rigid_devices() {
    let p = stage_two()
        .and(&[
            ("filament_mt1", "not_felt"),
            ("foot_warmth", "same"),
            ("temperature_difference_c", "0"),
        ])
        .proposal();
    assert!(p.alarm.is_empty());
    assert!(
        p.cautions.iter().any(|c| c.contains("at risk")),
        "{:?}",
        p.cautions
    );
    let orthosis = p.rung("orthosis").unwrap();
    assert!(
        orthosis
            .cautions
            .iter()
            .any(|c| c.words.contains("No rigid shell")),
        "{:?}",
        orthosis.cautions
    );
    let sound = stage_two().proposal();
    assert!(
        sound
            .rung("orthosis")
            .unwrap()
            .cautions
            .iter()
            .all(|c| !c.words.contains("No rigid shell"))
    );
}

#[test]
fn an_alarm_sign_comes_first_and_holds_every_rung_back_without_taking_it_away() {
    let p = stage_two()
        .and(&[("hot_red_swollen", "yes"), ("fever", "yes")])
        .proposal();
    assert!(p.rungs.is_empty());
    assert!(p.text().starts_with("ALARM"));
    let without: Vec<String> = stage_two()
        .proposal()
        .rungs
        .iter()
        .map(|r| r.key.clone())
        .collect();
    let mut held: Vec<String> = p.held.iter().map(|r| r.key.clone()).collect();
    held.sort();
    let mut expected = without;
    expected.sort();
    assert_eq!(held, expected);
    assert!(
        p.held
            .iter()
            .filter(|r| r.key != "surgery")
            .all(|r| r.standing == Standing::HeldBack && r.why[0].starts_with("Held back: ")),
        "{:?}",
        p.held[0].why
    );
}

#[test]
fn while_two_stages_are_possible_only_what_both_share_is_proposed() {
    let mut foot = stage_two();
    foot.exam.clear("ankle_tilt_seen").unwrap();
    let p = foot.proposal();
    assert_eq!(p.stages, ["II", "IV"]);
    assert_eq!(standing(&p, "footwear"), Standing::Proposed);
    assert_eq!(standing(&p, "orthosis"), Standing::DependsOnStage);
    assert_eq!(standing(&p, "solid-afo"), Standing::DependsOnStage);
}

#[test]
fn a_painless_flexible_child_is_watched_and_offered_no_device() {
    let json = include_str!("golden/child-painless.json");
    let case: serde_json::Value = serde_json::from_str(json).unwrap();
    let part = |name: &str| case[name].clone();
    let foot = Foot {
        story: serde_json::from_value(part("story")).unwrap(),
        exam: serde_json::from_value(part("exam")).unwrap(),
        flags: serde_json::from_value(part("flags")).unwrap(),
    };
    let keys: Vec<String> = foot.proposal().rungs.into_iter().map(|r| r.key).collect();
    assert_eq!(keys, ["child-watch"]);
    let sore: Vec<String> = foot
        .clone()
        .and(&[("pain_level", "4")])
        .proposal()
        .rungs
        .into_iter()
        .map(|r| r.key)
        .collect();
    assert_eq!(sore, ["calm", "footwear", "child-help"]);
}

#[test]
fn the_wording_proposes_and_never_prescribes() {
    for foot in [clear(), stage_two(), Foot::default()] {
        let text = foot.proposal().text().to_lowercase();
        for word in [
            "you must",
            "prescribe ",
            "we recommend",
            "diagnosis is",
            "!",
        ] {
            assert!(!text.contains(word), "{word}");
        }
        assert!(text.contains("the clinician decides"));
    }
}

#[test]
fn a_broken_rung_is_refused_with_one_sentence() {
    let all: String = care::BUILT_IN_FILES
        .iter()
        .map(|(_, text)| format!("{text}\n"))
        .collect();
    let good = all.as_str();
    for (from, to, start) in [
        (
            "order = 95",
            "order = \"soon\"",
            "ladder.toml: found at line ",
        ),
        (
            "rule_out = [\"tear\"]",
            "rule_out = [\"tare\"]",
            "ladder.toml: found the check 'tare'; expected one of feeling, flow",
        ),
        (
            "[rung.stage.amber]",
            "[rung.stage.V]",
            "ladder.toml: found the stage 'V'; expected one of I, II",
        ),
        (
            "letter = \"c\"",
            "letter = \"x\"",
            "ladder.toml: found the provenance 'x'",
        ),
        (
            "when = \"hands\"",
            "when = \"tear\"",
            "ladder.toml: found the caution's check 'tear'; expected one of always, feeling",
        ),
        (
            "key = \"wrap\"",
            "key = \"calm\"",
            "ladder.toml: found the rung 'calm' a second time",
        ),
        ("how_long", "how_lang", "ladder.toml: found at line "),
        (
            "question = \"course\"",
            "question = \"pain_level\"",
            "ladder.toml: found the question 'pain_level'; expected one of a choice of the story",
        ),
        (
            "answer = \"worse\"",
            "answer = \"much\"",
            "ladder.toml: found the answer 'much'; expected one of better",
        ),
    ] {
        assert!(good.contains(from), "{from}");
        let error = Ladder::from_texts(&[("ladder.toml", &good.replacen(from, to, 1))])
            .unwrap_err()
            .to_string();
        assert!(error.starts_with(start) && !error.contains('\n'), "{error}");
    }
}

#[test]
fn the_ladder_on_disk_is_the_one_built_in() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../knowledge/ladder");
    let mut on_disk: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap())
        .map(|e| {
            (
                e.file_name().into_string().unwrap(),
                std::fs::read_to_string(e.path()).unwrap(),
            )
        })
        .collect();
    on_disk.sort();
    let mut built_in: Vec<(String, String)> = care::BUILT_IN_FILES
        .iter()
        .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
        .collect();
    built_in.sort();
    assert_eq!(on_disk, built_in, "add new files to ladder.rs");
}

#[test]
fn every_rung_says_what_it_is_for_and_every_adult_stage_has_a_way_up_to_a_surgeon() {
    let ladder = Ladder::built_in();
    for rung in ladder.rungs() {
        for (what, words) in [
            ("pain", &rung.pain),
            ("success", &rung.success),
            ("failure", &rung.failure),
        ] {
            assert!(!words.trim().is_empty(), "{} has no {what}", rung.key);
        }
        assert!(
            !rung.evidence.is_empty() && !rung.look.is_empty(),
            "{}",
            rung.key
        );
    }
    let reaches = |from: &str, goal: &str| {
        let mut seen = vec![from.to_owned()];
        let mut at = 0;
        while at < seen.len() {
            let up = ladder.rung(&seen[at]).unwrap().up.clone();
            seen.extend(
                up.into_iter()
                    .filter(|u| !seen.contains(u))
                    .collect::<Vec<_>>(),
            );
            at += 1;
        }
        seen.iter().any(|s| s == goal)
    };
    for rung in ladder.rungs() {
        let adult = ["I", "II", "III", "IV"]
            .iter()
            .any(|s| rung.stage.contains_key(*s));
        let goal = if adult { "surgery" } else { "child-refer" };
        assert!(reaches(&rung.key, goal), "{} leads nowhere", rung.key);
    }
}

#[test]
fn a_way_to_a_rung_that_is_not_there_is_refused() {
    let all: String = care::BUILT_IN_FILES
        .iter()
        .map(|(_, text)| format!("{text}\n"))
        .collect();
    let broken = all.replacen("up = [\"boot\", \"therapy\"]", "up = [\"bout\"]", 1);
    assert_ne!(broken, all);
    let said = Ladder::from_texts(&[("calm.toml", &broken)])
        .unwrap_err()
        .to_string();
    assert!(
        said.starts_with("calm.toml: found the way to the rung 'bout'; expected one of "),
        "{said}"
    );
}
