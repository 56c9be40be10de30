//! What stands on the paper: every sentence from recorded facts, and nothing else.
//!
//! Set `BLESS=1` to write the golden texts anew after a change that is meant; read the difference first.

mod common;

use common::golden::golden;
use common::{Visit, adult, child, visit};
use exam::{Found, Measured};
use letter::Block;
use letter::compose::{
    Composed, MeasuredOn, break_in_sheet, order_sheet, patient_letter, reading_sheet,
    referrer_letter,
};
use terms::{Side, Stance};

fn all_papers(visit: &Visit) -> Vec<Composed> {
    let facts = visit.letter_facts();
    let mut out = vec![referrer_letter(&facts), patient_letter(&facts)];
    out.extend((0..visit.sheets.len()).map(|i| reading_sheet(&visit.sheet_facts(i))));
    out
}

#[test]
fn an_adult_with_a_heel_that_still_corrects_gets_these_words() {
    let visit = adult();
    golden("adult-referrer", &referrer_letter(&visit.letter_facts()));
    golden("adult-patient", &patient_letter(&visit.letter_facts()));
    golden("adult-sheet", &reading_sheet(&visit.sheet_facts(0)));
}

#[test]
fn a_child_whose_flat_feet_hurt_after_sport_gets_these_words() {
    let visit = child();
    golden("child-referrer", &referrer_letter(&visit.letter_facts()));
    golden("child-patient", &patient_letter(&visit.letter_facts()));
}

#[test]
fn the_golden_cases_are_what_their_names_say() {
    let adult = adult();
    let tendon = adult.feet[0].report.tendon.as_ref().unwrap();
    assert!(tendon.holding().contains(&"II"), "{}", tendon.headline);
    let child = child();
    let light = child.feet[0].report.traffic_light.as_ref().unwrap();
    assert_eq!(light.holding(), ["amber"], "{}", light.headline);
}

#[test]
fn a_visit_at_which_nothing_was_looked_at_finds_nothing() {
    let empty = visit(&[], &[(Side::Left, &[]), (Side::Right, &[])], &[], &[]);
    let text = referrer_letter(&empty.letter_facts()).document.text();
    assert!(text.contains("No story is recorded."), "{text}");
    assert!(
        text.contains("Both feet alike. No finding is recorded."),
        "{text}"
    );
    assert!(text.contains("No film was read at this visit."), "{text}");
    assert!(!text.contains("Found:"), "{text}");
    assert!(!text.contains("| yes |"), "{text}");
    let plain = patient_letter(&empty.letter_facts()).document.text();
    assert!(
        plain.contains("Both of your feet are alike: nothing is written down from this visit."),
        "{plain}"
    );
    assert!(plain.contains("We cannot yet say whether"), "{plain}");
    assert!(!plain.contains("stage I"), "{plain}");
}

/// Each question is left out once; its words may then stand among what was not looked at, and nowhere
/// with an answer.
#[test]
fn a_finding_that_was_not_recorded_is_never_told_as_found() {
    for left_out in common::ADULT_LEFT.iter().map(|(k, _)| *k) {
        let answers: Vec<(&str, &str)> = common::ADULT_LEFT
            .iter()
            .copied()
            .filter(|(k, _)| *k != left_out)
            .collect();
        let visit = visit(common::ADULT, &[(Side::Left, &answers)], &[], &[]);
        let question = exam::question(left_out).unwrap();
        let facts = visit.letter_facts();
        let letter = referrer_letter(&facts).document;
        for block in &letter.blocks {
            let letter::Block::Table { header, rows, .. } = block else {
                continue;
            };
            if header.first().is_some_and(|h| h == "Looked at") {
                let told = rows
                    .iter()
                    .any(|r| r.first().is_some_and(|w| w == question.words));
                assert!(!told, "{left_out}: {rows:?}");
            }
        }
        let criteria = &visit.feet[0].report.criteria;
        for open in criteria.iter().filter(|c| c.truth == stage::Truth::Unknown) {
            let capital: String = open
                .words
                .chars()
                .take(1)
                .flat_map(char::to_uppercase)
                .collect();
            let told = format!(
                "{capital}{} | yes",
                open.words.chars().skip(1).collect::<String>()
            );
            assert!(!letter.text().contains(&told), "{left_out}: {told}");
        }
    }
}

