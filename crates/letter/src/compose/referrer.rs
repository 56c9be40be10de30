//! To the referring doctor: alarm first, then the answer, then everything it rests on.

use super::cites::Cites;
use super::sheet::{foot_line, patient_line};
use super::{Composed, Film, LetterFacts, film, findings, plan, rows, staging, story, words};
use crate::document::{Block, Document, Notice, Pictures};
use knowledge::Knowledge;

/// Readings of one film that stand in a letter; the others stand on the film's sheet.
const KEY_READINGS: usize = 5;
/// Open criteria that are told in full.
const KEY_MISSING: usize = 4;

pub fn referrer_letter(facts: &LetterFacts<'_>) -> Composed {
    let knowledge = facts.knowledge;
    let mut cites = Cites::default();
    let mut pictures = Pictures::new();
    let mut blocks = staging::alarm(knowledge, &facts.feet, &mut cites);
    blocks.extend(in_short(facts));
    blocks.extend(told(facts));
    blocks.extend(examined(facts));
    blocks.extend(films(facts, &mut cites, &mut pictures));
    blocks.extend(stages(facts, &mut cites));
    blocks.extend(planned(facts, &mut cites));
    blocks.push(signature(facts));
    blocks.extend(cites.block(knowledge));
    Composed {
        document: document(
            facts,
            "Collapsing flatfoot: findings, readings, stage and first plan",
            blocks,
        ),
        pictures,
    }
}

pub fn document(facts: &LetterFacts<'_>, title: &str, blocks: Vec<Block>) -> Document {
    let mut head = patient_line(&facts.patient);
    head.push(("Seen".into(), facts.date.into()));
    Document {
        title: title.into(),
        language: "en".into(),
        practice: facts.practice.to_vec(),
        recipient: facts.recipient.to_vec(),
        date: facts.date.into(),
        head,
        blocks,
        foot: foot_line(&facts.patient),
        draft: facts.signed.is_none(),
        compact: false,
    }
}

pub fn heading(text: &str) -> Block {
    Block::Heading { text: text.into() }
}

fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

fn in_short(facts: &LetterFacts<'_>) -> Vec<Block> {
    let feet = findings::in_order(&facts.feet);
    let mut items: Vec<String> = feet
        .iter()
        .filter_map(|f| f.stage.map(staging::in_short))
        .collect();
    for foot in &feet {
        let steps: Vec<String> = plan::chosen(foot)
            .iter()
            .map(|c| plan::title(c).to_owned())
            .collect();
        if !steps.is_empty() {
            items.push(format!(
                "Chosen for the {}: {}.",
                words::foot(foot.side),
                steps.join("; ")
            ));
        }
    }
    if !facts.decision.trim().is_empty() {
        items.push(format!("Decision: {}", words::sentence(facts.decision)));
    }
    if let Some(next) = facts.next_visit {
        items.push(format!("Next visit: {}", words::sentence(next)));
    }
    if items.is_empty() {
        return Vec::new();
    }
    vec![heading("In short"), Block::List { items }]
}

fn told(facts: &LetterFacts<'_>) -> Vec<Block> {
    let mut out = vec![heading("Story")];
    out.push(paragraph(
        story::paragraph(facts.story).unwrap_or_else(|| "No story is recorded.".into()),
    ));
    let rows = story::pairs(facts.story, facts.flags);
    if !rows.is_empty() {
        out.push(Block::Pairs {
            caption: "Asked and answered".into(),
            header: ("About".into(), "Answer".into()),
            rows,
        });
    }
    out
}

pub fn is_child(facts: &LetterFacts<'_>) -> bool {
    facts
        .story
        .number("age_years")
        .value()
        .is_some_and(|age| age < 18.0)
}

fn examined(facts: &LetterFacts<'_>) -> Vec<Block> {
    let mut out = vec![heading("Examination")];
    out.push(findings::table(&facts.feet).unwrap_or_else(|| paragraph("No finding is recorded.")));
    for (side, open) in findings::not_looked_at(&facts.feet, is_child(facts)) {
        out.push(paragraph(format!(
            "Not looked at on the {}: {}.",
            words::foot(side),
            open.join("; ")
        )));
    }
    out
}

