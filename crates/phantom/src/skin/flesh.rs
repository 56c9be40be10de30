//! What lies between bone and skin, as one distance function.
//!
//! Muscles, pads and tendons are round bodies hung on the standing bones, melted into each other; toes are
//! added last, so that they melt into the ball but not into each other. Everything is described on the
//! plain foot (millimetres of the plan, right foot) and carried by the bones' motions.
//!
//! One surprise: the body without load is the whole one. Standing, the floor cuts the pads off flat, which
//! is what a loaded pad looks like from below; that they also spread is in [`super::warp`].

use super::body::{Body, Near, Shape, curve};
use super::build::Build;
use super::toes::toes;
use super::warp::Warp;
use crate::bones::forefoot::METATARSALS;
use crate::bones::plan;
use crate::bones::solid::{Loft, P, join, meet, p, section};
use crate::foot::Standing;
use nalgebra::{Isometry3, Rotation3, UnitQuaternion};

/// Toes in a [`Near`], after the bodies.
const TOES_FROM: usize = 56;
/// Width over which toes melt into the ball.
const ROOT_BLEND: f64 = 7.0;
/// Between toes that press on each other; a narrower one would be lost on the grid.
const TOE_SLIT: f64 = 2.4;
const FAR: f64 = 1e3;

/// The flesh of one standing (or hanging) foot.
pub(crate) struct Flesh {
    warp: Warp,
    legs: Loft,
    leg_from_world: Isometry3<f64>,
    body: Vec<Body>,
    toes: [Vec<Body>; 5],
    /// What is taken away: the hollows beside the tendon.
    hollows: Vec<Body>,
    floor: bool,
    tips: [P; 5],
    heel: P,
}

/// The bones' motions, in plan millimetres.
pub(super) struct Carrier<'a> {
    foot: &'a Standing<'a>,
    leg_lean: Isometry3<f64>,
}

impl Carrier<'_> {
    fn motion(&self, bone: &str) -> Isometry3<f64> {
        let m = self.foot.stance.of(bone);
        if matches!(bone, "tibia" | "fibula") {
            self.leg_lean * m
        } else {
            m
        }
    }

    pub fn at(&self, bone: &str, q: P) -> P {
        (self.motion(bone) * nalgebra::Point3::from(self.foot.skeleton.at(q))).coords
    }

    /// A rope through points, each with its bone, place and radius.
    pub fn rope(&self, blend: f64, points: &[(&str, [f64; 4])]) -> Body {
        let carried: Vec<(P, f64)> = points
            .iter()
            .map(|&(bone, [x, y, z, r])| (self.at(bone, p(x, y, z)), r))
            .collect();
        Body::new(Shape::Rope(curve(&carried)), blend)
    }

    /// An egg on a bone; `turn` is yaw, pitch and roll in degrees, as bones are sculpted.
    pub fn egg(&self, bone: &str, centre: P, half: P, turn: [f64; 3], blend: f64) -> Body {
        let turned = Rotation3::from_axis_angle(&P::y_axis(), turn[0].to_radians())
            * Rotation3::from_axis_angle(&P::z_axis(), turn[1].to_radians())
            * Rotation3::from_axis_angle(&P::x_axis(), turn[2].to_radians());
        let placed = self.motion(bone)
            * Isometry3::from_parts(
                self.foot.skeleton.at(centre).into(),
                UnitQuaternion::from_rotation_matrix(&turned),
            );
        Body::new(
            Shape::Egg {
                local: placed.inverse(),
                half,
            },
            blend,
        )
    }
}

/// How far the leg leans back over a foot that hangs free.
const HANGING_LEAN_DEG: f64 = 9.0;

