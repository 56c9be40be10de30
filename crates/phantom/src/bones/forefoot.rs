//! Metatarsals, phalanges and the two sesamoids.

use super::grid::Grid;
use super::plan::{self, Ray};
use super::solid::*;
use super::{GAP_MM, Sculpt};
use std::sync::Arc;

pub(crate) const METATARSALS: [&str; 5] = [
    "metatarsal 1",
    "metatarsal 2",
    "metatarsal 3",
    "metatarsal 4",
    "metatarsal 5",
];

fn box_around(points: &[P], margin: f64) -> (P, P) {
    let low = points.iter().fold(points[0], |a, b| a.inf(b));
    let high = points.iter().fold(points[0], |a, b| a.sup(b));
    (low.add_scalar(-margin), high.add_scalar(margin))
}

/// Metatarsal `n` (0 for the first), its base cut to the bones behind and beside it.
pub(crate) fn metatarsal(n: usize, behind: Vec<Arc<Grid>>, beside: Option<Arc<Grid>>) -> Sculpt {
    let ray = plan::rays()[n];
    let frame = Frame::along(ray.base, ray.head, [4.0, 0.0, -6.0, -10.0, -14.0][n]);
    let length = (ray.head - ray.base).norm();
    let r = ray.head_radius;
    // Starts well behind the base, so that the neighbours cut its joint surface.
    let shaft = match n {
        0 => Loft::new(
            3.0,
            &[
                section(-9.0, 13.6, 9.8).square(2.6).mid(0.0, 0.0),
                section(0.0, 13.6, 9.6).square(2.6).mid(0.0, 0.0),
                section(7.0, 11.4, 8.4).square(2.4).mid(0.0, 0.0),
                section(18.0, 8.6, 7.4).mid(0.8, 0.0),
                section(32.0, 7.2, 6.6).mid(1.6, 0.0),
                section(length - 12.0, 7.8, 7.8).mid(1.2, 0.0),
                section(length - 3.0, 9.4, 9.6).mid(0.4, 0.0),
                section(length + 2.0, 8.0, 9.0).mid(0.4, 0.0),
            ],
        ),
        4 => Loft::new(
            2.5,
            &[
                section(-9.0, 6.6, 7.5).square(2.4).mid(0.0, 0.0),
                section(0.0, 7.0, 8.0).square(2.4).mid(0.0, 0.0),
                section(10.0, 5.4, 6.2).mid(0.0, 0.0),
                section(24.0, 4.1, 4.6).mid(0.4, 0.0),
                section(length - 18.0, 3.9, 4.0).mid(0.4, 0.0),
                section(length - 6.0, 5.2, 5.2).mid(0.0, 0.0),
                section(length + 1.0, 5.4, 5.4).mid(0.0, 0.0),
            ],
        ),
        _ => Loft::new(
            2.0,
            &[
                section(-9.0, 9.6, 8.4).square(2.6).mid(-1.0, 0.0),
                section(0.0, 9.4, 8.2).square(2.6).mid(-1.0, 0.0),
                section(9.0, 6.8, 6.2).mid(-0.4, 0.0),
                section(22.0, 4.5, 3.9).mid(0.6, 0.0),
                section(length * 0.62, 4.0, 3.5).mid(0.8, 0.0),
                section(length - 10.0, 4.8, 4.4).mid(0.4, 0.0),
                section(length - 2.0, 6.0, 5.2).mid(0.0, 0.0),
                section(length + 1.0, 5.8, 5.0).mid(0.0, 0.0),
            ],
        ),
    };
    let head = Frame::along(ray.head, ray.head + (ray.head - ray.base), 0.0);
    let head_half = if n == 0 {
        p(r, r, r * 1.04)
    } else {
        p(r, r * 1.12, r * 0.86)
    };
    let (mut low, mut high) = box_around(&[ray.base, ray.head], 16.0);
    if n == 0 {
        low -= p(2.0, 4.0, 2.0);
    }
    if n == 4 {
        low -= p(16.0, 2.0, 0.0);
        high += p(0.0, 0.0, 6.0);
    }
    let sesamoids: Vec<Frame> = if n == 0 {
        sesamoid_frames().to_vec()
    } else {
        vec![]
    };
    let field = move |q: P| {
        let mut d = shaft.at(frame.local(q));
        if n == 4 {
            // The styloid reaches back and out beyond the joint.
            d = join(
                d,
                horn(q, p(116.0, 26.0, 29.0), p(103.5, 24.0, 34.5), 6.0, 3.2),
                4.0,
            );
        }
        d = join(d, egg(q, &head, head_half), 2.0);
        for s in &sesamoids {
            d = carve(d, egg(q, s, SESAMOID_HALF) - 1.6, 1.0);
        }
        for b in &behind {
            d = carve(d, b.at(q) - GAP_MM, 1.5);
        }
        if let Some(b) = &beside {
            d = carve(d, b.at(q) - 1.8, 1.5);
        }
        d
    };
    let mid = frame;
    let thick = [2.4, 1.9, 1.8, 1.8, 1.8][n];
    Sculpt::new(METATARSALS[n], low, high, field)
        .step(0.75)
        .cortex_by(move |q| {
            // Thick in the shaft, thin towards the ends.
            let t = (mid.local(q).x / length).clamp(0.0, 1.0);
            0.9 + (thick - 0.9) * (1.0 - (2.0 * t - 0.95).abs().powi(3)).clamp(0.0, 1.0)
        })
}

