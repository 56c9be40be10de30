//! The steps that the clinician chose: what to do and beware of for the letter, why for the record.

use super::cites::Cites;
use super::{Foot, words};
use crate::document::{Block, Notice};
use care::{CheckState, Ladder, ProposedRung, Standing};

/// A chosen rung: as proposed for this foot, or chosen although the ladder did not propose it.
pub enum Chosen<'a> {
    Proposed(&'a ProposedRung),
    Own(&'a str),
}

pub fn chosen<'a>(foot: &Foot<'a>) -> Vec<Chosen<'a>> {
    foot.chosen
        .iter()
        .map(|key| {
            foot.proposal
                .and_then(|p| p.rung(key))
                .map_or(Chosen::Own(key), Chosen::Proposed)
        })
        .collect()
}

pub fn title<'a>(chosen: &Chosen<'a>) -> &'a str {
    match chosen {
        Chosen::Proposed(rung) => &rung.title,
        Chosen::Own(key) => Ladder::built_in().rung(key).map_or(key, |r| &r.title),
    }
}

/// The plan of one foot: what it rests on, then each step on a line of its own.
pub fn blocks(foot: &Foot<'_>) -> Vec<Block> {
    let side = words::capital(&words::foot(foot.side));
    let chosen = chosen(foot);
    let mut lines: Vec<String> = Vec::new();
    if let Some(proposal) = foot.proposal {
        lines.push(words::sentence(&proposal.basis));
        // What the stage rests on, and what is still open, stands under the stage already.
        let told = |r: &&String| {
            let head = r.split(':').next().unwrap_or_default();
            head != "What would narrow it most" && !proposal.stages.iter().any(|s| s == head)
        };
        let others = proposal
            .reasons
            .iter()
            .filter(told)
            .filter(|_| !chosen.is_empty());
        lines.extend(others.map(|r| words::sentence(&words::capital(r))));
    }
    if chosen.is_empty() {
        lines.push("No step of care is recorded as chosen.".into());
    }
    let mut out = vec![Block::Paragraph {
        text: format!("{side}. {}", lines.join(" ")),
    }];
    if !chosen.is_empty() {
        out.push(Block::Pairs {
            caption: String::new(),
            header: (side, "Chosen".into()),
            rows: chosen
                .iter()
                .map(|c| (title(c).to_owned(), step(c)))
                .collect(),
        });
    }
    out
}

/// What, how much, how long, when to look again; and what has to be looked at before.
fn step(chosen: &Chosen<'_>) -> String {
    let Chosen::Proposed(rung) = chosen else {
        return "Chosen by the clinician; the ladder did not propose it for this foot.".into();
    };
    let mut parts = vec![words::sentence(&rung.words)];
    if !rung.dose.is_empty() {
        parts.push(words::sentence(&rung.dose.join("; ")));
    }
    parts.push(words::sentence(&words::capital(&rung.how_long)));
    let look: Vec<String> = rung
        .look
        .iter()
        .map(|l| format!("{}: {}", words::small(&l.when), words::small(&l.what)))
        .collect();
    if !look.is_empty() {
        parts.push(format!("Look again {}.", look.join("; ")));
    }
    let mut out = parts.join(" ");
    let open: Vec<&str> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| c.words.as_str())
        .collect();
    if !open.is_empty() {
        out.push_str(&format!("\nTo check first: {}.", open.join("; ")));
    }
    out
}

/// What speaks against a chosen step, and its cautions, each with the step and its source.
pub fn cautions(foot: &Foot<'_>, cites: &mut Cites) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for step in chosen(foot) {
        let Chosen::Proposed(rung) = step else {
            continue;
        };
        let mut beware: Vec<String> = Vec::new();
        if rung.standing == Standing::HeldBack {
            beware.push("chosen by the clinician although the ladder holds it back.".into());
        }
        let against =
            |c: &&care::Check| matches!(c.state, CheckState::Against | CheckState::Caution);
        let checks = rung.checks.iter().filter(against);
        beware.extend(checks.map(|c| words::sentence(&c.words)));
        beware.extend(rung.cautions.iter().map(|c| {
            let mark = cites.of_care(std::slice::from_ref(&c.source));
            format!("{} {mark}", c.words)
        }));
        if !beware.is_empty() {
            out.push(format!(
                "{}: {}",
                rung.title,
                words::small(&beware.join(" "))
            ));
        }
    }
    out
}

/// Why each chosen step, with its evidence, and which steps were not chosen.
pub fn behind(foot: &Foot<'_>, cites: &mut Cites) -> Vec<Block> {
    let side = words::capital(&words::foot(foot.side));
    let chosen = chosen(foot);
    let mut rows: Vec<(String, String)> = Vec::new();
    for step in &chosen {
        let Chosen::Proposed(rung) = step else {
            continue;
        };
        let mut lines: Vec<String> = rung.why.iter().map(|w| words::capital(w)).collect();
        for e in &rung.evidence {
            let mark = cites.of_care(std::slice::from_ref(&e.source));
            lines.push(format!(
                "{}: {} {mark}",
                words::capital(&e.strength),
                e.words
            ));
        }
        rows.push((rung.title.clone(), lines.join("\n")));
    }
    let mut out = Vec::new();
    if !rows.is_empty() {
        out.push(Block::Pairs {
            caption: format!("{side}: why these steps, and on what evidence"),
            header: ("Step".into(), "Why, and evidence".into()),
            rows,
        });
    }
    if let Some(proposal) = foot.proposal.filter(|_| !chosen.is_empty()) {
        let waiting: Vec<String> = proposal
            .rungs
            .iter()
            .filter(|r| !foot.chosen.contains(&r.key))
            .map(|r| format!("{} ({})", words::small(&r.title), r.standing.words()))
            .collect();
        if !waiting.is_empty() {
            out.push(Block::Paragraph {
                text: format!(
                    "{side}, also on the ladder and not chosen: {}.",
                    waiting.join("; ")
                ),
            });
        }
    }
    out
}

/// When somebody has to be sent back before the next visit. Common practice.
pub fn return_advice(child: bool) -> Block {
    let mut same_day = "Same day: a hot, red, swollen foot or fever; a swollen, painful calf; a snap or a sudden loss of the arch; no weight can be taken; a new sore, or numb or blue toes under a support, boot or wrap".to_owned();
    if child {
        same_day.push_str("; a limp with fever; pain that wakes at night");
    }
    Block::Notice {
        notice: Notice::Alarm,
        title: "Send back without waiting (common practice; local rules come first)".into(),
        lines: vec![
            "Emergency: a cold, pale or blue foot that hurts at rest; a swollen calf with short breath or chest pain.".into(),
            format!("{same_day}."),
        ],
    }
}
