//! The kinds of letter beyond those to doctor and patient, in both languages: their words, what they never tell,
//! and how easily a lay reader reads them.

mod common;
#[path = "../src/compose/reading_age.rs"]
mod reading_age;

use common::golden::golden;
use common::{adult, child, kinds, visit};
use letter::compose::{
    Composed, employer_note, home_sheet, lab_letter, parents_letter, patient_letter,
    referrer_letter, school_note, surgeon_letter, therapist_letter,
};
use letter::{Block, Further, Language, Words};
use terms::Side;

/// The words that are read in running text, without names, pictures and the foot of the page.
fn read(composed: &Composed) -> String {
    fn walk(blocks: &[Block], out: &mut Vec<String>) {
        for block in blocks {
            match block {
                Block::Paragraph { text } | Block::Small { text } => out.push(text.clone()),
                Block::List { items } => out.extend(items.iter().cloned()),
                // The lines of a notice are one sentence behind its title, or sentences of their own.
                Block::Notice { title, lines, .. } => {
                    out.push(format!("{title}: {}", lines.join(" ")));
                }
                Block::Pairs { rows, .. } => {
                    out.extend(rows.iter().map(|(_, said)| said.replace('\n', " ")));
                }
                Block::Columns { left, right, .. } => {
                    walk(left, out);
                    walk(right, out);
                }
                _ => {}
            }
        }
    }
    let mut out = Vec::new();
    walk(&composed.document.blocks, &mut out);
    out.join(". ").replace("..", ".")
}

/// What patients and parents read: the letters of both demo cases and the sheet of exercises.
fn for_lay_readers(language: Language) -> Vec<(&'static str, Composed)> {
    let mut out = Vec::new();
    for (mut visit, is_child) in [(adult(), false), (child(), true)] {
        visit.words = Words::of(language);
        let mut facts = visit.letter_facts();
        facts.further.change = kinds::further(is_child).change;
        if is_child {
            out.push(("parents", parents_letter(&facts)));
        } else {
            out.push(("patient", patient_letter(&facts)));
        }
        facts.further.care = kinds::further(is_child).care;
        out.push(("home", home_sheet(&facts)));
    }
    out
}

#[test]
fn a_letter_to_a_patient_asks_for_seven_years_of_school_at_most() {
    for (kind, composed) in for_lay_readers(Language::English) {
        let grade = reading_age::school_grade(&read(&composed));
        println!("{kind}: grade {grade:.1}");
        assert!(grade <= 7.0, "{kind}: {grade}");
    }
}

/// 60 to 70 is called usual, 70 to 80 fairly easy.
#[test]
fn a_letter_to_a_patient_is_fairly_easy_in_spanish_too() {
    for (kind, composed) in for_lay_readers(Language::Spanish) {
        let ease = reading_age::spanish_ease(&read(&composed));
        println!("{kind}: ease {ease:.0}");
        assert!(ease >= 70.0, "{kind}: {ease}");
    }
}

#[test]
fn every_other_kind_of_letter_has_these_words() {
    let mut visit = adult();
    for (tag, language) in [("en", Language::English), ("es", Language::Spanish)] {
        visit.words = Words::of(language);
        let mut facts = visit.letter_facts();
        facts.further = kinds::further(false);
        for (kind, composed) in [
            ("therapist", therapist_letter(&facts)),
            ("surgeon", surgeon_letter(&facts)),
            ("lab", lab_letter(&facts)),
            ("employer", employer_note(&facts)),
            ("home", home_sheet(&facts)),
        ] {
            golden(&format!("adult-{kind}-{tag}"), &composed);
        }
    }
    golden("adult-patient-es", &patient_letter(&visit.letter_facts()));
    golden("adult-referrer-es", &referrer_letter(&visit.letter_facts()));
    let mut child = child();
    child.words = Words::of(Language::Spanish);
    let mut facts = child.letter_facts();
    facts.further = kinds::further(true);
    golden("child-parents-es", &parents_letter(&facts));
    golden("child-school-es", &school_note(&facts));
}

/// Without anything recorded beside the visit no section of it is made up.
#[test]
fn what_is_not_recorded_beside_a_visit_is_absent_or_said_to_be_missing() {
    let empty = visit(&[], &[(Side::Left, &[])], &[], &[]);
    let facts = empty.letter_facts();
    let text = |composed: Composed| composed.document.text();
    let therapist = text(therapist_letter(&facts));
    for said in [
        "No goal is recorded.",
        "No finding is recorded.",
        "the stage is not settled",
        "Nothing is recorded that must not be done.",
    ] {
        assert!(therapist.contains(said), "{said}\n{therapist}");
    }
    assert!(!therapist.contains("rounds") && !therapist.contains("What was tried"));
    let surgeon = text(surgeon_letter(&facts));
    for said in [
        "No question is written down.",
        "What was tried before is not recorded.",
        "Steroid injections at this ankle so far: not recorded.",
        "Not recorded: nicotine; diabetes;",
    ] {
        assert!(surgeon.contains(said), "{said}\n{surgeon}");
    }
    assert!(!surgeon.contains("Change over time") && !surgeon.contains("On record:"));
    let lab = text(lab_letter(&facts));
    assert!(lab.contains("No order is written down"), "{lab}");
    assert!(
        lab.contains("No leg is measured") && !lab.contains("Round the ankle"),
        "{lab}"
    );
    let home = text(home_sheet(&facts));
    assert!(home.contains("No exercises are written down."), "{home}");
    assert!(!home.contains("[figure]") && !home.contains("Day 1"));
    let parents = text(parents_letter(&facts));
    assert!(
        !parents.contains("came with") && !parents.contains("agreed"),
        "{parents}"
    );
}