#[test]
fn an_alarm_comes_before_everything_else_and_no_step_is_told_as_planned() {
    let mut answers = common::ADULT.to_vec();
    answers.retain(|(k, _)| *k != "sudden_collapse");
    answers.push(("sudden_collapse", "yes"));
    let visit = visit(
        &answers,
        &[(Side::Left, common::ADULT_LEFT)],
        &[],
        &["orthosis"],
    );
    let facts = visit.letter_facts();
    for paper in [referrer_letter(&facts), patient_letter(&facts)] {
        let first = paper.document.blocks.first();
        assert!(
            matches!(
                first,
                Some(letter::Block::Notice {
                    notice: letter::Notice::Alarm,
                    ..
                })
            ),
            "{first:?}"
        );
    }
    let text = referrer_letter(&facts).document.text();
    assert!(
        text.contains("No plan for the left foot rests on a stage"),
        "{text}"
    );
    assert!(text.contains("the ladder did not propose it"), "{text}");
}

#[test]
fn every_figure_has_words_and_its_picture() {
    for visit in [adult(), child()] {
        for paper in all_papers(&visit) {
            let figures = paper.document.figures();
            assert!(!figures.is_empty() || paper.document.title.contains("Dorsoplantar"));
            for (picture, alt, _) in figures {
                assert!(alt.len() > 40, "{picture}: {alt}");
                assert!(paper.pictures.contains_key(picture), "{picture}");
            }
        }
    }
}

#[test]
fn the_words_of_the_film_hold_its_readings() {
    let visit = adult();
    let sheet = reading_sheet(&visit.sheet_facts(0));
    let figures = sheet.document.figures();
    let film = figures
        .iter()
        .find(|(name, ..)| *name == "film.png")
        .unwrap();
    for reading in &visit.sheets[0].1.readings {
        let value = format!(
            "{:.*}",
            reading.estimate.unit.decimals(),
            reading.estimate.value
        );
        assert!(
            film.1.contains(&value.replace('-', "−")),
            "{value} in {}",
            film.1
        );
    }
}

#[test]
fn a_film_not_taken_standing_is_marked_on_every_paper() {
    for stance in [Stance::NotStanding, Stance::Unknown] {
        let mut visit = adult();
        for (_, sheet) in &mut visit.sheets {
            sheet.stance = stance;
            sheet.readings.iter_mut().for_each(|r| r.stance = stance);
        }
        for paper in all_papers(&visit) {
            let text = paper.document.text().to_lowercase();
            assert!(
                text.contains("taken standing") && text.contains("not "),
                "{text}"
            );
        }
        let plain = patient_letter(&visit.letter_facts()).document.text();
        assert!(!plain.contains("published as usual"), "{plain}");
    }
}

#[test]
fn cautions_stand_on_every_paper() {
    for paper in all_papers(&adult()) {
        let text = paper.document.text();
        assert!(text.contains("Not a certified medical device"), "{text}");
        assert!(text.contains("The clinician decides"), "{text}");
        assert!(text.contains("local codes"), "{text}");
    }
}

#[test]
fn what_is_known_from_memory_keeps_its_letter() {
    let visit = adult();
    let text = referrer_letter(&visit.letter_facts()).document.text();
    for source in visit.feet[0]
        .proposal
        .rungs
        .iter()
        .filter(|r| visit.feet[0].chosen.contains(&r.key))
        .flat_map(|r| r.cautions.iter().map(|c| &c.source))
    {
        let mark = format!("[{} {}]", source.key, source.letter);
        assert!(text.contains(&mark), "{mark}");
    }
}

#[test]
fn a_patient_letter_keeps_its_sentences_short() {
    for visit in [adult(), child()] {
        let text = patient_letter(&visit.letter_facts()).document.text();
        let long: Vec<&str> = text
            .lines()
            .filter(|l| !l.starts_with("[figure]"))
            .flat_map(|l| l.split(['.', ';', ':', '/']))
            .filter(|s| s.split_whitespace().count() > 28)
            .collect();
        assert!(long.is_empty(), "{long:?}");
    }
}

