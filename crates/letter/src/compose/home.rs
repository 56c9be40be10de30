//! Exercises at home, each with its drawing, in plain words.
//!
//! Amounts are those that were prescribed. Where none were, the sheet has the words of the step that was
//! chosen, or says that nothing is written down; it invents no exercise.

use super::plain::Voice;
use super::referrer::{document, heading, is_child, paragraph, signature};
use super::{Composed, LetterFacts, findings, patient, programme, steps};
use crate::document::{Block, Notice, Pictures};
use crate::words::{Words, say};
use care::programme::Programme;
use figure::exercise::{Exercise, exercise_svg};
use terms::Side;

/// The drawing beside its words, in percent of the width.
const DRAWING_PERCENT: f64 = 32.0;

pub fn home_sheet(facts: &LetterFacts<'_>) -> Composed {
    let w = facts.words;
    let voice = Voice {
        child: is_child(facts),
    };
    let mut pictures = Pictures::new();
    let mut blocks = patient::alarm(facts);
    let exercises = exercises(facts, &mut pictures);
    // Where both feet have one, the smaller.
    let limit = Side::BOTH
        .into_iter()
        .filter_map(|side| programme::pain_limit(facts.further.care, side))
        .min_by(f64::total_cmp)
        .unwrap_or(Programme::built_in().load.pain_limit);
    if exercises.is_empty() {
        blocks.push(paragraph(say!(w, "home-none")));
    } else {
        blocks.push(paragraph(say!(w, "home-start", who = voice.who())));
        blocks.extend(exercises);
        blocks.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "home-pain-title"),
            lines: ["home-pain", "home-stop", "home-ask"]
                .map(|key| say!(w, key, who = voice.who(), limit = limit))
                .to_vec(),
        });
        blocks.push(diary(w));
    }
    blocks.extend(patient::come_back(facts));
    blocks.push(signature(facts));
    Composed {
        document: document(facts, say!(w, "title-home", who = voice.who()), blocks),
        pictures,
    }
}

fn exercises(facts: &LetterFacts<'_>, pictures: &mut Pictures) -> Vec<Block> {
    let w = facts.words;
    let mut out = Vec::new();
    for line in programme::lines(facts.further.care) {
        out.push(heading(line.name(w)));
        let how = format!("exercise-{}-how", line.exercise);
        let said = vec![paragraph(w.plain(&how)), paragraph(line.amount(w))];
        out.extend(beside(w, line.drawn(), said, pictures));
    }
    let own = programme::own_words(facts);
    out.extend((!own.is_empty()).then_some(Block::List { items: own }));
    if out.is_empty() {
        out.extend(of_step(facts, pictures));
    }
    out
}

/// The exercises that belong to the step that was chosen, with the step's own words on amounts.
fn of_step(facts: &LetterFacts<'_>, pictures: &mut Pictures) -> Vec<Block> {
    let w = facts.words;
    let chosen = |key: &str| {
        findings::in_order(&facts.feet)
            .iter()
            .any(|f| f.chosen.iter().any(|c| c == key))
    };
    let (step, drawn): (&str, &[Exercise]) = if chosen("therapy") {
        ("therapy", &[Exercise::BandInAndDown, Exercise::CalfStretch])
    } else if chosen("child-help") {
        ("child-help", &[Exercise::CalfStretch])
    } else {
        return Vec::new();
    };
    let Some(plain) = steps::plain(w, step) else {
        return Vec::new();
    };
    let mut out = vec![paragraph(plain.home)];
    for exercise in drawn {
        let key = exercise.key();
        out.push(heading(w.plain(&format!("exercise-{key}"))));
        let said = vec![paragraph(w.plain(&format!("exercise-{key}-how")))];
        out.extend(beside(w, Some(*exercise), said, pictures));
    }
    out.push(paragraph(plain.care));
    out
}

fn beside(
    w: &Words,
    exercise: Option<Exercise>,
    said: Vec<Block>,
    pictures: &mut Pictures,
) -> Vec<Block> {
    let Some(exercise) = exercise else {
        return said;
    };
    let name = format!("exercise-{}.svg", exercise.key());
    let alt = w.plain(&format!("exercise-{}-alt", exercise.key()));
    pictures.insert(name.clone(), exercise_svg(exercise, &alt).into_bytes());
    vec![Block::Columns {
        left: vec![Block::Figure {
            picture: name,
            alt,
            caption: String::new(),
            width_percent: 100.0,
        }],
        right: said,
        left_percent: DRAWING_PERCENT,
    }]
}

/// The programme as a table for the therapist; `None` where none was prescribed.
pub(super) fn table(facts: &LetterFacts<'_>) -> Option<Block> {
    let w = facts.words;
    let all = programme::lines(facts.further.care);
    (!all.is_empty()).then(|| Block::Table {
        caption: String::new(),
        header: vec![say!(w, "head-exercise"), say!(w, "head-amount")],
        rows: all.iter().map(|l| vec![l.name(w), l.amount(w)]).collect(),
    })
}

/// Room to tick, day by day for a week.
fn diary(w: &Words) -> Block {
    let rows = (1..=7u32)
        .map(|n| {
            vec![
                say!(w, "day-number", number = n),
                String::new(),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    Block::Table {
        caption: String::new(),
        header: ["head-day", "head-done", "head-pain", "head-next-morning"]
            .map(|key| say!(w, key))
            .to_vec(),
        rows,
    }
}