impl Flesh {
    /// `foot` must stand on an adult's bones: skin covers cartilage as well.
    pub fn new(foot: &Standing<'_>, build: &Build, loaded: bool) -> Flesh {
        let ankle = foot.skeleton.at(plan::ankle());
        let ankle = (foot.stance.of("tibia") * nalgebra::Point3::from(ankle)).coords;
        let lean = if loaded { 0.0 } else { HANGING_LEAN_DEG };
        let turn = UnitQuaternion::from_axis_angle(&P::z_axis(), lean.to_radians());
        let carrier = Carrier {
            foot,
            leg_lean: Isometry3::from_parts((ankle - turn * ankle).into(), turn),
        };
        let mut body = Vec::new();
        hindfoot(&carrier, &mut body);
        rays(&carrier, &mut body);
        sole(&carrier, build, &mut body);
        ball(&carrier, &mut body);
        let (toes, tips) = toes(&carrier, build);
        let hollows = hollows(&carrier);
        Flesh {
            warp: Warp::new(build, foot.skeleton.stretch, !loaded),
            legs: leg(),
            leg_from_world: carrier.motion("tibia").inverse(),
            body,
            toes,
            hollows,
            floor: loaded,
            tips,
            heel: carrier.at("calcaneus", p(30.0, 20.0, -0.5)),
        }
    }

    /// Distance to the skin in plan millimetres, from a point of the foot's own proportions.
    pub fn at(&self, q: P) -> f64 {
        self.at_near(q, &Near::ALL)
    }

    /// The same, asked of some bodies only: those that [`Flesh::near`] named for a place close by.
    pub fn at_near(&self, q: P, near: &Near) -> f64 {
        let own = self.warp.back(q);
        let mut d = near.melted(&self.body, own, self.leg_at(own));
        for b in &self.hollows {
            d = meet(d, -b.shape.at(own), b.blend);
        }
        let toe = self.toes_at(own, near);
        d = join(d, toe, ROOT_BLEND);
        if self.floor {
            d = meet(d, -q.y, 3.0);
        }
        d
    }

    /// Toes side by side: however close they lie, a slit stays between them.
    fn toes_at(&self, own: P, near: &Near) -> f64 {
        let each: [f64; 5] = std::array::from_fn(|n| {
            if near.has(TOES_FROM + n) {
                Near::ALL.melted(&self.toes[n], own, FAR)
            } else {
                FAR
            }
        });
        let all = each.into_iter().fold(FAR, f64::min);
        each.windows(2).fold(all, |d, pair| {
            // Far from both nothing is between them. Half the difference of two distances is about the way
            // to the middle between both.
            if pair[0].min(pair[1]) > 2.0 * TOE_SLIT {
                return d;
            }
            meet(d, 0.5 * (TOE_SLIT - (pair[0] - pair[1]).abs()), 0.6)
        })
    }

    fn leg_at(&self, own: P) -> f64 {
        let l = (self.leg_from_world * nalgebra::Point3::from(own)).coords;
        self.legs.at(p(l.y, l.x, l.z))
    }

    /// The bodies that can have a say within `reach` of `q`, where the distance is `d`.
    pub fn near(&self, q: P, d: f64, reach: f64) -> Near {
        let own = self.warp.back(q);
        // Bodies' functions and the warp run up to double too steep; both sides may change over the reach.
        let reach = 2.0 * reach;
        // A body that is melted over by another still shifts what that one melts into.
        let most = d + 2.0 * reach + ROOT_BLEND + 8.0;
        let mut near = Near {
            bodies: 0,
            ..Near::ALL
        };
        for (n, b) in self.body.iter().enumerate() {
            if b.beyond(own) < most + b.blend && b.shape.at(own) < most + b.blend {
                near.bodies |= 1 << n;
                near.pieces[n] = b.shape.near(own, reach);
            }
        }
        for (n, toe) in self.toes.iter().enumerate() {
            if toe
                .iter()
                .any(|b| b.beyond(own) < most + ROOT_BLEND + b.blend)
            {
                near.bodies |= 1 << (TOES_FROM + n);
            }
        }
        near
    }

    /// A point carried by a bone, in the foot's own proportions.
    pub fn onto(&self, plain: P) -> P {
        self.warp.onto(plain)
    }

    /// A box around everything below the plan height `top`.
    pub fn bounds(&self, top: f64) -> (P, P) {
        let (mut low, mut high) = (P::repeat(1e3), P::repeat(-1e3));
        for b in self.body.iter().chain(self.toes.iter().flatten()) {
            low = low.inf(&b.low);
            high = high.sup(&b.high);
        }
        let world_from_leg = self.leg_from_world.inverse();
        for s in self.legs.sections.iter().filter(|s| s.x < top + 40.0) {
            let at = world_from_leg * nalgebra::Point3::new(s.mid_y, s.x.min(top + 15.0), s.mid_z);
            low = low.inf(&at.coords.add_scalar(-s.half_y.max(s.half_z)));
            high = high.sup(&at.coords.add_scalar(s.half_y.max(s.half_z)));
        }
        let most = self.warp.most();
        // Wider than the border that sampling keeps free.
        let margin = 9.0;
        (
            p(low.x - margin, -18.0, low.z * most - margin),
            p(
                high.x * most.min(1.02) + margin,
                top + margin,
                high.z * most + margin,
            ),
        )
    }

