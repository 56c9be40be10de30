//! Where on bones from files is each point of the lateral and the dorsoplantar view?
//!
//! A mesh carries no names of places, so every point is found by what its definition says a reader looks
//! for: the lowest, rearmost or foremost place of a named bone, or of its back or front end, looking the
//! view's way. Ends are told by the share of the bone's own length, so that the rules hold for any size.
//! The hindfoot and the ankle view need shafts that such sets seldom hold, and are left out.
//!
//! # Uncertainty
//! A vertex is the nearest that a mesh can say: half an edge, 1 to 3 mm on coarse bones. The points are
//! exact for the film (they are where the film shows them), not for the person.

use crate::mesh::Mesh;
use nalgebra::Vector3;
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

type P = Vector3<f64>;

/// Points of both views; one whose bone is not in the set is left out.
///
/// Bones are named as the phantom names its own ("calcaneus", "medial cuneiform", "metatarsal 1"); every
/// bone whose name starts with "toe" may hold the tip of the great toe. World frame: x forward, y up, floor
/// at 0, z to the person's right.
pub fn find(
    side: Side,
    bones: &[(&str, &Mesh)],
) -> BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>> {
    let set = Bones {
        // z outwards, so that one set of rules serves both feet.
        out: if side == Side::Right { 1.0 } else { -1.0 },
        bones,
    };
    [
        (View::Lateral, set.lateral()),
        (View::Dorsoplantar, set.dorsoplantar()),
    ]
    .into_iter()
    .map(|(view, points)| {
        let there = points.into_iter().filter_map(|(key, at)| {
            let at = at?;
            Some((
                LandmarkKey::new(key).ok()?,
                [at.x, at.y, at.z * set.out],
            ))
        });
        (view, there.collect())
    })
    .collect()
}

type Points = Vec<(&'static str, Option<P>)>;

struct Bones<'m> {
    out: f64,
    bones: &'m [(&'m str, &'m Mesh)],
}

/// The vertices of one bone with the direction from its back to its front end.
struct Bone {
    vertices: Vec<P>,
    ahead: P,
    from: f64,
    length: f64,
}

impl Bone {
    /// Share of the bone's length, 0 at its back.
    fn share(&self, q: P) -> f64 {
        (q.dot(&self.ahead) - self.from) / self.length
    }

    /// The vertex farthest along `way` in a stretch of the bone's length.
    fn farthest(&self, way: P, stretch: std::ops::RangeInclusive<f64>) -> Option<P> {
        self.vertices
            .iter()
            .filter(|q| stretch.contains(&self.share(**q)))
            .max_by(|a, b| a.dot(&way).total_cmp(&b.dot(&way)))
            .copied()
    }

    /// Middle of the box around a stretch, along the bone's own and the world's directions.
    fn middle(&self, stretch: std::ops::RangeInclusive<f64>) -> Option<P> {
        let inside: Vec<P> = self
            .vertices
            .iter()
            .filter(|q| stretch.contains(&self.share(**q)))
            .copied()
            .collect();
        let first = *inside.first()?;
        let (low, high) = inside
            .iter()
            .fold((first, first), |(l, h), q| (l.inf(q), h.sup(q)));
        Some((low + high) / 2.0)
    }
}

