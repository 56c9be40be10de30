//! Worked cases of each scheme, the source in each row.

mod common;

use common::{Foot, sound};
use stage::{SchemeReport, StageReport, Truth};

type Answers = &'static [(&'static str, &'static str)];
type Given = Vec<(&'static str, &'static str)>;

fn tendon(report: &StageReport) -> &SchemeReport {
    report
        .tendon
        .as_ref()
        .expect("an adult has a tendon scheme")
}

#[test]
fn each_stage_of_the_failing_tendon_is_found_from_its_own_cell_and_no_other_holds() {
    let cases: &[(&str, Answers, &str)] = &[
        (
            "I, Bluman2007 outline",
            &[("pain_inner_ankle", "pressed")],
            "I",
        ),
        (
            "I with a slight heel, Bluman2007 outline",
            &[("swelling_inner", "marked"), ("heel_line", "slight")],
            "I",
        ),
        (
            "II, Bluman2007 outline",
            &[("pain_inner_ankle", "itself"), ("heel_line", "clear")],
            "II",
        ),
        (
            "II by a failing heel rise, Wheeless",
            &[
                ("heel_rise_turns_in", "no"),
                ("heel_line", "clear"),
                ("toes_seen", "4"),
                ("forefoot_drifts_out", "yes"),
            ],
            "II",
        ),
        (
            "III, Bluman2007 outline",
            &[
                ("pain_navicular", "pressed"),
                ("heel_line", "clear"),
                ("heel_corrects", "not"),
            ],
            "III",
        ),
        (
            "III with pain only outside, Bluman2007 outline",
            &[
                ("pain_outer", "itself"),
                ("heel_line", "clear"),
                ("heel_corrects", "not"),
            ],
            "III",
        ),
        (
            "IV, Healio2021",
            &[
                ("pain_inner_ankle", "itself"),
                ("heel_line", "clear"),
                ("heel_corrects", "not"),
                ("ankle_tilt_seen", "yes"),
            ],
            "IV",
        ),
    ];
    for (name, answers, expected) in cases {
        let report = sound().and(answers).report();
        assert_eq!(
            tendon(&report).holding(),
            [*expected],
            "{name}: {}",
            report.text()
        );
        assert_eq!(tendon(&report).possible(), [*expected], "{name}");
    }
}

#[test]
fn a_sound_foot_fits_no_stage_and_no_class() {
    let report = sound().film("meary_lat", -3.0, 1.0).report();
    assert_eq!(tendon(&report).headline, "No stage fits what was found");
    assert_eq!(
        report.consensus.as_ref().unwrap().string.as_deref(),
        Some("no class")
    );
}

