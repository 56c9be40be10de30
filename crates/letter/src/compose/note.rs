//! To a school or an employer: only what the person agreed to have told.
//!
//! No finding, no stage and no number of the chart reaches this paper. Where nothing was agreed it says so and
//! tells nothing, and whoever signs it sees that first.

use super::referrer::{document, heading, paragraph, signature};
use super::{Composed, LetterFacts, words};
use crate::document::{Block, Notice, Pictures};
use crate::words::say;

pub fn school_note(facts: &LetterFacts<'_>) -> Composed {
    note(facts, "school")
}

pub fn employer_note(facts: &LetterFacts<'_>) -> Composed {
    note(facts, "employer")
}

fn note(facts: &LetterFacts<'_>, to: &str) -> Composed {
    let w = facts.words;
    let mut blocks = told(facts);
    blocks.push(signature(facts));
    let mut document = document(facts, say!(w, "title-note", to = to), blocks);
    document.head = vec![(
        say!(w, "label-about"),
        words::or_not_recorded(w, facts.patient.name),
    )];
    document.foot = say!(w, "page-foot");
    Composed {
        document,
        pictures: Pictures::new(),
    }
}

fn told(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let Some(told) = &facts.further.told else {
        return vec![Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "note-nothing-title"),
            lines: vec![say!(w, "note-nothing")],
        }];
    };
    let mut out = vec![paragraph(match told.agreed {
        Some(agreed) => say!(w, "note-agreed", agreed = agreed.trim()),
        None => say!(w, "note-agreed-by-nobody"),
    })];
    out.push(paragraph(match told.reason {
        Some(reason) => say!(w, "note-reason", reason = words::sentence(reason)),
        None => say!(w, "note-no-reason"),
    }));
    for (key, all) in [
        ("heading-can", &told.can),
        ("heading-cannot", &told.cannot),
        ("heading-needs", &told.needs),
    ] {
        if !all.is_empty() {
            out.push(heading(say!(w, key)));
            out.push(Block::List {
                items: all.iter().map(|line| words::sentence(line)).collect(),
            });
        }
    }
    out.push(paragraph(match told.until {
        Some(until) => say!(w, "note-until", until = words::sentence(&w.day(until))),
        None => say!(w, "note-no-end"),
    }));
    out.push(Block::Small {
        text: say!(w, "note-more"),
    });
    out
}
