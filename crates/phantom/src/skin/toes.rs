//! Five toes: where they bend, how thick they are, and how they differ between people.

use super::body::Body;
use super::build::Build;
use super::flesh::Carrier;
use crate::bones::plan;
use crate::bones::solid::{P, p};

/// Root, middle joint, last joint and pulp of each toe: place and radius, the pulp with its half axes.
struct ToeShape {
    bone: &'static str,
    joints: [[f64; 4]; 3],
    pulp: P,
    half: P,
}

fn toe_shapes() -> [ToeShape; 5] {
    [
        ToeShape {
            bone: "toe 1 distal",
            joints: [
                [204.0, 19.5, -32.6, 14.0],
                [228.0, 15.5, -31.2, 12.2],
                [246.0, 13.0, -30.2, 11.8],
            ],
            pulp: p(250.2, 11.3, -30.0),
            half: p(19.8, 12.8, 12.9),
        },
        ToeShape {
            bone: "toe 2 distal",
            joints: [
                [212.0, 16.5, -8.6, 8.8],
                [237.0, 15.2, -8.3, 7.6],
                [251.0, 10.5, -8.1, 7.4],
            ],
            pulp: p(256.5, 8.4, -8.1),
            half: p(12.0, 9.4, 7.6),
        },
        ToeShape {
            bone: "toe 3 distal",
            joints: [
                [206.0, 15.5, 6.2, 8.4],
                [229.5, 14.8, 6.6, 7.2],
                [242.5, 10.0, 6.8, 7.0],
            ],
            pulp: p(247.5, 8.0, 6.8),
            half: p(11.5, 9.0, 7.2),
        },
        ToeShape {
            bone: "toe 4 distal",
            joints: [
                [197.0, 14.5, 20.2, 8.2],
                [219.0, 14.2, 20.7, 7.2],
                [231.0, 9.6, 20.9, 6.8],
            ],
            pulp: p(235.3, 7.7, 20.9),
            half: p(11.2, 8.8, 6.9),
        },
        ToeShape {
            bone: "toe 5 distal",
            joints: [
                [186.0, 14.0, 34.4, 8.4],
                [204.5, 13.2, 35.0, 7.2],
                [214.0, 9.4, 35.4, 6.9],
            ],
            pulp: p(218.3, 8.0, 35.4),
            half: p(11.0, 9.0, 7.2),
        },
    ]
}

/// The bodies of each toe, and the middle of its pulp.
pub(super) fn toes(c: &Carrier<'_>, build: &Build) -> ([Vec<Body>; 5], [P; 5]) {
    let rays = plan::rays();
    let mut tips = [P::zeros(); 5];
    let shapes = toe_shapes();
    let toes = std::array::from_fn(|n| {
        let toe = &shapes[n];
        // Longer toes are longer before the root; the great toe turns about its joint.
        let turn = if n == 0 {
            build.hallux_deg.to_radians()
        } else {
            0.0
        };
        let placed = |at: P| {
            let root = rays[n].head;
            let d = at - root;
            let grown = d.x * (1.0 + build.toes_mm[n] / (toe.pulp.x - root.x));
            let (s, k) = turn.sin_cos();
            root + p(k * grown - s * d.z, d.y, s * grown + k * d.z)
        };
        let points = toe.joints.map(|[x, y, z, r]| {
            let at = placed(p(x, y, z));
            (toe.bone, [at.x, at.y, at.z, r])
        });
        let pulp = placed(toe.pulp);
        tips[n] = c.at(toe.bone, pulp);
        vec![
            c.rope(4.0, &points),
            c.egg(
                toe.bone,
                pulp,
                toe.half,
                [-turn.to_degrees(), 0.0, 0.0],
                5.0,
            ),
        ]
    });
    (toes, tips)
}
