//! To the referring doctor: what a busy colleague needs on two pages, then the record it rests on.
//!
//! Alarm signs, cautions, uncertainty, and what was not looked at stand in the letter itself; the record
//! behind the signature holds the full table, every criterion and the sources.

use super::cites::Cites;
use super::sheet::{foot_line, patient_line};
use super::{
    Composed, Film, LetterFacts, alarms, brief, film, findings, over_time, plan, record, rows,
    staging, story, words,
};
use crate::document::{Block, Document, Notice, Pictures, ReadingRow};
use crate::words::{Words, say};
use knowledge::Knowledge;
use reading::{Reading, Summary};
use terms::Side;

/// Readings that stand in the letter at most; the record has them all.
const MOST_READINGS: usize = 8;
/// Measures of this weight lead: they carry their value on the film, and stand in the table.
const LEAD: u32 = 80;
/// Width of the text on a letter's page.
pub const PAGE_MM: f64 = 170.0;

pub fn referrer_letter(facts: &LetterFacts<'_>) -> Composed {
    let (w, knowledge) = (facts.words, facts.knowledge);
    let mut cites = Cites::default();
    let mut pictures = Pictures::new();
    let mut blocks = alarms::alarm(w, knowledge, &facts.feet, &mut cites);
    blocks.extend(in_short(facts));
    blocks.push(heading(say!(w, "heading-story")));
    blocks.push(paragraph(
        story::brief(w, facts.story).unwrap_or_else(|| say!(w, "story-none")),
    ));
    blocks.push(heading(say!(w, "heading-findings")));
    blocks.extend(brief::blocks(facts, is_child(facts)));
    blocks.extend(films(facts, &mut cites, &mut pictures));
    blocks.extend(stages(facts));
    blocks.extend(over_time::given(facts));
    blocks.extend(over_time::change(facts));
    blocks.extend(planned(facts, &mut cites));
    blocks.push(signature(facts));
    blocks.extend(record::blocks(facts, &mut cites));
    Composed {
        document: document(facts, say!(w, "title-referrer"), blocks),
        pictures,
    }
}

pub fn document(facts: &LetterFacts<'_>, title: String, blocks: Vec<Block>) -> Document {
    let w = facts.words;
    let mut head = patient_line(w, &facts.patient);
    head.push((say!(w, "label-seen"), w.day(facts.date)));
    Document {
        title,
        language: w.tag().into(),
        practice: facts.practice.to_vec(),
        recipient: facts.recipient.to_vec(),
        date: w.day(facts.date),
        head,
        blocks,
        foot: foot_line(w, &facts.patient),
        draft: facts.signed.is_none(),
        compact: false,
    }
}

pub fn heading(text: impl Into<String>) -> Block {
    Block::Heading { text: text.into() }
}

pub fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