/// A note tells what was agreed and nothing else: no finding, no stage, no chart number.
#[test]
fn a_note_for_a_school_or_an_employer_tells_nothing_that_was_not_agreed() {
    let visit = adult();
    let mut facts = visit.letter_facts();
    for compose in [school_note, employer_note] {
        facts.further = Further::default();
        let silent = compose(&facts).document;
        assert!(silent.text().contains("Nothing may be told yet"));
        for document in [silent, {
            facts.further = kinds::further(false);
            compose(&facts).document
        }] {
            let text = document.text();
            for kept_back in [
                "0042",
                "1968",
                "stage",
                "tendon",
                "heel",
                "pain",
                "Calm it",
                "24 November",
            ] {
                assert!(!text.contains(kept_back), "{kept_back}\n{text}");
            }
        }
        facts.further.told.as_mut().unwrap().reason = None;
        let text = compose(&facts).document.text();
        assert!(
            text.contains("No reason is given") && !text.contains("sore"),
            "{text}"
        );
        assert!(text.contains("This holds until 6 January 2027."), "{text}");
    }
}

#[test]
fn an_order_of_a_brace_has_no_name_and_no_day_of_birth() {
    let visit = adult();
    let text = lab_letter(&visit.letter_facts()).document.text();
    assert!(text.contains("Patient’s code: 0042"), "{text}");
    assert!(
        !text.contains("Sample Person") && !text.contains("1968"),
        "{text}"
    );
}

#[test]
fn a_step_that_was_not_chosen_brings_no_exercise_and_no_dose() {
    let visit = visit(
        common::ADULT,
        &[(Side::Left, common::ADULT_LEFT)],
        &[],
        &["calm"],
    );
    let facts = visit.letter_facts();
    let text = therapist_letter(&facts).document.text();
    assert!(text.contains("No programme is recorded."), "{text}");
    assert!(!text.contains("Turning in and down"), "{text}");
    assert!(
        home_sheet(&facts)
            .document
            .text()
            .contains("No exercises are written down.")
    );
}

#[test]
fn a_change_within_the_error_is_no_change() {
    let visit = adult();
    let mut facts = visit.letter_facts();
    facts.further = kinds::further(false);
    let text = surgeon_letter(&facts).document.text();
    for said in [
        "| 14.2° (24 May 2026) | 18.4° | Changed by 4.2°. / More than error from 3.1° on.",
        "No change shown: the difference is −0.4°. / More than error from 3.1° on.",
        "| Cannot be told. / The films show it from different sides.",
        "| 7 of 10 (24 May 2026) | 4 of 10 | Large enough to matter to people by all 2 sizes",
        "Large enough to matter to people by 1 of 2 published sizes.",
        "Smaller than every published size that matters to people.",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
}

#[test]
fn an_alarm_comes_first_in_every_letter_to_somebody_who_treats_or_is_treated() {
    let mut answers = common::ADULT.to_vec();
    answers.retain(|(k, _)| *k != "mass");
    answers.push(("mass", "yes"));
    let visit = visit(
        &answers,
        &[(Side::Left, common::ADULT_LEFT)],
        &[],
        &["therapy"],
    );
    let facts = visit.letter_facts();
    for compose in [
        therapist_letter,
        surgeon_letter,
        home_sheet,
        patient_letter,
        referrer_letter,
    ] {
        let first = compose(&facts).document.blocks.into_iter().next();
        let alarm = letter::Notice::Alarm;
        assert!(matches!(first, Some(Block::Notice { notice, .. }) if notice == alarm));
    }
}

#[test]
fn a_programme_without_amounts_leaves_the_usual_ones_and_one_with_amounts_takes_their_place() {
    let visit = adult();
    let mut facts = visit.letter_facts();
    let usual = "3 sets of 15";
    let mut bare = kinds::CARE.clone();
    for entry in &mut bare {
        entry.answers = exam::Given::new();
    }
    facts.further.care = &bare;
    assert!(therapist_letter(&facts).document.text().contains(usual));
    facts.further.care = &kinds::CARE;
    assert!(!therapist_letter(&facts).document.text().contains(usual));
}