fn films(facts: &LetterFacts<'_>, cites: &mut Cites, pictures: &mut Pictures) -> Vec<Block> {
    let mut out = vec![heading("Films")];
    if facts.films.is_empty() {
        out.push(paragraph("No film was read at this visit."));
    }
    for film in &facts.films {
        out.extend(film::stance_caution(film));
        out.extend(film::picture(facts.knowledge, film, 64.0, pictures));
        out.extend(readings(facts.knowledge, film, cites));
    }
    if !facts.films.is_empty() {
        out.push(Block::Small {
            text: "± is half the 95 % interval, from placing, scale, turn of the foot and floor. Shaded: accepted by the yardsticks that decide; stroke: a printed limit. Dot: inside; filled diamond: outside; half-filled: the interval straddles a limit; split dot: sources differ.".into(),
        });
    }
    out
}

/// Which readings stand in the letter: those that have a yardstick first, then by their weight.
fn leading(film: &Film<'_>) -> Vec<usize> {
    let judged = |i: &usize| {
        film::comparison(film, *i).is_some_and(|c| c.summary != reading::Summary::NoYardstick)
    };
    let mut all: Vec<usize> = (0..film.sheet.readings.len()).collect();
    all.sort_by_key(|i| !judged(i));
    all.truncate(KEY_READINGS);
    all
}

fn readings(knowledge: &Knowledge, film: &Film<'_>, cites: &mut Cites) -> Vec<Block> {
    let all = &film.sheet.readings;
    let mut out = Vec::new();
    if !all.is_empty() {
        let rows = leading(film)
            .into_iter()
            .map(|i| {
                let compared = film::comparison(film, i);
                rows::row(knowledge, &all[i], compared, rows::Room::LETTER, cites)
            })
            .collect();
        let more = all.len().saturating_sub(KEY_READINGS);
        let rest = if more > 0 {
            format!("; {more} more on the reading sheet")
        } else {
            String::new()
        };
        out.push(Block::Readings {
            caption: format!("{}{rest}", film.title),
            rows,
        });
    }
    if !film.sheet.refused.is_empty() || all.is_empty() {
        let lines = if film.sheet.refused.is_empty() {
            vec!["Nothing could be read from this film.".into()]
        } else {
            film::refused(knowledge, &film.sheet.refused)
        };
        out.push(Block::Notice {
            notice: Notice::Note,
            title: format!("Not read: {}", words::small(film.title)),
            lines,
        });
    }
    let notes: Vec<String> = film
        .sheet
        .warnings
        .iter()
        .map(|w| words::sentence(&words::capital(&w.sentence)))
        .collect();
    if !notes.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Note,
            title: format!("To know: {}", words::small(film.title)),
            lines: notes,
        });
    }
    out
}

fn stages(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let feet = findings::in_order(&facts.feet);
    let reports: Vec<_> = feet.iter().filter_map(|f| f.stage).collect();
    let mut out = vec![heading("Stage, with reasons")];
    if reports.is_empty() {
        out.push(paragraph("No stage was worked out."));
    }
    for report in reports {
        out.extend(staging::blocks(facts.knowledge, report, cites, KEY_MISSING));
    }
    out
}

fn planned(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = vec![heading("First plan")];
    if !facts.decision.trim().is_empty() {
        out.push(paragraph(words::sentence(facts.decision)));
    }
    for foot in findings::in_order(&facts.feet) {
        out.extend(plan::blocks(foot, cites));
    }
    let mut cautions = cautions(facts);
    if cautions.is_empty() {
        cautions
            .push("The clinician decides; local codes and licensed practice come first.".into());
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: "Before anything is done".into(),
        lines: cautions,
    });
    out
}

/// Cautions of all proposals; one that does not hold for every foot says for which it does.
fn cautions(facts: &LetterFacts<'_>) -> Vec<String> {
    let feet: Vec<_> = findings::in_order(&facts.feet)
        .into_iter()
        .filter_map(|f| f.proposal)
        .collect();
    let mut out: Vec<String> = Vec::new();
    for proposal in &feet {
        for caution in &proposal.cautions {
            let shared = feet.iter().all(|p| p.cautions.contains(caution));
            let line = if shared {
                caution.clone()
            } else {
                let side = words::capital(&words::foot(proposal.side));
                format!("{side}: {}", words::small(caution))
            };
            if !out.contains(&line) {
                out.push(line);
            }
        }
    }
    out
}

pub fn signature(facts: &LetterFacts<'_>) -> Block {
    let mut lines = vec![facts.clinician.to_owned()];
    lines.extend(facts.practice.first().cloned());
    lines.push(match facts.signed {
        Some(when) => format!("Signed {when}"),
        None => "Draft, not signed".into(),
    });
    Block::Signature { lines }
}