pub fn in_short(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let feet = findings::in_order(&facts.feet);
    let mut items: Vec<String> = feet
        .iter()
        .filter_map(|f| f.stage.map(|report| staging::in_short(w, report)))
        .collect();
    let decision = facts.decision.trim();
    if decision.is_empty() {
        for foot in &feet {
            let steps: Vec<String> = plan::chosen(foot)
                .iter()
                .map(|c| words::small(&plan::title(w, c)))
                .collect();
            if !steps.is_empty() {
                items.push(say!(
                    w,
                    "short-chosen",
                    side = foot.side.word(),
                    steps = w.listed(&steps)
                ));
            }
        }
    } else {
        items.push(say!(
            w,
            "short-decision",
            decision = words::sentence(decision)
        ));
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
    vec![heading(say!(w, "heading-in-short")), Block::List { items }]
}

pub fn is_child(facts: &LetterFacts<'_>) -> bool {
    facts
        .story
        .number("age_years")
        .value()
        .is_some_and(|age| age < 18.0)
}

pub fn films(facts: &LetterFacts<'_>, cites: &mut Cites, pictures: &mut Pictures) -> Vec<Block> {
    let w = facts.words;
    let mut out = vec![heading(say!(w, "heading-films"))];
    if facts.films.is_empty() {
        out.push(paragraph(say!(w, "films-none")));
        return out;
    }
    let shown = pictured(facts);
    let mut key_told = false;
    for (at, film) in facts.films.iter().enumerate() {
        let mut beside = beside(w, facts.knowledge, film);
        let picture = shown
            .contains(&at)
            .then(|| film::picture(w, facts.knowledge, film, 100.0, pictures))
            .flatten();
        match picture {
            Some(picture) => out.push(Block::Columns {
                left: vec![picture],
                right: {
                    // Once, where there is room for it.
                    if !key_told {
                        beside.push(Block::Small {
                            text: say!(w, "readings-key"),
                        });
                        key_told = true;
                    }
                    beside
                },
                left_percent: film::column_percent(film::least_width_mm(film), PAGE_MM),
            }),
            // What one has to know of a film is told also where its picture is not shown.
            None => {
                beside.retain(|b| matches!(b, Block::Notice { .. }));
                out.extend(beside);
            }
        }
    }
    let (rows, left_out) = leading(facts, cites);
    if rows.is_empty() {
        out.push(paragraph(say!(w, "readings-none")));
    } else {
        out.push(Block::Readings {
            caption: say!(w, "readings-caption", more = left_out),
            rows,
        });
        if !key_told {
            out.push(Block::Small {
                text: say!(w, "readings-key"),
            });
        }
    }
    out
}

/// One film with a picture for each side: the first that leads with a reading outside, else the first.
fn pictured(facts: &LetterFacts<'_>) -> Vec<usize> {
    let side_of = |f: &Film<'_>| f.side.or(f.sheet.side);
    let telling = |at: usize| {
        let film = &facts.films[at];
        (0..film.sheet.readings.len()).any(|i| {
            leads(facts.knowledge, &film.sheet.readings[i])
                && film::comparison(film, i)
                    .is_some_and(|c| matches!(c.summary, Summary::Outside(_)))
        })
    };
    let mut out: Vec<usize> = Vec::new();
    let mut order: Vec<usize> = (0..facts.films.len())
        .filter(|i| facts.films[*i].picture.is_some())
        .collect();
    order.sort_by_key(|i| !telling(*i));
    for i in order {
        let side = side_of(&facts.films[i]);
        if out.iter().all(|o| side_of(&facts.films[*o]) != side) {
            out.push(i);
        }
    }
    out.sort_unstable();
    out
}

/// Beside a film: what it is, how it was taken, and what to know before using a number.
fn beside(w: &Words, knowledge: &Knowledge, film: &Film<'_>) -> Vec<Block> {
    let facts: Vec<String> = film::facts(w, film)
        .into_iter()
        .map(|(label, value)| say!(w, "labelled", label = label, value = value))
        .collect();
    let mut out = vec![Block::Small {
        text: facts.join("\n"),
    }];
    out.extend(film::stance_caution(w, film));
    let mut notes: Vec<String> = film
        .sheet
        .warnings
        .iter()
        .map(|warning| words::sentence(&words::capital(&w.said(&warning.sentence))))
        .collect();
    let lost: Vec<reading::Refused> = film
        .sheet
        .refused
        .iter()
        .filter(|r| {
            knowledge
                .measure(&r.measure)
                .is_some_and(|m| m.importance >= LEAD)
        })
        .cloned()
        .collect();
    notes.extend(
        film::refused(w, knowledge, &lost)
            .into_iter()
            .map(|l| say!(w, "not-read", what = words::small(&l))),
    );
    if film.sheet.readings.is_empty() {
        notes.push(say!(w, "film-nothing-read"));
    }
    if !notes.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Note,
            title: say!(w, "to-know-of", what = words::small(&film::title(w, film))),
            lines: notes,
        });
    }
    out
}

fn leads(knowledge: &Knowledge, reading: &Reading) -> bool {
    knowledge
        .measure(&reading.measure)
        .is_some_and(|m| m.importance >= LEAD)
}

