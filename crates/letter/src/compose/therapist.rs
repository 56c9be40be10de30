//! To the therapist: what was found, what to reach, what is allowed, what is not to be done and why.
//!
//! Amounts stand here only where they were prescribed, or where the step that was chosen has them; whoever
//! treats adapts them.

use super::plan::{self, Chosen};
use super::referrer::{document, heading, is_child, paragraph, signature};
use super::{
    Composed, Foot, LetterFacts, brief, findings, home, over_time, patient, programme, steps, words,
};
use crate::document::{Block, Notice, Pictures};
use crate::words::say;
use care::CheckState;
use exam::Answer;

/// Steps that a therapist carries out.
const OF_THERAPY: [&str; 2] = ["therapy", "child-help"];

pub fn therapist_letter(facts: &LetterFacts<'_>) -> Composed {
    let w = facts.words;
    let mut blocks = patient::alarm(facts);
    blocks.push(paragraph(say!(w, "therapist-thanks")));
    blocks.extend(stages(facts));
    blocks.push(heading(say!(w, "heading-findings")));
    blocks.extend(brief::blocks(facts, is_child(facts)));
    blocks.extend(goals(facts));
    blocks.push(heading(say!(w, "heading-programme")));
    if !facts.decision.trim().is_empty() {
        blocks.push(paragraph(say!(
            w,
            "decided",
            decision = words::sentence(facts.decision)
        )));
    }
    blocks.extend(programme(facts));
    blocks.push(not_to_do(facts));
    blocks.extend(over_time::given(facts));
    blocks.extend(over_time::change(facts));
    blocks.push(plan::return_advice(w, is_child(facts)));
    blocks.extend(look_again(facts));
    blocks.push(signature(facts));
    Composed {
        document: document(facts, say!(w, "title-therapist"), blocks),
        pictures: Pictures::new(),
    }
}

/// Each foot's stage or kind in a line; what is not settled says so.
fn stages(facts: &LetterFacts<'_>) -> Vec<Block> {
    let items: Vec<String> = findings::in_order(&facts.feet)
        .into_iter()
        .map(|foot| stage(facts, foot))
        .collect();
    if items.is_empty() {
        return Vec::new();
    }
    vec![Block::List { items }]
}

fn stage(facts: &LetterFacts<'_>, foot: &Foot<'_>) -> String {
    let w = facts.words;
    let holding = |report: &Option<stage::SchemeReport>| -> Vec<String> {
        report.as_ref().map_or_else(Vec::new, |r| {
            r.holding().iter().map(|k| (*k).to_owned()).collect()
        })
    };
    let tendon = foot.stage.map(|r| holding(&r.tendon)).unwrap_or_default();
    let child = foot.stage.map(|r| holding(&r.child)).unwrap_or_default();
    let said = if let Some(decided) = foot.decided {
        say!(w, "therapist-stage-decided", stage = decided)
    } else if foot.stage.is_some_and(|r| !r.may_carry_plan) {
        say!(w, "therapist-alarm-first")
    } else if !tendon.is_empty() {
        say!(w, "therapist-stage", stage = w.listed(&tendon))
    } else if let [kind] = child.as_slice() {
        w.find(&format!("plain-kind-{kind}"))
            .unwrap_or_else(|| say!(w, "therapist-stage-open"))
    } else {
        say!(w, "therapist-stage-open")
    };
    let foot = words::capital(&words::foot(w, foot.side));
    say!(w, "labelled", label = foot, value = said)
}

fn goals(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut items: Vec<String> = Vec::new();
    if let Some(Answer::Text { text }) = facts.story.get("goal") {
        let said = words::quoted(w, text.trim().trim_end_matches('.'));
        items.push(words::sentence(&say!(w, "goal-own", words = said)));
    }
    items.extend(facts.further.goals.iter().map(|g| words::sentence(g)));
    let mut out = vec![heading(say!(w, "heading-goals"))];
    out.push(if items.is_empty() {
        paragraph(say!(w, "goals-none"))
    } else {
        Block::List { items }
    });
    out
}