    /// Height of the lowest skin, about: under heel or ball.
    pub fn lowest(&self) -> f64 {
        let from = self.heel();
        let mut t = 0.0;
        for _ in 0..100 {
            t -= self.at(from - P::y() * t) * 0.7;
        }
        from.y - t
    }

    /// Heel's middle and toes' pulps, in the foot's own proportions: inside the flesh.
    pub fn heel(&self) -> P {
        self.onto(self.heel)
    }

    pub fn tips(&self) -> [P; 5] {
        self.tips.map(|t| self.onto(t))
    }

    /// A point of the plain foot carried by its bone, in this foot's proportions.
    pub fn carried(&self, foot: &Standing<'_>, bone: &str, plain: P) -> P {
        let m = if matches!(bone, "tibia" | "fibula") {
            self.leg_from_world.inverse()
        } else {
            foot.stance.of(bone)
        };
        self.onto((m * nalgebra::Point3::from(foot.skeleton.at(plain))).coords)
    }
}

/// Sections up the leg; the tendon behind is a body of its own.
fn leg() -> Loft {
    Loft::new(
        4.0,
        &[
            section(66.0, 20.0, 20.0).mid(60.0, -2.0),
            section(84.0, 27.0, 26.0).mid(58.0, -2.0),
            section(104.0, 33.5, 31.5).mid(54.0, -2.5),
            section(125.0, 36.5, 33.5).mid(51.0, -3.0),
            section(155.0, 39.0, 35.0).mid(47.5, -3.0),
            section(205.0, 45.0, 40.0).mid(42.0, -3.0),
            section(275.0, 57.0, 50.0).mid(34.0, -3.0),
        ],
    )
}

fn hindfoot(c: &Carrier<'_>, into: &mut Vec<Body>) {
    // Heel bone and talus under their flesh.
    into.push(c.rope(
        14.0,
        &[
            ("calcaneus", [26.0, 34.0, -1.0, 20.5]),
            ("calcaneus", [48.0, 43.0, 3.0, 20.0]),
            ("calcaneus", [80.0, 44.0, 9.0, 17.0]),
        ],
    ));
    into.push(c.rope(
        18.0,
        &[
            ("talus", [56.0, 70.0, -3.0, 22.0]),
            ("talus", [72.0, 68.0, -6.0, 19.5]),
            ("talus", [90.0, 62.0, -10.0, 17.0]),
        ],
    ));
    // Before the outer malleolus, over the neck of the talus.
    into.push(c.egg(
        "talus",
        p(73.0, 70.0, 3.0),
        p(19.0, 15.0, 16.0),
        [-20.0, -20.0, 0.0],
        14.0,
    ));
    // The tendon, from the heel bone to the calf.
    into.push(c.rope(
        16.0,
        &[
            ("calcaneus", [18.0, 36.0, -0.5, 13.0]),
            ("calcaneus", [18.5, 50.0, -0.5, 10.5]),
            ("tibia", [21.0, 90.0, -1.5, 8.8]),
            ("tibia", [22.0, 118.0, -2.5, 10.0]),
            ("tibia", [20.0, 170.0, -3.0, 14.0]),
        ],
    ));
    // The front of the ankle: tendons that bridge leg and instep.
    into.push(c.rope(
        18.0,
        &[
            ("tibia", [78.0, 124.0, -6.0, 8.5]),
            ("tibia", [88.5, 103.0, -8.0, 10.5]),
            ("navicular", [107.0, 79.0, -12.0, 11.0]),
            ("navicular", [120.0, 62.5, -12.0, 10.0]),
        ],
    ));
    // Over the shelf of the heel bone: the tendons behind the inner malleolus.
    into.push(c.rope(
        14.0,
        &[
            ("talus", [50.0, 70.0, -19.0, 9.0]),
            ("calcaneus", [62.0, 50.0, -19.0, 9.5]),
            ("navicular", [90.0, 45.0, -24.0, 9.0]),
        ],
    ));
    // The short extensor, before the outer malleolus.
    into.push(c.rope(
        14.0,
        &[
            ("calcaneus", [74.0, 50.0, 14.0, 11.0]),
            ("calcaneus", [100.0, 47.0, 18.0, 9.0]),
        ],
    ));
    // Heel pad: a broad cushion and a rounder back above it.
    into.push(c.egg(
        "calcaneus",
        p(37.8, 17.0, -0.5),
        p(36.5, 21.2, 32.5),
        [0.0; 3],
        10.0,
    ));
    into.push(c.egg(
        "calcaneus",
        p(30.8, 29.0, -0.5),
        p(28.5, 24.0, 26.5),
        [0.0; 3],
        12.0,
    ));
    // Malleoli, each at the end of its bone.
    into.push(c.rope(
        12.0,
        &[
            ("fibula", [53.0, 128.0, 15.0, 11.0]),
            ("fibula", [56.0, 94.0, 21.0, 10.0]),
            ("fibula", [57.0, 72.5, 25.3, 10.3]),
            ("fibula", [58.5, 62.5, 23.5, 7.0]),
        ],
    ));
    into.push(c.rope(
        12.0,
        &[
            ("tibia", [60.0, 128.0, -14.0, 14.0]),
            ("tibia", [62.0, 102.0, -23.0, 12.5]),
            ("tibia", [64.0, 86.0, -29.8, 11.0]),
            ("tibia", [65.5, 77.0, -28.5, 8.0]),
        ],
    ));
}

