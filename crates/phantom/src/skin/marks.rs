//! Where on the skin are the points that a shell is laid out from?
//!
//! Each has a definition that a reader of a scan can follow: bone under it, extreme, or middle. They are
//! found on the finished skin; the bones only say where to look.

use super::flesh::Flesh;
use crate::Mesh;
use crate::bones::grid::Grid;
use crate::bones::plan;
use crate::bones::solid::{P, p};
use crate::foot::Standing;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A point on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Skin straight below the centre of the first metatarsal head.
    FirstHead,
    SecondHead,
    FifthHead,
    /// Skin below the heel's middle: midway between its borders at 15 % of foot length from the back.
    HeelCentre,
    /// Rearmost skin of the heel along the foot's long axis.
    HeelBack,
    /// Skin over the navicular's tuberosity, straight inwards of it.
    Navicular,
    /// Foremost skin of the longest toe along the long axis.
    ToeTip,
    /// Outermost skin over each malleolus, across the long axis.
    MedialMalleolus,
    LateralMalleolus,
}

impl Mark {
    pub const ALL: [Mark; 9] = [
        Mark::FirstHead,
        Mark::SecondHead,
        Mark::FifthHead,
        Mark::HeelCentre,
        Mark::HeelBack,
        Mark::Navicular,
        Mark::ToeTip,
        Mark::MedialMalleolus,
        Mark::LateralMalleolus,
    ];
}

/// Points in the world frame, and the frame that they span.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    pub points: BTreeMap<Mark, [f64; 3]>,
    pub frame: Frame,
}

impl Marks {
    pub fn at(&self, mark: Mark) -> [f64; 3] {
        self.points.get(&mark).copied().unwrap_or([f64::NAN; 3])
    }
}

/// The foot's own directions in the world, unit vectors: forward along the long axis (heel centre to second
/// head, level), inwards, up; zero below the rearmost heel on the long axis, on the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    pub origin: [f64; 3],
    pub forward: [f64; 3],
    pub medial: [f64; 3],
    pub up: [f64; 3],
}

impl Frame {
    /// Along, inwards, up from the ground.
    pub fn local(&self, at: [f64; 3]) -> [f64; 3] {
        let d = P::from(at) - P::from(self.origin);
        [self.forward, self.medial, self.up].map(|axis| d.dot(&P::from(axis)))
    }
}

/// How broad the toes are beside each other.
const TOE_BREADTH: [f64; 5] = [12.6, 7.5, 7.1, 6.9, 7.2];

/// Where bones say that points must be, in the world of the right foot.
#[derive(Debug, Clone)]
pub(super) struct Guide {
    pub heads: [P; 5],
    heel: P,
    navicular: P,
    malleoli: [P; 2],
    pub webs: [[f64; 3]; 4],
    /// World millimetres for one of the plan.
    pub scale: f64,
}

impl Guide {
    pub fn new(foot: &Standing<'_>, flesh: &Flesh, scale: f64, lowest: f64) -> Guide {
        let world = |q: P| q * scale - P::y() * lowest;
        let rays = plan::rays();
        let names = crate::bones::forefoot::METATARSALS;
        let at = |bone: &str, q: P| world(flesh.carried(foot, bone, q));
        let tips = flesh.tips().map(world);
        let heads = std::array::from_fn(|n| at(names[n], rays[n].head));
        let webs = std::array::from_fn(|n| {
            // Back from between the toes, until there is flesh.
            let front = tips[n].x.min(tips[n + 1].x) - 3.0 * scale;
            let between = |back: f64| {
                let on = |i: usize| {
                    heads[i]
                        + (tips[i] - heads[i])
                            * ((front - back - heads[i].x) / (tips[i].x - heads[i].x))
                };
                let share = TOE_BREADTH[n] / (TOE_BREADTH[n] + TOE_BREADTH[n + 1]);
                on(n) + (on(n + 1) - on(n)) * share
            };
            let flesh_there = |back: f64| flesh.at((between(back) + P::y() * lowest) / scale) < 0.0;
            let back = (0..120)
                .map(|i| 0.5 * scale * f64::from(i))
                .find(|&back| flesh_there(back));
            between(back.unwrap_or(20.0 * scale)).into()
        });
        Guide {
            heads,
            heel: world(flesh.heel()),
            navicular: at("navicular", p(101.5, 47.0, -29.5)),
            malleoli: [
                at("tibia", p(63.5, 84.0, -30.0)),
                at("fibula", p(57.0, 74.0, 26.0)),
            ],
            webs,
            scale,
        }
    }
}