/// The exercises as prescribed; else what the chosen step says; else that nothing is recorded.
fn programme(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut out: Vec<Block> = home::table(facts).into_iter().collect();
    let own = programme::own_words(facts);
    out.extend((!own.is_empty()).then_some(Block::List { items: own }));
    for foot in findings::in_order(&facts.feet) {
        for step in plan::chosen(foot) {
            let Chosen::Proposed(rung) = step else {
                continue;
            };
            if !OF_THERAPY.contains(&rung.key.as_str()) {
                continue;
            }
            let words_of_rung = w.known(&format!("rung-{}-words", rung.key), &rung.words);
            let mut items = vec![words::sentence(&words_of_rung)];
            // What was prescribed stands above; the usual amounts would be a second dose.
            let usual = programme::of_foot(facts.further.care, foot.side).is_empty();
            items.extend(
                rung.dose
                    .iter()
                    .filter(|_| usual)
                    .map(|d| words::sentence(&w.said(d))),
            );
            items.push(words::sentence(&words::capital(&w.said(&rung.how_long))));
            let label = words::capital(&words::foot(w, foot.side));
            let step = plan::title(w, &step);
            out.push(paragraph(say!(
                w,
                "programme-step",
                foot = label,
                step = step
            )));
            out.push(Block::List { items });
        }
    }
    if out.is_empty() {
        out.push(paragraph(say!(w, "programme-none")));
    } else {
        out.push(Block::Small {
            text: say!(w, "programme-adapt"),
        });
    }
    out
}

/// What is not to be done, and why: as written, then the cautions of every chosen step.
fn not_to_do(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let mut lines: Vec<String> = facts
        .further
        .not_to_do
        .iter()
        .map(|(what, why)| {
            let what = words::sentence(&words::capital(what));
            if why.trim().is_empty() {
                what
            } else {
                let why = words::sentence(why);
                format!("{what} {}", say!(w, "not-because", why = why))
            }
        })
        .collect();
    let mut push = |line: String| {
        if !lines.contains(&line) {
            lines.push(line);
        }
    };
    for foot in findings::in_order(&facts.feet) {
        for step in plan::chosen(foot) {
            let Chosen::Proposed(rung) = &step else {
                continue;
            };
            let title = plan::title(w, &step);
            for caution in &rung.cautions {
                let said = words::small(&w.said(&caution.words));
                push(say!(w, "labelled", label = title.as_str(), value = said));
            }
            for check in &rung.checks {
                let open = super::plain::check(w, &check.key);
                let key = match check.state {
                    CheckState::NotRecorded => "not-before-known",
                    CheckState::Against | CheckState::Caution => "not-without-asking",
                    CheckState::Clear => continue,
                };
                let value = say!(w, key, check = open);
                push(say!(w, "labelled", label = title.as_str(), value = value));
            }
        }
    }
    if lines.is_empty() {
        lines.push(say!(w, "not-to-do-none"));
    }
    Block::Notice {
        notice: Notice::Caution,
        title: say!(w, "not-to-do-title"),
        lines,
    }
}

/// When each chosen step is looked at again, and the next visit.
fn look_again(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let mut items: Vec<String> = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        for (step, key) in plan::chosen(foot).iter().zip(foot.chosen) {
            let Chosen::Proposed(rung) = step else {
                continue;
            };
            if steps::plain(w, key).is_none() {
                continue;
            }
            for look in &rung.look {
                let (when, what) = (w.said(&look.when), w.said(&look.what));
                let line = say!(
                    w,
                    "look-of-step",
                    step = plan::title(w, step),
                    when = words::small(&when),
                    what = words::sentence(&words::small(&what))
                );
                if !items.contains(&line) {
                    items.push(line);
                }
            }
        }
    }
    if let Some(next) = facts.next_visit {
        items.push(say!(
            w,
            "short-next-visit",
            when = words::sentence(&w.day(next))
        ));
    }
    if items.is_empty() {
        return Vec::new();
    }
    vec![
        heading(say!(w, "heading-look-again")),
        Block::List { items },
    ]
}
