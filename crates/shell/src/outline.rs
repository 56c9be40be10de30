//! How far along the surface does a place of the layout lie outside the shell?
//!
//! Side rims and the front edge say on which side of the border a node of the layout lies, not how far from
//! it. Where the border runs steeply along the rays, or meets the wall at a shallow angle, only the distance
//! along the surface gives an edge that is square to the wall, hence no thin one. It is therefore measured,
//! to the border itself.
//!
//! The outline is also opened: moved inward by [`OPENED_MM`] and out again. Corners become round, and a
//! tongue too narrow to hold is taken away.

use crate::layout::{Layout, V};
use crate::prescription::Prescription;
use crate::trim::edge_radius;
use rayon::prelude::*;

/// Corners of the plan are rounded with this radius; what is narrower than twice this is no part of a shell
/// (own judgement: half a finger's breadth).
const OPENED_MM: f64 = 7.0;
/// What opening would take off by less than this is kept: a rim on rough skin is no corner.
const KEPT_MM: f64 = 1.0;
/// More than a wall's thickness, however its edge is cut.
const FAR_BEHIND_MM: f64 = 20.0;
/// Distances are true so far outside the outline.
const TRUE_OUTSIDE_MM: f64 = 4.5;

/// Distances at the layout's nodes, negative inside the shell, mm.
pub(crate) fn distances(layout: &Layout, wanted: &Prescription) -> Vec<f32> {
    let border = raw(layout, wanted);
    let step = layout
        .rays
        .iter()
        .map(|r| r.spacing)
        .fold(0.0, f64::max)
        .max(0.1);
    let first = signed(layout, &border, OPENED_MM + 3.0 * step);
    let inner: Vec<f32> = first.iter().map(|d| d + OPENED_MM as f32).collect();
    let mut out = signed(layout, &inner, OPENED_MM + TRUE_OUTSIDE_MM);
    for (d, unopened) in out.iter_mut().zip(&first) {
        *d = unopened.max(*d - (OPENED_MM + KEPT_MM) as f32);
    }
    out
}

/// Values whose sign says which nodes lie outside; zero where the border runs.
fn raw(layout: &Layout, wanted: &Prescription) -> Vec<f32> {
    let radius = edge_radius(wanted, wanted.shell.thickness.thinnest().to_mm());
    let front = &layout.front;
    // No place so far behind the whole front edge is near it.
    let rear = layout
        .points
        .iter()
        .step_by(8)
        .map(|p| front.x(p.y))
        .fold(f64::INFINITY, f64::min)
        - FAR_BEHIND_MM;
    let m = layout.samples;
    let mut out = vec![0f32; layout.points.len()];
    out.par_chunks_mut(m).enumerate().for_each(|(i, out)| {
        let ray = &layout.rays[i];
        for (j, value) in out.iter_mut().enumerate() {
            let length = j as f64 * ray.spacing;
            let p = layout.point(i, j);
            if p.x < rear {
                *value = (length - ray.rim) as f32;
                continue;
            }
            let (rise, square) = front.slope(p.y);
            // The cut is square to the wall; its foremost place, a rounding's, lies where the plan has it.
            let normal = layout.normal(i, j);
            let ahead = (normal.x - rise * normal.y) * square;
            let level = (1.0 - ahead * ahead).max(0.0).sqrt();
            let thick = crate::field::thickness_at(wanted, ray.place, length);
            let foremost = radius * (1.0 - level) + (ahead * radius).max(ahead * (thick - radius));
            let front = (p.x - front.x(p.y)) * square + foremost;
            *value = (length - ray.rim).max(front) as f32;
        }
    });
    out
}

/// A piece of a zero line, and the layout's cell that it lies in.
struct Piece {
    ends: [V; 2],
    cell: (usize, usize),
    reach: (usize, usize),
}

/// Distance to the line on which the values are zero, with their sign, up to `most`.
fn signed(layout: &Layout, values: &[f32], most: f64) -> Vec<f32> {
    let (n, m) = (layout.rays.len(), layout.samples);
    let pieces = pieces(layout, values, most);
    let mut out = vec![(most * most) as f32; values.len()];
    const RAYS: usize = 16;
    out.par_chunks_mut(m * RAYS)
        .enumerate()
        .for_each(|(chunk, out)| {
            let first = chunk * RAYS;
            let last = first + out.len() / m;
            for piece in &pieces {
                let (i, j) = piece.cell;
                let (di, dj) = piece.reach;
                let [a, b] = piece.ends;
                let along = b - a;
                let long = along.norm_squared();
                let scale = if long > 0.0 { 1.0 / long } else { 0.0 };
                // Beyond the spine the surface goes on along the mirrored ray.
                let beyond = (dj > j).then(|| (n - 2 - i.min(n - 2), 0..(dj - j + 2).min(m)));
                let here = (i, j.saturating_sub(dj)..(j + dj + 2).min(m));
                for (i, samples) in std::iter::once(here).chain(beyond) {
                    for i in i.saturating_sub(di).max(first)..(i + di + 2).min(last) {
                        for j in samples.clone() {
                            let w = layout.points[i * m + j] - a;
                            let t = (w.dot(&along) * scale).clamp(0.0, 1.0);
                            let away = (w - along * t).norm_squared() as f32;
                            let slot = &mut out[(i - first) * m + j];
                            *slot = slot.min(away);
                        }
                    }
                }
            }
        });
    for (d, value) in out.iter_mut().zip(values) {
        *d = d.sqrt();
        if *value < 0.0 {
            *d = -*d;
        }
    }
    out
}

fn pieces(layout: &Layout, values: &[f32], most: f64) -> Vec<Piece> {
    let (n, m) = (layout.rays.len(), layout.samples);
    let mut out = Vec::new();
    for i in 0..n.saturating_sub(1) {
        for j in 0..m.saturating_sub(1) {
            let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)].map(|(i, j)| i * m + j);
            let outside = corners.map(|c| values[c] >= 0.0);
            if outside.iter().all(|o| *o == outside[0]) {
                continue;
            }
            let mut crossed = [V::zeros(); 4];
            let mut count = 0;
            for k in 0..4 {
                let (a, b) = (corners[k], corners[(k + 1) % 4]);
                if outside[k] != outside[(k + 1) % 4] {
                    let (u, v) = (f64::from(values[a]), f64::from(values[b]));
                    let t = (u / (u - v)).clamp(0.0, 1.0);
                    crossed[count] = layout.points[a] + (layout.points[b] - layout.points[a]) * t;
                    count += 1;
                }
            }
            let along = layout.points[corners[3]] - layout.points[corners[0]];
            let around = layout.points[corners[1]] - layout.points[corners[0]];
            let spacing = layout.rays[i].spacing.min(layout.rays[i + 1].spacing);
            // Rays can lie much nearer to each other than their places on the spine.
            let apart = along.cross(&around).norm() / along.norm().max(1e-6);
            let reach = (
                (most / apart.max(0.2 * spacing)).ceil() as usize,
                (most / spacing).ceil() as usize,
            );
            for pair in crossed[..count].chunks_exact(2) {
                out.push(Piece {
                    ends: [pair[0], pair[1]],
                    cell: (i, j),
                    reach,
                });
            }
        }
    }
    out
}