impl Bones<'_> {
    /// A bone by name, its z turned outwards; `None` if it is not there or has no length.
    fn bone(&self, name: &str) -> Option<Bone> {
        let (_, mesh) = self.bones.iter().find(|(n, _)| *n == name)?;
        self.along(mesh, P::x())
    }

    /// A long bone along its own length, not the foot's.
    fn long_bone(&self, name: &str) -> Option<Bone> {
        let rough = self.bone(name)?;
        let ends = rough.middle(0.8..=1.0)? - rough.middle(0.0..=0.2)?;
        let (_, mesh) = self.bones.iter().find(|(n, _)| *n == name)?;
        self.along(mesh, ends.try_normalize(1e-9)?)
    }

    fn along(&self, mesh: &Mesh, ahead: P) -> Option<Bone> {
        let vertices: Vec<P> = mesh
            .vertices
            .iter()
            .map(|v| P::new(v[0], v[1], v[2] * self.out))
            .collect();
        let (from, to) = vertices
            .iter()
            .map(|q| q.dot(&ahead))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), d| {
                (l.min(d), h.max(d))
            });
        (to - from > 1.0).then_some(Bone {
            vertices,
            ahead,
            from,
            length: to - from,
        })
    }

    fn toe_tip(&self) -> Option<P> {
        self.bones
            .iter()
            .filter(|(name, _)| name.starts_with("toe"))
            .flat_map(|(_, mesh)| &mesh.vertices)
            .map(|v| P::new(v[0], v[1], v[2] * self.out))
            .max_by(|a, b| a.x.total_cmp(&b.x))
    }

    fn lateral(&self) -> Points {
        let (calcaneus, talus) = (self.bone("calcaneus"), self.bone("talus"));
        let (first, fifth) = (
            self.long_bone("metatarsal 1"),
            self.long_bone("metatarsal 5"),
        );
        let at = |bone: &Option<Bone>, way: [f64; 3], from: f64, to: f64| {
            bone.as_ref()?.farthest(P::from(way), from..=to)
        };
        let lowest = |name: &str| self.bone(name)?.farthest(-P::y(), 0.0..=1.0);
        let back = at(&calcaneus, [-1.0, 0.0, 0.0], 0.0, 1.0);
        let tip = self.toe_tip();
        let on_floor = |at: Option<P>, beyond: f64| at.map(|q| P::new(q.x + beyond, 0.0, 0.0));
        vec![
            ("floor_back", on_floor(back, -4.0)),
            ("floor_front", on_floor(tip, 4.0)),
            ("calc_plantar_tuber", at(&calcaneus, [0.0, -1.0, 0.0], 0.0, 0.45)),
            ("calc_plantar_front", at(&calcaneus, [0.80, -0.60, 0.0], 0.7, 1.0)),
            ("calc_back", back),
            ("talus_dome_top", at(&talus, [0.0, 1.0, 0.0], 0.0, 0.65)),
            ("talus_head_top", at(&talus, [0.38, 0.92, 0.0], 0.72, 1.0)),
            ("talus_back_low", at(&talus, [-0.15, -0.99, 0.0], 0.0, 0.25)),
            ("talus_head_low", at(&talus, [0.25, -0.97, 0.0], 0.72, 1.0)),
            ("nav_low", lowest("navicular")),
            ("cuneiform1_low", lowest("medial cuneiform")),
            ("cuboid_low", lowest("cuboid")),
            ("calc_cuboid_top", at(&calcaneus, [0.75, 0.66, 0.0], 0.75, 1.0)),
            ("mt1_base_top", at(&first, [-0.45, 0.89, 0.0], 0.0, 0.25)),
            ("mt1_base_low", at(&first, [-0.45, -0.89, 0.0], 0.0, 0.25)),
            ("mt1_head_centre", first.as_ref().and_then(|b| b.middle(0.78..=1.0))),
            ("mt1_head_front", at(&first, [1.0, 0.0, 0.0], 0.0, 1.0)),
            ("mt5_base_low", at(&fifth, [0.0, -1.0, 0.0], 0.0, 0.3)),
            ("mt5_head_low", at(&fifth, [0.0, -1.0, 0.0], 0.75, 1.0)),
            ("hallux_tip", tip),
        ]
    }

    fn dorsoplantar(&self) -> Points {
        let (calcaneus, talus) = (self.bone("calcaneus"), self.bone("talus"));
        let at = |bone: &Option<Bone>, way: [f64; 3], from: f64, to: f64| {
            bone.as_ref()?.farthest(P::from(way), from..=to)
        };
        let base = |name: &str, side: f64| {
            self.long_bone(name)?
                .farthest(P::new(-0.5, 0.0, 0.87 * side), 0.0..=0.2)
        };
        let head = |name: &str| self.long_bone(name)?.middle(0.82..=1.0);
        let (navicular, cuboid) = (self.bone("navicular"), self.bone("cuboid"));
        let cuneiform = self.bone("medial cuneiform");
        let middle = |a: Option<P>, b: Option<P>| Some((a? + b?) / 2.0);
        let inner = |bone: &Option<Bone>, from, to| at(bone, [0.0, 0.0, -1.0], from, to);
        let outer = |bone: &Option<Bone>, from, to| at(bone, [0.0, 0.0, 1.0], from, to);
        vec![
            ("dp_talus_head_med", at(&talus, [0.15, 0.0, -0.99], 0.7, 1.0)),
            ("dp_talus_head_lat", at(&talus, [0.25, 0.0, 0.97], 0.8, 1.0)),
            ("dp_talus_neck_med", inner(&talus, 0.5, 0.62)),
            ("dp_talus_neck_lat", outer(&talus, 0.5, 0.62)),
            ("dp_nav_med", at(&navicular, [-0.55, 0.0, -0.83], 0.0, 1.0)),
            ("dp_nav_lat", at(&navicular, [-0.55, 0.0, 0.83], 0.0, 1.0)),
            (
                "dp_calc_back",
                middle(inner(&calcaneus, 0.03, 0.10), outer(&calcaneus, 0.03, 0.10)),
            ),
            ("dp_calc_front_med", at(&calcaneus, [0.62, 0.0, -0.78], 0.85, 1.0)),
            ("dp_calc_front_lat", at(&calcaneus, [0.62, 0.0, 0.78], 0.85, 1.0)),
            ("dp_calc_lat_back", outer(&calcaneus, 0.30, 0.42)),
            ("dp_cuboid_lat_back", at(&cuboid, [-0.6, 0.0, 0.8], 0.0, 1.0)),
            ("dp_cuboid_lat_front", at(&cuboid, [0.6, 0.0, 0.8], 0.0, 1.0)),
            ("dp_cun1_front_med", at(&cuneiform, [0.62, 0.0, -0.78], 0.0, 1.0)),
            ("dp_mt1_base_med", base("metatarsal 1", -1.0)),
            ("dp_mt1_base_lat", base("metatarsal 1", 1.0)),
            ("dp_mt1_head_centre", head("metatarsal 1")),
            ("dp_mt2_base_med", base("metatarsal 2", -1.0)),
            ("dp_mt2_base_lat", base("metatarsal 2", 1.0)),
            ("dp_mt2_head_centre", head("metatarsal 2")),
            ("dp_mt5_head_centre", head("metatarsal 5")),
        ]
    }
}
