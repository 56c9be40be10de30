//! What is a phantom foot made of, and how is one asked for?

use crate::bones::grid::Grid;
use crate::bones::plan;
use crate::bones::solid::{Frame, P};
use crate::pose::{CalcaneusPoints, Pose, Skeleton, Stance};
use crate::{child, landmarks, skin};
use mesh::Mesh;
use nalgebra::Isometry3;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;
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
#[serde(deny_unknown_fields)]
pub struct FootSpec {
    pub side: Side,
    /// Heel to tip of the great toe, soft tissue included, of the plain foot; a flattened one is longer.
    pub foot_length_mm: f64,
    pub age: Age,
    pub pose: Pose,
    /// Small variations of proportion between people; 0 is the plain foot.
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

/// A foot that cannot be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("found {found} as {what}; expected {expected}")]
pub struct BadSpec {
    pub what: &'static str,
    pub found: f64,
    pub expected: &'static str,
}

/// A bone where the plan puts it, before anybody stands on it.
#[derive(Debug, Clone)]
pub(crate) struct PlanBone {
    pub name: &'static str,
    pub outer: Arc<Mesh>,
    pub inner: Arc<Mesh>,
    pub density: f64,
    pub grid: Arc<Grid>,
    /// How far the surface lies inside the adult's, mm.
    pub inset: f64,
}

/// Builds the foot that the spec asks for.
///
/// # Errors
/// A length, age or pose outside what the phantom can be.
pub fn build(spec: &FootSpec) -> Result<Foot, BadSpec> {
    check(spec)?;
    let bones = match spec.age {
        Age::Adult => crate::bones::plan_bones().to_vec(),
        Age::Child { years } => child::bones(crate::bones::plan_bones(), years),
    };
    let standing = Standing::new(spec, &bones);
    let stood: Vec<Bone> = bones.par_iter().map(|b| standing.stood(b)).collect();
    let skin = skin::around(&standing);
    let points = landmarks::find(&standing);
    let foot = Foot {
        spec: spec.clone(),
        bones: stood,
        skin,
        landmarks: points,
    };
    Ok(if spec.side == Side::Left {
        mirrored(foot)
    } else {
        foot
    })
}

pub(crate) fn check(spec: &FootSpec) -> Result<(), BadSpec> {
    if !(90.0..=340.0).contains(&spec.foot_length_mm) {
        return Err(BadSpec {
            what: "foot length in mm",
            found: spec.foot_length_mm,
            expected: "90 to 340 mm; give the length from heel to great toe",
        });
    }
    if let Age::Child { years } = spec.age
        && !(child::YOUNGEST_YEARS..=18.0).contains(&years)
    {
        return Err(BadSpec {
            what: "age in years",
            found: years,
            expected: "1 to 18 years for a child; take an adult beyond",
        });
    }
    spec.pose.check()
}

fn mirrored(mut foot: Foot) -> Foot {
    let flip = |q: [f64; 3]| [q[0], q[1], -q[2]];
    let turn = |m: &Mesh| m.map(flip).turned_inside_out();
    foot.bones.par_iter_mut().for_each(|b| {
        b.outer = turn(&b.outer);
        b.inner = turn(&b.inner);
    });
    foot.skin = turn(&foot.skin);
    for points in foot.landmarks.values_mut() {
        points.values_mut().for_each(|q| *q = flip(*q));
    }
    foot
}

/// Scatters bits (splitmix64), so that neighbouring seeds give unlike feet.
fn scattered(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// Height and breadth beside length: up to 4 % and 5 % either way. The spread of breadth over length in
/// ANSUR II is 0.018 of 0.376 (one SD), about 5 %.
fn stretch_of(seed: u64) -> P {
    if seed == 0 {
        return P::new(1.0, 1.0, 1.0);
    }
    let unit = |n: u64| {
        (scattered(seed.wrapping_mul(3).wrapping_add(n)) >> 11) as f64 / (1u64 << 53) as f64
    };
    P::new(
        1.0,
        1.0 + 0.04 * (2.0 * unit(0) - 1.0),
        1.0 + 0.05 * (2.0 * unit(1) - 1.0),
    )
}

/// The plan's bones with the motion that makes them stand: all questions about a right foot in the world.
pub(crate) struct Standing<'a> {
    bones: &'a [PlanBone],
    pub stance: Stance,
    pub skeleton: Skeleton,
    /// World millimetres for one of the plan.
    pub scale: f64,
}

impl<'a> Standing<'a> {
    pub fn new(spec: &FootSpec, bones: &'a [PlanBone]) -> Standing<'a> {
        let skeleton = Skeleton {
            stretch: stretch_of(spec.seed),
        };
        // Set up on the adult's heel bone: a child stands on its cartilage as well.
        let adult = &crate::bones::plan_bones()[1].outer;
        let plan_point = |dir: P, keep: fn(P) -> bool| {
            farthest(adult, |q| dir.dot(&q), keep).map_or(P::zeros(), |q| skeleton.at(q))
        };
        let points = CalcaneusPoints {
            heel: adult
                .vertices
                .iter()
                .map(|&v| P::from(v))
                .filter(|q| q.x < 46.0 && (q.y < 30.0 || q.x < 20.0))
                .map(|q| skeleton.at(q))
                .collect(),
            tuber: plan_point(-P::y(), |q| q.x < 50.0),
            front: plan_point(P::new(0.80, -0.60, 0.0), |q| q.x > 70.0),
        };
        let stance = Stance::of_pose(&spec.pose, &skeleton, &points);
        Standing {
            bones,
            stance,
            skeleton,
            scale: spec.foot_length_mm / plan::PLAN_LENGTH_MM,
        }
    }

    pub fn bones(&self) -> &'a [PlanBone] {
        self.bones
    }

