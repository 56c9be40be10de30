//! What is a phantom foot made of, and how is one asked for?

use crate::mesh::Mesh;
use crate::pose::Pose;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

/// Whose foot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Age {
    Adult,
    /// Bones only as far as they have turned to bone at this age.
    Child {
        years: f64,
    },
}

/// Everything a foot is built from; the same spec always gives the same foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FootSpec {
    pub side: Side,
    /// Heel to tip of the great toe, soft tissue included.
    pub foot_length_mm: f64,
    pub age: Age,
    pub pose: Pose,
    /// Small variations of bone size between people; 0 is the plain foot.
    pub seed: u64,
}

impl FootSpec {
    /// A straight adult right foot of 255 mm.
    pub fn adult() -> FootSpec {
        FootSpec {
            side: Side::Right,
            foot_length_mm: 255.0,
            age: Age::Adult,
            pose: Pose::neutral(),
            seed: 0,
        }
    }
}

/// One bone, standing, in the world frame (mm; x forward, y up, z to the person's right, floor y = 0).
#[derive(Debug, Clone, PartialEq)]
pub struct Bone {
    pub name: &'static str,
    /// The bone's surface.
    pub outer: Mesh,
    /// The inside of its cortex: between the two lies dense bone, within it spongy bone.
    pub inner: Mesh,
    /// How dense its bone is beside an adult tarsal bone (1).
    pub density: f64,
}

/// A standing foot: truth known by construction.
#[derive(Debug, Clone)]
pub struct Foot {
    pub spec: FootSpec,
    pub bones: Vec<Bone>,
    /// Outer surface of the soft tissue, lower leg included.
    pub skin: Mesh,
    /// Every point of every view that exists on this foot; a point on a part not yet bone is absent.
    pub landmarks: BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>>,
}

impl Foot {
    pub fn bone(&self, name: &str) -> Option<&Bone> {
        self.bones.iter().find(|b| b.name == name)
    }
}

/// Builds the foot that the spec asks for.
pub fn build(spec: &FootSpec) -> Result<Foot, BadSpec> {
    let scale = spec.foot_length_mm / crate::bones::plan::PLAN_LENGTH_MM;
    let bones = crate::bones::plan_bones()
        .iter()
        .map(|b| Bone {
            name: b.name,
            outer: b.outer.map(|q| q.map(|x| x * scale)),
            inner: b.inner.map(|q| q.map(|x| x * scale)),
            density: b.density,
        })
        .collect();
    let skin = crate::bones::ellipsoid([115.0, 40.0, 0.0], [125.0, 55.0, 45.0]);
    Ok(Foot {
        spec: spec.clone(),
        bones,
        skin,
        landmarks: BTreeMap::new(),
    })
}

/// A foot that cannot be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("found {found} as {what}; expected {expected}")]
pub struct BadSpec {
    pub what: &'static str,
    pub found: f64,
    pub expected: &'static str,
}
