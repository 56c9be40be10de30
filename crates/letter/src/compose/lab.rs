//! To the maker of a brace: the order in words, and the sizes of both legs as a form.
//!
//! Goes by the practice's own number: no name and no day of birth stand on it. What was not measured says so.

use super::further::LegSide;
use super::referrer::{document, heading, paragraph, signature};
use super::{Composed, LetterFacts, findings, words};
use crate::document::{Block, Notice, Pictures};
use crate::words::say;
use quantity::written_short;
use terms::Side;

/// Sizes of a leg in the order in which they are taken, from the ground up.
fn sizes(leg: &LegSide) -> [(&'static str, Option<f64>); 10] {
    [
        ("leg-foot-length", leg.foot_length_mm),
        ("leg-ball-width", leg.ball_width_mm),
        ("leg-heel-width", leg.heel_width_mm),
        ("leg-instep-girth", leg.instep_girth_mm),
        ("leg-heel-instep-girth", leg.heel_instep_girth_mm),
        ("leg-ankle-girth", leg.ankle_girth_mm),
        ("leg-ankle-width", leg.ankle_width_mm),
        ("leg-calf-girth", leg.calf_girth_mm),
        ("leg-calf-height", leg.calf_height_mm),
        ("leg-knee-height", leg.knee_height_mm),
    ]
}

/// What a maker has to know of a foot before holding it.
const FOR_MAKING: [&str; 9] = [
    "heel_line",
    "heel_corrects",
    "forefoot_varus",
    "forefoot_varus_corrects",
    "subtalar_motion",
    "dorsiflexion_straight_deg",
    "swelling_leg",
    "skin_ulcer",
    "filament_great_toe",
];

pub fn lab_letter(facts: &LetterFacts<'_>) -> Composed {
    let w = facts.words;
    let mut blocks = vec![heading(say!(w, "heading-brace"))];
    match facts.further.order.map(str::trim).filter(|o| !o.is_empty()) {
        Some(order) => blocks.push(paragraph(words::sentence(order))),
        None => blocks.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "brace-no-order-title"),
            lines: vec![say!(w, "brace-no-order")],
        }),
    }
    blocks.push(for_making(facts));
    blocks.push(form(facts));
    blocks.push(Block::Small {
        text: say!(w, "legs-how"),
    });
    blocks.push(Block::Notice {
        notice: Notice::Caution,
        title: say!(w, "before-anything"),
        lines: vec![say!(w, "brace-caution"), say!(w, "clinician-decides")],
    });
    blocks.push(signature(facts));
    let mut document = document(facts, say!(w, "title-lab"), blocks);
    let code = words::or_not_recorded(w, facts.patient.chart);
    document.head = vec![
        (say!(w, "label-patient-code"), code.clone()),
        (say!(w, "label-seen"), w.day(facts.date)),
    ];
    document.foot = format!("{code}. {}", say!(w, "page-foot"));
    Composed {
        document,
        pictures: Pictures::new(),
    }
}

fn for_making(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let feet = findings::in_order(&facts.feet);
    let rows = FOR_MAKING
        .iter()
        .filter_map(|key| exam::question(key))
        .map(|q| {
            let cell = |side: Side| {
                let answer = feet.iter().find(|f| f.side == side)?.exam.get(q.key)?;
                Some(words::answer(w, q, answer))
            };
            let open = || say!(w, "not-looked-at");
            vec![
                words::question(w, q),
                cell(Side::Left).unwrap_or_else(open),
                cell(Side::Right).unwrap_or_else(open),
            ]
        })
        .collect();
    table(facts, "making-caption", "head-looked-at", rows)
}

fn form(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let legs = &facts.further.legs;
    let mm = |v: Option<f64>| {
        v.map_or_else(
            || say!(w, "not-measured"),
            |v| format!("{} mm", w.figures(&written_short(v, 1))),
        )
    };
    let rows = sizes(legs.of(Side::Left))
        .into_iter()
        .zip(sizes(legs.of(Side::Right)))
        .map(|((key, left), (_, right))| vec![say!(w, key), mm(left), mm(right)])
        .collect();
    table(facts, "legs-caption", "head-looked-at", rows)
}

fn table(facts: &LetterFacts<'_>, caption: &str, first: &str, rows: Vec<Vec<String>>) -> Block {
    let w = facts.words;
    Block::Table {
        caption: say!(w, caption),
        header: vec![
            say!(w, first),
            words::capital(&words::side(w, Side::Left)),
            words::capital(&words::side(w, Side::Right)),
        ],
        rows,
    }
}
