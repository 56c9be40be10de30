//! The decision's part of the page: what the report says of each foot, why, and what is missing.

use super::devices::{self, DeviceRow};
use super::gather::{Gathered, VisitFoot};
use super::rungs::{RungBox, rung};
use super::standing::{AlarmLine, MOST_MISSING, alarms, anchor};
use crate::context::Context;
use crate::words;
use exam::question;
use stage::SchemeReport;
use terms::MeasureKey;

pub struct FootDecision {
    pub key: &'static str,
    pub head: &'static str,
    pub held: bool,
    pub alarms: Vec<AlarmLine>,
    pub schemes: Vec<SchemeBox>,
    pub missing: Vec<MissingFull>,
    pub notes: Vec<String>,
    pub options: Vec<String>,
    pub chosen: String,
    pub reason: String,
    pub revision: u32,
    pub decided: String,
    pub rungs: Vec<RungBox>,
    /// Rungs that are neither proposed nor taken; folded away.
    pub later: Vec<RungBox>,
    pub basis: String,
    pub cautions: Vec<String>,
    pub not_recorded: Vec<String>,
    pub devices: Vec<DeviceRow>,
}

pub struct SchemeBox {
    pub name: &'static str,
    pub headline: String,
    pub candidates: Vec<CandidateBox>,
}

pub struct CandidateBox {
    pub key: String,
    pub words: String,
    pub state: &'static str,
    pub class: &'static str,
    pub chance: String,
    pub because: Vec<String>,
    pub against: Vec<String>,
    pub open: Vec<String>,
    pub sources: Vec<(String, char)>,
}

pub struct MissingFull {
    pub words: String,
    pub why: String,
    pub ask: Vec<(String, String)>,
    pub if_yes: String,
    pub if_no: String,
}

/// What the page says of one foot's report.
pub fn foot_decision(context: &Context, g: &Gathered, foot: &VisitFoot) -> FootDecision {
    let report = &foot.report;
    let mut boxes: Vec<SchemeBox> = report.schemes().into_iter().map(scheme_box).collect();
    if let Some(consensus) = &report.consensus {
        boxes.push(SchemeBox {
            name: stage::Scheme::Consensus.words(),
            headline: consensus.string.as_ref().map_or_else(
                || consensus.so_far.clone(),
                |s| format!("{s}. {}", consensus.so_far),
            ),
            candidates: consensus
                .strings
                .iter()
                .map(|(string, chance)| CandidateBox {
                    key: string.clone(),
                    words: String::new(),
                    state: "possible",
                    class: "straddles",
                    chance: percent(*chance),
                    because: Vec::new(),
                    against: Vec::new(),
                    open: Vec::new(),
                    sources: Vec::new(),
                })
                .collect(),
        });
    }
    let options = report
        .schemes()
        .into_iter()
        .flat_map(|s| &s.candidates)
        .filter(|c| !c.by_definition().is_false())
        .map(|c| c.key.clone())
        .chain(report.consensus.as_ref().and_then(|c| c.string.clone()))
        .collect();
    let decision = foot.decision.as_ref();
    let (rungs, later) = foot
        .proposal
        .rungs
        .iter()
        .chain(&foot.proposal.held)
        .map(|r| rung(g, foot, r))
        .partition(|r: &RungBox| r.taken || r.first);
    FootDecision {
        key: foot.side.word(),
        head: words::side_head(foot.side),
        held: !report.may_carry_plan,
        alarms: alarms(report),
        schemes: boxes,
        missing: report
            .missing
            .iter()
            .take(MOST_MISSING)
            .map(|m| missing_full(context, m, foot))
            .collect(),
        notes: report.notes.iter().chain(&report.told).cloned().collect(),
        options,
        chosen: decision.and_then(|d| d.chosen.clone()).unwrap_or_default(),
        reason: decision
            .and_then(|d| d.overruled_reason.clone())
            .unwrap_or_default(),
        revision: decision.map_or(0, |d| d.revision),
        decided: decision
            .map(|d| words::short_day(d.saved_at.date()))
            .unwrap_or_default(),
        rungs,
        later,
        basis: foot.proposal.basis.clone(),
        cautions: foot
            .proposal
            .cautions
            .iter()
            .filter(|c| {
                let both = |f: &VisitFoot| f.proposal.cautions.contains(c);
                !g.feet.iter().all(both)
            })
            .cloned()
            .collect(),
        devices: devices::rows(g, foot),
        not_recorded: foot
            .proposal
            .not_recorded
            .iter()
            .map(|c| c.words.clone())
            .collect(),
    }
}

fn scheme_box(scheme: &SchemeReport) -> SchemeBox {
    let candidates = scheme
        .candidates
        .iter()
        .filter(|c| !c.by_definition().is_false())
        .map(|c| {
            let (state, class) = match (c.truth, c.would_be) {
                (t, _) if t.is_true() => ("holds", "inside"),
                (_, Some(t)) if t.is_true() => {
                    ("would hold by an unconfirmed definition", "differ")
                }
                (_, Some(_)) => ("open, unconfirmed definition", "none"),
                (_, None) => ("possible", "straddles"),
            };
            CandidateBox {
                key: c.key.clone(),
                words: c.words.clone(),
                state,
                class,
                chance: c
                    .chance
                    .map(|p| chance_words(p.holds, p.possible))
                    .unwrap_or_default(),
                because: c.because.clone(),
                against: c.against.clone(),
                open: c.open.clone(),
                sources: c
                    .sources
                    .iter()
                    .map(|s| (s.key.clone(), s.letter))
                    .collect(),
            }
        })
        .collect();
    SchemeBox {
        name: scheme.scheme.words(),
        headline: scheme.headline.clone(),
        candidates,
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn chance_words(holds: f64, possible: f64) -> String {
    if (holds - possible).abs() < 0.005 {
        percent(holds)
    } else {
        format!("{} to {}", percent(holds), percent(possible))
    }
}

fn missing_full(context: &Context, missing: &stage::Missing, foot: &VisitFoot) -> MissingFull {
    let ask = missing
        .ask
        .iter()
        .map(|key| match question(key) {
            Some(q) => (q.words.to_owned(), anchor(q.sheet, foot, key)),
            None => {
                let measure = MeasureKey::new(key.clone())
                    .ok()
                    .and_then(|k| context.state.knowledge.measure(&k));
                (
                    measure.map_or_else(|| key.clone(), |m| m.name.clone()),
                    "#films".to_owned(),
                )
            }
        })
        .collect();
    MissingFull {
        words: missing.words.clone(),
        why: missing.why.clone(),
        ask,
        if_yes: outcomes(&missing.if_yes),
        if_no: outcomes(&missing.if_no),
    }
}

fn outcomes(all: &[stage::Outcome]) -> String {
    let said: Vec<String> = all
        .iter()
        .filter(|o| !o.ruled_out.is_empty())
        .map(|o| format!("{}: rules out {}", o.scheme.words(), o.ruled_out.join(", ")))
        .collect();
    if said.is_empty() {
        "changes nothing by itself".to_owned()
    } else {
        said.join("; ")
    }
}
