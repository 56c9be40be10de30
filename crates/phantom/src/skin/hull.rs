//! Where does the soft tissue end on a film?
//!
//! A smooth hull around the standing bones, with heel pad, ball, outer border, tendon and calf, cut flat
//! by the floor. It is for the film's outline only; nothing is measured on it, and no shell is made on it: the
//! skin for that is sculpted in [`super::flesh`].

use crate::bones::grid::Grid;
use crate::bones::nets;
use crate::bones::plan;
use crate::bones::solid::{Frame, Loft, P, egg, horn, join, meet, p, section};
use crate::foot::Standing;
use mesh::Mesh;
use nalgebra::Isometry3;

/// Grid spacing of the hull in the world, before scaling.
const STEP_MM: f64 = 3.0;

/// The hull of a right foot, in the world.
pub(crate) fn around(foot: &Standing<'_>) -> Mesh {
    let parts: Vec<Part<'_>> = foot.bones().iter().map(|b| Part::new(foot, b)).collect();
    let pads = Pads::new(foot);
    let scale = foot.scale;
    let (mut low, mut high) = (p(-6.0, -4.0, -70.0), p(296.0, 262.0, 70.0));
    for part in &parts {
        low = low.inf(&(part.centre / scale).add_scalar(-part.reach / scale - 20.0));
        high = high.sup(&(part.centre / scale).add_scalar(part.reach / scale + 20.0));
    }
    low.y = -4.0;
    high.y = 258.0;
    let grid = Grid::sample(low * scale, high * scale, STEP_MM * scale, |q| {
        let mut d = pads.at(q / scale);
        for part in &parts {
            d = part.add(foot, q, d * scale) / scale;
        }
        d * scale
    });
    // Rounded over a few millimetres, then set flat on the floor and cut off above.
    let cut = grid.blurred(5).map(|q, d| {
        let d = meet(d, -q.y, 3.0 * scale);
        meet(d, q.y - 254.0 * scale, 2.0 * scale)
    });
    nets::surface(&cut, 400)
}

/// One bone's share: how much flesh lies on it.
struct Part<'a> {
    grid: &'a Grid,
    motion: Isometry3<f64>,
    centre: P,
    reach: f64,
    flesh: f64,
    blend: f64,
    inset: f64,
}

impl<'a> Part<'a> {
    fn new(foot: &Standing<'_>, bone: &'a crate::foot::PlanBone) -> Part<'a> {
        let motion = foot.stance.of(bone.name);
        let (low, high) = bone.outer.bounds().unwrap_or_default();
        let (low, high) = (P::from(low), P::from(high));
        let (flesh, blend) = match bone.name {
            "toe 1 proximal" | "toe 1 distal" => (5.0, 8.0),
            name if name.ends_with("proximal") => (5.0, 7.0),
            name if name.starts_with("toe") => (4.2, 3.0),
            "metatarsal 1" | "metatarsal 5" => (8.0, 14.0),
            name if name.starts_with("metatarsal") => (6.0, 14.0),
            "tibia" | "fibula" => (6.0, 14.0),
            "calcaneus" => (7.0, 14.0),
            _ => (7.0, 16.0),
        };
        Part {
            grid: &bone.grid,
            motion,
            centre: foot.world(&motion, (low + high) * 0.5),
            reach: (high - low).norm() * 0.5 * foot.scale * 1.05,
            flesh,
            blend,
            inset: bone.inset,
        }
    }

    /// Joins this bone's flesh to the distance `d` of what is there (world millimetres).
    fn add(&self, foot: &Standing<'_>, world: P, d: f64) -> f64 {
        let (flesh, blend) = (
            (self.flesh + self.inset) * foot.scale,
            self.blend * foot.scale,
        );
        let away = (world - self.centre).norm() - self.reach - flesh;
        if away > blend && away > d + blend {
            return d;
        }
        if away > 12.0 * foot.scale {
            return d.min(away);
        }
        let q = foot.plan_from_world(&self.motion, world);
        join(d, self.grid.at(q) * foot.scale - flesh, blend)
    }
}

