//! Which line does a plane cut from the skin, and how long is a tape around it?

use mesh::Mesh;
use nalgebra::Vector2;
use rayon::prelude::*;

/// Pieces of line in which triangles cross a plane (`normal · q = offset`).
pub(crate) fn section(mesh: &Mesh, normal: [f64; 3], offset: f64) -> Vec<[[f64; 3]; 2]> {
    let off = |v: &[f64; 3]| normal[0] * v[0] + normal[1] * v[1] + normal[2] * v[2] - offset;
    mesh.triangles
        .par_chunks(50_000)
        .flat_map_iter(|chunk| {
            let mut lines = Vec::new();
            for t in chunk {
                let c = t.map(|v| mesh.vertices[v as usize]);
                let d = [off(&c[0]), off(&c[1]), off(&c[2])];
                let mut ends = [[0.0; 3]; 2];
                let mut found = 0;
                for k in 0..3 {
                    let (a, b) = (k, (k + 1) % 3);
                    if (d[a] < 0.0) != (d[b] < 0.0) && found < 2 {
                        let w = d[a] / (d[a] - d[b]);
                        ends[found] = [0, 1, 2].map(|n| c[a][n] + (c[b][n] - c[a][n]) * w);
                        found += 1;
                    }
                }
                if found == 2 {
                    lines.push(ends);
                }
            }
            lines
        })
        .collect()
}

/// Length of a tape drawn tight around points of a plane, told by two unit directions in it.
pub(crate) fn tape(points: &[[f64; 3]], across: [f64; 3], up: [f64; 3]) -> f64 {
    let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let flat: Vec<Vector2<f64>> = points
        .iter()
        .map(|&q| Vector2::new(dot(q, across), dot(q, up)))
        .collect();
    let hull = hull(&flat);
    (0..hull.len())
        .map(|i| (hull[(i + 1) % hull.len()] - hull[i]).norm())
        .sum()
}

/// Corners of the hull, counter-clockwise.
pub(crate) fn hull(points: &[Vector2<f64>]) -> Vec<Vector2<f64>> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = Vector2<f64>>| {
        let mut out: Vec<Vector2<f64>> = Vec::new();
        for q in points {
            while out.len() > 1 {
                let (a, b) = (out[out.len() - 2], out[out.len() - 1]);
                if (b - a).perp(&(q - a)) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(q);
        }
        out.pop();
        out
    };
    let mut all = half(&mut sorted.iter().copied());
    all.extend(half(&mut sorted.iter().rev().copied()));
    all
}

/// Is a place within a hull, its border counted?
pub(crate) fn inside(hull: &[Vector2<f64>], q: Vector2<f64>) -> bool {
    (0..hull.len()).all(|i| (hull[(i + 1) % hull.len()] - hull[i]).perp(&(q - hull[i])) >= 0.0)
}

/// The ends of the lines that lie below the leg; `None` where the section has no back of the foot: a tape needs
/// skin all around.
pub(crate) fn closed_above(lines: &[[[f64; 3]; 2]], length: f64) -> Option<Vec<[f64; 3]>> {
    let low: Vec<[f64; 3]> = lines
        .iter()
        .flatten()
        .copied()
        .filter(|q| q[2] < 0.32 * length)
        .collect();
    let (l, h) = low
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), q| {
            (l.min(q[1]), h.max(q[1]))
        });
    let (middle, near) = (0.5 * (l + h), 0.15 * (h - l));
    let (low_z, high_z) = low
        .iter()
        .filter(|q| (q[1] - middle).abs() < near)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), q| {
            (l.min(q[2]), h.max(q[2]))
        });
    (high_z - low_z > 0.06 * length).then_some(low)
}

/// Share of the greatest depth from which a place belongs to the fold.
const FOLD_FROM: f64 = 0.8;
/// Levels at which the front of ankle and instep is looked at.
const LEVELS: usize = 40;

/// The front of the ankle is the deepest place between instep and leg, seen from the side, against the line from
/// the instep to the upper end of what was scanned.
pub(crate) fn heel_ankle_girth(skin: &Mesh, length: f64) -> Option<f64> {
    let (_, high) = skin.bounds()?;
    let (from, to) = (0.2 * length, high[2] - 0.016 * length);
    if to < 0.36 * length {
        return None;
    }
    let front = front(skin, from, to);
    let (&a, &b) = (front.first()?, front.last()?);
    let (dx, dz) = (b[0] - a[0], b[1] - a[1]);
    let depth = |q: &[f64; 2]| dx * (q[1] - a[1]) - dz * (q[0] - a[0]);
    // The deepest place is broad: the middle of all that is nearly as deep does not jump with noise.
    let most = front.iter().map(depth).fold(0.0, f64::max);
    let (mut sum, mut all) = ([0.0; 2], 0.0);
    for q in &front {
        let weight = (depth(q) - FOLD_FROM * most).max(0.0);
        sum = [sum[0] + weight * q[0], sum[1] + weight * q[1]];
        all += weight;
    }
    if all <= 0.0 {
        return None;
    }
    let fold = sum.map(|s| s / all);
    // The heel's lower back: farthest against the direction of the fold.
    let l = fold[0].hypot(fold[1]);
    let against = |v: &[f64; 3]| -(v[0] * fold[0] + v[2] * fold[1]) / l;
    let heel = skin
        .vertices
        .iter()
        .filter(|v| v[2] < 0.2 * length && v[0] < 0.25 * length)
        .max_by(|p, q| against(p).total_cmp(&against(q)))?;
    let (ax, az) = (fold[0] - heel[0], fold[1] - heel[2]);
    let l = ax.hypot(az).max(1e-9);
    let along = [ax / l, 0.0, az / l];
    let normal = [-along[2], 0.0, along[0]];
    let lines = section(skin, normal, normal[0] * heel[0] + normal[2] * heel[2]);
    let all: Vec<[f64; 3]> = lines.into_iter().flatten().collect();
    Some(tape(&all, along, [0.0, 1.0, 0.0]))
}

/// Foremost skin at each level: x, z.
fn front(skin: &Mesh, from: f64, to: f64) -> Vec<[f64; 2]> {
    let step = (to - from) / LEVELS as f64;
    let mut front = [f64::NEG_INFINITY; LEVELS + 1];
    for t in &skin.triangles {
        let c = t.map(|v| skin.vertices[v as usize]);
        for k in 0..3 {
            let (mut a, mut b) = (c[k], c[(k + 1) % 3]);
            if a[2] > b[2] {
                std::mem::swap(&mut a, &mut b);
            }
            let first = ((a[2] - from) / step).ceil().max(0.0);
            let last = ((b[2] - from) / step).floor();
            if last < first || b[2] <= a[2] {
                continue;
            }
            let levels = front.iter_mut().enumerate();
            for (i, x) in levels.take(last as usize + 1).skip(first as usize) {
                let w = (from + step * i as f64 - a[2]) / (b[2] - a[2]);
                *x = x.max(a[0] + w * (b[0] - a[0]));
            }
        }
    }
    front
        .into_iter()
        .enumerate()
        .filter(|(_, x)| x.is_finite())
        .map(|(i, x)| [x, from + step * i as f64])
        .collect()
}
