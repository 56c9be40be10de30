//! Where on bones from files is each point of each view?
//!
//! A mesh carries no names of places, so every point is found by what its definition says a reader looks
//! for: the lowest, rearmost or foremost place of a named bone, the end of a joint surface along the bone's
//! own axis, a border at a level of the bone's own size, the middle of a round head. All of it is in shares
//! of the bone, so that the rules hold for any size. A point whose bone is not there is left out.
//!
//! The shares and directions were set on the phantom's plain foot, whose points are known, and looked at on
//! one coarse outside set; they are no anatomy from print.
//!
//! # Assumptions
//! Grown bones: on a child's half-turned bones the ends of joint surfaces are not there to be found.
//!
//! # Uncertainty
//! Against the phantom's own points see `tests/mesh_points.rs`. On coarse meshes half an edge, 1 to 3 mm,
//! comes on top. The points are exact for the film (they are where the film shows them), not for the person.

use super::shape::{P, Shape, farthest};
use crate::expose::Exposure;
use mesh::Mesh;
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

/// Points of all views; one whose bone is not in the set is left out.
///
/// Bones carry the names of [`super::BONE_NAMES`]; others give no points, and two of one name neither.
/// World frame: x forward, y up, floor at 0, z to the person's right.
pub fn find(
    side: Side,
    bones: &[(&str, &Mesh)],
) -> BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>> {
    // z outwards, so that one set of rules serves both feet.
    let out = if side == Side::Right { 1.0 } else { -1.0 };
    let foot = Bones { out, bones };
    let views = [
        (View::Lateral, foot.lateral()),
        (View::Dorsoplantar, foot.dorsoplantar()),
        (View::HindfootAlignment, foot.hindfoot()),
        (View::AnkleFront, foot.ankle()),
    ];
    views
        .into_iter()
        .map(|(view, points)| {
            let there = points.into_iter().filter_map(|(key, at)| {
                let at = at?;
                Some((LandmarkKey::new(key).ok()?, [at.x, at.y, at.z * out]))
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

/// The talus along its own axis, with the centre of its head.
struct Talus {
    bone: Shape,
    centre: P,
}

impl Talus {
    fn new(bone: Shape) -> Option<Talus> {
        // The head's widest place: half its own length behind its front.
        let centre = bone.core(0.78)?;
        Some(Talus { bone, centre })
    }

    /// Edge of the head's joint surface, not of the body behind it.
    fn on_head(&self, ahead: f64, above: f64, aside: f64) -> Option<P> {
        self.bone
            .in_stretch(self.bone.way(ahead, above, aside), 0.76..=1.0)
    }

    /// Highest place of the dome.
    fn top(&self) -> Option<P> {
        self.bone.in_stretch(P::y(), 0.0..=0.65)
    }

    /// Inner and outer border of the neck where it is narrowest, seen from above. The dome's front edge
    /// lies over it on the film, so only the part as high as the head counts.
    fn neck(&self) -> Option<(P, P)> {
        let b = &self.bone;
        let low = |q: P| (q - self.centre).dot(&b.above).abs() < 0.14 * b.length();
        (0..=20)
            .filter_map(|i| {
                let there = b.cut_at(0.50 + 0.01 * f64::from(i));
                let med = farthest(&there, -b.aside, low)?;
                let lat = farthest(&there, b.aside, low)?;
                Some((med, lat))
            })
            .min_by(|x, y| {
                let breadth = |(med, lat): &(P, P)| (lat - med).dot(&b.aside);
                breadth(x).total_cmp(&breadth(y))
            })
    }
}

impl Bones<'_> {
    /// A bone by name along the foot's length; `None` if it is not there just once.
    fn bone(&self, name: &str) -> Option<Shape> {
        let mut of_name = self.bones.iter().filter(|(n, _)| *n == name);
        let (_, mesh) = of_name.next()?;
        if of_name.next().is_some() {
            return None;
        }
        Shape::new(mesh, self.out)
    }

    /// A bone by name along its own length.
    fn own(&self, name: &str) -> Option<Shape> {
        self.bone(name)?.along_itself()
    }

    fn talus(&self) -> Option<Talus> {
        Talus::new(self.own("talus")?)
    }

    /// The navicular measured along the way from the talar head's centre to its middle: it turns about
    /// that centre, and its cup faces it.
    fn navicular(&self, talus: Option<&Talus>) -> Option<Shape> {
        let bone = self.bone("navicular")?;
        let way = bone.middle(0.0..=1.0)? - talus?.centre;
        bone.along(way)
    }

    /// Two points of the floor, before and behind all bones of the foot, under its middle.
    fn floor(&self) -> Option<[P; 2]> {
        let foot = self
            .bones
            .iter()
            .filter(|(name, _)| !matches!(*name, "tibia" | "fibula"))
            .filter_map(|(_, mesh)| Shape::new(mesh, self.out));
        let ends = foot.filter_map(|b| Some((b.ends(P::x())?, b.ends(P::z())?)));
        let wider = |(a, b): (f64, f64), (c, d): (f64, f64)| (a.min(c), b.max(d));
        let (x, z) =
            ends.reduce(|(x, z), (also_x, also_z)| (wider(x, also_x), wider(z, also_z)))?;
        // Clear of the bones' own shadows.
        const BEYOND_MM: f64 = 3.0;
        let middle = (z.0 + z.1) / 2.0;
        Some([
            P::new(x.0 - BEYOND_MM, 0.0, middle),
            P::new(x.1 + BEYOND_MM, 0.0, middle),
        ])
    }

    fn lateral(&self) -> Points {
        let (up, forward) = (P::y(), P::x());
        let calcaneus = self.own("calcaneus");
        let talus = self.talus();
        let first = self.own("metatarsal 1");
        let fifth = self.own("metatarsal 5");
        let heel = |way: P, from: f64, to: f64| calcaneus.as_ref()?.in_stretch(way, from..=to);
        let heel_corner = |ahead: f64, above: f64| {
            calcaneus
                .as_ref()?
                .in_stretch(P::new(ahead, above, 0.0), 0.72..=1.0)
        };
        let head = |ahead: f64, above: f64| talus.as_ref()?.on_head(ahead, above, 0.0);
        let base = |above: f64| {
            let b = first.as_ref()?;
            b.in_stretch(b.way(-0.45, above * 0.89, 0.0), 0.0..=0.25)
        };
        let under =
            |bone: &Option<Shape>, from: f64, to: f64| bone.as_ref()?.in_stretch(-up, from..=to);
        let lowest = |name: &str| self.bone(name)?.farthest(-up, |_| true);
        let floor = self.floor();
        vec![
            ("floor_back", floor.map(|f| f[0])),
            ("floor_front", floor.map(|f| f[1])),
            ("calc_plantar_tuber", heel(-up, 0.0, 0.45)),
            ("calc_plantar_front", heel_corner(0.80, -0.60)),
            ("calc_back", heel(-forward, 0.0, 1.0)),
            ("talus_dome_top", talus.as_ref().and_then(Talus::top)),
            ("talus_head_top", head(0.03, 1.0)),
            (
                "talus_back_low",
                talus
                    .as_ref()
                    .and_then(|t| t.bone.in_stretch(t.bone.way(0.2, -0.98, 0.0), 0.0..=0.08)),
            ),
            ("talus_head_low", head(0.57, -0.82)),
            ("nav_low", lowest("navicular")),
            ("cuneiform1_low", lowest("medial cuneiform")),
            ("cuboid_low", lowest("cuboid")),
            ("calc_cuboid_top", heel_corner(0.75, 0.66)),
            ("mt1_base_top", base(1.0)),
            ("mt1_base_low", base(-1.0)),
            ("mt1_head_centre", self.head("metatarsal 1")),
            (
                "mt1_head_front",
                first.as_ref().and_then(|b| b.farthest(forward, |_| true)),
            ),
            ("mt5_base_low", under(&fifth, 0.0, 0.3)),
            ("mt5_head_low", under(&fifth, 0.75, 1.0)),
            (
                "hallux_tip",
                self.bone("toe 1 distal")
                    .and_then(|b| b.farthest(forward, |_| true)),
            ),
        ]
    }

    /// Centre of the ball that fits the round front of a metatarsal's head.
    fn head(&self, name: &str) -> Option<P> {
        self.own(name)?.ball_centre(0.9..=1.0)
    }

    fn dorsoplantar(&self) -> Points {
        let talus = self.talus();
        let neck = talus.as_ref().and_then(Talus::neck);
        let head = |side: f64| talus.as_ref()?.on_head(0.42, 0.16, 0.89 * side);
        let navicular = self.navicular(talus.as_ref());
        let cup = |side: f64| {
            let b = navicular.as_ref()?;
            // The cup runs round the head; the tuberosity, farther off and lower, is no part of it.
            let up = b.way(-0.32, 0.95, 0.0);
            let (low, high) = b.ends(up)?;
            let centre = talus.as_ref()?.centre;
            let facing = b.facing(60.0, |q| centre - q);
            let far = |q: P| (q - centre).norm();
            let near = facing.iter().map(|q| far(*q)).reduce(f64::min)?;
            farthest(&facing, b.aside * side, |q| {
                q.dot(&up) > (low + high) / 2.0 && far(q) < 1.35 * near
            })
        };
        let heel = self.own("calcaneus");
        let border = |share: f64, side: f64| {
            let b = heel.as_ref()?;
            farthest(&b.cut_at(share), P::z() * side, |_| true)
        };
        let front = |side: f64| {
            let b = heel.as_ref()?;
            let way = P::new(0.0, -0.12, side);
            farthest(&b.facing(51.0, |_| P::x()), way, |q| b.share(q) > 0.9)
        };
        let base = |name: &str, side: f64| {
            let b = self.own(name)?;
            b.in_stretch(b.way(-0.5, 0.1, 0.87 * side), 0.0..=0.18)
        };
        let cuboid = |ahead: f64| {
            self.bone("cuboid")?
                .farthest(P::new(ahead, 0.0, 0.8), |_| true)
        };
        let wedge = self
            .own("medial cuneiform")
            .and_then(|b| b.farthest(b.way(0.59, -0.06, -0.77), |_| true));
        let middle = |a: Option<P>, b: Option<P>| Some((a? + b?) / 2.0);
        vec![
            ("dp_talus_head_med", head(-1.0)),
            ("dp_talus_head_lat", head(1.0)),
            ("dp_talus_neck_med", neck.map(|n| n.0)),
            ("dp_talus_neck_lat", neck.map(|n| n.1)),
            ("dp_nav_med", cup(-1.0)),
            ("dp_nav_lat", cup(1.0)),
            (
                "dp_calc_back",
                middle(border(0.06, -1.0), border(0.06, 1.0)),
            ),
            ("dp_calc_front_med", front(-1.0)),
            ("dp_calc_front_lat", front(1.0)),
            ("dp_calc_lat_back", border(0.3, 1.0)),
            ("dp_cuboid_lat_back", cuboid(-0.6)),
            ("dp_cuboid_lat_front", cuboid(0.6)),
            ("dp_cun1_front_med", wedge),
            ("dp_mt1_base_med", base("metatarsal 1", -1.0)),
            ("dp_mt1_base_lat", base("metatarsal 1", 1.0)),
            ("dp_mt1_head_centre", self.head("metatarsal 1")),
            ("dp_mt2_base_med", base("metatarsal 2", -1.0)),
            ("dp_mt2_base_lat", base("metatarsal 2", 1.0)),
            ("dp_mt2_head_centre", self.head("metatarsal 2")),
            ("dp_mt5_head_centre", self.head("metatarsal 5")),
        ]
    }

    /// Border of the shin bone's shaft, `widths` of its lower end above its lowest point.
    fn shaft(&self, widths: f64, side: f64) -> Option<P> {
        let b = self.bone("tibia")?;
        let (low, high) = b.ends(P::y())?;
        // A whole shin bone is broader at the knee.
        let ankle = |q: P| q.y < (low + high) / 2.0;
        let outer = b.farthest(P::z(), ankle)?;
        let inner = b.farthest(-P::z(), ankle)?;
        let there = b.cut(P::y(), low + widths * (outer.z - inner.z));
        farthest(&there, P::z() * side, |_| true)
    }

    fn malleolus(&self) -> Option<P> {
        self.bone("fibula")?.farthest(-P::y(), |_| true)
    }

    fn hindfoot(&self) -> Points {
        // Up on the film of this view, whose beam falls from behind.
        let beam = Exposure::usual(View::HindfootAlignment).beam_angle_deg;
        let (sin, cos) = beam.to_radians().sin_cos();
        let up = P::new(sin, cos, 0.0);
        let heel = self.bone("calcaneus");
        let behind = |b: &Shape, q: P| b.share(q) < 0.45;
        let low = heel
            .as_ref()
            .and_then(|b| b.farthest(-up, |q| behind(b, q)));
        // Levels in shares of the height of the bone's back half on this film.
        let wall = |share: f64, side: f64| {
            let b = heel.as_ref()?;
            let bottom = low?.dot(&up);
            let top = b.farthest(up, |q| behind(b, q))?.dot(&up);
            let there = b.cut(up, bottom + share * (top - bottom));
            farthest(&there, P::z() * side, |q| behind(b, q))
        };
        vec![
            ("hf_tibia_high_med", self.shaft(3.3, -1.0)),
            ("hf_tibia_high_lat", self.shaft(3.3, 1.0)),
            ("hf_tibia_low_med", self.shaft(2.0, -1.0)),
            ("hf_tibia_low_lat", self.shaft(2.0, 1.0)),
            ("hf_calc_low", low),
            ("hf_calc_upper_med", wall(0.585, -1.0)),
            ("hf_calc_upper_lat", wall(0.585, 1.0)),
            ("hf_calc_lower_med", wall(0.163, -1.0)),
            ("hf_calc_lower_lat", wall(0.163, 1.0)),
            ("hf_lat_mall", self.malleolus()),
        ]
    }

    fn ankle(&self) -> Points {
        let shin = self.bone("tibia");
        let talus = self.talus();
        let top = talus.as_ref().and_then(Talus::top);
        // Both lines are read over the flat part: four fifths of the dome's breadth a little below its top.
        let over = |side: f64| {
            let (t, top) = (talus.as_ref()?, top?);
            let there = t.bone.cut(P::x(), top.x);
            let high = |q: P| q.y > top.y - 0.1 * t.bone.length();
            let inner = farthest(&there, -P::z(), high)?;
            let outer = farthest(&there, P::z(), high)?;
            let z = (inner.z + outer.z) / 2.0 + side * 0.8 * (outer.z - inner.z) / 2.0;
            let y = t.bone.heights(top.x, z).into_iter().reduce(f64::max)?;
            Some(P::new(top.x, y, z))
        };
        let ceiling = |side: f64| {
            let dome = over(side)?;
            let above = shin.as_ref()?.heights(dome.x, dome.z).into_iter();
            let y = above.filter(|y| *y > dome.y).reduce(f64::min)?;
            Some(P::new(dome.x, y, dome.z))
        };
        vec![
            ("an_tibia_high_med", self.shaft(3.3, -1.0)),
            ("an_tibia_high_lat", self.shaft(3.3, 1.0)),
            ("an_tibia_low_med", self.shaft(1.9, -1.0)),
            ("an_tibia_low_lat", self.shaft(1.9, 1.0)),
            ("an_plafond_med", ceiling(-1.0)),
            ("an_plafond_lat", ceiling(1.0)),
            ("an_dome_med", over(-1.0)),
            ("an_dome_lat", over(1.0)),
            ("an_lat_mall", self.malleolus()),
        ]
    }
}
