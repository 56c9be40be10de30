//! What shells and posts are made of: stiffness, strength, fatigue, heat, and what a process can make.
//!
//! This file answers "which figures stand behind a material's key". It computes no stress. One surprise: a
//! laminate has no single modulus; where a material is orthotropic, [`Material::bending_modulus`] is
//! `None` and the constants of its layer are in [`Material::orthotropic`].

use crate::figure::{Figure, sourced};
use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// How a part of it is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Process {
    /// Heated and drawn over a positive.
    Sheet,
    /// Powder melted by a beam, layer by layer.
    PowderFusion,
    /// Powder melted by lamps where an agent was printed.
    MultiJet,
    /// A strand laid down layer by layer.
    Extruded,
    /// Fibres in resin.
    Laminate,
    /// Cut or ground from a block of foam or cork.
    Block,
}

impl Process {
    pub fn words(self) -> &'static str {
        match self {
            Process::Sheet => "sheet, formed over a positive",
            Process::PowderFusion => "powder, laser sintered",
            Process::MultiJet => "powder, multi-jet fused",
            Process::Extruded => "extruded strand",
            Process::Laminate => "fibre laminate",
            Process::Block => "ground from a block",
        }
    }

    /// Made from the digital solid, without a positive.
    pub fn is_printed(self) -> bool {
        matches!(
            self,
            Process::PowderFusion | Process::MultiJet | Process::Extruded
        )
    }
}

/// What a material may be ordered for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    Shell,
    Post,
    Cover,
    /// One layer of a laminate, nothing by itself.
    Layer,
}

/// One material, as far as its figures are known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// The word a prescription names it by.
    pub key: String,
    pub name: String,
    pub process: Process,
    /// Empty: listed for comparison, and not offered.
    pub roles: Vec<Role>,
    /// What one has to know before ordering it.
    pub words: String,
    #[serde(default)]
    pub tensile_modulus: Option<Figure>,
    #[serde(default)]
    pub flexural_modulus: Option<Figure>,
    /// What strength is computed with: a starting value and the band it is varied over.
    #[serde(default)]
    pub design_modulus: Option<Figure>,
    #[serde(default)]
    pub tensile_strength: Option<Figure>,
    #[serde(default)]
    pub flexural_strength: Option<Figure>,
    #[serde(default)]
    pub poisson: Option<Figure>,
    #[serde(default)]
    pub density: Option<Figure>,
    /// Constants of one layer in its own axes.
    #[serde(default)]
    pub orthotropic: Option<Orthotropic>,
    /// Highest stress to allow in daily walking.
    #[serde(default)]
    pub allowable: Option<Figure>,
    /// Least factor between what breaks it and walking.
    #[serde(default)]
    pub safety: Option<Figure>,
    #[serde(default)]
    pub fatigue: Vec<Fatigue>,
    /// Stiffness under a load that stays, as a share of the short one.
    #[serde(default)]
    pub creep_share: Option<Figure>,
    #[serde(default)]
    pub heat: Vec<Heat>,
    /// Temperature at which a loaded bar gives way; low by high load.
    #[serde(default)]
    pub heat_deflection: Option<Figure>,
    #[serde(default)]
    pub making: Making,
    /// What was seen of it that is no single number.
    #[serde(default)]
    pub facts: Vec<Fact>,
}

/// A sentence with its sources.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fact {
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

/// Elastic constants of a layer: 1 along the fibres (or the warp), 2 across, 3 through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Orthotropic {
    pub e1: Figure,
    pub e2: Figure,
    pub g12: Figure,
    pub nu12: Figure,
    #[serde(default)]
    pub g13: Option<Figure>,
    #[serde(default)]
    pub g23: Option<Figure>,
}

/// One fatigue figure: the highest stress of the cycle that so many cycles are borne at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fatigue {
    /// Which way it was built and how it was loaded.
    pub words: String,
    pub stress: Figure,
    /// Lowest over highest stress of a cycle: −1 to and fro, 0 from nothing.
    pub r_ratio: f64,
    pub cycles: Option<f64>,
}

/// Stiffness when warm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Heat {
    pub at_celsius: f64,
    pub modulus: Figure,
}

