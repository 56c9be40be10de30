//! The enclosure of a letter: everything the letter rests on, for whoever wants to check it.

use super::cites::Cites;
use super::referrer::{heading, paragraph};
use super::{LetterFacts, film, findings, plan, rows, staging, story, words};
use crate::document::{Block, Notice};

/// Its heading; in print it begins on its own page.
pub const TITLE: &str = "Record of the visit";
/// Open criteria that are told in full.
const KEY_MISSING: usize = 6;

pub fn blocks(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = vec![heading(TITLE)];
    let asked = story::pairs(facts.story, facts.flags);
    if !asked.is_empty() {
        out.push(Block::Pairs {
            caption: "Asked and answered".into(),
            header: ("About".into(), "Answer".into()),
            rows: asked,
        });
    }
    out.extend(examined(facts));
    out.extend(films(facts, cites));
    out.extend(stages(facts, cites));
    out.extend(plans(facts, cites));
    out.extend(cites.block(facts.knowledge));
    out
}

fn examined(facts: &LetterFacts<'_>) -> Vec<Block> {
    // What nobody looked at stands in the letter itself.
    findings::table(&facts.feet).into_iter().collect()
}

/// Every reading of every film in a line, and what could not be read.
fn films(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = Vec::new();
    for f in &facts.films {
        let mut lines: Vec<Vec<String>> = Vec::new();
        for (i, reading) in f.sheet.readings.iter().enumerate() {
            let compared = film::comparison(f, i);
            let room = rows::Room::LETTER;
            let row = rows::row(facts.knowledge, reading, compared, room, cites);
            let place = row.place.replace('\n', ", ");
            lines.push(vec![
                format!("{}\n{}", row.name, row.sign),
                row.value,
                place,
            ]);
        }
        if !lines.is_empty() {
            out.push(Block::Table {
                caption: format!(
                    "Every reading: {}, {}",
                    words::small(f.title),
                    f.sheet.stance.words()
                ),
                header: ["Reading", "Value ± 95 %", "Place"]
                    .map(String::from)
                    .to_vec(),
                rows: lines,
            });
        }
        let refused = film::refused(facts.knowledge, &f.sheet.refused);
        if !refused.is_empty() {
            out.push(Block::Notice {
                notice: Notice::Note,
                title: format!("Not read: {}", words::small(f.title)),
                lines: refused,
            });
        }
    }
    out
}

fn stages(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let feet = findings::in_order(&facts.feet);
    let reports: Vec<_> = feet.iter().filter_map(|f| f.stage).collect();
    let mut out: Vec<Block> = reports
        .iter()
        .flat_map(|report| staging::blocks(facts.knowledge, report, cites, KEY_MISSING))
        .collect();
    let mut not_asked: Vec<&str> = Vec::new();
    for sign in reports.iter().flat_map(|r| &r.not_asked) {
        let sign = sign.trim_end_matches('.');
        if !not_asked.contains(&sign) {
            not_asked.push(sign);
        }
    }
    if !not_asked.is_empty() {
        out.push(paragraph(format!(
            "Alarm signs that nobody asked about: {}.",
            not_asked.join("; ")
        )));
    }
    out
}

fn plans(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        out.extend(plan::behind(foot, cites));
    }
    out
}