const SESAMOID_HALF: P = P::new(5.8, 3.9, 4.6);

/// Frames of the inner and the outer sesamoid under the first metatarsal's head.
fn sesamoid_frames() -> [Frame; 2] {
    [
        Frame::new(p(192.1, 10.6, -37.7), 9.0, -6.0, -12.0),
        Frame::new(p(193.1, 10.4, -26.7), 9.0, -6.0, 12.0),
    ]
}

pub(crate) fn sesamoids() -> [Sculpt; 2] {
    let names = ["medial sesamoid", "lateral sesamoid"];
    let centres = [p(192.1, 10.6, -37.7), p(193.1, 10.4, -26.7)];
    let frames = sesamoid_frames();
    [0, 1].map(|i| {
        let frame = frames[i];
        Sculpt::new(
            names[i],
            centres[i].add_scalar(-9.0),
            centres[i].add_scalar(9.0),
            move |q| egg(q, &frame, SESAMOID_HALF),
        )
        .step(0.6)
        .cortex(0.7)
    })
}

/// One phalanx: base, tip and how thick (half height and half width of the base, half width of the waist).
struct Phalanx {
    name: &'static str,
    base: P,
    tip: P,
    base_y: f64,
    base_z: f64,
    waist: f64,
    last: bool,
}

/// All fourteen phalanges; the first of each toe is hollowed to its metatarsal's head.
pub(crate) fn phalanges(heads: &[Arc<Grid>; 5]) -> Vec<Sculpt> {
    let rays = plan::rays();
    let list = phalanx_list(&rays);
    list.into_iter()
        .map(|(toe, b)| {
            let head = b.name.ends_with("proximal").then(|| heads[toe].clone());
            phalanx(b, head)
        })
        .collect()
}

