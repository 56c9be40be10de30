//! What a shell is computed from: its material, the load cases, the person's weight.
//!
//! Plain figures in stated units; [`crate::from_knowledge`] fills them from the knowledge folder. One
//! surprise: a modulus is a band, and what is computed with its middle is told at both its ends too.

use fem::{Isotropic, Layer};
pub use knowledge::load::{Held, Shares};
use serde::{Deserialize, Serialize};

use crate::error::StrengthError;

/// A value with the band that it may lie in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    pub low: f64,
    pub usual: f64,
    pub high: f64,
}

impl Band {
    pub fn exactly(value: f64) -> Self {
        Self {
            low: value,
            usual: value,
            high: value,
        }
    }

    fn is_fit(&self) -> bool {
        self.low > 0.0 && self.low <= self.usual && self.usual <= self.high && self.high.is_finite()
    }
}

/// How a material answers to force.
#[derive(Debug, Clone, PartialEq)]
pub enum Stiffness {
    /// Alike in every direction.
    Alike { modulus_mpa: Band, poisson: f64 },
    /// Layers from the underside to the top, fibres counted from the foot's long axis; the band is a factor
    /// on every modulus.
    Layered { layers: Vec<Layer>, factor: Band },
}

/// Stress that so many cycles are borne at.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fatigue {
    pub stress_mpa: f64,
    pub cycles: Option<f64>,
    pub words: String,
    /// Rests on a source that was seen, not on memory.
    pub firm: bool,
}

/// What a body is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    pub name: String,
    pub stiffness: Stiffness,
    /// g/cm³; without it no mass is told.
    pub density: Option<f64>,
    /// Highest stress to allow in daily walking, MPa.
    pub allowable_mpa: Option<f64>,
    pub fatigue: Option<Fatigue>,
}

/// What presses.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Presses {
    /// The foot, standing on a flat floor; in body weights.
    Foot { body_weights: f64, shares: Shares },
    /// A round stamp on the inner arch at the navicular's station, heel and front edge on a plate.
    Stamp { radius_mm: f64, force_n: f64 },
}

/// One load case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Case {
    pub key: String,
    pub title: String,
    pub presses: Presses,
    pub held: Vec<Held>,
    /// Cycles that it is repeated, where the case asks for endurance.
    pub cycles: Option<f64>,
}

/// What a person's weight presses with, N/kg.
///
/// # Sources
/// The standard acceleration of free fall.
pub const NEWTON_PER_KILOGRAM: f64 = 9.806_65;

impl Material {
    /// # Errors
    /// A figure that no material has.
    pub fn check(&self) -> Result<(), StrengthError> {
        let value = |what, found: f64, expected| StrengthError::Value {
            what,
            found: quantity::written_short(found, 3),
            expected,
        };
        match &self.stiffness {
            Stiffness::Alike {
                modulus_mpa,
                poisson,
            } => {
                if !modulus_mpa.is_fit() {
                    return Err(value(
                        "a modulus in megapascals",
                        modulus_mpa.usual,
                        "numbers above zero in rising order",
                    ));
                }
                Isotropic {
                    modulus: modulus_mpa.usual,
                    poisson: *poisson,
                }
                .check()?;
            }
            Stiffness::Layered { factor, .. } => {
                if !factor.is_fit() {
                    return Err(value(
                        "a band of stiffness",
                        factor.usual,
                        "numbers above zero in rising order",
                    ));
                }
            }
        }
        for (what, found) in [
            ("a density in g/cm³", self.density),
            ("an allowable stress in megapascals", self.allowable_mpa),
            (
                "a fatigue stress in megapascals",
                self.fatigue.as_ref().map(|f| f.stress_mpa),
            ),
        ] {
            if let Some(found) = found
                && !(found > 0.0 && found.is_finite())
            {
                return Err(value(what, found, "a number above zero"));
            }
        }
        Ok(())
    }

    /// The section at the usual stiffness.
    pub(crate) fn section(&self) -> Result<fem::Section, StrengthError> {
        Ok(match &self.stiffness {
            Stiffness::Alike {
                modulus_mpa,
                poisson,
            } => fem::Section::isotropic(Isotropic {
                modulus: modulus_mpa.usual,
                poisson: *poisson,
            })?,
            Stiffness::Layered { layers, factor } => {
                let stiffened: Vec<Layer> = layers
                    .iter()
                    .map(|layer| {
                        let mut layer = *layer;
                        let m = &mut layer.material;
                        for modulus in [&mut m.e1, &mut m.e2, &mut m.g12, &mut m.g13, &mut m.g23] {
                            *modulus *= factor.usual;
                        }
                        layer
                    })
                    .collect();
                fem::Section::layered(&stiffened)?
            }
        })
    }

    /// Lowest and highest stiffness as factors on the usual one.
    pub(crate) fn stiffness_factors(&self) -> [f64; 2] {
        let band = match &self.stiffness {
            Stiffness::Alike { modulus_mpa, .. } => modulus_mpa,
            Stiffness::Layered { factor, .. } => factor,
        };
        [band.low / band.usual, band.high / band.usual]
    }

    /// Modulus of a block of it pressed flat, MPa; `None` for layers.
    pub(crate) fn block_modulus_mpa(&self) -> Option<f64> {
        match &self.stiffness {
            Stiffness::Alike { modulus_mpa, .. } => Some(modulus_mpa.usual),
            Stiffness::Layered { .. } => None,
        }
    }
}

impl Case {
    /// # Errors
    /// Loads or shares that cannot be.
    pub fn check(&self) -> Result<(), StrengthError> {
        let value = |what, found: f64, expected| StrengthError::Value {
            what,
            found: quantity::written_short(found, 3),
            expected,
        };
        match self.presses {
            Presses::Foot {
                body_weights,
                shares,
            } => {
                if !(body_weights > 0.0 && body_weights <= 10.0) {
                    return Err(value("a load in body weights", body_weights, "0 to 10"));
                }
                let all = [
                    shares.heel,
                    shares.medial_arch,
                    shares.lateral_midfoot,
                    shares.forefoot,
                ];
                let sum: f64 = all.iter().sum();
                if !((sum - 1.0).abs() < 1e-6 && all.iter().all(|s| *s >= 0.0)) {
                    return Err(value(
                        "a sum of load shares",
                        sum,
                        "shares from 0 that add up to 1",
                    ));
                }
                if self.held.contains(&Held::Clamped) {
                    return Err(value(
                        "a clamp under a standing foot",
                        1.0,
                        "a stamp where the shell is clamped",
                    ));
                }
            }
            Presses::Stamp { radius_mm, force_n } => {
                if !(5.0..=100.0).contains(&radius_mm) {
                    return Err(value("a stamp's radius in mm", radius_mm, "5 to 100"));
                }
                if !(force_n > 0.0 && force_n <= 5000.0) {
                    return Err(value("a stamp's force in newtons", force_n, "0 to 5000"));
                }
                if self.held.contains(&Held::Pinned) {
                    return Err(value(
                        "a pin under a stamp",
                        1.0,
                        "a shell that is clamped or slides",
                    ));
                }
            }
        }
        if self.held.is_empty() {
            return Err(value(
                "a number of ways to hold the shell",
                0.0,
                "at least one",
            ));
        }
        Ok(())
    }
}