/// The letter's text before its record.
fn proper(composed: &Composed) -> String {
    let text = composed.document.text();
    let record = "\n## Record of the visit\n";
    let (letter, _) = text.split_once(record).expect("a record");
    letter.to_owned()
}

#[test]
fn the_letter_itself_holds_every_caution_and_all_that_was_not_looked_at() {
    for visit in [adult(), child()] {
        let text = proper(&referrer_letter(&visit.letter_facts()));
        for foot in &visit.feet {
            let proposal = &foot.proposal;
            for rung in proposal
                .rungs
                .iter()
                .filter(|r| foot.chosen.contains(&r.key))
            {
                for caution in &rung.cautions {
                    // The first letter may have become small behind the step's title.
                    let (_, rest) = caution.words.split_at(1);
                    assert!(text.contains(rest), "{rest}\n{text}");
                }
                for check in &rung.checks {
                    if check.state == care::CheckState::NotRecorded {
                        assert!(text.contains(&check.words), "{}\n{text}", check.words);
                    }
                }
            }
            for key in proposal.not_recorded.iter().flat_map(|c| &c.ask) {
                let question = exam::question(key).unwrap();
                if question.sheet == exam::Sheet::Foot && foot.exam.get(key).is_none() {
                    let (_, rest) = question.words.split_at(1);
                    assert!(text.contains(rest), "{key}\n{text}");
                }
            }
        }
        assert!(text.contains("Send back without waiting"), "{text}");
    }
}

#[test]
fn an_alarm_and_what_is_not_cleared_stand_in_the_letter_itself() {
    let mut answers = common::ADULT.to_vec();
    answers.retain(|(k, _)| *k != "mass" && *k != "fever");
    answers.push(("mass", "yes"));
    answers.push(("fever", "yes"));
    let visit = visit(&answers, &[(Side::Left, common::ADULT_LEFT)], &[], &[]);
    let text = proper(&referrer_letter(&visit.letter_facts()));
    let report = &visit.feet[0].report;
    assert!(!report.red_flags.is_empty());
    for flag in report.red_flags.iter().chain(&report.not_cleared) {
        assert!(text.contains(&flag.words), "{}\n{text}", flag.words);
    }
}

#[test]
fn no_number_on_any_paper_has_more_decimals_than_its_unit_or_a_hyphen_for_a_minus() {
    for visit in [adult(), child()] {
        for paper in all_papers(&visit) {
            for line in paper.document.text().lines() {
                for word in line.split([' ', '(', ')']) {
                    let decimals = word.split_once('.').map_or(0, |(_, rest)| {
                        rest.chars().take_while(char::is_ascii_digit).count()
                    });
                    assert!(decimals <= 3, "{word} in {line}");
                    let digit = word.chars().nth(1).is_some_and(|c| c.is_ascii_digit());
                    assert!(!(word.starts_with('-') && digit), "{word} in {line}");
                }
            }
        }
    }
}

#[test]
fn what_limits_the_stage_is_told_in_the_letter_itself() {
    let answers: Vec<(&str, &str)> = common::ADULT
        .iter()
        .copied()
        .filter(|(k, _)| *k != "age_years")
        .collect();
    let visit = visit(&answers, &[(Side::Left, common::ADULT_LEFT)], &[], &[]);
    let text = proper(&referrer_letter(&visit.letter_facts()));
    assert!(text.contains("Age is not recorded"), "{text}");
}

#[test]
fn a_source_named_in_a_reason_is_not_named_again_below_it() {
    let letter = referrer_letter(&adult().letter_facts()).document;
    let mut seen = 0;
    for block in &letter.blocks {
        let letter::Block::Table { header, rows, .. } = block else {
            continue;
        };
        if header[0] != "Criterion" {
            continue;
        }
        for why in rows.iter().map(|r| &r[2]) {
            let Some((said, mark)) = why.rsplit_once("\n[") else {
                continue;
            };
            for source in mark.trim_end_matches(']').split(", ") {
                assert!(!said.contains(&format!("({source})")), "{why}");
                seen += 1;
            }
        }
    }
    assert!(seen > 5, "{seen}");
}