/// Bluman2007's table is known from memory: every substage is told as 'would be' and none holds.
#[test]
fn each_substage_of_bluman2007_would_be_found_and_none_decides() {
    let cases: &[(&str, Answers, &[&str])] = &[
        (
            "IA",
            &[
                ("pain_inner_ankle", "pressed"),
                ("inflammatory_disease", "yes"),
                ("tendon_image", "inflamed"),
            ],
            &["IA"],
        ),
        (
            "IB",
            &[
                ("pain_inner_ankle", "pressed"),
                ("tendon_image", "partial_tear"),
            ],
            &["IB"],
        ),
        (
            "IC",
            &[
                ("pain_inner_ankle", "pressed"),
                ("tendon_image", "partial_tear"),
                ("heel_line", "slight"),
            ],
            &["IC"],
        ),
        (
            "IIA1",
            &[
                ("pain_inner_ankle", "pressed"),
                ("heel_line", "clear"),
                ("forefoot_varus", "yes"),
                ("forefoot_varus_corrects", "fully"),
            ],
            &["IIA1"],
        ),
        (
            "IIA2",
            &[
                ("pain_inner_ankle", "pressed"),
                ("heel_line", "clear"),
                ("forefoot_varus", "yes"),
                ("forefoot_varus_corrects", "not"),
            ],
            &["IIA2"],
        ),
        (
            "IIB",
            &[
                ("pain_inner_ankle", "pressed"),
                ("heel_line", "clear"),
                ("toes_seen", "4"),
                ("forefoot_drifts_out", "yes"),
            ],
            &["IIB"],
        ),
        (
            "IIC",
            &[
                ("pain_inner_ankle", "pressed"),
                ("heel_line", "clear"),
                ("forefoot_varus", "yes"),
                ("forefoot_varus_corrects", "not"),
                ("first_ray", "loose"),
            ],
            &["IIC"],
        ),
        (
            "IIB and IIC overlap",
            &[
                ("pain_inner_ankle", "pressed"),
                ("heel_line", "clear"),
                ("toes_seen", "4"),
                ("forefoot_drifts_out", "yes"),
                ("forefoot_varus", "yes"),
                ("forefoot_varus_corrects", "not"),
                ("first_ray", "loose"),
            ],
            &["IIB", "IIC"],
        ),
        (
            "IIIA",
            &[
                ("pain_outer", "pressed"),
                ("heel_line", "clear"),
                ("heel_corrects", "not"),
            ],
            &["IIIA"],
        ),
        (
            "IIIB",
            &[
                ("pain_outer", "pressed"),
                ("heel_line", "clear"),
                ("heel_corrects", "not"),
                ("toes_seen", "4"),
                ("forefoot_drifts_out", "yes"),
            ],
            &["IIIB"],
        ),
        (
            "IVA",
            &[
                ("heel_line", "clear"),
                ("ankle_tilt_seen", "yes"),
                ("ankle_tilt_corrects", "fully"),
                ("wear_ankle", "1"),
            ],
            &["IVA"],
        ),
        (
            "IVB stiff",
            &[
                ("heel_line", "clear"),
                ("ankle_tilt_seen", "yes"),
                ("ankle_tilt_corrects", "not"),
            ],
            &["IVB"],
        ),
        (
            "IVB worn",
            &[
                ("heel_line", "clear"),
                ("ankle_tilt_seen", "yes"),
                ("wear_ankle", "3"),
            ],
            &["IVB"],
        ),
    ];
    for (name, answers, expected) in cases {
        let report = sound().and(answers).report();
        let scheme = tendon(&report);
        assert_eq!(scheme.would_hold(), *expected, "{name}");
        for c in scheme.candidates.iter().filter(|c| c.would_be.is_some()) {
            assert_eq!(c.truth, Truth::Unknown, "{name}: {} must not decide", c.key);
        }
        assert!(
            scheme
                .headline
                .contains("by unconfirmed definitions it would be"),
            "{name}: {}",
            scheme.headline
        );
    }
}

