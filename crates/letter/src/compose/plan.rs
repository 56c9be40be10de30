//! The steps that the clinician chose: what to do and beware of for the letter, why for the record.

use super::cites::Cites;
use super::{Foot, words};
use crate::document::{Block, Notice};
use crate::words::{Words, say};
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

pub fn title(w: &Words, chosen: &Chosen<'_>) -> String {
    match chosen {
        Chosen::Proposed(rung) => title_of(w, &rung.key, &rung.title),
        Chosen::Own(key) => Ladder::built_in()
            .rung(key)
            .map_or_else(|| (*key).to_owned(), |r| title_of(w, &r.key, &r.title)),
    }
}

fn title_of(w: &Words, key: &str, title: &str) -> String {
    w.known(&format!("rung-{key}-title"), title)
}

/// The plan of one foot: what it rests on, then each step on a line of its own.
pub fn blocks(w: &Words, foot: &Foot<'_>) -> Vec<Block> {
    let side = words::capital(&words::foot(w, foot.side));
    let chosen = chosen(foot);
    let mut lines: Vec<String> = Vec::new();
    if let Some(proposal) = foot.proposal {
        lines.push(words::sentence(&w.said(&proposal.basis)));
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
        lines.extend(others.map(|r| words::sentence(&words::capital(&w.said(r)))));
    }
    if chosen.is_empty() {
        lines.push(say!(w, "plan-none-chosen"));
    }
    let mut out = vec![Block::Paragraph {
        text: say!(w, "of-foot", foot = side.clone(), said = lines.join(" ")),
    }];
    if !chosen.is_empty() {
        out.push(Block::Pairs {
            caption: String::new(),
            header: (side, say!(w, "head-chosen")),
            rows: chosen.iter().map(|c| (title(w, c), step(w, c))).collect(),
        });
    }
    out
}

/// What, how much, how long, when to look again; and what has to be looked at before.
pub fn step(w: &Words, chosen: &Chosen<'_>) -> String {
    let Chosen::Proposed(rung) = chosen else {
        return say!(w, "plan-own-choice");
    };
    let mut parts = vec![words::sentence(
        &w.known(&format!("rung-{}-words", rung.key), &rung.words),
    )];
    if !rung.dose.is_empty() {
        let dose: Vec<String> = rung.dose.iter().map(|d| w.said(d)).collect();
        parts.push(words::sentence(&dose.join("; ")));
    }
    parts.push(words::sentence(&words::capital(&w.said(&rung.how_long))));
    let look: Vec<String> = rung
        .look
        .iter()
        .map(|l| {
            let (when, what) = (w.said(&l.when), w.said(&l.what));
            say!(
                w,
                "labelled",
                label = words::small(&when),
                value = words::small(&what)
            )
        })
        .collect();
    if !look.is_empty() {
        parts.push(say!(w, "plan-look-again", looks = look.join("; ")));
    }
    let mut out = parts.join(" ");
    let open: Vec<String> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| w.said(&c.words))
        .collect();
    if !open.is_empty() {
        out.push('\n');
        out.push_str(&say!(w, "plan-check-first", checks = open.join("; ")));
    }
    out
}

/// What speaks against a chosen step, and its cautions, each with the step and its source.
pub fn cautions(w: &Words, foot: &Foot<'_>, cites: &mut Cites) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for step in chosen(foot) {
        let Chosen::Proposed(rung) = step else {
            continue;
        };
        let mut beware: Vec<String> = Vec::new();
        if rung.standing == Standing::HeldBack {
            beware.push(say!(w, "plan-held-back"));
        }
        let against =
            |c: &&care::Check| matches!(c.state, CheckState::Against | CheckState::Caution);
        let checks = rung.checks.iter().filter(against);
        beware.extend(checks.map(|c| words::sentence(&w.said(&c.words))));
        beware.extend(rung.cautions.iter().map(|c| {
            let mark = cites.of_care(std::slice::from_ref(&c.source));
            format!("{} {mark}", w.said(&c.words))
        }));
        if !beware.is_empty() {
            out.push(say!(
                w,
                "labelled",
                label = title_of(w, &rung.key, &rung.title),
                value = words::small(&beware.join(" "))
            ));
        }
    }
    out
}

/// Why each chosen step, with its evidence, and which steps were not chosen.
pub fn behind(w: &Words, foot: &Foot<'_>, cites: &mut Cites) -> Vec<Block> {
    let side = words::capital(&words::foot(w, foot.side));
    let chosen = chosen(foot);
    let mut rows: Vec<(String, String)> = Vec::new();
    for step in &chosen {
        let Chosen::Proposed(rung) = step else {
            continue;
        };
        let mut lines: Vec<String> = rung
            .why
            .iter()
            .map(|y| words::capital(&w.said(y)))
            .collect();
        for e in &rung.evidence {
            let mark = cites.of_care(std::slice::from_ref(&e.source));
            lines.push(say!(
                w,
                "labelled",
                label = words::capital(&w.said(&e.strength)),
                value = format!("{} {mark}", w.said(&e.words))
            ));
        }
        rows.push((title_of(w, &rung.key, &rung.title), lines.join("\n")));
    }
    let mut out = Vec::new();
    if !rows.is_empty() {
        out.push(Block::Pairs {
            caption: say!(w, "plan-why-caption", foot = side.clone()),
            header: (say!(w, "head-step"), say!(w, "head-why")),
            rows,
        });
    }
    if let Some(proposal) = foot.proposal.filter(|_| !chosen.is_empty()) {
        let waiting: Vec<String> = proposal
            .rungs
            .iter()
            .filter(|r| !foot.chosen.contains(&r.key))
            .map(|r| {
                let title = words::small(&title_of(w, &r.key, &r.title));
                say!(w, "aside", what = title, aside = w.said(r.standing.words()))
            })
            .collect();
        if !waiting.is_empty() {
            out.push(Block::Paragraph {
                text: say!(
                    w,
                    "plan-not-chosen",
                    foot = side.clone(),
                    steps = waiting.join("; ")
                ),
            });
        }
    }
    out
}

/// When somebody has to be sent back before the next visit. Common practice.
pub fn return_advice(w: &Words, child: bool) -> Block {
    let who = if child { "child" } else { "adult" };
    Block::Notice {
        notice: Notice::Alarm,
        title: say!(w, "send-back-title"),
        lines: vec![
            say!(w, "send-back-emergency"),
            say!(w, "send-back-same-day", who = who),
        ],
    }
}