#[test]
fn a_patient_letter_can_be_read_after_six_or_seven_years_of_school() {
    for visit in [adult(), child()] {
        let text = patient_letter(&visit.letter_facts()).document.text();
        let said: String = text
            .lines()
            .skip_while(|l| !l.starts_with("## "))
            .filter(|l| !l.starts_with("[figure]") && !l.starts_with("-- "))
            .collect::<Vec<_>>()
            .join(". ");
        let words = said.split_whitespace().count();
        assert!(words > 150, "{said}");
        let long = said
            .split_whitespace()
            .filter(|w| w.chars().filter(|c| c.is_alphabetic()).count() > 11)
            .count();
        // One word in thirty at most is a long one.
        assert!(long * 30 <= words, "{long} of {words}: {said}");
    }
}

#[test]
fn an_order_and_its_break_in_sheet_have_these_words() {
    let order = common::order::usual();
    golden("order", &order_sheet(&order.facts()));
    golden(
        "break-in",
        &break_in_sheet(&common::order::break_in(&order.practice)),
    );
}

#[test]
fn every_value_of_a_prescription_stands_on_its_order() {
    let order = common::order::everything();
    let text = order_sheet(&order.facts()).document.text();
    for said in [
        "Inversion of the rearfoot | 5°, about an axis rising 42° and turned inward 16°",
        "Forefoot balance | 2°, outer side raised",
        "Arch fill | minimal",
        "Medial heel skive, depth | 4 mm, inner half only",
        "Medial heel skive, angle | 15°",
        "Heel expansion, both sides together | 3 mm",
        "Plantar-fascia groove | 2 mm deep, 12 mm wide",
        "Navicular relief | 2 mm deep, radius 16 mm, 2 mm forward",
        "First-ray cut-out | yes",
        "Thickness at the arch | 3.6 mm",
        "Thickness elsewhere | 3 mm",
        "Heel cup, depth | 20 mm",
        "Front edge behind the metatarsal heads | 8 mm",
        "Inner rim at the navicular | flange, 30 mm",
        "Outer rim at the navicular | flange, 14 mm",
        "Trim line moved at station 0.8 | 3 mm inward",
        "Rounding of every free edge | 1.2 mm",
        "Angle | 4°, inner side raised",
        "Length from the rear edge | 62 mm",
        "Bevel of its sides | 12°",
        "Heel lift | 0 mm",
        "Made as | a solid of its own",
        "Angle | 3°, inner side raised",
        "Length from the front edge | 22 mm",
        "Made as | one piece with the shell",
        "Width at the heel | 72 mm",
        "Width at the ball | 100 mm",
        "Height over the toes | 32 mm",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    assert!(!text.contains("Not asked for"), "{text}");
    let plain = common::order::usual();
    let text = order_sheet(&plain.facts()).document.text();
    assert!(
        text.contains("Not asked for: inversion of the rearfoot, forefoot balance, heel expansion, plantar-fascia groove, navicular relief, first-ray cut-out and forefoot post."),
        "{text}"
    );
}

/// A name that the measuring of the file changes would move its row from its place to the end.
#[test]
fn what_was_asked_for_and_measured_stands_in_one_row() {
    for order in [common::order::usual(), common::order::everything()] {
        let composed = order_sheet(&order.facts());
        let Some(Block::Columns { left, .. }) = composed
            .document
            .blocks
            .iter()
            .find(|b| matches!(b, Block::Columns { .. }))
        else {
            panic!("no columns");
        };
        let Block::Table { rows, .. } = &left[0] else {
            panic!("no table");
        };
        let end = rows.iter().position(|r| r[0] == "As it comes out").unwrap();
        for row in &rows[end + 1..] {
            assert_eq!(row[1], "–", "{row:?}");
        }
        let asked = order.found.iter().filter(|d| d.asked.is_some()).count();
        assert!(asked >= 5, "{asked}");
        let beside = rows[..end].iter().filter(|r| {
            r.len() == 3 && !["–", "in the surface", "not measured"].contains(&r[2].as_str())
        });
        assert!(beside.count() >= asked);
    }
}

#[test]
fn a_file_that_is_not_as_asked_for_is_told_first_and_in_its_row() {
    let mut order = common::order::usual();
    let text = order_sheet(&order.facts()).document.text();
    for d in &mut order.found {
        if let Some(asked) = d.asked {
            d.found = asked;
        }
    }
    let kept = order_sheet(&order.facts()).document.text();
    assert!(
        !kept.contains("differs") || text.contains("differs"),
        "{kept}"
    );
    assert!(!kept.contains("not what was asked for"), "{kept}");
    let at = order
        .found
        .iter()
        .position(|d| d.what.contains("cup"))
        .unwrap();
    order.found[at].found += 0.34;
    let facts = order.facts();
    let composed = order_sheet(&facts);
    let text = composed.document.text();
    assert!(text.contains("14.34 mm, differs"), "{text}");
    let alarm = composed.document.blocks.iter().position(|b| {
        matches!(
            b,
            Block::Notice {
                notice: letter::Notice::Alarm,
                ..
            }
        )
    });
    let columns = composed
        .document
        .blocks
        .iter()
        .position(|b| matches!(b, Block::Columns { .. }));
    assert!(alarm < columns && alarm.is_some());
    assert!(text.contains("asked for 14 mm."), "{text}");
}

#[test]
fn an_order_without_its_parts_says_what_is_missing() {
    let order = common::order::usual();
    let mut facts = order.facts();
    facts.found = &[];
    facts.strength = None;
    facts.files.clear();
    facts.drawings = &[];
    facts.patient_code = Some("  ");
    facts.invented = false;
    facts.bodies[0].mass_g = None;
    let composed = order_sheet(&facts);
    let text = composed.document.text();
    for said in [
        "Heel cup, depth | 14 mm | not measured",
        "Strength not computed",
        "No file goes with this sheet",
        "Patient’s code: not recorded",
        "| not known",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    assert!(!text.contains("Invented") && !text.contains("As it comes out"));
    assert!(composed.pictures.is_empty());
    assert!(
        order_sheet(&order.facts())
            .document
            .text()
            .contains("Invented data")
    );
    let mut sheet = common::order::break_in(&order.practice);
    assert!(
        break_in_sheet(&sheet)
            .document
            .text()
            .contains("Invented data")
    );
    sheet.invented = false;
    assert!(
        !break_in_sheet(&sheet)
            .document
            .text()
            .contains("Invented data")
    );
}

#[test]
fn a_safety_below_the_wanted_one_says_so() {
    let order = common::order::usual();
    let mut facts = order.facts();
    let text = order_sheet(&facts).document.text();
    assert!(text.contains("1.3 (1.2–1.4), below 1.5"), "{text}");
    if let Some(strength) = &mut facts.strength {
        strength.wanted_safety = Some(1.0);
    }
    assert!(!order_sheet(&facts).document.text().contains("below"));
}

#[test]
fn a_brace_is_called_by_its_plain_and_its_trade_name_in_both_languages() {
    let practice = vec!["Example Foot Practice (invented)".to_owned()];
    for (language, said) in [
        (
            letter::Language::English,
            [
                "# Getting used to your new brace",
                "Device: stiff ankle brace (solid ankle-foot orthosis)",
                "Take it off, do not wear it again",
            ],
        ),
        (
            letter::Language::Spanish,
            [
                "# Acostumbrarse a su nueva férula",
                "Aparato: férula de tobillo rígida (ortesis rígida de tobillo y pie)",
                "Quítela, no la lleve más",
            ],
        ),
    ] {
        let sheet = letter::BreakInFacts {
            words: letter::Words::of(language),
            kind: letter::BreakInKind::SolidAfo,
            ..common::order::break_in(&practice)
        };
        let text = break_in_sheet(&sheet).document.text();
        for said in said {
            assert!(text.contains(said), "{said}\n{text}");
        }
    }
}

#[test]
fn a_child_with_both_feet_gets_a_sheet_for_whoever_looks_after_it() {
    let practice = vec!["Example Foot Practice (invented)".to_owned()];
    let sheet = letter::BreakInFacts {
        child: true,
        sides: &[Side::Left, Side::Right],
        feeling_lost: None,
        next_visit: None,
        ..common::order::break_in(&practice)
    };
    let text = break_in_sheet(&sheet).document.text();
    for said in [
        "# Getting used to your child’s new insoles",
        "Your child’s feet need time",
        "Each time your child takes it off",
        "It does not build an arch.",
        "We have not written down how well the feet feel.",
        "No date is written down.",
        "Feet: left and right",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
}

/// What was measured on an invented photograph, clip and print, as an examination takes it.
fn measured_visit() -> Visit {
    let mut visit = adult();
    let number = |number: f64, standard_error: f64, on: &str| Measured {
        found: Found::Number {
            number,
            standard_error,
        },
        on: on.to_owned(),
        revision: 1,
    };
    let exam = &mut visit.feet[0].exam;
    exam.measure("heel_angle_deg", number(9.52, 0.7, "a"))
        .unwrap();
    exam.measure("heel_rise_count", number(3.0, 0.0, "b"))
        .unwrap();
    exam.measure("arch_index_standing", number(0.2871, 0.0042, "c"))
        .unwrap();
    exam.measure("navicular_drop_mm", number(11.24, 1.1, "z"))
        .unwrap();
    let turns = Measured {
        found: Found::Choice {
            choice: "no".into(),
            probability: 0.968,
        },
        on: "b".into(),
        revision: 2,
    };
    exam.measure("heel_rise_turns_in", turns).unwrap();
    visit.measured_on = vec![
        ("a".into(), MeasuredOn::Photograph),
        ("b".into(), MeasuredOn::Clip),
        ("c".into(), MeasuredOn::Print),
    ];
    visit
}

#[test]
fn what_was_measured_is_told_with_its_error_and_on_what_in_both_languages() {
    let mut visit = measured_visit();
    let text = referrer_letter(&visit.letter_facts()).document.text();
    for wanted in [
        "the heel is clearly outwards (9.5° ± 1.4°, measured on a photograph)",
        "9.5° ± 1.4° (measured on a photograph)",
        "3 rises (measured on a clip)",
        "0.287 ± 0.008 (measured on a print)",
        // Nobody says on what: told as measured, and no more.
        "11.2 mm ± 2.2 mm (measured)",
        "(measured on a clip, probability 97 %)",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    visit.words = letter::Words::of(letter::Language::Spanish);
    let text = referrer_letter(&visit.letter_facts()).document.text();
    for wanted in [
        "9,5° ± 1,4° (medido en una fotografía)",
        "0,287 ± 0,008 (medido en una huella)",
        "11,2 mm ± 2,2 mm (medido)",
        "(medido en un vídeo, probabilidad 97 %)",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
}

#[test]
fn a_value_that_the_clinician_wrote_over_a_measured_one_is_told_beside_it_in_both_languages() {
    let mut visit = measured_visit();
    let exam = &mut visit.feet[0].exam;
    for (key, text) in [
        ("heel_angle_deg", "12"),
        ("heel_rise_turns_in", "yes"),
        ("arch_index_standing", "0.31"),
    ] {
        exam.set(key, text).unwrap();
    }
    let text = referrer_letter(&visit.letter_facts()).document.text();
    for wanted in [
        "12° (measured 9.5° ± 1.4°; the clinician's value is used)",
        "0.31 (measured 0.287 ± 0.008; the clinician's value is used)",
        "yes (measured: no, probability 97 %; the clinician's answer is used)",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert!(!text.contains("measured on a photograph"), "{text}");
    visit.words = letter::Words::of(letter::Language::Spanish);
    let text = referrer_letter(&visit.letter_facts()).document.text();
    for wanted in [
        "12° (medido 9,5° ± 1,4°; vale el valor del clínico)",
        "sí (medido: no, probabilidad 97 %; vale la respuesta del clínico)",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
}
