//! Sheets keep what was said and refuse what was not asked.

use exam::{
    Answer, ExamError, Examination, Finding, Found, Kind, Measured, RedFlags, Sheet, Story, form,
    score,
};
use proptest::prelude::*;

#[test]
fn every_key_is_used_once_and_has_words_and_a_source() {
    let mut keys: Vec<&str> = form().iter().map(|q| q.key).collect();
    let count = keys.len();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), count);
    assert!(count > 120, "{count}");
    for q in form() {
        assert!(!q.words.is_empty() && !q.section.is_empty(), "{}", q.key);
        assert!(!q.sources.is_empty(), "{} names no source", q.key);
        assert!(
            q.key
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'),
            "{}",
            q.key
        );
        if let Kind::Number { min, max, .. } = q.kind {
            assert!(min < max, "{}", q.key);
        }
        if let Kind::Choice { choices } = q.kind {
            assert!(choices.len() >= 2, "{}", q.key);
        }
    }
}

#[test]
fn a_section_never_falls_apart() {
    for sheet in [
        Sheet::Foot,
        Sheet::Person,
        Sheet::Flags,
        Sheet::Leg,
        Sheet::Given,
    ] {
        let mut headings: Vec<&str> = exam::sections(sheet).into_iter().map(|(h, _)| h).collect();
        let count = headings.len();
        headings.sort_unstable();
        headings.dedup();
        assert_eq!(headings.len(), count, "{sheet:?}");
    }
}

#[test]
fn an_empty_sheet_knows_nothing() {
    let exam = Examination::new();
    for q in form().iter().filter(|q| q.sheet == Sheet::Foot) {
        assert_eq!(exam.get(q.key), None);
        assert_eq!(exam.number(q.key), Finding::NotLookedAt);
        assert_eq!(exam.choice(q.key), Finding::NotLookedAt);
    }
    assert_eq!(score::posture_total(&exam).exact(), None);
    assert_eq!(score::posture_total(&exam).words(), "not looked at");
}

#[test]
fn a_number_by_eye_is_seen_and_a_number_alone_is_measured() {
    let mut exam = Examination::new();
    for (text, finding) in [
        ("6", Finding::Measured(6.0)),
        ("6,5", Finding::Measured(6.5)),
        ("-3 deg", Finding::Measured(-3.0)),
        ("−3°", Finding::Measured(-3.0)),
        ("about 8", Finding::Seen(8.0)),
        ("~ 8", Finding::Seen(8.0)),
    ] {
        exam.set("heel_angle_deg", text).unwrap();
        assert_eq!(exam.number("heel_angle_deg"), finding, "{text}");
        let again = exam.text_of("heel_angle_deg").unwrap();
        exam.set("heel_angle_deg", &again).unwrap();
        assert_eq!(
            exam.number("heel_angle_deg"),
            finding,
            "{text} by way of {again}"
        );
    }
    exam.clear("heel_angle_deg").unwrap();
    assert_eq!(exam.number("heel_angle_deg"), Finding::NotLookedAt);
}

#[test]
fn every_refusal_is_one_sentence_and_keeps_the_earlier_answer() {
    let mut exam = Examination::new();
    exam.set("pain_level", "4").unwrap();
    exam.set("toes_seen", "3").unwrap();
    for (key, text, sentence) in [
        (
            "pain_level",
            "eleven",
            "found 'eleven' for 'Pain at its worst this week'; expected a number such as 5; write digits only or leave the question open",
        ),
        (
            "pain_level",
            "11",
            "found 11 for 'Pain at its worst this week'; expected 0 to 10 of 10; check the number and its unit",
        ),
        (
            "pain_level",
            "NaN",
            "found 'NaN' for 'Pain at its worst this week'; expected a number such as 5; write digits only or leave the question open",
        ),
        (
            "pain_level",
            "  ",
            "found nothing but spaces for 'Pain at its worst this week'; expected an answer; clear the question to leave it open",
        ),
        (
            "toes_seen",
            "2.5",
            "found 2.5 for 'Toes seen from behind on the outer side'; expected a whole number; round it or leave the question open",
        ),
        (
            "heel_corrects",
            "yes",
            "found 'yes' for 'Heel brought to neutral by hand'; expected one of fully, partly, not; choose one of them or leave the question open",
        ),
        (
            "fever",
            "yes",
            "found the question 'fever', which is not on the foot sheet; use a key that the form lists",
        ),
    ] {
        assert_eq!(exam.set(key, text).unwrap_err().to_string(), sentence);
    }
    assert_eq!(exam.number("pain_level"), Finding::Measured(4.0));
    assert_eq!(exam.number("toes_seen"), Finding::Measured(3.0));
    let long = "x".repeat(2001);
    assert!(matches!(
        exam.set("foot_remarks", &long),
        Err(ExamError::TooLong {
            found: 2001,
            max: 2000,
            ..
        })
    ));
}