    fn bone(&self, name: &str) -> Option<&'a PlanBone> {
        self.bones.iter().find(|b| b.name == name)
    }

    pub fn world(&self, motion: &Isometry3<f64>, plan: P) -> P {
        (motion * nalgebra::Point3::from(self.skeleton.at(plan))).coords * self.scale
    }

    /// The plan's point of a bone to which a world point belongs.
    pub fn plan_from_world(&self, motion: &Isometry3<f64>, world: P) -> P {
        let q = motion.inverse_transform_point(&nalgebra::Point3::from(world / self.scale));
        q.coords.component_div(&self.skeleton.stretch)
    }

    fn stood(&self, bone: &PlanBone) -> Bone {
        let motion = self.stance.of(bone.name);
        let stand = |m: &Mesh| m.map(|q| self.world(&motion, P::from(q)).into());
        Bone {
            name: bone.name,
            outer: stand(&bone.outer),
            inner: stand(&bone.inner),
            density: bone.density,
        }
    }

    /// Where a point of the plain bone stands.
    pub fn carry(&self, bone: &str, plan: P) -> Option<P> {
        self.bone(bone)
            .map(|b| self.world(&self.stance.of(b.name), plan))
    }

    /// How a direction of the plain bone points now.
    pub fn turned(&self, bone: &str, plan: P) -> P {
        self.stance.of(bone).rotation * plan
    }

    /// A point within a bone; absent where the bone does not reach to it yet.
    pub fn inside(&self, bone: &str, plan: P) -> Option<P> {
        let b = self.bone(bone)?;
        (b.grid.at(plan) < 0.0).then(|| self.world(&self.stance.of(bone), plan))
    }

    /// The plain bone's farthest point along a direction of the plan, among those kept.
    pub fn plan_towards(&self, bone: &str, dir: P, keep: impl Fn(P) -> bool) -> Option<P> {
        farthest(&self.bone(bone)?.outer, |q| dir.dot(&q), keep)
    }

    /// The same, carried to where the bone stands.
    pub fn towards(&self, bone: &str, dir: P, keep: impl Fn(P) -> bool) -> Option<P> {
        self.carry(bone, self.plan_towards(bone, dir, keep)?)
    }

    /// The same for the edge of a joint surface, which a bone still mostly of cartilage does not have.
    pub fn edge_towards(&self, bone: &str, dir: P, keep: impl Fn(P) -> bool) -> Option<P> {
        if self.bone(bone)?.inset > child::EDGES_FROM_INSET_MM {
            return None;
        }
        self.towards(bone, dir, keep)
    }

    /// The standing bone's farthest point along a direction of the world; `keep` sees the plan's point.
    pub fn extreme(&self, bone: &str, dir: P, keep: impl Fn(P) -> bool) -> Option<P> {
        self.pick(bone, |_, at| dir.dot(&at), |q, _| keep(q))
    }

    /// Both ends across a slice of the standing bone: first along `dir`, then against it.
    pub fn extreme_near(&self, bone: &str, dir: P, keep: impl Fn(P, P) -> bool) -> Option<(P, P)> {
        let ahead = self.pick(bone, |_, at| dir.dot(&at), &keep)?;
        let behind = self.pick(bone, |_, at| -dir.dot(&at), &keep)?;
        Some((ahead, behind))
    }

    fn pick(
        &self,
        bone: &str,
        score: impl Fn(P, P) -> f64,
        keep: impl Fn(P, P) -> bool,
    ) -> Option<P> {
        let b = self.bone(bone)?;
        let motion = self.stance.of(b.name);
        b.outer
            .vertices
            .iter()
            .map(|&v| (P::from(v), self.world(&motion, P::from(v))))
            .filter(|&(q, at)| keep(q, at))
            .map(|(q, at)| (score(q, at), at))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, at)| at)
    }

    /// Border of the tibial shaft at a height of the plan; side +1 is the outer one.
    pub fn shaft(&self, height: f64, side: f64) -> Option<P> {
        self.extreme("tibia", P::z() * side, |q| (q.y - height).abs() < 0.8)
    }

    /// First surface of the plain bone met from `start` (plan) along `dir`, carried to where it stands.
    pub fn surface_along(&self, bone: &str, start: P, dir: P) -> Option<P> {
        let b = self.bone(bone)?;
        let mut t = 0.0;
        for _ in 0..400 {
            let d = b.grid.at(start + dir * t);
            if d.abs() < 1e-3 {
                return self.carry(bone, start + dir * t);
            }
            t += d.clamp(-0.5, 0.5) * 0.6;
        }
        None
    }

    pub fn ray_frame(&self, n: usize) -> RayFrame {
        let ray = plan::rays()[n];
        RayFrame {
            frame: Frame::along(ray.base, ray.head, 0.0),
            base: ray.base,
        }
    }
}

/// Directions of one metatarsal: along it, to its back, to its outer side.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RayFrame {
    frame: Frame,
    base: P,
}

impl RayFrame {
    pub fn direction(&self, local: P) -> P {
        self.frame.world(local) - self.base
    }
    /// Distance before the base.
    pub fn along(&self, plan: P) -> f64 {
        self.frame.local(plan).x
    }
}

fn farthest(mesh: &Mesh, score: impl Fn(P) -> f64, keep: impl Fn(P) -> bool) -> Option<P> {
    mesh.vertices
        .iter()
        .map(|&v| P::from(v))
        .filter(|&q| keep(q))
        .map(|q| (score(q), q))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, q)| q)
}
