//! How hard a foot stands on a shell: load cases, how the load is shared, what people do, how often.
//!
//! This file answers "which forces is a shell held against". It bends nothing. One surprise: how the shell
//! is held in front matters more than how the load is shared, so every case that stands on the ground is
//! run with each of its `held` ways and both results are told.

use crate::figure::{Figure, sourced};
use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// What carries the shell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bears {
    /// The heel's base (or its post) and the front edge, on a flat floor.
    HeelAndFrontEdge,
    /// The post, or the heel's base where there is none.
    PostOrHeel,
    /// Fixed to a plate at the heel and the front edge, as on a bench.
    Plate,
}

/// How the front edge is held along the floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Held {
    /// Nothing holds it along the floor.
    Slides,
    /// Heel base and front edge cannot move along the floor.
    Pinned,
    /// Heel base and front edge are fixed to a plate.
    Clamped,
}

impl Held {
    pub fn words(self) -> &'static str {
        match self {
            Held::Slides => "front edge free to slide",
            Held::Pinned => "front edge held in place",
            Held::Clamped => "heel and front edge clamped",
        }
    }
}

/// Shares of the load; they add up to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shares {
    pub heel: f64,
    pub medial_arch: f64,
    pub lateral_midfoot: f64,
    /// The part in front of the trim line does not stand on the shell.
    pub forefoot: f64,
}

impl Shares {
    pub fn sum(&self) -> f64 {
        self.heel + self.medial_arch + self.lateral_midfoot + self.forefoot
    }
}

/// A stamp that presses on the arch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Indenter {
    pub place: String,
    pub radius: Figure,
    pub speed: Figure,
}

/// One load case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadCase {
    /// `L1` to `L6`.
    pub key: String,
    pub title: String,
    pub words: String,
    /// Whole vertical load; `None` where the case is a ramp.
    #[serde(default)]
    pub total: Option<Figure>,
    /// Lowest load of a cycle, in body weights.
    #[serde(default)]
    pub cycle_from: Option<f64>,
    #[serde(default)]
    pub cycles: Option<Figure>,
    #[serde(default)]
    pub shares: Option<Shares>,
    #[serde(default)]
    pub indenter: Option<Indenter>,
    pub bears: Bears,
    pub held: Vec<Held>,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(LoadCase);

/// Newtons of one kilogram's weight.
///
/// # Sources
/// The standard acceleration of free fall.
pub const NEWTON_PER_KILOGRAM: f64 = 9.806_65;

impl LoadCase {
    /// The whole load under a person, in newtons: usual, lowest, highest.
    pub fn newtons(&self, weight_kg: f64) -> Option<[f64; 3]> {
        if !(weight_kg.is_finite() && weight_kg > 0.0) {
            return None;
        }
        let total = self.total.as_ref()?;
        let [lower, upper] = total.band()?;
        let force = weight_kg * NEWTON_PER_KILOGRAM;
        Some([total.usual()? * force, lower * force, upper * force])
    }

    pub fn figures(&self) -> Vec<(Vec<String>, &Figure)> {
        let owned = |path: &[&str]| path.iter().map(|p| (*p).to_owned()).collect::<Vec<_>>();
        let mut out = Vec::new();
        out.extend(self.total.iter().map(|f| (owned(&["total"]), f)));
        out.extend(self.cycles.iter().map(|f| (owned(&["cycles"]), f)));
        if let Some(indenter) = &self.indenter {
            out.push((owned(&["indenter", "radius"]), &indenter.radius));
            out.push((owned(&["indenter", "speed"]), &indenter.speed));
        }
        out
    }
}

/// What people do, and the highest force in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Activity {
    pub key: String,
    pub words: String,
    pub peak: Figure,
}

/// Part of the sole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Region {
    Heel,
    Midfoot,
    MedialMidfoot,
    LateralMidfoot,
    /// All metatarsal heads; toes with them where the row says so.
    Forefoot,
    Toes,
    Hallux,
}

/// What a share is a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ShareOf {
    /// Of the load on this foot, at one time; the regions add up.
    FootLoad,
    /// Of body weight, each region at its own highest; they do not add up.
    BodyWeight,
}

/// How much of the load a region bore.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RegionShare {
    pub key: String,
    pub region: Region,
    pub doing: String,
    pub people: String,
    #[serde(default)]
    pub n: Option<u32>,
    pub of: ShareOf,
    pub share: Figure,
}

/// How often a year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct YearlyCycles {
    pub key: String,
    pub words: String,
    pub cycles: Figure,
}

/// What was seen of loading that is no single number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadFact {
    pub key: String,
    pub words: String,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(LoadFact);