/// Flesh that follows no single bone; plan millimetres of the standing foot.
struct Pads {
    heel: Frame,
    leg: Loft,
    leg_from_world: Isometry3<f64>,
    heads: [P; 5],
    base5: P,
    /// Over the ankle, over the navicular, and under the instep from the cuneiforms to the heads.
    instep: [P; 4],
    /// The Achilles tendon, from the heel bone to the calf.
    tendon: [P; 2],
}

impl Pads {
    fn new(foot: &Standing<'_>) -> Pads {
        let rays = plan::rays();
        let names = crate::bones::forefoot::METATARSALS;
        let heads = [0, 1, 2, 3, 4].map(|n| {
            foot.carry(names[n], rays[n].head)
                .unwrap_or_else(|| rays[n].head * foot.scale)
                / foot.scale
        });
        let base5 = foot
            .carry(names[4], p(110.0, 26.0, 27.0))
            .unwrap_or_default()
            / foot.scale;
        let heel = foot
            .carry("calcaneus", p(27.0, 16.0, 0.0))
            .unwrap_or_default()
            / foot.scale;
        let leg = Loft::new(
            4.0,
            &[
                section(60.0, 24.0, 22.0).mid(54.0, -1.0),
                section(84.0, 31.0, 31.0).mid(52.0, -1.0),
                section(110.0, 32.0, 30.0).mid(51.0, -2.0),
                section(150.0, 38.0, 33.0).mid(46.0, -3.0),
                section(200.0, 46.0, 41.0).mid(41.0, -3.0),
                section(262.0, 57.0, 51.0).mid(34.0, -3.0),
            ],
        );
        let carried = |(bone, at): (&str, P)| foot.world(&foot.stance.of(bone), at) / foot.scale;
        Pads {
            heel: Frame::new(p(heel.x + 1.0, 15.0, heel.z), 0.0, 0.0, 0.0),
            leg,
            leg_from_world: foot.stance.of("tibia").inverse(),
            heads,
            base5,
            instep: [
                ("tibia", p(82.0, 104.0, -6.0)),
                ("navicular", p(112.0, 64.0, -12.0)),
                ("lateral cuneiform", p(118.0, 48.0, 3.0)),
                ("metatarsal 3", p(182.0, 24.0, 0.0)),
            ]
            .map(carried),
            tendon: [
                ("calcaneus", p(16.5, 40.0, 0.0)),
                ("tibia", p(18.5, 150.0, -3.0)),
            ]
            .map(carried),
        }
    }

    fn at(&self, q: P) -> f64 {
        let l = (self.leg_from_world * nalgebra::Point3::from(q)).coords;
        let mut d = self.leg.at(p(l.y, l.x, l.z));
        d = join(d, horn(q, self.tendon[0], self.tendon[1], 9.0, 10.0), 14.0);
        d = join(d, egg(q, &self.heel, p(27.0, 19.0, 28.0)), 14.0);
        for pair in self.heads.windows(2) {
            let low = |h: P| p(h.x - 3.0, 12.5, h.z);
            d = join(d, horn(q, low(pair[0]), low(pair[1]), 12.0, 12.0), 8.0);
        }
        // The instep: tendons in front of the ankle, the back of the foot.
        d = join(d, horn(q, self.instep[0], self.instep[1], 10.0, 11.0), 16.0);
        d = join(d, horn(q, self.instep[2], self.instep[3], 19.0, 13.0), 14.0);
        let outer = |from: P, to: P| horn(q, from, to, 12.5, 12.5);
        let heel_front = self.heel.world(p(18.0, -1.5, 8.0));
        let side = p(self.base5.x, 13.0, self.base5.z);
        d = join(d, outer(heel_front, side), 10.0);
        join(
            d,
            outer(side, p(self.heads[4].x - 6.0, 12.5, self.heads[4].z)),
            8.0,
        )
    }
}