/// What lies beside the tendon, above the heel.
fn hollows(c: &Carrier<'_>) -> Vec<Body> {
    vec![
        c.rope(
            18.0,
            &[
                ("tibia", [35.0, 92.0, -35.0, 6.0]),
                ("talus", [39.0, 74.0, -35.5, 8.0]),
            ],
        ),
        c.rope(
            18.0,
            &[
                ("tibia", [34.0, 92.0, 31.0, 6.0]),
                ("talus", [37.0, 73.0, 33.5, 8.0]),
            ],
        ),
    ]
}

/// The back of the foot: each ray from the midfoot to its head.
fn rays(c: &Carrier<'_>, into: &mut Vec<Body>) {
    let lists: [&[(&str, [f64; 4])]; 5] = [
        &[
            ("navicular", [102.0, 56.0, -17.0, 16.0]),
            ("medial cuneiform", [124.0, 49.0, -20.0, 15.5]),
            ("metatarsal 1", [145.0, 45.5, -25.0, 15.4]),
            ("metatarsal 1", [171.0, 34.0, -29.0, 12.4]),
            ("metatarsal 1", [188.0, 26.5, -31.5, 13.5]),
            ("metatarsal 1", [197.0, 23.0, -32.6, 14.0]),
        ],
        &[
            ("navicular", [104.0, 60.0, -10.0, 15.0]),
            ("intermediate cuneiform", [126.0, 53.0, -9.0, 14.0]),
            ("metatarsal 2", [150.0, 42.0, -9.5, 12.0]),
            ("metatarsal 2", [178.0, 29.0, -9.0, 10.6]),
            ("metatarsal 2", [205.0, 17.5, -8.4, 11.0]),
        ],
        &[
            ("lateral cuneiform", [110.0, 49.5, 3.0, 15.0]),
            ("lateral cuneiform", [126.0, 45.5, 5.0, 14.5]),
            ("metatarsal 3", [140.0, 39.5, 4.0, 12.0]),
            ("metatarsal 3", [170.0, 26.5, 5.0, 10.6]),
            ("metatarsal 3", [199.0, 15.5, 6.0, 11.0]),
        ],
        &[
            ("cuboid", [104.0, 41.0, 13.0, 15.5]),
            ("metatarsal 4", [132.0, 32.5, 15.5, 12.5]),
            ("metatarsal 4", [160.0, 22.5, 18.0, 10.8]),
            ("metatarsal 4", [190.0, 15.0, 20.6, 10.8]),
        ],
        &[
            ("cuboid", [98.0, 37.0, 18.0, 16.0]),
            ("metatarsal 5", [118.0, 27.0, 26.0, 13.5]),
            ("metatarsal 5", [146.0, 20.0, 30.0, 11.5]),
            ("metatarsal 5", [177.0, 15.0, 34.5, 12.0]),
        ],
    ];
    into.extend(lists.into_iter().map(|list| c.rope(13.0, list)));
    // The navicular's tuberosity shows.
    into.push(c.egg(
        "navicular",
        p(101.5, 48.0, -29.5),
        p(10.0, 8.0, 7.5),
        [0.0; 3],
        12.0,
    ));
}