#[test]
fn a_stored_sheet_comes_back_and_a_spoilt_one_is_refused() {
    let mut exam = Examination::new();
    exam.set("heel_line", "clear").unwrap();
    exam.set("heel_angle_deg", "about 9").unwrap();
    exam.set("foot_remarks", "calm today").unwrap();
    let json = serde_json::to_string(&exam).unwrap();
    assert_eq!(
        json,
        r#"{"format":"tiebeam-examination","version":1,"answers":{"foot_remarks":{"text":"calm today"},"heel_angle_deg":{"number":9.0,"by_eye":true},"heel_line":{"choice":"clear"}}}"#
    );
    assert_eq!(serde_json::from_str::<Examination>(&json).unwrap(), exam);
    for (from, to, sentence) in [
        (
            r#""clear""#,
            r#""sideways""#,
            "found 'sideways' for 'Heel seen from behind'",
        ),
        (
            r#""heel_line""#,
            r#""heel_lime""#,
            "found the question 'heel_lime', which is not on the foot sheet",
        ),
        (
            r#""version":1"#,
            r#""version":7"#,
            "found sheet version 7; expected 1 or earlier",
        ),
        (
            "tiebeam-examination",
            "tiebeam-story",
            "found the sheet format 'tiebeam-story'; expected 'tiebeam-examination'",
        ),
        (
            "9.0",
            "900.0",
            "found 900 for 'Heel angle, outwards plus'; expected -30 to 45 deg",
        ),
    ] {
        let error = serde_json::from_str::<Examination>(&json.replacen(from, to, 1))
            .unwrap_err()
            .to_string();
        assert!(error.starts_with(sentence), "{error}");
    }
}

#[test]
fn totals_have_bounds_until_every_item_is_answered() {
    let mut exam = Examination::new();
    exam.set("posture_heel", "+2").unwrap();
    exam.set("posture_arch", "-1").unwrap();
    let total = score::posture_total(&exam);
    assert_eq!((total.low, total.high, total.answered), (1 - 8, 1 + 8, 2));
    for key in score::POSTURE_ITEMS {
        exam.set(key, "+1").unwrap();
    }
    assert_eq!(score::posture_total(&exam).exact(), Some(6));

    let mut story = Story::new();
    for key in score::LAXITY_ITEMS {
        story.set(key, "yes").unwrap();
    }
    assert_eq!(score::laxity_total(&story).exact(), Some(9));
    story.clear("laxity_palms").unwrap();
    assert_eq!(
        score::laxity_total(&story).words(),
        "8 to 9 (1 of 9 items open)"
    );

    let mut flags = RedFlags::new();
    flags.set("dvt_calf", "yes").unwrap();
    flags.set("dvt_other_likely", "yes").unwrap();
    assert_eq!(score::clot_total(&flags).low, -1);
    assert_eq!(score::clot_total(&flags).high, 7);
}

#[test]
fn ratios_need_both_numbers() {
    let (mut this, mut other) = (Examination::new(), Examination::new());
    this.set("heel_rise_count", "0").unwrap();
    assert_eq!(score::heel_rise_side_ratio(&this, &other), None);
    other.set("heel_rise_count", "3").unwrap();
    assert_eq!(score::heel_rise_side_ratio(&this, &other), Some(0.0));
    assert_eq!(score::heel_rise_side_ratio(&other, &this), None);
    let mut story = Story::new();
    story.set("weight_kg", "81").unwrap();
    assert_eq!(score::body_mass_index(&story), None);
    story.set("height_cm", "180").unwrap();
    assert_eq!(score::body_mass_index(&story), Some(25.0));
}

fn any_answer() -> impl Strategy<Value = (usize, f64, usize, String)> {
    (0..form().len(), -50.0..400.0f64, 0..8usize, "\\PC{0,30}")
}

