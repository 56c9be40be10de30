//! The enclosure of a letter: everything the letter rests on, for whoever wants to check it.

use super::cites::Cites;
use super::referrer::{heading, paragraph};
use super::{LetterFacts, film, findings, plan, rows, staging, story, words};
use crate::document::{Block, Notice};
use crate::words::say;

/// Open criteria that are told in full.
const KEY_MISSING: usize = 6;

pub fn blocks(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let w = facts.words;
    // In print it begins on its own page.
    let mut out = vec![heading(say!(w, "heading-record"))];
    let asked = story::pairs(w, facts.story, facts.flags);
    if !asked.is_empty() {
        out.push(Block::Pairs {
            caption: say!(w, "asked-caption"),
            header: (say!(w, "head-about"), say!(w, "head-answer")),
            rows: asked,
        });
    }
    out.extend(examined(facts));
    out.extend(films(facts, cites));
    out.extend(stages(facts, cites));
    out.extend(plans(facts, cites));
    out.extend(cites.block(w, facts.knowledge));
    out
}

fn examined(facts: &LetterFacts<'_>) -> Vec<Block> {
    // What nobody looked at stands in the letter itself.
    findings::table(facts.words, &facts.feet)
        .into_iter()
        .collect()
}

/// Every reading of every film in a line, and what could not be read.
fn films(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let w = facts.words;
    let mut out = Vec::new();
    for f in &facts.films {
        let mut lines: Vec<Vec<String>> = Vec::new();
        for (i, reading) in f.sheet.readings.iter().enumerate() {
            let compared = film::comparison(f, i);
            let room = rows::Room::LETTER;
            let row = rows::row(w, facts.knowledge, reading, compared, room, cites);
            let place = row.place.replace('\n', ", ");
            lines.push(vec![
                format!("{}\n{}", row.name, row.sign),
                row.value,
                place,
            ]);
        }
        if !lines.is_empty() {
            out.push(Block::Table {
                caption: say!(
                    w,
                    "every-reading-caption",
                    film = words::small(&film::title(w, f)),
                    stance = words::stance(w, f.sheet.stance)
                ),
                header: ["head-reading", "head-value", "head-place"]
                    .map(|key| say!(w, key))
                    .to_vec(),
                rows: lines,
            });
        }
        let refused = film::refused(w, facts.knowledge, &f.sheet.refused);
        if !refused.is_empty() {
            out.push(Block::Notice {
                notice: Notice::Note,
                title: say!(w, "not-read", what = words::small(&film::title(w, f))),
                lines: refused,
            });
        }
    }
    out
}

fn stages(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let w = facts.words;
    let feet = findings::in_order(&facts.feet);
    let reports: Vec<_> = feet.iter().filter_map(|f| f.stage).collect();
    let mut out: Vec<Block> = reports
        .iter()
        .flat_map(|report| staging::blocks(w, facts.knowledge, report, cites, KEY_MISSING))
        .collect();
    let mut not_asked: Vec<String> = Vec::new();
    for sign in reports.iter().flat_map(|r| &r.not_asked) {
        let sign = w.said(sign);
        let sign = sign.trim_end_matches('.').to_owned();
        if !not_asked.contains(&sign) {
            not_asked.push(sign);
        }
    }
    if !not_asked.is_empty() {
        out.push(paragraph(say!(
            w,
            "alarm-not-asked",
            signs = not_asked.join("; ")
        )));
    }
    out
}

fn plans(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = Vec::new();
    for foot in findings::in_order(&facts.feet) {
        out.extend(plan::behind(facts.words, foot, cites));
    }
    out
}
