//! To the maker of a brace: the order in words, and the sizes of both legs as a form.
//!
//! Goes by the practice's own number: no name and no day of birth stand on it. What was not measured says so.

use super::measured::{self, Place};
use super::plan::{self, Chosen};
use super::referrer::{document, heading, paragraph, signature};
use super::{Composed, LetterFacts, findings, legs, words};
use crate::document::{Block, Notice, Pictures};
use crate::words::say;
use terms::Side;

/// Steps whose device somebody else makes.
const DEVICES: [&str; 4] = ["hinged-afo", "solid-afo", "gauntlet", "footwear"];

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
    let mut pictures = Pictures::new();
    let mut blocks = vec![heading(say!(w, "heading-brace"))];
    let order = facts.further.order.map(str::trim).filter(|o| !o.is_empty());
    let chosen = chosen(facts);
    blocks.extend(order.map(|o| paragraph(words::sentence(o))));
    if !chosen.is_empty() {
        blocks.push(Block::List { items: chosen });
    } else if order.is_none() {
        blocks.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "brace-no-order-title"),
            lines: vec![say!(w, "brace-no-order")],
        });
    }
    blocks.push(Block::List {
        items: ["brace-shoe", "brace-break-in", "brace-looks"]
            .map(|key| say!(w, key))
            .to_vec(),
    });
    blocks.push(for_making(facts));
    let measured = &facts.further.legs;
    let legs: Vec<(Side, &exam::Leg)> = Side::BOTH
        .into_iter()
        .filter_map(|side| Some((side, measured.of(side)?)))
        .collect();
    if legs.is_empty() {
        blocks.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "legs-none-title"),
            lines: vec![say!(w, "legs-none")],
        });
    } else {
        blocks.push(legs::table(w, &legs));
        blocks.push(Block::Small {
            text: say!(w, "legs-how"),
        });
    }
    for (side, leg) in legs {
        blocks.extend(legs::drawing(w, side, leg, &mut pictures));
    }
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
    Composed { document, pictures }
}

/// `Left foot: lace-up gauntlet. Leather lacer with a stiff inside …`
fn chosen(facts: &LetterFacts<'_>) -> Vec<String> {
    let w = facts.words;
    let mut out = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        for step in plan::chosen(foot) {
            let Chosen::Proposed(rung) = &step else {
                continue;
            };
            if !DEVICES.contains(&rung.key.as_str()) {
                continue;
            }
            let what = w.known(&format!("rung-{}-words", rung.key), &rung.words);
            let title = words::sentence(&words::small(&plan::title(w, &step)));
            out.push(say!(
                w,
                "labelled",
                label = words::capital(&words::foot(w, foot.side)),
                value = format!("{title} {}", words::sentence(&what))
            ));
        }
    }
    out
}

fn for_making(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let feet = findings::in_order(&facts.feet);
    let rows = FOR_MAKING
        .iter()
        .filter_map(|key| exam::question(key))
        .map(|q| {
            let cell = |side: Side| {
                let foot = feet.iter().find(|f| f.side == side)?;
                measured::answer(w, foot, q, Place::Alone)
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
