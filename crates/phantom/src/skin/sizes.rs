//! What does a skin measure, by definition?
//!
//! All dimensions lie in the foot's own frame ([`super::Frame`]), on the clean closed skin. Definitions follow
//! the trade's; where authors differ the docstring says which one is meant.

use super::marks::{Frame, Guide, Mark};
use crate::Mesh;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Dimensions of one skin.
///
/// # Units
/// Millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sizes {
    /// Rearmost heel to the longest toe, along the long axis.
    pub foot_length_mm: f64,
    /// Rearmost heel to below the first metatarsal head's centre, along the long axis.
    pub ball_length_mm: f64,
    /// Greatest breadth before the middle of the foot, across the long axis.
    pub foot_breadth_mm: f64,
    /// Greatest breadth of the rear fifth of the foot, up to 15 % of its length high.
    pub heel_breadth_mm: f64,
    /// A tape around the ball over both outer heads: the hull of the upright section through them.
    pub ball_girth_mm: f64,
    /// A tape around heel and front of the ankle: the hull of the section through the heel's lower back and
    /// the deepest point of the ankle's front.
    pub heel_ankle_girth_mm: f64,
    /// Height of the back of the foot at half its length.
    pub instep_height_mm: f64,
    /// Height of the skin over the navicular's tuberosity.
    pub navicular_height_mm: f64,
    pub medial_malleolus_height_mm: f64,
    pub lateral_malleolus_height_mm: f64,
    /// Across both malleoli, across the long axis.
    pub malleolar_breadth_mm: f64,
    /// Least girth of the leg above the malleoli, level; `None` where the leg is cut below it.
    pub ankle_girth_mm: Option<f64>,
    /// Lowest skin along the line from the heel's centre to the first head: distance from the heel's centre,
    /// height; every 5 mm.
    pub arch_profile_mm: Vec<[f64; 2]>,
    /// The highest of it.
    pub arch_clearance_mm: f64,
}

pub(super) fn measured(
    mesh: &Mesh,
    marks: &BTreeMap<Mark, [f64; 3]>,
    frame: &Frame,
    guide: &Guide,
) -> Sizes {
    let local = mesh.map(|v| frame.local(v));
    let at = |mark: Mark| marks.get(&mark).map_or([0.0; 3], |&q| frame.local(q));
    let length = at(Mark::ToeTip)[0] - at(Mark::HeelBack)[0];
    let breadth = |keep: &dyn Fn([f64; 3]) -> bool| {
        let (low, high) = local
            .vertices
            .iter()
            .filter(|&&v| keep(v))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                (low.min(v[1]), high.max(v[1]))
            });
        (high - low).max(0.0)
    };
    let (first, fifth) = (at(Mark::FirstHead), at(Mark::FifthHead));
    let (medial, lateral) = (at(Mark::MedialMalleolus), at(Mark::LateralMalleolus));
    let tall = 0.3 * length;
    let instep = highest(&section(&local, [1.0, 0.0, 0.0], 0.5 * length), tall);
    let profile = arch_profile(&local, at(Mark::HeelCentre), first);
    Sizes {
        foot_length_mm: length,
        ball_length_mm: first[0] - at(Mark::HeelBack)[0],
        foot_breadth_mm: breadth(&|v| v[0] > 0.5 * length),
        heel_breadth_mm: breadth(&|v| v[0] < 0.2 * length && v[2] < 0.15 * length),
        ball_girth_mm: upright_girth(&local, first, fifth, tall),
        heel_ankle_girth_mm: heel_ankle_girth(&local, length),
        instep_height_mm: instep,
        navicular_height_mm: at(Mark::Navicular)[2],
        medial_malleolus_height_mm: medial[2],
        lateral_malleolus_height_mm: lateral[2],
        malleolar_breadth_mm: medial[1] - lateral[1],
        ankle_girth_mm: ankle_girth(&local, medial[2].max(lateral[2]), guide.scale),
        arch_clearance_mm: profile.iter().map(|p| p[1]).fold(0.0, f64::max),
        arch_profile_mm: profile,
    }
}

/// Points where the surface's edges cross a plane (`normal · q = offset`).
pub(crate) fn section(mesh: &Mesh, normal: [f64; 3], offset: f64) -> Vec<[f64; 3]> {
    let sides: Vec<f64> = mesh
        .vertices
        .iter()
        .map(|v| normal[0] * v[0] + normal[1] * v[1] + normal[2] * v[2] - offset)
        .collect();
    let mut points = Vec::new();
    for t in &mesh.triangles {
        let s = t.map(|v| sides[v as usize]);
        if (s[0] < 0.0) == (s[1] < 0.0) && (s[1] < 0.0) == (s[2] < 0.0) {
            continue;
        }
        for k in 0..3 {
            let (s, t, a, b) = (s[k], s[(k + 1) % 3], t[k], t[(k + 1) % 3]);
            if (s < 0.0) != (t < 0.0) {
                let (a, b, w) = (
                    mesh.vertices[a as usize],
                    mesh.vertices[b as usize],
                    s / (s - t),
                );
                points.push([0, 1, 2].map(|n| a[n] + (b[n] - a[n]) * w));
            }
        }
    }
    points
}