/// Raikin2012 is known from memory: 'would be', cell by cell.
#[test]
fn each_cell_of_raikin2012_would_be_found_and_none_decides() {
    let hind = |uncov: f64| {
        sound()
            .and(&[("heel_line", "clear")])
            .film("tn_uncov", uncov, 1.0)
            .film("meary_lat", 20.0, 1.0)
            .film("lia", 30.0, 2.0)
    };
    let straight = || sound().film("talar_tilt", 0.5, 0.2);
    let tilted = |deg: f64| {
        sound()
            .and(&[("deltoid_lax", "no"), ("plafond_loss", "no")])
            .film("talar_tilt", deg, 0.2)
    };
    let cases: Vec<(&str, Foot, &str)> = vec![
        (
            "hindfoot Ia",
            sound().and(&[
                ("pain_inner_ankle", "pressed"),
                ("tendon_image", "inflamed"),
            ]),
            "R-Ia",
        ),
        (
            "hindfoot Ib",
            sound().and(&[
                ("pain_inner_ankle", "pressed"),
                ("tendon_image", "partial_tear"),
            ]),
            "R-Ib",
        ),
        ("hindfoot IIa", hind(30.0), "R-IIa"),
        ("hindfoot IIb", hind(50.0), "R-IIb"),
        (
            "hindfoot IIIa",
            hind(30.0).and(&[("heel_corrects", "not")]),
            "R-IIIa",
        ),
        (
            "hindfoot IIIb",
            hind(50.0).and(&[("wear_subtalar", "3")]),
            "R-IIIb",
        ),
        (
            "ankle Ia",
            straight().and(&[("plafond_loss", "no")]),
            "A-Ia",
        ),
        ("ankle Ib", tilted(3.0), "A-Ib"),
        (
            "ankle IIa",
            tilted(8.0).and(&[("deltoid_lax", "yes"), ("ankle_tilt_seen", "yes")]),
            "A-IIa",
        ),
        (
            "ankle IIb",
            tilted(8.0).and(&[("deltoid_lax", "yes"), ("wear_ankle", "2")]),
            "A-IIb",
        ),
        (
            "ankle IIIa",
            tilted(8.0).and(&[("plafond_loss", "yes")]),
            "A-IIIa",
        ),
        (
            "ankle IIIb",
            tilted(8.0).and(&[("plafond_loss", "yes"), ("deltoid_lax", "yes")]),
            "A-IIIb",
        ),
        (
            "midfoot Ia",
            sound().and(&[
                ("wear_naviculocuneiform", "0"),
                ("wear_first_tarsometatarsal", "1"),
            ]),
            "M-Ia",
        ),
        (
            "midfoot Ib",
            midfoot(&[("forefoot_varus_corrects", "fully")]),
            "M-Ib",
        ),
        (
            "midfoot IIa",
            midfoot(&[("forefoot_varus_corrects", "not")]),
            "M-IIa",
        ),
        ("midfoot IIb", midfoot(&[("tmt_gap", "yes")]), "M-IIb"),
        (
            "midfoot IIIa",
            midfoot(&[
                ("wear_first_tarsometatarsal", "3"),
                ("wear_lesser_tarsometatarsal", "0"),
            ]),
            "M-IIIa",
        ),
        (
            "midfoot IIIb",
            midfoot(&[
                ("wear_first_tarsometatarsal", "3"),
                ("wear_lesser_tarsometatarsal", "3"),
            ]),
            "M-IIIb",
        ),
    ];
    for (name, foot, expected) in cases {
        let report = foot.report();
        let scheme = report.three_column.as_ref().unwrap();
        let column = &expected[..1];
        let found: Vec<&str> = scheme
            .would_hold()
            .into_iter()
            .filter(|k| k.starts_with(column))
            .collect();
        assert_eq!(found, [expected], "{name}: {}", report.text());
        assert!(scheme.holding().is_empty(), "{name}");
        assert!(
            scheme
                .headline
                .starts_with("Cannot tell from confirmed sources"),
            "{name}"
        );
    }
}

fn midfoot(answers: &[(&str, &str)]) -> Foot {
    sound()
        .and(&[
            ("forefoot_varus", "yes"),
            ("wear_naviculocuneiform", "0"),
            ("wear_first_tarsometatarsal", "0"),
        ])
        .and(answers)
}

#[test]
fn each_class_of_hmp2024_and_mixed_strings_are_written() {
    let valgus: Answers = &[("heel_line", "clear")];
    let drift: Answers = &[("toes_seen", "4"), ("forefoot_drifts_out", "yes")];
    let varus: Answers = &[
        ("forefoot_varus", "yes"),
        ("forefoot_varus_corrects", "fully"),
    ];
    let cases: Vec<(&str, Vec<Answers>, Option<&str>, &str)> = vec![
        ("A", vec![valgus], Some("1A"), "1A"),
        ("B", vec![drift], Some("1B"), "1B"),
        ("C by varus", vec![varus], Some("1C"), "1C"),
        (
            "C by a loose ray",
            vec![&[("first_ray", "loose")]],
            Some("1C"),
            "1C",
        ),
        (
            "D by subluxation",
            vec![&[("subtalar_subluxed", "yes")]],
            Some("1D"),
            "1D",
        ),
        (
            "D by the fibula",
            vec![&[("impinges_under_fibula", "yes")]],
            Some("1D"),
            "1D",
        ),
        ("E", vec![&[("ankle_tilt_seen", "yes")]], Some("1E"), "1E"),
        (
            "the commonest, PCFDreliab2022",
            vec![valgus, drift, varus],
            Some("1ABC"),
            "1ABC",
        ),
        (
            "mixed",
            vec![valgus, drift, varus, &[("forefoot_drift_corrects", "not")]],
            Some("1AC2B"),
            "1AC2B",
        ),
        (
            "all stiff",
            vec![
                valgus,
                drift,
                &[
                    ("forefoot_varus", "yes"),
                    ("forefoot_varus_corrects", "not"),
                    ("heel_corrects", "not"),
                    ("forefoot_drift_corrects", "not"),
                ],
            ],
            Some("2ABC"),
            "2ABC",
        ),
        (
            "flexibility open",
            vec![valgus, drift, &[("forefoot_drift_corrects", "partly")]],
            None,
            "1A; B present, flexible or rigid not known",
        ),
    ];
    for (name, answers, string, so_far) in cases {
        let foot = answers
            .into_iter()
            .fold(sound().film("meary_lat", -3.0, 1.0), Foot::and);
        let report = foot.report();
        let consensus = report.consensus.as_ref().unwrap();
        assert_eq!(
            consensus.string.as_deref(),
            string,
            "{name}: {}",
            report.text()
        );
        assert_eq!(consensus.so_far, so_far, "{name}");
    }
}