proptest! {
    /// Whatever is typed, a sheet either takes it and gives it back through JSON, or stays as it was.
    #[test]
    fn whatever_is_typed_is_kept_exactly_or_refused(entries in proptest::collection::vec(any_answer(), 0..60)) {
        let mut exam = Examination::new();
        for (at, number, choice, text) in entries {
            let q = &form()[at];
            let typed = match q.kind {
                Kind::Choice { choices } => choices[choice % choices.len()].key.to_owned(),
                Kind::Number { whole, .. } => if whole { format!("{}", number.round()) } else { format!("{number}") },
                Kind::Text { .. } => text.clone(),
            };
            for entry in [typed, text] {
                let before = exam.clone();
                match exam.set(q.key, &entry) {
                    Ok(()) => prop_assert!(exam.get(q.key).is_some()),
                    Err(e) => {
                        prop_assert_eq!(&exam, &before);
                        prop_assert!(!e.to_string().contains('\n'));
                    }
                }
            }
        }
        let json = serde_json::to_string(&exam).unwrap();
        prop_assert_eq!(&serde_json::from_str::<Examination>(&json).unwrap(), &exam);
        let known = exam.answered().filter(|(q, a)| matches!((q.kind, a), (Kind::Choice { .. }, Answer::Choice { .. }) | (Kind::Number { .. }, Answer::Number { .. }) | (Kind::Text { .. }, Answer::Text { .. }))).count();
        prop_assert_eq!(known, exam.len());
    }
}

#[test]
fn every_source_of_a_question_is_in_the_knowledge_folder() {
    for q in form() {
        for source in q.sources {
            let key = terms::SourceKey::new(*source).unwrap();
            assert!(
                knowledge::Knowledge::built_in().source(&key).is_some(),
                "{}: {source}",
                q.key
            );
        }
    }
}

fn heel_angle(number: f64) -> Measured {
    Measured {
        found: Found::Number {
            number,
            standard_error: 0.8,
        },
        on: "c-1".into(),
        revision: 2,
    }
}

#[test]
fn what_was_measured_becomes_the_answer_and_stays_beside_another_one() {
    let mut exam = Examination::new();
    exam.measure("heel_angle_deg", heel_angle(11.26)).unwrap();
    assert_eq!(exam.number("heel_angle_deg"), Finding::Measured(11.3));
    assert_eq!(exam.overruled("heel_angle_deg"), None);
    exam.set("heel_angle_deg", "11.3").unwrap();
    assert_eq!(exam.overruled("heel_angle_deg"), None);
    exam.set("heel_angle_deg", "about 9").unwrap();
    assert_eq!(exam.number("heel_angle_deg"), Finding::Seen(9.0));
    assert_eq!(exam.overruled("heel_angle_deg"), Some(&heel_angle(11.26)));
    let json = serde_json::to_string(&exam).unwrap();
    let back: Examination = serde_json::from_str(&json).unwrap();
    assert_eq!(back, exam);
    exam.clear("heel_angle_deg").unwrap();
    assert_eq!(exam.measured("heel_angle_deg"), None);
}

#[test]
fn a_measured_choice_is_measured_until_another_is_chosen() {
    let mut exam = Examination::new();
    let turns_in = Measured {
        found: Found::Choice {
            choice: "yes".into(),
            probability: 0.98,
        },
        on: "c-2".into(),
        revision: 1,
    };
    exam.measure("heel_rise_turns_in", turns_in.clone())
        .unwrap();
    assert_eq!(exam.choice("heel_rise_turns_in"), Finding::Measured("yes"));
    exam.set("heel_rise_turns_in", "no").unwrap();
    assert_eq!(exam.choice("heel_rise_turns_in"), Finding::Seen("no"));
    assert_eq!(exam.overruled("heel_rise_turns_in"), Some(&turns_in));
}

#[test]
fn what_cannot_be_an_answer_is_not_kept_as_measured() {
    let mut exam = Examination::new();
    assert!(exam.measure("heel_angle_deg", heel_angle(200.0)).is_err());
    assert!(
        exam.measure("heel_angle_deg", heel_angle(f64::NAN))
            .is_err()
    );
    assert!(exam.measure("no_such_question", heel_angle(1.0)).is_err());
    let bare = Measured {
        found: Found::Number {
            number: 5.0,
            standard_error: f64::INFINITY,
        },
        ..heel_angle(5.0)
    };
    assert!(exam.measure("heel_angle_deg", bare).is_err());
    assert!(exam.is_empty());
    let bad = r#"{"format":"tiebeam-examination","version":1,"answers":{},
        "measured":{"heel_angle_deg":{"found":{"number":200.0,"standard_error":1.0},"on":"c","revision":1}}}"#;
    assert!(serde_json::from_str::<Examination>(bad).is_err());
}

#[test]
fn a_sheet_without_measurements_is_stored_as_before() {
    let mut exam = Examination::new();
    exam.set("toes_seen", "3").unwrap();
    let json = serde_json::to_string(&exam).unwrap();
    assert!(!json.contains("measured"), "{json}");
}
