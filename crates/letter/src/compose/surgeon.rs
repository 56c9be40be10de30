//! To the surgeon: what is asked, how far it has gone, what was tried for how long, what speaks against it.
//!
//! The record of the visit is enclosed, as with the letter to the referring doctor.

use super::cites::Cites;
use super::referrer::{self, document, heading, is_child, paragraph, signature};
use super::{Composed, LetterFacts, alarms, brief, findings, over_time, record, story, words};
use crate::document::{Block, Pictures};
use crate::words::say;
use care::log::{Entry, Kind};
use exam::Answer;

/// What counts against an operation, in the order in which it is asked. The surgeon weighs it.
const RISKS: [&str; 9] = [
    "nicotine",
    "diabetes",
    "diabetes_uncontrolled",
    "known_neuropathy",
    "earlier_foot_ulcer",
    "takes_steroid",
    "takes_anticoagulant",
    "inflammatory_disease",
    "infection_now",
];

pub fn surgeon_letter(facts: &LetterFacts<'_>) -> Composed {
    let (w, knowledge) = (facts.words, facts.knowledge);
    let mut cites = Cites::default();
    let mut pictures = Pictures::new();
    let mut blocks = alarms::alarm(w, knowledge, &facts.feet, &mut cites);
    blocks.push(heading(say!(w, "heading-question")));
    blocks.push(paragraph(match facts.further.question {
        Some(question) => words::sentence(&words::capital(question.trim())),
        None => say!(w, "question-none"),
    }));
    blocks.extend(referrer::in_short(facts));
    blocks.push(heading(say!(w, "heading-story")));
    blocks.push(paragraph(
        story::brief(w, facts.story).unwrap_or_else(|| say!(w, "story-none")),
    ));
    blocks.push(heading(say!(w, "heading-tried")));
    blocks.push(over_time::given(facts).unwrap_or_else(|| paragraph(say!(w, "given-none"))));
    blocks.push(paragraph(injections(facts)));
    blocks.push(heading(say!(w, "heading-findings")));
    blocks.extend(brief::blocks(facts, is_child(facts)));
    blocks.extend(referrer::films(facts, &mut cites, &mut pictures));
    blocks.extend(referrer::stages(facts));
    if let Some(change) = over_time::change(facts) {
        blocks.push(heading(say!(w, "heading-change")));
        blocks.push(change);
    }
    blocks.push(heading(say!(w, "heading-risks")));
    blocks.push(risks(facts));
    blocks.push(signature(facts));
    blocks.extend(record::blocks(facts, &mut cites));
    Composed {
        document: document(facts, say!(w, "title-surgeon"), blocks),
        pictures,
    }
}

fn injections(facts: &LetterFacts<'_>) -> String {
    let w = facts.words;
    let steroid = |e: &&Entry| {
        e.kind == Kind::Injection
            && matches!(
                e.answers.choice("injection_class").value(),
                Some("corticosteroid" | "both")
            )
    };
    let logged = facts.further.care.iter().filter(steroid).count();
    match facts.story.number("steroid_injections_here").value() {
        Some(count) => say!(w, "injections", count = count),
        None if logged > 0 => say!(w, "injections-logged", count = logged),
        None => say!(w, "injections-not-recorded"),
    }
}

/// What is there, what is not, and what nobody recorded.
fn risks(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let (mut there, mut absent, mut open) = (Vec::new(), Vec::new(), Vec::new());
    for key in RISKS {
        let Some(question) = exam::question(key) else {
            continue;
        };
        let words = words::small(&words::question(w, question));
        match facts.story.get(key) {
            Some(Answer::Choice { choice }) if choice == "yes" => there.push(words),
            Some(Answer::Choice { choice }) if choice == "no" => absent.push(words),
            _ => open.push(words),
        }
    }
    if let Some(weight) = facts.story.number("weight_kg").value() {
        let weight = words::number(w, weight, "kg");
        there.push(say!(w, "risk-weight", weight = weight));
    }
    let mut items = Vec::new();
    for (key, all) in [
        ("risks-there", &there),
        ("risks-absent", &absent),
        ("risks-open", &open),
    ] {
        if !all.is_empty() {
            items.push(say!(w, key, risks = all.join("; ")));
        }
    }
    // Circulation and feeling of each foot stand among the findings.
    if findings::in_order(&facts.feet).is_empty() {
        items.push(say!(w, "brief-none"));
    }
    Block::List { items }
}