fn sole(c: &Carrier<'_>, build: &Build, into: &mut Vec<Body>) {
    let lower = build.padding_mm;
    // Abductor of the great toe: the inner border, arched.
    into.push(c.rope(
        16.0,
        &[
            ("calcaneus", [34.0, 19.0, -12.0, 15.0]),
            ("calcaneus", [70.0, 31.5 - lower, -22.5, 12.5]),
            ("navicular", [100.0, 37.0 - lower, -25.0, 11.5]),
            ("medial cuneiform", [126.0, 34.5 - lower, -26.0, 11.0]),
            ("metatarsal 1", [156.0, 26.0 - 0.6 * lower, -30.5, 11.0]),
            ("metatarsal 1", [190.0, 14.5, -33.0, 12.0]),
        ],
    ));
    // Short flexor and the fascia: the middle.
    into.push(c.rope(
        20.0,
        &[
            ("calcaneus", [34.0, 15.5, -2.0, 15.0]),
            ("calcaneus", [72.0, 27.0 - 0.8 * lower, -2.0, 17.5]),
            ("cuboid", [106.0, 28.5 - 0.8 * lower, 3.0, 18.0]),
            ("metatarsal 3", [150.0, 21.5 - 0.5 * lower, 2.0, 15.0]),
            ("metatarsal 3", [190.0, 12.0, 4.0, 12.0]),
        ],
    ));
    // Square muscle and the long plantar ligament: between middle and outer border.
    into.push(c.rope(
        18.0,
        &[
            ("calcaneus", [40.0, 16.0, 6.0, 15.0]),
            ("cuboid", [98.0, 25.0 - 0.6 * lower, 14.0, 15.0]),
            ("metatarsal 4", [148.0, 18.0 - 0.3 * lower, 18.0, 13.0]),
            ("metatarsal 4", [182.0, 11.5, 20.0, 12.0]),
        ],
    ));
    // Abductor of the little toe: the outer border, on the floor.
    into.push(c.rope(
        14.0,
        &[
            ("calcaneus", [36.0, 16.5, 12.5, 16.0]),
            ("calcaneus", [74.0, 16.0, 22.0, 15.5]),
            ("metatarsal 5", [108.0, 13.5, 29.5, 14.5]),
            ("metatarsal 5", [145.0, 11.5, 35.0, 13.0]),
            ("metatarsal 5", [176.0, 11.5, 36.5, 12.5]),
        ],
    ));
}

fn ball(c: &Carrier<'_>, into: &mut Vec<Body>) {
    let pads = [
        (p(190.0, 11.5, -31.5), p(22.0, 14.5, 16.0)),
        (p(195.0, 11.0, -9.0), p(21.0, 13.5, 11.5)),
        (p(190.0, 10.5, 5.5), p(20.5, 13.0, 11.5)),
        (p(182.0, 10.5, 20.0), p(20.0, 12.5, 11.5)),
        (p(172.0, 11.0, 34.0), p(19.0, 13.0, 13.5)),
    ];
    for (n, (centre, half)) in pads.into_iter().enumerate() {
        into.push(c.egg(METATARSALS[n], centre, half, [0.0; 3], 9.0));
    }
    // The skin between the toes' roots.
    into.push(c.rope(
        10.0,
        &[
            ("toe 1 proximal", [215.0, 16.0, -31.5, 9.5]),
            ("toe 2 proximal", [223.0, 14.5, -9.0, 8.0]),
            ("toe 3 proximal", [217.5, 13.5, 6.0, 7.6]),
            ("toe 4 proximal", [208.0, 13.0, 20.3, 7.6]),
            ("toe 5 proximal", [195.0, 13.0, 34.0, 8.0]),
        ],
    ));
}
