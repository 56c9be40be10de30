//! Alarm signs outrank every stage.

mod common;

use common::{Foot, sound};
use stage::Truth;

type Answers = &'static [(&'static str, &'static str)];

/// One way of raising each alarm sign; `child` signs in a child.
const RAISED: &[(&str, Answers)] = &[
    ("ischaemia", &[("ankle_brachial_index", "0.42")]),
    (
        "ischaemia",
        &[
            ("pulse_dorsal", "absent"),
            ("pulse_tibial", "absent"),
            ("rest_pain", "yes"),
        ],
    ),
    (
        "septic_joint",
        &[("hot_red_swollen", "yes"), ("fever", "yes")],
    ),
    (
        "septic_joint",
        &[("hot_red_swollen", "yes"), ("cannot_bear_weight", "yes")],
    ),
    (
        "septic_joint",
        &[("age_years", "6"), ("severe_local_pain", "yes")],
    ),
    (
        "septic_joint",
        &[
            ("age_years", "6"),
            ("fever", "yes"),
            ("pain_sole", "itself"),
        ],
    ),
    (
        "charcot",
        &[("filament_mt1", "not_felt"), ("foot_warmth", "warmer")],
    ),
    (
        "charcot",
        &[
            ("known_neuropathy", "yes"),
            ("temperature_difference_c", "2.5"),
        ],
    ),
    (
        "clot",
        &[
            ("dvt_calf", "yes"),
            ("dvt_cast", "yes"),
            ("dvt_other_likely", "no"),
        ],
    ),
    ("acute_rupture", &[("sudden_collapse", "yes")]),
    ("tumour", &[("mass", "yes")]),
    ("tumour", &[("night_pain", "yes")]),
    ("tumour", &[("weight_loss", "yes")]),
    ("cord_or_nerve", &[("foot_drop", "yes")]),
    ("cord_or_nerve", &[("new_weakness", "yes")]),
    ("cord_or_nerve", &[("spasticity", "yes")]),
    ("open_or_infected_skin", &[("skin_ulcer", "yes")]),
    (
        "child_nerve_or_muscle",
        &[("age_years", "9"), ("skills_lost", "yes")],
    ),
    (
        "child_nerve_or_muscle",
        &[("age_years", "9"), ("was_high_arched", "yes")],
    ),
    (
        "crps",
        &[
            ("crps_disproportionate", "yes"),
            ("crps_symptom_groups", "3"),
            ("crps_sign_groups", "2"),
            ("crps_nothing_better", "yes"),
        ],
    ),
    (
        "inflammatory",
        &[("morning_stiffness", "yes"), ("several_joints", "yes")],
    ),
    ("inflammatory", &[("both_tendons_swollen", "yes")]),
    (
        "rigid_child",
        &[
            ("age_years", "13"),
            ("arch_standing", "flat"),
            ("arch_on_tiptoe", "stays_flat"),
            ("arch_sitting", "stays_flat"),
        ],
    ),
    (
        "rocker_sole",
        &[("age_years", "1"), ("rocker_at_birth", "yes")],
    ),
];

#[test]
fn every_alarm_sign_is_raised_comes_first_and_no_stage_carries_a_plan() {
    let stage_two: Answers = &[("pain_inner_ankle", "itself"), ("heel_line", "clear")];
    for (key, answers) in RAISED {
        let report = sound().and(stage_two).and(answers).report();
        let raised: Vec<&str> = report.red_flags.iter().map(|f| f.key.as_str()).collect();
        assert!(raised.contains(key), "{key}: {raised:?}");
        assert!(!report.may_carry_plan, "{key}");
        assert!(report.text().starts_with("ALARM"), "{key}");
        let flag = report.red_flags.iter().find(|f| f.key == *key).unwrap();
        assert!(
            !flag.reasons.is_empty() && !flag.action.is_empty() && !flag.sources.is_empty(),
            "{flag:?}"
        );
    }
    for key in stage::red_flags::keys() {
        assert!(
            key == "foot_at_risk" || RAISED.iter().any(|(k, _)| *k == key),
            "{key} is never tried"
        );
        assert!(
            knowledge::Knowledge::built_in().flag(key).is_some(),
            "{key} has no words in the knowledge folder"
        );
    }
    for flag in knowledge::Knowledge::built_in().flags() {
        assert!(
            stage::red_flags::keys().contains(&flag.key.as_str()),
            "{} is in the folder and never raised",
            flag.key
        );
    }
}

#[test]
fn a_numb_foot_is_told_and_still_may_be_planned_for() {
    let report = sound()
        .and(&[
            ("filament_mt1", "not_felt"),
            ("foot_warmth", "same"),
            ("hot_red_swollen", "no"),
            ("temperature_difference_c", "0"),
        ])
        .report();
    assert_eq!(
        report
            .red_flags
            .iter()
            .map(|f| f.key.as_str())
            .collect::<Vec<_>>(),
        ["foot_at_risk"]
    );
    assert!(report.may_carry_plan);
}

#[test]
fn one_clue_with_an_open_question_is_not_cleared_and_names_the_question() {
    let report = sound().and(&[("foot_warmth", "warmer")]).report();
    let charcot = report
        .not_cleared
        .iter()
        .find(|f| f.key == "charcot")
        .expect("a warm foot of unknown feeling");
    assert_eq!(charcot.truth, Truth::Unknown);
    assert!(
        charcot.ask.contains(&"filament_great_toe".to_owned()),
        "{charcot:?}"
    );
    let felt = sound().and(&[
        ("foot_warmth", "warmer"),
        ("filament_great_toe", "felt"),
        ("filament_mt1", "felt"),
        ("filament_mt5", "felt"),
        ("known_neuropathy", "no"),
    ]);
    assert!(felt.report().not_cleared.iter().all(|f| f.key != "charcot"));
}

#[test]
fn nothing_asked_means_nothing_raised_and_everything_listed() {
    let report = Foot::default().report();
    assert!(report.red_flags.is_empty() && report.not_cleared.is_empty());
    assert_eq!(report.not_asked.len(), stage::red_flags::keys().len());
}

#[test]
fn a_known_joint_disease_is_no_new_alarm() {
    let answers: Answers = &[
        ("morning_stiffness", "yes"),
        ("several_joints", "yes"),
        ("inflammatory_disease", "yes"),
    ];
    assert!(sound().and(answers).report().red_flags.is_empty());
}

#[test]
fn an_alarm_raised_on_an_unconfirmed_limit_says_that_it_counts_here() {
    let report = sound()
        .and(&[
            ("filament_great_toe", "not_felt"),
            ("temperature_difference_c", "3.1"),
        ])
        .report();
    let reasons: Vec<&String> = report.red_flags.iter().flat_map(|f| &f.reasons).collect();
    assert!(
        reasons
            .iter()
            .any(|r| r.contains("3.1 °C") && r.contains("enough for an alarm sign")),
        "{reasons:?}"
    );
    assert!(
        reasons.iter().all(|r| !r.contains("does not decide")),
        "{reasons:?}"
    );
}
