//! A whole prescription with the reasons behind every value of it.

use super::reason::{Footing, Proposal, Reason};
use quantity::{Angle, Length};
use serde::{Deserialize, Serialize};
use shell::prescription::{
    ArchFill, Corrections, Edges, FasciaGroove, ForefootPost, Inversion, NavicularRelief,
    Prescription, RearfootPost, ShellBody, Shoe, Skive, Thickness,
};

/// Every value a prescription has, each proposed with its reasons.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Draft {
    pub inversion: Proposal<Option<Inversion>>,
    pub forefoot_balance: Proposal<Option<Angle>>,
    pub arch_fill: Proposal<ArchFill>,
    pub skive: Proposal<Option<Skive>>,
    pub heel_expansion: Proposal<Option<Length>>,
    pub fascia_groove: Proposal<Option<FasciaGroove>>,
    pub navicular_relief: Proposal<Option<NavicularRelief>>,
    pub first_ray_cut_out: Proposal<bool>,
    /// Key of a material of the knowledge folder.
    pub material: Proposal<String>,
    pub thickness: Proposal<Thickness>,
    pub heel_cup_depth: Proposal<Length>,
    pub behind_heads: Proposal<Length>,
    pub medial_flange: Proposal<Option<Length>>,
    pub lateral_flange: Proposal<Option<Length>>,
    pub edge_radius: Proposal<Length>,
    pub rearfoot_post: Proposal<Option<RearfootPost>>,
    pub forefoot_post: Proposal<Option<ForefootPost>>,
}

/// One line of a draft for a table: name, value in words, and everything behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct DraftLine<'d> {
    pub name: &'static str,
    pub value: String,
    pub footing: Footing,
    pub why: &'d [Reason],
    pub cautions: &'d [Reason],
    pub alternatives: Vec<(String, &'d Reason)>,
}

impl Draft {
    /// The prescription with the proposed values.
    pub fn prescription(&self, shoe: Option<Shoe>, order_code: &str) -> Prescription {
        Prescription {
            corrections: Corrections {
                inversion: self.inversion.value,
                forefoot_balance: self.forefoot_balance.value,
                arch_fill: self.arch_fill.value,
                skive: self.skive.value,
                heel_expansion: self.heel_expansion.value,
                fascia_groove: self.fascia_groove.value,
                navicular_relief: self.navicular_relief.value,
                first_ray_cut_out: self.first_ray_cut_out.value,
            },
            shell: ShellBody {
                material: self.material.value.clone(),
                thickness: self.thickness.value,
                heel_cup_depth: self.heel_cup_depth.value,
                behind_heads: self.behind_heads.value,
                medial_flange: self.medial_flange.value,
                lateral_flange: self.lateral_flange.value,
                trim: Vec::new(),
            },
            edges: Edges {
                radius: self.edge_radius.value,
            },
            rearfoot_post: self.rearfoot_post.value,
            forefoot_post: self.forefoot_post.value,
            shoe,
            order_code: order_code.to_owned(),
        }
    }

    /// All values in the order a maker works, for page and paper.
    pub fn lines(&self) -> Vec<DraftLine<'_>> {
        vec![
            line("Shell material", &self.material, String::clone),
            line("Shell thickness", &self.thickness, thickness_words),
            line("Rearfoot post", &self.rearfoot_post, |p| {
                optional(p, |p| {
                    format!(
                        "{}, {} long{}",
                        deg(p.angle),
                        mm(p.length),
                        if p.separate {
                            ", a body of its own"
                        } else {
                            ""
                        }
                    )
                })
            }),
            line("Inversion of the positive", &self.inversion, |i| {
                optional(i, |i| deg(i.angle))
            }),
            line("Medial heel skive", &self.skive, |s| {
                optional(s, |s| {
                    let side = if s.clipped { ", inner side only" } else { "" };
                    format!("{} at {}{side}", mm(s.depth), deg(s.angle))
                })
            }),
            line("Arch fill", &self.arch_fill, |fill| {
                match fill {
                    ArchFill::Minimal => "minimal",
                    ArchFill::Standard => "standard",
                    ArchFill::Maximal => "maximal",
                }
                .to_owned()
            }),
            line("Heel cup depth", &self.heel_cup_depth, |l| mm(*l)),
            line("Heel expansion", &self.heel_expansion, |l| {
                optional(l, |l| mm(*l))
            }),
            line("Front edge behind the heads", &self.behind_heads, |l| {
                mm(*l)
            }),
            line(
                "Inner flange, rim above the ground",
                &self.medial_flange,
                |l| optional(l, |l| mm(*l)),
            ),
            line(
                "Outer flange, rim above the ground",
                &self.lateral_flange,
                |l| optional(l, |l| mm(*l)),
            ),
            line("Navicular relief", &self.navicular_relief, |r| {
                optional(r, |r| {
                    format!("{} deep, radius {}", mm(r.depth), mm(r.radius))
                })
            }),
            line("Groove for the fascia", &self.fascia_groove, |g| {
                optional(g, |g| format!("{} deep, {} wide", mm(g.depth), mm(g.width)))
            }),
            line("First-ray cut-out", &self.first_ray_cut_out, |cut| {
                if *cut { "yes" } else { "no" }.to_owned()
            }),
            line("Forefoot balance", &self.forefoot_balance, |a| {
                optional(a, |a| deg(*a))
            }),
            line("Forefoot post", &self.forefoot_post, |p| {
                optional(p, |p| format!("{}, {} long", deg(p.angle), mm(p.length)))
            }),
            line("Rounding of the edges", &self.edge_radius, |l| mm(*l)),
        ]
    }
}

fn line<'d, T>(
    name: &'static str,
    proposal: &'d Proposal<T>,
    words: impl Fn(&T) -> String,
) -> DraftLine<'d> {
    DraftLine {
        name,
        value: words(&proposal.value),
        footing: proposal.footing,
        why: &proposal.why,
        cautions: &proposal.cautions,
        alternatives: proposal
            .alternatives
            .iter()
            .map(|a| (words(&a.value), &a.why))
            .collect(),
    }
}

fn optional<T>(value: &Option<T>, words: impl Fn(&T) -> String) -> String {
    value.as_ref().map_or("none".to_owned(), words)
}

pub(crate) fn mm(length: Length) -> String {
    format!("{} mm", quantity::written_short(length.to_mm(), 1))
}

pub(crate) fn deg(angle: Angle) -> String {
    format!("{}°", quantity::written_short(angle.to_degrees(), 1))
}

fn thickness_words(thickness: &Thickness) -> String {
    match *thickness {
        Thickness::Uniform { all } => mm(all),
        Thickness::ThickerArch { arch, rest } => format!("{} in the arch, {}", mm(arch), mm(rest)),
    }
}
