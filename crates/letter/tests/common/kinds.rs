//! Every kind of paper of one invented visit, with everything that may be recorded beside it.

use super::Visit;
use letter::compose::{
    self, ChangeLine, ChildFacts, Composed, Given, LegMeasures, LegSide, ProgrammeLine, Told,
    Verdict,
};
use letter::{Further, LetterFacts};
use quantity::Unit;
use terms::Side;

/// Invented facts of every sort.
pub fn further(child: bool) -> Further<'static> {
    Further {
        child: ChildFacts {
            accompanied_by: child.then_some("Q7-mother"),
            consent: child.then_some("Q7-agreed-to-film-and-therapy"),
        },
        given: vec![
            Given {
                what: "Q7-ready-made-insert",
                side: Some(Side::Left),
                began: Some("1 May 2026"),
                ended: Some("12 June 2026"),
                result: Some("Q7-little-gain"),
            },
            Given {
                what: "Q7-rest",
                side: None,
                began: None,
                ended: None,
                result: None,
            },
        ],
        change: [
            (Verdict::Changed, Some(4.2), None),
            (Verdict::NoChangeShown, Some(-0.4), None),
            (
                Verdict::CannotTell,
                None,
                Some("Q7-another-way-of-measuring"),
            ),
        ]
        .into_iter()
        .map(|(verdict, by, why)| ChangeLine {
            measure: "Q7-slope",
            side: Some(Side::Left),
            from: 14.2,
            to: 18.4,
            unit: Unit::Degree,
            since: "24 May 2026",
            verdict,
            by,
            smallest: Some(3.1),
            why,
        })
        .collect(),
        programme: vec![
            ProgrammeLine {
                exercise: "band-in-and-down",
                side: Some(Side::Left),
                sets: Some(3),
                repetitions: Some(15),
                times_a_day: Some(2),
                hold_s: None,
                load: Some("Q7-band"),
            },
            ProgrammeLine {
                exercise: "calf-stretch",
                sets: Some(3),
                hold_s: Some(30),
                times_a_day: Some(2),
                ..ProgrammeLine::default()
            },
            ProgrammeLine {
                exercise: "heel-rise",
                side: Some(Side::Left),
                repetitions: Some(1),
                times_a_day: Some(3),
                ..ProgrammeLine::default()
            },
            ProgrammeLine {
                exercise: "toe-walk",
                ..ProgrammeLine::default()
            },
        ],
        goals: vec!["Q7-ten-stairs-without-pain"],
        not_to_do: vec![
            ("Q7-no-jumping", "Q7-the-tendon-is-sore"),
            ("Q7-no-runs", ""),
        ],
        question: Some("Q7-is-this-the-time-to-operate"),
        legs: LegMeasures {
            left: LegSide {
                foot_length_mm: Some(252.5),
                ankle_girth_mm: Some(231.0),
                ..LegSide::default()
            },
            right: LegSide::default(),
        },
        order: Some("Q7-a-hinged-brace-for-the-side-named"),
        told: Some(Told {
            reason: Some("Q7-sore-feet"),
            can: vec!["Q7-sit-and-walk-indoors"],
            cannot: vec!["Q7-run"],
            needs: vec!["Q7-a-chair"],
            until: Some("6 January 2027"),
            agreed: Some("Q7-person"),
        }),
    }
}

/// Name and paper of every kind that can be written about a visit.
pub fn letters(facts: &LetterFacts<'_>) -> Vec<(&'static str, Composed)> {
    vec![
        ("referrer", compose::referrer_letter(facts)),
        ("patient", compose::patient_letter(facts)),
        ("parents", compose::parents_letter(facts)),
        ("therapist", compose::therapist_letter(facts)),
        ("surgeon", compose::surgeon_letter(facts)),
        ("lab", compose::lab_letter(facts)),
        ("school", compose::school_note(facts)),
        ("employer", compose::employer_note(facts)),
        ("home", compose::home_sheet(facts)),
    ]
}

/// The same and the sheets: of the first film, of an order, of getting used to a device.
pub fn papers(visit: &Visit, further: Further<'static>) -> Vec<(&'static str, Composed)> {
    let mut facts = visit.letter_facts();
    facts.further = further;
    let mut out = letters(&facts);
    if !visit.sheets.is_empty() {
        out.push(("sheet", compose::reading_sheet(&visit.sheet_facts(0))));
    }
    out.push((
        "break-in",
        compose::break_in_sheet(&letter::BreakInFacts {
            words: visit.words,
            ..super::order::break_in(&visit.practice)
        }),
    ));
    out
}

/// Kinds whose every word has to be there in every language.
pub const WHOLE: [&str; 7] = [
    "patient",
    "parents",
    "therapist",
    "school",
    "employer",
    "home",
    "break-in",
];