/// What the process can make.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Making {
    /// Thinnest wall that holds together.
    #[serde(default)]
    pub min_wall: Option<Figure>,
    /// Thinnest wall that carries load.
    #[serde(default)]
    pub min_wall_loaded: Option<Figure>,
    #[serde(default)]
    pub min_fillet: Option<Figure>,
    #[serde(default)]
    pub min_hole: Option<Figure>,
    /// Hole through which loose powder gets out.
    #[serde(default)]
    pub min_escape_hole: Option<Figure>,
    /// Deviation to either side, the greater of this and `tolerance_share`.
    #[serde(default)]
    pub tolerance: Option<Figure>,
    /// Deviation by the size of the part.
    #[serde(default)]
    pub tolerance_share: Option<Figure>,
    /// Thicknesses that are bought.
    #[serde(default)]
    pub stock_mm: Option<Stock>,
    /// Thicknesses that shells of it are made in.
    #[serde(default)]
    pub usual_thickness: Option<Figure>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    pub thicknesses: Vec<f64>,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(Stock, Fact);

impl Material {
    pub fn is_for(&self, role: Role) -> bool {
        self.roles.contains(&role)
    }

    /// The modulus that bending is computed with, in megapascals: the design value, else the flexural,
    /// else the tensile one. `None` for an orthotropic material, for a laminate of which only a pull was
    /// measured (its bending hangs on the order of its layers), and where nothing is known.
    ///
    /// # Uncertainty
    /// The figure's own band; its provenance goes with every result.
    pub fn bending_modulus(&self) -> Option<Figure> {
        if self.orthotropic.is_some() {
            return None;
        }
        let pulled = if self.process == Process::Laminate {
            None
        } else {
            self.tensile_modulus.as_ref()
        };
        self.design_modulus
            .as_ref()
            .or(self.flexural_modulus.as_ref())
            .or(pulled)?
            .to_megapascal()
    }

    /// The fatigue figure to hold a walking cycle against: among those at `cycles` or more, the one with
    /// the lowest usual stress. Firmly known figures come before recalled ones. Their R ratios differ and
    /// are not converted into each other; the lowest highest stress is the cautious reading.
    pub fn fatigue_at(&self, cycles: f64) -> Option<&Fatigue> {
        let weakest = |firm: bool| {
            self.fatigue
                .iter()
                .filter(|f| f.cycles.is_none_or(|c| c >= cycles))
                .filter(|f| f.stress.provenance.may_decide_alone() == firm)
                .filter_map(|f| Some((f, f.stress.usual()?)))
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(f, _)| f)
        };
        weakest(true).or_else(|| weakest(false))
    }

    /// Every figure of the material with the path of its field, for checks and tables.
    pub fn figures<'m>(&'m self) -> Vec<(Vec<String>, &'m Figure)> {
        let mut out = Vec::new();
        let mut add = |path: &[&str], figure: Option<&'m Figure>| {
            if let Some(figure) = figure {
                out.push((path.iter().map(|p| (*p).to_owned()).collect(), figure));
            }
        };
        add(&["tensile_modulus"], self.tensile_modulus.as_ref());
        add(&["flexural_modulus"], self.flexural_modulus.as_ref());
        add(&["design_modulus"], self.design_modulus.as_ref());
        add(&["tensile_strength"], self.tensile_strength.as_ref());
        add(&["flexural_strength"], self.flexural_strength.as_ref());
        add(&["poisson"], self.poisson.as_ref());
        add(&["density"], self.density.as_ref());
        add(&["allowable"], self.allowable.as_ref());
        add(&["safety"], self.safety.as_ref());
        add(&["creep_share"], self.creep_share.as_ref());
        add(&["heat_deflection"], self.heat_deflection.as_ref());
        if let Some(o) = &self.orthotropic {
            add(&["orthotropic", "e1"], Some(&o.e1));
            add(&["orthotropic", "e2"], Some(&o.e2));
            add(&["orthotropic", "g12"], Some(&o.g12));
            add(&["orthotropic", "nu12"], Some(&o.nu12));
            add(&["orthotropic", "g13"], o.g13.as_ref());
            add(&["orthotropic", "g23"], o.g23.as_ref());
        }
        let m = &self.making;
        add(&["making", "min_wall"], m.min_wall.as_ref());
        add(&["making", "min_wall_loaded"], m.min_wall_loaded.as_ref());
        add(&["making", "min_fillet"], m.min_fillet.as_ref());
        add(&["making", "min_hole"], m.min_hole.as_ref());
        add(&["making", "min_escape_hole"], m.min_escape_hole.as_ref());
        add(&["making", "tolerance"], m.tolerance.as_ref());
        add(&["making", "tolerance_share"], m.tolerance_share.as_ref());
        add(&["making", "usual_thickness"], m.usual_thickness.as_ref());
        for (i, f) in self.fatigue.iter().enumerate() {
            add(&["fatigue", &i.to_string(), "stress"], Some(&f.stress));
        }
        for (i, h) in self.heat.iter().enumerate() {
            add(&["heat", &i.to_string(), "modulus"], Some(&h.modulus));
        }
        out
    }
}
