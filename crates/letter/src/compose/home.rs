//! Exercises at home, each with its drawing, in plain words.
//!
//! Amounts are those that were prescribed. Where none were, the sheet has the words of the step that was
//! chosen, or says that nothing is written down; it invents no exercise.

use super::further::ProgrammeLine;
use super::plain::Voice;
use super::referrer::{document, heading, is_child, paragraph, signature};
use super::{Composed, LetterFacts, findings, patient, steps, words};
use crate::document::{Block, Notice, Pictures};
use crate::words::{Words, say};
use figure::exercise::{Exercise, exercise_svg};

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
    if exercises.is_empty() {
        blocks.push(paragraph(say!(w, "home-none")));
    } else {
        blocks.push(paragraph(say!(w, "home-start", who = voice.who())));
        blocks.extend(exercises);
        blocks.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(w, "home-pain-title"),
            lines: ["home-pain", "home-stop", "home-ask"]
                .map(|key| say!(w, key, who = voice.who()))
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
    for line in &facts.further.programme {
        out.push(heading(name(w, line)));
        let mut said: Vec<Block> = Vec::new();
        let drawn = Exercise::from_key(line.exercise);
        if let Some(exercise) = drawn {
            said.push(paragraph(
                w.plain(&format!("exercise-{}-how", exercise.key())),
            ));
        }
        said.push(paragraph(amount(w, line)));
        out.extend(beside(w, drawn, said, pictures));
    }
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

fn name(w: &Words, line: &ProgrammeLine<'_>) -> String {
    let name = match Exercise::from_key(line.exercise) {
        Some(exercise) => w.plain(&format!("exercise-{}", exercise.key())),
        None => words::capital(&w.said(line.exercise)),
    };
    match line.side {
        Some(side) => say!(
            w,
            "reading-of-side",
            reading = name,
            side = words::foot(w, side)
        ),
        None => name,
    }
}

/// `3 rounds of 15, twice a day.` from what was prescribed; what is missing is left out.
fn amount(w: &Words, line: &ProgrammeLine<'_>) -> String {
    let mut parts: Vec<String> = Vec::new();
    match (line.sets, line.repetitions) {
        (Some(sets), Some(times)) => {
            parts.push(say!(w, "amount-sets-of", sets = sets, times = times));
        }
        (Some(sets), None) => parts.push(say!(w, "amount-sets", sets = sets)),
        (None, Some(times)) => parts.push(say!(w, "amount-times", times = times)),
        (None, None) => {}
    }
    if let Some(seconds) = line.hold_s {
        parts.push(say!(w, "amount-hold", seconds = seconds));
    }
    if let Some(times) = line.times_a_day {
        parts.push(say!(w, "amount-a-day", times = times));
    }
    if let Some(load) = line.load {
        parts.push(say!(w, "amount-load", load = load.trim()));
    }
    if parts.is_empty() {
        return say!(w, "amount-none");
    }
    words::sentence(&words::capital(&parts.join(", ")))
}

/// The programme as a table for the therapist; `None` where none was prescribed.
pub(super) fn table(facts: &LetterFacts<'_>) -> Option<Block> {
    let w = facts.words;
    let all = &facts.further.programme;
    (!all.is_empty()).then(|| Block::Table {
        caption: String::new(),
        header: vec![say!(w, "head-exercise"), say!(w, "head-amount")],
        rows: all.iter().map(|l| vec![name(w, l), amount(w, l)]).collect(),
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