fn child(answers: &[(&str, &str)]) -> Foot {
    let mut foot = Foot::with(&[
        ("age_years", "7.5"),
        ("puberty_done", "no"),
        ("arch_standing", "flat"),
        ("arch_on_tiptoe", "appears"),
        ("arch_sitting", "appears"),
        ("pain_level", "0"),
        ("pain_inner_ankle", "no"),
        ("pain_navicular", "no"),
        ("pain_sole", "no"),
        ("pain_outer", "no"),
        ("swelling_inner", "none"),
        ("dorsiflexion_straight_deg", "14"),
        ("sides_differ", "no"),
        ("plays_like_others", "yes"),
        ("coalition_seen", "no"),
        ("severe_local_pain", "no"),
    ]);
    for key in [
        "tires_early",
        "poor_skills",
        "weight_high_for_age",
        "new_on_one_side",
        "night_pain",
        "fever",
        "skills_lost",
        "reflexes_changed",
        "spasticity",
        "was_high_arched",
        "rocker_at_birth",
    ] {
        foot.set(key, "no");
    }
    for key in exam::score::POSTURE_ITEMS {
        foot.set(key, "0");
    }
    for key in exam::score::LAXITY_ITEMS {
        foot.set(key, "no");
    }
    foot.and(answers)
}

