//! Every kind of paper of one invented visit, with everything that may be recorded beside it.

use super::Visit;
use care::log::{Entry, Kind};
use exam::{Given, Leg};
use letter::compose::{self, ChangeLine, ChildFacts, Compared, Composed, Legs, Told, Verdict};
use letter::{BreakInKind, Further, LetterFacts};
use quantity::Unit;
use std::sync::LazyLock;
use terms::{MeasureKey, Side};
use time::{Date, macros::date};

fn entry(
    id: &str,
    kind: Kind,
    side: Side,
    days: (Date, Option<Date>),
    answers: &[(&str, &str)],
) -> Entry {
    let mut given = Given::new();
    for (key, text) in answers {
        given.set(key, text).unwrap();
    }
    Entry {
        id: id.to_owned(),
        about: None,
        kind,
        side: Some(side),
        began: days.0,
        ended: days.1,
        answers: given,
    }
}

/// An invented log: a boot that was taken off, an injection, a programme that goes on, and a device with a check.
pub static CARE: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let (may, june) = (date!(2026 - 05 - 01), date!(2026 - 06 - 12));
    vec![
        entry(
            "boot",
            Kind::Boot,
            Side::Left,
            (may, Some(june)),
            &[("boot_kind", "walking_boot"), ("boot_weeks", "6")],
        ),
        entry(
            "injection",
            Kind::Injection,
            Side::Left,
            (june, None),
            &[
                ("injection_site", "sinus_tarsi"),
                ("injection_pain_before", "6"),
                ("injection_pain_after", "3"),
            ],
        ),
        entry(
            "device",
            Kind::Device,
            Side::Right,
            (june, None),
            &[("device_kind", "gauntlet"), ("device_hours", "10")],
        ),
        Entry {
            about: Some("device".into()),
            ..entry(
                "check",
                Kind::Check,
                Side::Right,
                (date!(2026 - 07 - 10), None),
                &[
                    ("check_hours", "6.5"),
                    ("check_skin", "red"),
                    ("check_outcome", "adjust"),
                ],
            )
        },
        entry(
            "therapy",
            Kind::Therapy,
            Side::Left,
            (june, None),
            &[
                ("therapy_phase", "build"),
                ("therapy_band_sets", "3"),
                ("therapy_band_repetitions", "15"),
                ("therapy_band_times", "2"),
                ("therapy_band_load", "2.5"),
                ("therapy_stretch_sets", "3"),
                ("therapy_stretch_seconds", "30"),
                ("therapy_stretch_times", "2"),
                ("therapy_rise_repetitions", "20"),
                ("therapy_toe_walk", "30"),
                ("therapy_pain_limit", "4"),
                ("therapy_words", "Q7-slowly-on-stairs"),
            ],
        ),
    ]
});

/// An invented leg, with a bone that has to be left free.
pub static LEG: LazyLock<Leg> = LazyLock::new(|| {
    let mut leg = Leg::new();
    for (key, text) in [
        ("leg_posture", "standing"),
        ("leg_time", "evening"),
        ("leg_foot_length", "252.5"),
        ("girth_ankle", "231"),
        ("height_ankle", "95"),
        ("height_navicular", "31"),
        ("relief_from_heel", "105"),
        ("relief_above_floor", "28"),
        ("relief_length", "26"),
        ("relief_height", "18"),
        ("relief_out", "7"),
        ("leg_skin", "thin"),
        ("leg_laces", "help"),
        ("leg_words", "Q7-lace-from-below"),
    ] {
        leg.set(key, text).unwrap();
    }
    leg
});

fn changes() -> Vec<ChangeLine> {
    let line = |verdict, by, smallest| ChangeLine {
        of: Compared::Reading(MeasureKey::new("meary_lat").unwrap()),
        side: Some(Side::Left),
        from: 14.2,
        to: 18.4,
        unit: Some(Unit::Degree),
        since: "24 May 2026".into(),
        verdict,
        by,
        smallest,
    };
    let pain = |by, of| ChangeLine {
        of: Compared::Question("pain_level"),
        unit: None,
        from: 7.0,
        to: 4.0,
        ..line(Verdict::Matters { by, of }, Some(-3.0), None)
    };
    vec![
        line(Verdict::Changed, Some(4.2), Some(3.1)),
        line(Verdict::NoChangeShown, Some(-0.4), Some(3.1)),
        line(
            Verdict::CannotTell(vec![
                "view",
                "stance",
                "worn",
                "method",
                "scale",
                "two-readers",
                "unknown-reader",
                "no-yard",
            ]),
            None,
            None,
        ),
        pain(2, 2),
        pain(1, 2),
        pain(0, 2),
        pain(0, 0),
    ]
}

/// Invented facts of every sort.
pub fn further(child: bool) -> Further<'static> {
    Further {
        child: ChildFacts {
            accompanied_by: child.then_some("Q7-mother"),
            consent: child.then_some("Q7-agreed-to-film-and-therapy"),
        },
        care: &CARE,
        change: changes(),
        goals: vec!["Q7-ten-stairs-without-pain"],
        not_to_do: vec![
            ("Q7-no-jumping", "Q7-the-tendon-is-sore"),
            ("Q7-no-runs", ""),
        ],
        question: Some("Q7-is-this-the-time-to-operate"),
        legs: Legs {
            left: Some(&LEG),
            right: None,
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
    for (name, kind) in [
        ("break-in", BreakInKind::FootOrthosis),
        ("break-in-hinged-afo", BreakInKind::HingedAfo),
        ("break-in-solid-afo", BreakInKind::SolidAfo),
        ("break-in-gauntlet", BreakInKind::Gauntlet),
    ] {
        out.push((
            name,
            compose::break_in_sheet(&letter::BreakInFacts {
                words: visit.words,
                kind,
                ..super::order::break_in(&visit.practice)
            }),
        ));
    }
    out
}

/// Kinds whose every word has to be there in every language.
pub const WHOLE: [&str; 10] = [
    "patient",
    "parents",
    "therapist",
    "school",
    "employer",
    "home",
    "break-in",
    "break-in-hinged-afo",
    "break-in-solid-afo",
    "break-in-gauntlet",
];