/// Rows of the readings that lead, then of those outside their limits; and how many stay behind.
fn leading(facts: &LetterFacts<'_>, cites: &mut Cites) -> (Vec<ReadingRow>, usize) {
    let w = facts.words;
    let all: Vec<(&Film<'_>, usize)> = facts
        .films
        .iter()
        .flat_map(|f| (0..f.sheet.readings.len()).map(move |i| (f, i)))
        .collect();
    let outside = |(f, i): &(&Film<'_>, usize)| {
        film::comparison(f, *i)
            .is_some_and(|c| matches!(c.summary, Summary::Outside(_) | Summary::SourcesDiffer))
    };
    let lead = |(f, i): &(&Film<'_>, usize)| leads(facts.knowledge, &f.sheet.readings[*i]);
    let mut taken: Vec<usize> = (0..all.len()).filter(|k| lead(&all[*k])).collect();
    taken.extend((0..all.len()).filter(|k| !lead(&all[*k]) && outside(&all[*k])));
    taken.truncate(MOST_READINGS);
    taken.sort_unstable();
    let sides: Vec<Option<Side>> = facts
        .films
        .iter()
        .map(|f| f.side.or(f.sheet.side))
        .collect();
    let several = sides.iter().any(|s| *s != sides[0]);
    let rows: Vec<ReadingRow> = taken
        .iter()
        .map(|k| {
            let (film, i) = all[*k];
            let reading = &film.sheet.readings[i];
            let compared = film::comparison(film, i);
            let mut row = rows::row(
                w,
                facts.knowledge,
                reading,
                compared,
                rows::Room::LETTER,
                cites,
            );
            // What plus means stands in the record.
            row.sign.clear();
            if several {
                let side = film.side.or(film.sheet.side);
                let side =
                    side.map_or_else(|| say!(w, "film-side-not-recorded"), |s| words::side(w, s));
                row.name = say!(w, "reading-of-side", reading = row.name, side = side);
            }
            row
        })
        .collect();
    let left_out = all.len() - rows.len();
    (rows, left_out)
}

pub fn stages(facts: &LetterFacts<'_>) -> Vec<Block> {
    let w = facts.words;
    let feet = findings::in_order(&facts.feet);
    let reports: Vec<_> = feet.iter().filter_map(|f| f.stage).collect();
    let mut out = vec![heading(say!(w, "heading-stage"))];
    if reports.is_empty() {
        out.push(paragraph(say!(w, "stage-none")));
    }
    out.extend(
        reports
            .iter()
            .map(|report| staging::brief(w, facts.knowledge, report)),
    );
    out
}

fn planned(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let w = facts.words;
    let mut out = vec![heading(say!(w, "heading-plan"))];
    let feet = findings::in_order(&facts.feet);
    for foot in &feet {
        out.extend(plan::blocks(w, foot));
    }
    let mut lines = cautions(facts);
    if lines.is_empty() {
        lines.push(say!(w, "clinician-decides"));
    }
    for foot in feet {
        for line in plan::cautions(w, foot, cites) {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: say!(w, "before-anything"),
        lines,
    });
    out.push(plan::return_advice(w, is_child(facts)));
    out
}

/// Cautions of all proposals; one that does not hold for every foot says for which it does.
pub fn cautions(facts: &LetterFacts<'_>) -> Vec<String> {
    let w = facts.words;
    let feet: Vec<_> = findings::in_order(&facts.feet)
        .into_iter()
        .filter_map(|f| f.proposal)
        .collect();
    let mut out: Vec<String> = Vec::new();
    for proposal in &feet {
        for caution in &proposal.cautions {
            let shared = feet.iter().all(|p| p.cautions.contains(caution));
            let line = if shared {
                w.said(caution)
            } else {
                let foot = words::capital(&words::foot(w, proposal.side));
                let said = words::small(&w.said(caution));
                say!(w, "labelled", label = foot, value = said)
            };
            if !out.contains(&line) {
                out.push(line);
            }
        }
    }
    out
}

pub fn signature(facts: &LetterFacts<'_>) -> Block {
    let w = facts.words;
    let mut lines = vec![facts.clinician.to_owned()];
    lines.extend(facts.practice.first().cloned());
    lines.push(match facts.signed {
        Some(when) => say!(w, "signed", when = w.day(when)),
        None => say!(w, "not-signed"),
    });
    Block::Signature { lines }
}
