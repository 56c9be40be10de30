//! The plan's part of the page: the rungs that could come first, and what stands against each.

use super::gather::{Gathered, VisitFoot};

pub struct RungBox {
    pub name: String,
    pub title: String,
    pub words: String,
    pub standing: &'static str,
    pub class: &'static str,
    pub taken: bool,
    /// Could come first as things stand.
    pub first: bool,
    pub why: Vec<String>,
    pub dose: Vec<String>,
    pub how_long: String,
    pub pain: String,
    pub success: String,
    pub failure: String,
    pub up: String,
    pub down: String,
    pub look: Vec<(String, String)>,
    pub evidence: Vec<(String, String, String, char)>,
    pub cautions: Vec<String>,
    pub checks: Vec<String>,
}

pub fn rung(g: &Gathered, foot: &VisitFoot, r: &care::ProposedRung) -> RungBox {
    let name = foot.rung_name(r);
    RungBox {
        taken: g.kept_plan.taken.contains(&name),
        first: matches!(r.standing, care::Standing::Proposed),
        name: format!("rung.{name}"),
        title: r.title.clone(),
        words: r.words.clone(),
        standing: r.standing.words(),
        class: match r.standing {
            care::Standing::Proposed => "inside",
            care::Standing::LookFirst | care::Standing::DependsOnStage => "straddles",
            care::Standing::HeldBack => "outside",
        },
        why: r.why.clone(),
        dose: r.dose.clone(),
        how_long: r.how_long.clone(),
        pain: r.pain.clone(),
        success: r.success.clone(),
        failure: r.failure.clone(),
        up: r.up.join("; "),
        down: r.down.join("; "),
        look: r
            .look
            .iter()
            .map(|l| (l.when.clone(), l.what.clone()))
            .collect(),
        evidence: r
            .evidence
            .iter()
            .map(|e| {
                (
                    e.strength.clone(),
                    e.words.clone(),
                    e.source.key.clone(),
                    e.source.letter,
                )
            })
            .collect(),
        cautions: r.cautions.iter().map(|c| c.words.clone()).collect(),
        checks: r.checks.iter().map(|c| c.words.clone()).collect(),
    }
}
