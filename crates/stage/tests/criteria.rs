//! The knowledge folder decides: an edited criterion moves the stage, and none is read by nothing.

mod common;

use common::{Foot, sound};
use knowledge::{CriterionKind, Knowledge};
use stage::{StageReport, Truth, never_speaking, read_by_nothing};
use std::path::Path;

/// The program's folder written out with one text in place of another, loaded as a practice would.
fn edited(name: &str, edits: &[(&str, &str)]) -> Knowledge {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    let mut used = vec![0; edits.len()];
    for (file, text) in Knowledge::built_in_files() {
        let mut text = (*text).to_owned();
        for (count, (old, new)) in used.iter_mut().zip(edits) {
            *count += text.matches(old).count();
            text = text.replace(old, new);
        }
        let path = folder.join(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    assert!(
        used.iter().all(|n| *n == 1),
        "each edit has to fit once: {used:?}"
    );
    let knowledge =
        Knowledge::load(&folder).unwrap_or_else(|faults| panic!("{name}: {}", faults[0]));
    std::fs::remove_dir_all(&folder).unwrap();
    knowledge
}

fn tendon(report: &StageReport) -> Vec<String> {
    let scheme = report.tendon.as_ref().unwrap();
    scheme.holding().into_iter().map(str::to_owned).collect()
}

fn class(report: &StageReport, letter: char) -> Truth {
    let classes = &report.consensus.as_ref().unwrap().classes;
    classes.iter().find(|c| c.letter == letter).unwrap().present
}

#[test]
fn a_composite_edited_in_a_folder_moves_the_stage() {
    // A clearly outward, flexible heel whose tendon gives no sign.
    let foot = sound().and(&[("heel_line", "clear")]);
    assert_eq!(tendon(&foot.report()), [""; 0]);
    let looser = edited(
        "composite",
        &[(
            r#"all = ["tendon_speaks", "heel_valgus", "heel_flexible"]"#,
            r#"all = ["heel_valgus", "heel_flexible"]"#,
        )],
    );
    assert_eq!(tendon(&foot.report_with(&looser)), ["II"]);
    // The same composite turned round: a stage of rigid heels.
    let turned = edited(
        "turned",
        &[(
            r#"all = ["tendon_speaks", "heel_valgus", "heel_flexible"]
none = ["ankle_valgus"]"#,
            r#"all = ["heel_valgus"]
none = ["heel_flexible"]"#,
        )],
    );
    let rigid = foot.and(&[("heel_corrects", "not")]);
    assert_eq!(tendon(&rigid.report_with(&turned)), ["II"]);
    assert_eq!(tendon(&rigid.report()), [""; 0]);
}

#[test]
fn an_edited_part_moves_every_scheme_that_reads_it() {
    let knowledge = edited(
        "any",
        &[
            (
                r#"any = ["forefoot_varus", "medial_column_unstable", "arch_line_broken"]"#,
                r#"any = ["forefoot_varus", "medial_column_unstable"]"#,
            ),
            (r#"  "fever","#, ""),
            (
                r#"none = ["forefoot_varus", "wear_medial_column"]"#,
                r#"none = ["wear_medial_column"]"#,
            ),
        ],
    );
    let broken = sound().film("meary_lat", 12.0, 0.5);
    assert_eq!(class(&broken.report(), 'C'), Truth::True);
    assert_eq!(class(&broken.report_with(&knowledge), 'C'), Truth::False);

    let hot = Foot::with(&[("age_years", "8"), ("fever", "yes")]);
    let light = |report: StageReport| report.traffic_light.unwrap();
    assert_eq!(light(hot.report()).holding(), ["red"]);
    assert_eq!(light(hot.report_with(&knowledge)).holding(), [""; 0]);

    let varus = sound().and(&[
        ("forefoot_varus", "yes"),
        ("wear_naviculocuneiform", "0"),
        ("wear_first_tarsometatarsal", "0"),
    ]);
    let midfoot = |report: StageReport| {
        let scheme = report.three_column.unwrap();
        scheme.candidate("M-Ia").unwrap().by_definition()
    };
    assert_eq!(midfoot(varus.report()), Truth::False);
    assert_eq!(midfoot(varus.report_with(&knowledge)), Truth::True);
}

#[test]
fn an_edited_answer_and_an_edited_cut_move_criterion_stage_and_chance() {
    let knowledge = edited(
        "leaves",
        &[
            (
                "finding = \"heel_line\"\nanswer = \"clear\"",
                "finding = \"heel_line\"\nanswer = \"slight|clear\"",
            ),
            (
                "measure = \"talar_tilt\"\nabove = 4",
                "measure = \"talar_tilt\"\nabove = 6",
            ),
            (
                "finding = \"heel_corrects\"\nanswer = \"fully\"\nopen = \"partly\"",
                "finding = \"heel_corrects\"\nanswer = \"fully|partly\"",
            ),
        ],
    );
    let slight = sound().and(&[
        ("pain_inner_ankle", "itself"),
        ("heel_line", "slight"),
        ("heel_corrects", "partly"),
    ]);
    assert_eq!(tendon(&slight.report()), ["I"]);
    assert_eq!(tendon(&slight.report_with(&knowledge)), ["II"]);

    let mut tilted = slight.film("talar_tilt", 5.0, 1.0);
    tilted.exam.clear("ankle_tilt_seen").unwrap();
    let chance = |report: &StageReport| {
        let four = report.tendon.as_ref().unwrap().candidate("IV").unwrap();
        (four.chance.unwrap(), report.truth("ankle_valgus"))
    };
    // Φ(−1) = 0.1586553…
    let (four, truth) = chance(&tilted.report_with(&knowledge));
    assert!(
        (four.holds - 0.158_655_253_931_457).abs() < 1e-9,
        "{four:?}"
    );
    assert_eq!(truth, Truth::Unknown);
    let (_, truth) = chance(&tilted.film("talar_tilt", 3.0, 0.5).report_with(&knowledge));
    assert_eq!(truth, Truth::False);
}

#[test]
fn every_criterion_of_the_folder_is_read_by_a_scheme_and_can_speak() {
    let knowledge = Knowledge::built_in();
    assert_eq!(read_by_nothing(knowledge), [""; 0]);
    assert_eq!(never_speaking(knowledge), [""; 0]);
    let composites = knowledge
        .criteria()
        .iter()
        .filter(|c| matches!(c.kind, CriterionKind::Composite { .. }));
    assert!(composites.count() >= 60);
}

#[test]
fn a_criterion_that_nothing_reads_is_found() {
    let knowledge = edited(
        "unread",
        &[(r#"all = ["ts_I", "inflammatory"]"#, r#"all = ["ts_I"]"#)],
    );
    assert_eq!(read_by_nothing(&knowledge), ["inflammatory"]);
}

#[test]
fn a_criterion_that_can_never_speak_is_told_with_what_to_do() {
    let knowledge = edited(
        "silent",
        &[
            ("finding = \"swelling_inner\"", "finding = \"swelling\""),
            (
                "finding = \"heel_line\"\nanswer = \"clear\"",
                "finding = \"heel_line\"\nanswer = \"clearly\"",
            ),
            (
                "finding = \"heel_valgus\"\nanswer = \"yes\"",
                "finding = \"heel_valgus\"\nanswer = \"clear\"",
            ),
            (
                "finding = \"first_ray\"\nanswer = \"loose\"",
                "finding = \"first_ray\"\nanswer = \">=2\"",
            ),
            (
                "finding = \"posture_total\"\nanswer = \">=10\"",
                "finding = \"posture_total\"\nanswer = \"10\"",
            ),
        ],
    );
    let told = never_speaking(&knowledge);
    for said in [
        "swelling_medial asks for 'swelling'; expected a question of the examination, a total or a sign",
        "heel_clearly_out waits for the answer 'clearly' to heel_line; expected one of inwards, usual, slight, clear",
        "heel_valgus waits for the answer 'clear' to heel_valgus; expected one of yes, no",
        "first_ray_loose compares the answer to first_ray with a number; expected one of its choices",
        "posture_beyond_age waits for the total '10'; expected one comparison such as >=10",
    ] {
        assert!(told.iter().any(|t| t.contains(said)), "{said}: {told:#?}");
    }
    assert_eq!(told.len(), 5);
    let report = sound().report_with(&knowledge);
    assert!(told.iter().all(|t| report.notes.contains(t)));
    assert_eq!(report.truth("swelling_medial"), Truth::Unknown);
}

/// A sign named by a criterion that witnesses it says nothing there, and does not go round for ever.
#[test]
fn a_sign_that_witnesses_itself_is_silent() {
    let knowledge = edited(
        "circle",
        &[(
            "finding = \"heel_line\"\nanswer = \"clear\"",
            "finding = \"heel_valgus\"\nanswer = \"no\"",
        )],
    );
    let foot = sound().and(&[("heel_line", "clear")]);
    assert_eq!(
        foot.report_with(&knowledge).truth("heel_valgus"),
        Truth::Unknown
    );
    assert_eq!(
        foot.film("hma", 25.0, 1.0)
            .report_with(&knowledge)
            .truth("heel_valgus"),
        Truth::True
    );
}

#[test]
fn a_sign_may_be_asked_for_its_no() {
    let knowledge = edited(
        "no",
        &[(
            "finding = \"heel_valgus\"\nanswer = \"yes\"",
            "finding = \"heel_valgus\"\nanswer = \"no\"",
        )],
    );
    let truth = |foot: &Foot| foot.report_with(&knowledge).truth("heel_valgus");
    assert_eq!(truth(&sound()), Truth::True);
    assert_eq!(truth(&sound().and(&[("heel_line", "clear")])), Truth::False);
    let mut open = sound();
    open.exam.clear("heel_line").unwrap();
    assert_eq!(truth(&open), Truth::Unknown);
    let film = open.film("hma", 15.0, 1.0);
    let p = film.report_with(&knowledge);
    let p = p.criterion("heel_valgus").unwrap().probability.unwrap();
    // Half lies above 15 mm, and the chance of 8 mm or less is Φ(−7).
    assert!(p.holds < 1e-9 && (p.possible - 0.5).abs() < 1e-9, "{p:?}");
}

/// An alarm reads the program's own criteria: a practice may move its stages and never silence one.
#[test]
fn an_edited_folder_silences_no_alarm() {
    let knowledge = edited(
        "alarm",
        &[
            (
                "finding = \"fever\"\nanswer = \"yes\"",
                "finding = \"fever\"\nanswer = \"no\"",
            ),
            (
                "finding = \"night_pain\"\nanswer = \"yes\"",
                "finding = \"night\"\nanswer = \"yes\"",
            ),
        ],
    );
    let foot = sound().and(&[
        ("fever", "yes"),
        ("hot_red_swollen", "yes"),
        ("night_pain", "yes"),
    ]);
    let raised = |report: StageReport| -> Vec<String> {
        report.red_flags.into_iter().map(|f| f.key).collect()
    };
    assert_eq!(raised(foot.report()), ["septic_joint", "tumour"]);
    assert_eq!(
        raised(foot.report_with(&knowledge)),
        ["septic_joint", "tumour"]
    );
}

/// Pain under the fibula is the class's complaint (HMP2024) and has many other causes: the criterion of the
/// class does not decide, and stays open until a part of it that does holds too.
#[test]
fn a_level_that_does_not_decide_waits_for_a_criterion_that_does() {
    let pain = sound().and(&[("pain_under_fibula", "pressed")]);
    assert_eq!(class(&sound().report(), 'D'), Truth::False);
    let open = pain.report();
    assert_eq!(class(&open, 'D'), Truth::Unknown);
    assert!(open.criterion("co_D").is_none(), "a class is no reason");
    assert_eq!(open.truth("pain_below_fibula"), Truth::True);
    let pinching = pain.and(&[("impinges_under_fibula", "yes")]);
    assert_eq!(class(&pinching.report(), 'D'), Truth::True);
}

/// Healthy heels lean 2 to 6° outwards on films (SubtalarReview2019), and a heel up to 5° out is still stage I
/// (Bluman2007, recalled).
#[test]
fn a_heel_a_little_outwards_is_neither_valgus_nor_class_a() {
    let report = sound().and(&[("heel_line", "slight")]).report();
    assert_eq!(report.truth("heel_valgus"), Truth::False);
    assert_eq!(class(&report, 'A'), Truth::False);
}

/// FlatfootLines prints 4° and Ryu2022 6°, and the class no number: between them it is open.
#[test]
fn an_arch_line_between_the_published_limits_leaves_class_c_open() {
    for (deg, present) in [
        (2.0, Truth::False),
        (5.0, Truth::Unknown),
        (8.0, Truth::True),
    ] {
        let report = sound().film("meary_lat", deg, 0.1).report();
        assert_eq!(class(&report, 'C'), present, "{deg}");
    }
}

/// How the share uncovered is measured, by chord or by arc, is known from memory only: it never decides
/// class B, for or against, whatever its cuts. The coverage angle does beyond both sources (FlatfootLines 7°,
/// Murley2009 29.4°).
#[test]
fn a_reading_of_unconfirmed_construction_speaks_for_abduction_and_does_not_decide() {
    let mut unseen = sound();
    unseen.exam.clear("forefoot_drifts_out").unwrap();
    for percent in [5.0, 60.0] {
        let report = unseen.clone().film("tn_uncov", percent, 1.0).report();
        let c = report.criterion("forefoot_abducted").unwrap();
        assert_eq!(c.truth, Truth::Unknown, "{percent}");
        assert!(c.probability.is_none());
        assert!(
            c.reasons.iter().any(|r| r.contains("do not decide")),
            "{:?}",
            c.reasons
        );
        assert_eq!(class(&report, 'B'), Truth::Unknown);
    }
    for (deg, present) in [
        (3.0, Truth::False),
        (15.0, Truth::Unknown),
        (35.0, Truth::True),
    ] {
        let report = unseen.clone().film("tnca", deg, 0.5).report();
        assert_eq!(class(&report, 'B'), present, "{deg}");
    }
}

/// Bluman2007's table as recalled: IB a partial tear, IIA1 a flexible forefoot varus, IIA2 without abduction,
/// IIIA with pain at the sinus tarsi.
#[test]
fn a_substage_asks_for_everything_its_cell_names() {
    let one = sound().and(&[("pain_inner_ankle", "itself")]);
    let two = one.clone().and(&[("heel_line", "clear")]);
    let fixed: &[(&str, &str)] = &[
        ("forefoot_varus", "yes"),
        ("forefoot_varus_corrects", "not"),
    ];
    let drift: &[(&str, &str)] = &[("forefoot_drifts_out", "yes"), ("toes_seen", "4")];
    let cases: Vec<(&str, Foot, &[&str])> = vec![
        (
            "torn through",
            one.clone().and(&[("tendon_image", "full_tear")]),
            &[],
        ),
        ("no forefoot varus", two.clone(), &[]),
        (
            "fixed and abducted",
            two.clone().and(fixed).and(drift),
            &["IIB"],
        ),
        (
            "stiff without outer pain",
            two.and(&[("heel_corrects", "not")]),
            &[],
        ),
    ];
    for (name, foot, expected) in cases {
        let report = foot.report();
        assert_eq!(report.tendon.unwrap().would_hold(), expected, "{name}");
    }
}

/// Raikin2012's table as recalled: incongruency 20 to 45° in IIa, and a level ankle in Ia.
#[test]
fn a_cell_between_two_limits_is_open_near_either_and_closed_beyond() {
    let hind = |lia: f64| {
        sound()
            .and(&[("heel_line", "clear")])
            .film("tn_uncov", 30.0, 1.0)
            .film("meary_lat", 20.0, 1.0)
            .film("lia", lia, 1.0)
    };
    let cell = |foot: Foot, key: &str| {
        let scheme = foot.report().three_column.unwrap();
        let c = scheme.candidate(key).unwrap().clone();
        (c.by_definition(), c.chance.unwrap().holds)
    };
    for (lia, truth) in [
        (10.0, Truth::False),
        (20.5, Truth::Unknown),
        (30.0, Truth::True),
        (44.5, Truth::Unknown),
        (60.0, Truth::False),
    ] {
        assert_eq!(cell(hind(lia), "R-IIa").0, truth, "{lia}");
    }
    // Φ(0.5) = 0.6914625…, and 24.5 standard errors to the other end.
    let (_, chance) = cell(hind(20.5), "R-IIa");
    assert!((chance - 0.691_462_461_274_013).abs() < 1e-9, "{chance}");

    let ankle = |deg: f64| {
        let foot = sound().and(&[("plafond_loss", "no"), ("deltoid_lax", "no")]);
        cell(foot.film("talar_tilt", deg, 0.1), "A-Ia").0
    };
    assert_eq!(ankle(0.0), Truth::True);
    assert_eq!(ankle(-3.0), Truth::False);
    assert_eq!(ankle(3.0), Truth::False);
}

/// `inflammatory` is known from memory: a stage is what it is both with it and without it, or open.
#[test]
fn a_part_from_memory_speaks_in_all_any_and_none_and_decides_nothing_alone() {
    const TWO: &str = r#"all = ["tendon_speaks", "heel_valgus", "heel_flexible"]
none = ["ankle_valgus"]"#;
    let in_all = edited(
        "memory-all",
        &[(
            TWO,
            r#"all = ["tendon_speaks", "heel_valgus", "heel_flexible", "inflammatory"]
none = ["ankle_valgus"]"#,
        )],
    );
    let in_none = edited(
        "memory-none",
        &[(
            TWO,
            r#"all = ["tendon_speaks", "heel_valgus", "heel_flexible"]
none = ["ankle_valgus", "inflammatory"]"#,
        )],
    );
    let in_any = edited(
        "memory-any",
        &[(
            r#"any = ["tendon_sore", "heel_rise_fails", "tendon_weak"]"#,
            r#"any = ["tendon_sore", "heel_rise_fails", "tendon_weak", "inflammatory"]"#,
        )],
    );
    let alone = edited(
        "memory-alone",
        &[(
            r#"any = ["tendon_sore", "heel_rise_fails", "tendon_weak"]"#,
            r#"all = ["inflammatory"]"#,
        )],
    );
    let sore: &[(&str, &str)] = &[("pain_inner_ankle", "itself"), ("heel_line", "clear")];
    let silent: &[(&str, &str)] = &[("heel_line", "clear")];
    use Truth::{False, True, Unknown};
    let cases = [
        ("all", &in_all, sore, [True, Unknown, Unknown]),
        ("none", &in_none, sore, [Unknown, True, Unknown]),
        ("any, else true", &in_any, sore, [True, True, True]),
        (
            "any, else false",
            &in_any,
            silent,
            [Unknown, False, Unknown],
        ),
        ("alone", &alone, sore, [Unknown, Unknown, Unknown]),
    ];
    for (name, knowledge, answers, expected) in cases {
        for (answer, expected) in [Some("yes"), Some("no"), None].into_iter().zip(expected) {
            let mut foot = sound().and(answers);
            match answer {
                Some(answer) => foot.set("inflammatory_disease", answer),
                None => foot.story.clear("inflammatory_disease").unwrap(),
            }
            let report = foot.report_with(knowledge);
            let two = report.tendon.as_ref().unwrap().candidate("II").unwrap();
            assert_eq!(two.truth, expected, "{name}, {answer:?}");
        }
    }
}

#[test]
fn a_witness_from_memory_or_of_unconfirmed_construction_says_what_it_would() {
    let knowledge = edited(
        "witnesses",
        &[
            (
                "finding = \"heel_line\"\nanswer = \"clear\"\ndecides = false\nprovenance = \"read\"",
                "finding = \"heel_line\"\nanswer = \"clear\"\ndecides = false\nprovenance = \"unconfirmed\"",
            ),
            (
                "finding = \"pain_navicular\"\nanswer = \"pressed|itself\"\ndecides = false\nprovenance = \"read\"",
                "finding = \"pain_navicular\"\nanswer = \"pressed|itself\"\ndecides = false\nprovenance = \"unconfirmed\"",
            ),
            (
                "measure = \"tn_uncov\"\nabove = 40\ndecides = false\nprovenance = \"unconfirmed\"\nsources = [\"Raikin2012\"]",
                "measure = \"tn_uncov\"\nabove = 40\ndecides = false\nprovenance = \"abstract\"\nsources = [\"Thordarson2020\"]",
            ),
        ],
    );
    let foot = sound().and(&[("heel_line", "clear"), ("pain_navicular", "pressed")]);
    let report = foot.film("tn_uncov", 60.0, 1.0).report_with(&knowledge);
    for key in ["heel_valgus", "pain_medial", "tc_uncov_high"] {
        let c = report.criterion(key).unwrap();
        assert_eq!(
            (c.truth, c.would_be),
            (Truth::Unknown, Some(Truth::True)),
            "{key}"
        );
    }
    // That the pain is not there is no memory.
    assert_eq!(
        sound().report_with(&knowledge).truth("pain_medial"),
        Truth::False
    );
}

#[test]
fn a_stiff_subtalar_joint_speaks_against_a_flexible_heel_and_a_free_one_says_nothing() {
    for (corrects, subtalar, flexible) in [
        (None, Some("none"), Truth::False),
        (None, Some("free"), Truth::Unknown),
        (Some("fully"), Some("free"), Truth::True),
        (Some("fully"), Some("none"), Truth::Unknown),
        (Some("fully"), None, Truth::True),
        (Some("not"), Some("free"), Truth::False),
        (Some("partly"), Some("reduced"), Truth::Unknown),
    ] {
        let mut foot = Foot::with(&[("age_years", "50")]);
        for (key, answer) in [("heel_corrects", corrects), ("subtalar_motion", subtalar)] {
            if let Some(answer) = answer {
                foot.set(key, answer);
            }
        }
        let report = foot.report();
        let heel = report.criterion("heel_flexible").unwrap();
        assert_eq!(heel.truth, flexible, "{corrects:?} {subtalar:?}");
        assert!(heel.reasons.iter().all(|r| !r.is_empty()));
    }
}
