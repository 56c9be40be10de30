//! The steps that the clinician chose, with what speaks for them and what to beware of.

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

/// Everything about the plan of one foot.
pub fn blocks(foot: &Foot<'_>, cites: &mut Cites) -> Vec<Block> {
    let side = words::capital(&words::foot(foot.side));
    let mut out = Vec::new();
    let chosen = chosen(foot);
    if let Some(proposal) = foot.proposal {
        let mut lines = vec![words::sentence(&proposal.basis)];
        // What the stage rests on stands under the stage already.
        let told = |r: &&String| {
            let stage = r.split(':').next().unwrap_or_default();
            !proposal.stages.iter().any(|s| s == stage)
        };
        let others = proposal.reasons.iter().filter(told);
        lines.extend(others.map(|r| words::sentence(&words::capital(r))));
        out.push(Block::Paragraph {
            text: format!("{side}. {}", lines.join(" ")),
        });
    }
    if chosen.is_empty() {
        out.push(Block::Paragraph {
            text: format!("{side}: no step of care is recorded as chosen."),
        });
    }
    for step in &chosen {
        out.extend(rung(&side, step, cites));
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
                    "Also on the ladder for this foot, not chosen: {}.",
                    waiting.join("; ")
                ),
            });
        }
    }
    out
}

fn rung(side: &str, step: &Chosen<'_>, cites: &mut Cites) -> Vec<Block> {
    let Chosen::Proposed(rung) = step else {
        return vec![Block::Notice {
            notice: Notice::Caution,
            title: format!("{side}: {}", title(step)),
            lines: vec![
                "Chosen by the clinician; the ladder did not propose it for this foot.".into(),
            ],
        }];
    };
    let mut rows: Vec<(String, String)> = vec![("What".into(), rung.words.clone())];
    if !rung.dose.is_empty() {
        rows.push(("How much".into(), rung.dose.join("\n")));
    }
    rows.push(("How long".into(), words::capital(&rung.how_long)));
    for look in &rung.look {
        rows.push((words::capital(&look.when), look.what.clone()));
    }
    rows.push(("Why".into(), words::capital(&rung.why.join("\n"))));
    let evidence: Vec<String> = rung
        .evidence
        .iter()
        .map(|e| {
            let mark = cites.of_care(std::slice::from_ref(&e.source));
            format!("{}: {} {mark}", words::capital(&e.strength), e.words)
        })
        .collect();
    if !evidence.is_empty() {
        rows.push(("Evidence".into(), evidence.join("\n")));
    }
    let open: Vec<&str> = rung
        .checks
        .iter()
        .filter(|c| c.state == CheckState::NotRecorded)
        .map(|c| c.words.as_str())
        .collect();
    if !open.is_empty() {
        rows.push(("To check first".into(), open.join("\n")));
    }
    let mut out = vec![Block::Pairs {
        caption: String::new(),
        header: (side.to_owned(), rung.title.clone()),
        rows,
    }];
    let mut beware: Vec<String> = rung
        .checks
        .iter()
        .filter(|c| matches!(c.state, CheckState::Against | CheckState::Caution))
        .map(|c| words::sentence(&c.words))
        .collect();
    beware.extend(rung.cautions.iter().map(|c| {
        let mark = cites.of_care(std::slice::from_ref(&c.source));
        format!("{} {mark}", c.words)
    }));
    if rung.standing == Standing::HeldBack {
        beware.insert(
            0,
            "Chosen by the clinician although the ladder holds it back.".into(),
        );
    }
    if !beware.is_empty() {
        out.push(Block::Notice {
            notice: Notice::Caution,
            title: format!("Caution: {}", words::small(&rung.title)),
            lines: beware,
        });
    }
    out
}