/// Length of a tape drawn tight around points of a plane, described by two unit directions in it.
pub(crate) fn tape(points: &[[f64; 3]], across: [f64; 3], up: [f64; 3]) -> f64 {
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let mut flat: Vec<[f64; 2]> = points
        .iter()
        .map(|&q| [dot(q, across), dot(q, up)])
        .collect();
    flat.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut hull: Vec<[f64; 2]> = Vec::new();
        for q in points {
            while hull.len() > 1 && turn(hull[hull.len() - 2], hull[hull.len() - 1], q) <= 0.0 {
                hull.pop();
            }
            hull.push(q);
        }
        hull.windows(2)
            .map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]))
            .sum::<f64>()
    };
    half(&mut flat.iter().copied()) + half(&mut flat.iter().rev().copied())
}

fn highest(points: &[[f64; 3]], below: f64) -> f64 {
    points
        .iter()
        .map(|q| q[2])
        .filter(|&z| z < below)
        .fold(0.0, f64::max)
}

fn upright_girth(local: &Mesh, a: [f64; 3], b: [f64; 3], below: f64) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = dx.hypot(dy).max(1e-9);
    let normal = [dy / length, -dx / length, 0.0];
    let points = section(local, normal, normal[0] * a[0] + normal[1] * a[1]);
    let low: Vec<_> = points.into_iter().filter(|q| q[2] < below).collect();
    tape(&low, [dx / length, dy / length, 0.0], [0.0, 0.0, 1.0])
}

/// The front of the ankle is the deepest place between foot and leg, seen from the side, against the line
/// from the instep to the leg's cut.
fn heel_ankle_girth(local: &Mesh, length: f64) -> f64 {
    let Some((_, high)) = local.bounds() else {
        return 0.0;
    };
    // Outline of the front from the side: foremost skin for every height, above the instep's middle.
    let levels = 40;
    let (from, to) = (0.2 * length, high[2] - 4.0);
    let front: Vec<[f64; 2]> = (0..=levels)
        .map(|i| from + (to - from) * f64::from(i) / f64::from(levels))
        .map(|z| {
            let level = section(local, [0.0, 0.0, 1.0], z);
            [
                level.iter().map(|q| q[0]).fold(f64::NEG_INFINITY, f64::max),
                z,
            ]
        })
        .filter(|q| q[0].is_finite())
        .collect();
    let (Some(&a), Some(&b)) = (front.first(), front.last()) else {
        return 0.0;
    };
    let (dx, dz) = (b[0] - a[0], b[1] - a[1]);
    let depth = |q: &[f64; 2]| dx * (q[1] - a[1]) - dz * (q[0] - a[0]);
    // The deepest place is broad: its middle is that of all within a fifth of the greatest depth.
    let most = front.iter().map(depth).fold(0.0, f64::max);
    let (mut sum, mut all) = ([0.0; 2], 0.0);
    for q in &front {
        let weight = (depth(q) - 0.8 * most).max(0.0);
        sum = [sum[0] + weight * q[0], sum[1] + weight * q[1]];
        all += weight;
    }
    if all <= 0.0 {
        return 0.0;
    }
    let fold = sum.map(|s| s / all);
    // The heel's lower back: farthest against the direction of the fold.
    let dir = {
        let l = fold[0].hypot(fold[1]);
        [-fold[0] / l, -fold[1] / l]
    };
    let Some(heel) = local
        .vertices
        .iter()
        .filter(|v| v[2] < 0.2 * length && v[0] < 0.25 * length)
        .max_by(|p, q| (p[0] * dir[0] + p[2] * dir[1]).total_cmp(&(q[0] * dir[0] + q[2] * dir[1])))
    else {
        return 0.0;
    };
    let along = [fold[0] - heel[0], 0.0, fold[1] - heel[2]];
    let l = along[0].hypot(along[2]).max(1e-9);
    let along = along.map(|a| a / l);
    let normal = [-along[2], 0.0, along[0]];
    let points = section(local, normal, normal[0] * heel[0] + normal[2] * heel[2]);
    tape(&points, along, [0.0, 1.0, 0.0])
}

fn ankle_girth(local: &Mesh, above: f64, scale: f64) -> Option<f64> {
    let (_, high) = local.bounds()?;
    let (from, to) = (above + 8.0 * scale, high[2] - 4.0 * scale);
    if to - from < 10.0 * scale {
        return None;
    }
    let girths = (0..=16).map(|i| {
        let z = from + (to - from) * f64::from(i) / 16.0;
        tape(
            &section(local, [0.0, 0.0, 1.0], z),
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
        )
    });
    girths.min_by(f64::total_cmp)
}

fn arch_profile(local: &Mesh, heel: [f64; 3], head: [f64; 3]) -> Vec<[f64; 2]> {
    let (dx, dy) = (head[0] - heel[0], head[1] - heel[1]);
    let length = dx.hypot(dy).max(1e-9);
    let (ux, uy) = (dx / length, dy / length);
    let normal = [uy, -ux, 0.0];
    let mut cut: Vec<[f64; 2]> = section(local, normal, normal[0] * heel[0] + normal[1] * heel[1])
        .into_iter()
        .map(|q| [(q[0] - heel[0]) * ux + (q[1] - heel[1]) * uy, q[2]])
        .collect();
    cut.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let count = (length / 5.0) as usize;
    (0..=count)
        .filter_map(|i| {
            let s = i as f64 * 5.0;
            let low = cut
                .iter()
                .filter(|q| (q[0] - s).abs() < 1.2)
                .map(|q| q[1])
                .fold(f64::INFINITY, f64::min);
            low.is_finite().then_some([s, low])
        })
        .collect()
}