fn phalanx_list(rays: &[Ray; 5]) -> Vec<(usize, Phalanx)> {
    const NAMES: [[&str; 3]; 5] = [
        ["toe 1 proximal", "", "toe 1 distal"],
        ["toe 2 proximal", "toe 2 middle", "toe 2 distal"],
        ["toe 3 proximal", "toe 3 middle", "toe 3 distal"],
        ["toe 4 proximal", "toe 4 middle", "toe 4 distal"],
        ["toe 5 proximal", "toe 5 middle", "toe 5 distal"],
    ];
    // Forward direction of each toe, lengths of its phalanges, half sizes of the first one's base.
    let turn = [0.06f64, 0.01, 0.02, 0.03, 0.00];
    let lengths = [
        [33.5, 0.0, 25.0],
        [26.5, 11.5, 9.5],
        [25.5, 10.0, 9.5],
        [23.0, 8.5, 9.0],
        [20.0, 6.5, 8.5],
    ];
    let base = [[8.8, 10.6], [6.0, 6.6], [5.7, 6.2], [5.5, 6.0], [5.4, 6.0]];
    let mut list = vec![];
    for toe in 0..5 {
        let ray = rays[toe];
        let mut at = ray.head + p(ray.head_radius * 0.55, -0.5, 0.0);
        // The first phalanx starts inside the head's outline and is hollowed to it.
        let mut extra = ray.head_radius * 0.45 + GAP_MM;
        let mut height = at.y;
        for bone in 0..3 {
            let length = lengths[toe][bone];
            if length == 0.0 {
                continue;
            }
            let (from_y, to_y) = match (toe, bone) {
                (0, 0) => (23.0, 16.0),
                (0, _) => (15.0, 10.0),
                (_, 0) => (17.0, 14.5),
                (_, 1) => (13.5, 11.0),
                _ => (10.0, 7.0),
            };
            height = if bone == 0 {
                from_y
            } else {
                height.min(from_y)
            };
            let forward = p(1.0, 0.0, turn[toe]).normalize();
            let from = p(at.x, height, at.z);
            let tip = from + forward * (length + extra) + p(0.0, to_y - from_y, 0.0);
            let shrink = [1.0, 0.78, 0.66][bone] * if toe == 0 && bone == 2 { 1.25 } else { 1.0 };
            list.push((
                toe,
                Phalanx {
                    name: NAMES[toe][bone],
                    base: from,
                    tip,
                    base_y: base[toe][0] * shrink,
                    base_z: base[toe][1] * shrink * if toe == 0 && bone == 2 { 1.1 } else { 1.0 },
                    waist: base[toe][1]
                        * shrink
                        * if toe == 0 {
                            0.68
                        } else {
                            [0.56, 0.68, 0.62][bone]
                        },
                    last: bone == 2,
                },
            ));
            at = tip + forward * 2.2;
            height = tip.y;
            extra = 0.0;
        }
    }
    list
}

fn phalanx(b: Phalanx, head: Option<Arc<Grid>>) -> Sculpt {
    let frame = Frame::along(b.base, b.tip, 0.0);
    let length = (b.tip - b.base).norm();
    let (w, y, z) = (b.waist, b.base_y, b.base_z);
    let body = if b.last {
        Loft::new(
            2.2,
            &[
                section(0.0, y * 0.9, z * 0.92),
                section(length * 0.15, y * 0.86, z * 0.88),
                section(length * 0.52, w * 0.66, w * 0.86),
                section(length * 0.84, w * 0.55, w * 1.12),
                section(length, w * 0.4, w * 0.8),
            ],
        )
    } else {
        Loft::new(
            3.0,
            &[
                section(0.0, y, z * 0.96),
                section(length * 0.18, y * 0.95, z * 0.93),
                section(length * 0.55, w * 0.85, w).mid(0.3, 0.0),
                section(length * 0.86, w * 0.85, w * 1.25),
                section(length, w * 0.85, w * 1.22),
            ],
        )
    };
    let (low, high) = box_around(&[b.base, b.tip], y.max(z) + 3.0);
    let small = z < 7.0;
    let sculpt = Sculpt::new(b.name, low, high, move |q: P| {
        let d = body.at(frame.local(q));
        match &head {
            Some(head) => carve(d, head.at(q) - (GAP_MM - 0.5), 1.0),
            None => d,
        }
    });
    sculpt
        .step(if small { 0.55 } else { 0.7 })
        .cortex(if small { 0.8 } else { 1.2 })
}