#[test]
fn children_are_green_amber_or_red_by_rchflat_and_their_kind_is_named() {
    let high: Vec<(&str, &str)> = exam::score::POSTURE_ITEMS
        .iter()
        .map(|k| (*k, "+2"))
        .collect();
    let loose: Vec<(&str, &str)> = exam::score::LAXITY_ITEMS
        .iter()
        .map(|k| (*k, "yes"))
        .chain(exam::score::POSTURE_ITEMS.iter().map(|k| (*k, "+1")))
        .chain([("posture_arch", "+2")])
        .collect();
    let pronated: Vec<(&str, &str)> = exam::score::POSTURE_ITEMS
        .iter()
        .map(|k| (*k, "+1"))
        .chain([("posture_arch", "+2")])
        .collect();
    let cases: Vec<(&str, Given, &str, &str)> = vec![
        (
            "flexible and painless, RCHflat",
            vec![],
            "flexible-painless",
            "green",
        ),
        (
            "pronated alone stays green",
            pronated,
            "flexible-painless",
            "green",
        ),
        (
            "not flat",
            vec![("arch_standing", "normal")],
            "not-flat",
            "green",
        ),
        (
            "painful, RCHflat",
            vec![("pain_level", "3"), ("pain_sole", "itself")],
            "flexible-painful",
            "amber",
        ),
        (
            "slow at play, RCHflat",
            vec![("plays_like_others", "no")],
            "flexible-painless",
            "red",
        ),
        (
            "tight cord, BouchardMosca2014",
            vec![("dorsiflexion_straight_deg", "-2")],
            "flexible-painless",
            "amber",
        ),
        (
            "posture and looseness, FPNotebookBeighton",
            loose,
            "flexible-painless",
            "amber",
        ),
        (
            "posture beyond 96 in 100, Gijon2019",
            high,
            "flexible-painless",
            "amber",
        ),
        (
            "rigid, RCHflat",
            vec![
                ("arch_on_tiptoe", "stays_flat"),
                ("arch_sitting", "stays_flat"),
            ],
            "rigid-painless",
            "red",
        ),
        (
            "rigid and painful, Ford2022",
            vec![
                ("arch_on_tiptoe", "stays_flat"),
                ("arch_sitting", "stays_flat"),
                ("pain_outer", "itself"),
            ],
            "rigid-painful",
            "red",
        ),
        (
            "one-sided, RCHflat",
            vec![("sides_differ", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "new, RCHflat",
            vec![("new_on_one_side", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "night pain",
            vec![("night_pain", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "a bridge, Ford2022",
            vec![("coalition_seen", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "severe pain at one spot, RCHflat",
            vec![("severe_local_pain", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "swelling",
            vec![("swelling_inner", "slight")],
            "flexible-painless",
            "red",
        ),
        ("fever", vec![("fever", "yes")], "flexible-painless", "red"),
        (
            "skills lost, Evans2009",
            vec![("skills_lost", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "reflexes, Evans2009",
            vec![("reflexes_changed", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "spasticity, Evans2009",
            vec![("spasticity", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "was high-arched, Evans2009",
            vec![("was_high_arched", "yes")],
            "flexible-painless",
            "red",
        ),
        (
            "rocker sole, Evans2009",
            vec![("rocker_at_birth", "yes")],
            "flexible-painless",
            "red",
        ),
    ];
    for (name, answers, kind, light) in cases {
        let report = child(&answers).report();
        assert_eq!(
            report.child.as_ref().unwrap().holding(),
            [kind],
            "{name}: {}",
            report.text()
        );
        assert_eq!(
            report.traffic_light.as_ref().unwrap().holding(),
            [light],
            "{name}: {}",
            report.text()
        );
        assert!(
            report.tendon.is_none() && report.consensus.is_none(),
            "{name}: adult schemes are not for children"
        );
    }
}

/// That a child who tires, is heavy or clumsy is amber is known from memory only (Evans2008, Evans2009): each
/// speaks for amber, so green does not hold, and none makes it amber alone. Beside a sign that was read
/// (RCHflat: pain) the light is settled.
#[test]
fn a_sign_of_amber_known_from_memory_keeps_the_light_open_and_decides_nothing() {
    for key in ["tires_early", "weight_high_for_age", "poor_skills"] {
        let report = child(&[(key, "yes")]).report();
        let light = report.traffic_light.as_ref().unwrap();
        assert_eq!(light.holding(), [""; 0], "{key}");
        assert_eq!(light.possible(), ["green", "amber"], "{key}");
        let amber = light.candidate("amber").unwrap();
        assert!(
            amber
                .because
                .contains(&report.criterion(key).unwrap().words),
            "{key}: {amber:?}"
        );
        let painful = child(&[(key, "yes"), ("pain_level", "3")]).report();
        assert_eq!(painful.traffic_light.unwrap().holding(), ["amber"], "{key}");
    }
}

#[test]
fn a_child_is_never_green_while_one_warning_sign_was_not_asked() {
    for key in [
        "night_pain",
        "fever",
        "skills_lost",
        "spasticity",
        "new_on_one_side",
    ] {
        let mut foot = child(&[]);
        foot.flags.clear(key).unwrap();
        let report = foot.report();
        let light = report.traffic_light.as_ref().unwrap();
        assert_eq!(light.holding(), [""; 0], "{key}");
        assert_eq!(light.possible(), ["green", "red"], "{key}");
    }
}

#[test]
fn without_an_age_both_paths_are_shown_and_the_age_is_asked_for() {
    let mut foot = sound();
    foot.story.clear("age_years").unwrap();
    let report = foot.report();
    assert!(report.tendon.is_some() && report.child.is_some());
    assert!(
        report.notes[0].starts_with("Age is not recorded"),
        "{:?}",
        report.notes
    );
}