/// First skin met from inside the flesh along `dir`.
pub(super) fn skin_along(grid: &Grid, from: P, dir: P) -> P {
    let step = grid.step * 0.5;
    let mut t = 0.0;
    // Leave the flesh in small steps, then halve the last one.
    while t < 200.0 * grid.step && grid.at(from + dir * t) < 0.0 {
        t += step;
    }
    let (mut inside, mut outside) = (t - step, t);
    for _ in 0..30 {
        let middle = 0.5 * (inside + outside);
        if grid.at(from + dir * middle) < 0.0 {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    from + dir * (0.5 * (inside + outside))
}

pub(super) fn find(mesh: &Mesh, grid: &Grid, guide: &Guide) -> (BTreeMap<Mark, [f64; 3]>, Frame) {
    let below = |q: P| skin_along(grid, q, -P::y());
    let heads = [0, 1, 4].map(|n| below(guide.heads[n]));
    let vertices: Vec<P> = mesh.vertices.iter().map(|&v| P::from(v)).collect();
    let farthest = |dir: P, keep: &dyn Fn(P) -> bool| {
        vertices
            .iter()
            .copied()
            .filter(|&q| keep(q))
            .max_by(|a, b| dir.dot(a).total_cmp(&dir.dot(b)))
            .unwrap_or_default()
    };
    // The calf reaches further back than the heel, so only the foot counts.
    let low = 60.0 * guide.scale;
    let mut heel_centre = guide.heel;
    let (mut frame, mut back, mut tip) = (
        level_frame(heel_centre, heads[1], P::zeros()),
        P::zeros(),
        P::zeros(),
    );
    for _ in 0..4 {
        let forward = P::from(frame.forward);
        let medial = P::from(frame.medial);
        back = farthest(-forward, &|q| q.y < low);
        tip = farthest(forward, &|q| q.y < low);
        let length = (tip - back).dot(&forward);
        let station = back.dot(&forward) + 0.15 * length;
        let slice = |q: P| (q.dot(&forward) - station).abs() < guide.scale * 1.5 && q.y < low * 0.6;
        let inner = farthest(medial, &slice);
        let outer = farthest(-medial, &slice);
        let middle = 0.5 * (inner + outer).dot(&medial);
        let at = forward * station + medial * middle + P::y() * (12.0 * guide.scale);
        heel_centre = below(at);
        frame = level_frame(heel_centre, heads[1], back);
    }
    let medial = P::from(frame.medial);
    let near = |at: P, reach: f64| move |q: P| (q - at).norm() < reach * guide.scale;
    let marks = [
        (Mark::FirstHead, heads[0]),
        (Mark::SecondHead, heads[1]),
        (Mark::FifthHead, heads[2]),
        (Mark::HeelCentre, heel_centre),
        (Mark::HeelBack, back),
        (Mark::Navicular, skin_along(grid, guide.navicular, medial)),
        (Mark::ToeTip, tip),
        (
            Mark::MedialMalleolus,
            farthest(medial, &near(guide.malleoli[0], 20.0)),
        ),
        (
            Mark::LateralMalleolus,
            farthest(-medial, &near(guide.malleoli[1], 18.0)),
        ),
    ];
    (
        marks.into_iter().map(|(m, q)| (m, q.into())).collect(),
        frame,
    )
}

/// The frame of a right foot.
fn level_frame(heel: P, second_head: P, back: P) -> Frame {
    let forward = p(second_head.x - heel.x, 0.0, second_head.z - heel.z);
    let forward = if forward.norm() > 1e-9 {
        forward.normalize()
    } else {
        P::x()
    };
    // Inwards of a right foot is to the person's left.
    let medial = p(forward.z, 0.0, -forward.x);
    let along = (back - heel).dot(&forward);
    let origin = heel + forward * along;
    Frame {
        origin: [origin.x, 0.0, origin.z],
        forward: forward.into(),
        medial: medial.into(),
        up: [0.0, 1.0, 0.0],
    }
}
