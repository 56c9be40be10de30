//! To the referring doctor: what a busy colleague needs on two pages, then the record it rests on.
//!
//! Alarm signs, cautions, uncertainty, and what was not looked at stand in the letter itself; the record
//! behind the signature holds the full table, every criterion and the sources.

use super::cites::Cites;
use super::sheet::{foot_line, patient_line};
use super::{
    Composed, Film, LetterFacts, brief, film, findings, plan, record, rows, staging, story, words,
};
use crate::document::{Block, Document, Notice, Pictures, ReadingRow};
use knowledge::Knowledge;
use reading::{Reading, Summary};
use terms::Side;

/// How the table of readings is read.
const KEY: &str = "±: half the 95 % interval, from placing, scale, turn and floor. Shaded: accepted by the yardsticks that decide; stroke: a printed limit. r: source read, a: abstract, c: common practice, u: unconfirmed.";
/// Readings that stand in the letter at most; the record has them all.
const MOST_READINGS: usize = 8;
/// Measures of this weight lead: they carry their value on the film, and stand in the table.
const LEAD: u32 = 80;
/// Width of the text on a letter's page.
pub const PAGE_MM: f64 = 170.0;

pub fn referrer_letter(facts: &LetterFacts<'_>) -> Composed {
    let knowledge = facts.knowledge;
    let mut cites = Cites::default();
    let mut pictures = Pictures::new();
    let mut blocks = staging::alarm(knowledge, &facts.feet, &mut cites);
    blocks.extend(in_short(facts));
    blocks.push(heading("Story"));
    blocks.push(paragraph(
        story::brief(facts.story).unwrap_or_else(|| "No story is recorded.".into()),
    ));
    blocks.push(heading("Findings"));
    blocks.extend(brief::blocks(facts, is_child(facts)));
    blocks.extend(films(facts, &mut cites, &mut pictures));
    blocks.extend(stages(facts));
    blocks.extend(planned(facts, &mut cites));
    blocks.push(signature(facts));
    blocks.extend(record::blocks(facts, &mut cites));
    Composed {
        document: document(
            facts,
            "Collapsing flatfoot: findings, stage, first plan",
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

pub fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

fn in_short(facts: &LetterFacts<'_>) -> Vec<Block> {
    let feet = findings::in_order(&facts.feet);
    let mut items: Vec<String> = feet
        .iter()
        .filter_map(|f| f.stage.map(staging::in_short))
        .collect();
    let decision = facts.decision.trim();
    if decision.is_empty() {
        for foot in &feet {
            let steps: Vec<String> = plan::chosen(foot)
                .iter()
                .map(|c| words::small(plan::title(c)))
                .collect();
            if !steps.is_empty() {
                items.push(format!(
                    "Chosen for the {}: {}.",
                    words::foot(foot.side),
                    terms::listed(&steps)
                ));
            }
        }
    } else {
        items.push(format!("Decision: {}", words::sentence(decision)));
    }
    if let Some(next) = facts.next_visit {
        items.push(format!("Next visit: {}", words::sentence(next)));
    }
    if items.is_empty() {
        return Vec::new();
    }
    vec![heading("In short"), Block::List { items }]
}

pub fn is_child(facts: &LetterFacts<'_>) -> bool {
    facts
        .story
        .number("age_years")
        .value()
        .is_some_and(|age| age < 18.0)
}

fn films(facts: &LetterFacts<'_>, cites: &mut Cites, pictures: &mut Pictures) -> Vec<Block> {
    let mut out = vec![heading("Films and readings")];
    if facts.films.is_empty() {
        out.push(paragraph("No film was read at this visit."));
        return out;
    }
    let shown = pictured(facts);
    let mut key_told = false;
    for (at, film) in facts.films.iter().enumerate() {
        let mut beside = beside(facts.knowledge, film);
        let picture = shown
            .contains(&at)
            .then(|| film::picture(facts.knowledge, film, 100.0, pictures))
            .flatten();
        match picture {
            Some(picture) => out.push(Block::Columns {
                left: vec![picture],
                right: {
                    // Once, where there is room for it.
                    if !key_told {
                        beside.push(Block::Small { text: KEY.into() });
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
        out.push(paragraph("No reading that would decide could be made."));
    } else {
        let more = if left_out == 0 {
            String::new()
        } else {
            format!("; {left_out} more in the record")
        };
        out.push(Block::Readings {
            caption: format!("Readings that decide{more}"),
            rows,
        });
        if !key_told {
            out.push(Block::Small { text: KEY.into() });
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
fn beside(knowledge: &Knowledge, film: &Film<'_>) -> Vec<Block> {
    let facts: Vec<String> = film::facts(film)
        .into_iter()
        .map(|(label, value)| format!("{label}: {value}"))
        .collect();
    let mut out = vec![Block::Small {
        text: facts.join("\n"),
    }];
    out.extend(film::stance_caution(film));
    let mut notes: Vec<String> = film
        .sheet
        .warnings
        .iter()
        .map(|w| words::sentence(&words::capital(&w.sentence)))
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
        film::refused(knowledge, &lost)
            .into_iter()
            .map(|l| format!("Not read: {}", words::small(&l))),
    );
    if film.sheet.readings.is_empty() {
        notes.push("Nothing could be read from this film.".into());
    }
    if !notes.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Note,
            title: format!("To know: {}", words::small(film.title)),
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
                let side = side.map_or("side not recorded", Side::word);
                row.name = format!("{}, {side}", row.name);
            }
            row
        })
        .collect();
    let left_out = all.len() - rows.len();
    (rows, left_out)
}

fn stages(facts: &LetterFacts<'_>) -> Vec<Block> {
    let feet = findings::in_order(&facts.feet);
    let reports: Vec<_> = feet.iter().filter_map(|f| f.stage).collect();
    let mut out = vec![heading("Stage, with reasons")];
    if reports.is_empty() {
        out.push(paragraph("No stage was worked out."));
    }
    out.extend(
        reports
            .iter()
            .map(|report| staging::brief(facts.knowledge, report)),
    );
    out
}

fn planned(facts: &LetterFacts<'_>, cites: &mut Cites) -> Vec<Block> {
    let mut out = vec![heading("First plan")];
    let feet = findings::in_order(&facts.feet);
    for foot in &feet {
        out.extend(plan::blocks(foot));
    }
    let mut lines = cautions(facts);
    if lines.is_empty() {
        lines.push("The clinician decides; local codes and licensed practice come first.".into());
    }
    for foot in feet {
        for line in plan::cautions(foot, cites) {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    out.push(Block::Notice {
        notice: Notice::Caution,
        title: "Before anything is done".into(),
        lines,
    });
    out.push(plan::return_advice(is_child(facts)));
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
