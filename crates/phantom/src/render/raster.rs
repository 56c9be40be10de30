//! How much of a closed surface's inside does the ray to each pixel cross?
//!
//! Every triangle that covers a pixel adds the distance from the source to its plane along that ray:
//! with a plus where the ray leaves and a minus where it enters. Over a closed surface the sum is the
//! length inside. Vertices are first snapped to a grid finer than a pixel; coverage is then decided in
//! whole numbers with the top-left rule, so that each pixel centre belongs to exactly one of two
//! triangles that share an edge, whatever their order: nothing leaks.

use super::camera::{Camera, V};
use mesh::Mesh;
use rayon::prelude::*;
use std::ops::Range;

/// Parts of a pixel to which vertices are snapped.
const SUB: i64 = 1024;
/// Farthest a vertex may fall from the film, in pixels, so that whole-number products never overflow.
const FAR_PX: f64 = 262_144.0;
/// Rows drawn by one worker at a time.
pub(crate) const BAND: usize = 48;

/// A surface as seen from the source: where its vertices fall and which bands its triangles touch.
pub(crate) struct Projected<'a> {
    mesh: &'a Mesh,
    at: Vec<[i64; 2]>,
    /// Detector distance over depth; linear over the film within a plane.
    w: Vec<f64>,
    /// Triangles' numbers by band of rows.
    bands: Vec<Vec<u32>>,
    /// A distance within the surface, taken off every term so that 32-bit sums stay exact.
    middle: f64,
    /// First and one past the last column and row covered, within the film.
    pub columns: (usize, usize),
    pub rows: (usize, usize),
}

/// A surface that cannot be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "found a surface reaching beside or behind the tube's focus; it was expected between focus and detector"
)]
pub struct BehindSource;

impl<'a> Projected<'a> {
    pub fn new(camera: &Camera, mesh: &'a Mesh) -> Result<Projected<'a>, BehindSource> {
        let seen: Vec<([i64; 2], f64)> = mesh
            .vertices
            .par_iter()
            .with_min_len(4096)
            .map(|&vertex| {
                let w = camera.magnification(vertex);
                let [x, y] = camera.project(vertex);
                let fits = w > 0.0 && x.abs() < FAR_PX && y.abs() < FAR_PX;
                fits.then(|| {
                    (
                        [
                            (x * SUB as f64).round() as i64,
                            (y * SUB as f64).round() as i64,
                        ],
                        w,
                    )
                })
                .ok_or(BehindSource)
            })
            .collect::<Result<_, _>>()?;
        let (at, w): (Vec<_>, Vec<_>) = seen.into_iter().unzip();
        let (mut nearest, mut farthest) = (f64::INFINITY, 0.0f64);
        for &w in &w {
            nearest = nearest.min(1.0 / w);
            farthest = farthest.max(1.0 / w);
        }
        let mut this = Projected {
            mesh,
            at,
            w,
            bands: vec![Vec::new(); camera.height.div_ceil(BAND)],
            middle: if farthest > 0.0 {
                (nearest + farthest) / 2.0
            } else {
                1.0
            },
            columns: (camera.width, 0),
            rows: (camera.height, 0),
        };
        this.sort_into_bands(camera);
        Ok(this)
    }

    fn sort_into_bands(&mut self, camera: &Camera) {
        for (number, triangle) in self.mesh.triangles.iter().enumerate() {
            let corners = triangle.map(|v| self.at[v as usize]);
            let (x0, x1) = span(corners.map(|c| c[0]), camera.width);
            let (y0, y1) = span(corners.map(|c| c[1]), camera.height);
            if x0 >= x1 || y0 >= y1 {
                continue;
            }
            self.columns = (self.columns.0.min(x0), self.columns.1.max(x1));
            self.rows = (self.rows.0.min(y0), self.rows.1.max(y1));
            for band in &mut self.bands[y0 / BAND..=(y1 - 1) / BAND] {
                band.push(number as u32);
            }
        }
    }

    pub fn touches(&self, band: usize) -> bool {
        self.bands.get(band).is_some_and(|b| !b.is_empty())
    }

    /// Adds this surface's lengths to one band of rows, as parts of the ray from source to detector.
    pub fn add_to_band(&self, band: usize, width: usize, sums: &mut [f32]) {
        let rows = band * BAND..band * BAND + sums.len() / width;
        for &number in self.bands.get(band).into_iter().flatten() {
            self.cover(number as usize, width, rows.clone(), |at, sign, part| {
                sums[at] += (sign * (part - self.middle)) as f32;
            });
        }
    }

    /// Adds the way through a thin shell on this surface, in shell thicknesses: each triangle's weight
    /// times how slantwise it is met.
    pub fn add_shell_to_band(
        &self,
        band: usize,
        camera: &Camera,
        weights: &[f32],
        sums: &mut [f32],
    ) {
        let rows = band * BAND..band * BAND + sums.len() / camera.width;
        for &number in self.bands.get(band).into_iter().flatten() {
            let number = number as usize;
            let weight = weights.get(number).copied().unwrap_or(0.0);
            if weight > 0.0 {
                let way = weight * slant(camera, self.mesh.corners(number));
                self.cover(number, camera.width, rows.clone(), |at, _, _| {
                    sums[at] += way
                });
            }
        }
    }

    /// Tells of every pixel whose centre a triangle covers: its place in the band, the sign (− where the
    /// ray enters) and the part of the ray before the triangle.
    fn cover(
        &self,
        number: usize,
        width: usize,
        rows: Range<usize>,
        mut tell: impl FnMut(usize, f64, f64),
    ) {
        let [a, mut b, mut c] = self.mesh.triangles[number].map(|v| v as usize);
        let pa = self.at[a];
        let mut sign = 1.0;
        let mut area = cross(pa, self.at[b], self.at[c]);
        if area == 0 {
            return;
        }
        if area < 0 {
            // Counter-clockwise to the eye with y down is negative: the side that faces the tube.
            std::mem::swap(&mut b, &mut c);
            (area, sign) = (-area, -1.0);
        }
        let (pb, pc) = (self.at[b], self.at[c]);
        let (x0, x1) = span([pa[0], pb[0], pc[0]], width);
        let (y0, y1) = span([pa[1], pb[1], pc[1]], rows.end);
        let y0 = y0.max(rows.start);
        if x0 >= x1 || y0 >= y1 {
            return;
        }
        let (wa, wb, wc) = (self.w[a], self.w[b], self.w[c]);
        let low = wa.min(wb).min(wc);
        let high = wa.max(wb).max(wc);
        // Slopes of w per pixel, from the snapped corners, so that neighbours agree along their edge.
        let scale = SUB as f64 / area as f64;
        let [ux, uy] = [(pb[0] - pa[0]) as f64, (pb[1] - pa[1]) as f64];
        let [vx, vy] = [(pc[0] - pa[0]) as f64, (pc[1] - pa[1]) as f64];
        let per_x = ((wb - wa) * vy - (wc - wa) * uy) * scale;
        let per_y = ((wc - wa) * ux - (wb - wa) * vx) * scale;
        let edges = [Edge::new(pa, pb), Edge::new(pb, pc), Edge::new(pc, pa)];
        let [ax, ay] = [pa[0] as f64 / SUB as f64, pa[1] as f64 / SUB as f64];
        for y in y0..y1 {
            let mut e = edges
                .each_ref()
                .map(|edge| edge.at(x0 as i64 * SUB, y as i64 * SUB));
            let mut w = wa + per_x * (x0 as f64 - ax) + per_y * (y as f64 - ay);
            let row = (y - rows.start) * width;
            for x in x0..x1 {
                if (e[0] | e[1] | e[2]) >= 0 {
                    tell(row + x, sign, 1.0 / w.clamp(low, high));
                }
                for (value, edge) in e.iter_mut().zip(&edges) {
                    *value += edge.step;
                }
                w += per_x;
            }
        }
    }
}

/// The longest way through a thin shell, in its thicknesses: a curved one is never met edge on for longer.
const LONGEST: f64 = 7.0;

/// How many times its thickness the beam travels in a flat shell with these corners.
fn slant(camera: &Camera, [a, b, c]: [[f64; 3]; 3]) -> f32 {
    let normal = (V(b) - V(a)).cross(V(c) - V(a));
    let ray = V(a) - camera.source;
    let full = normal.length() * ray.length();
    let across = normal.dot(ray).abs().max(full / LONGEST);
    if across > 0.0 {
        (full / across) as f32
    } else {
        0.0
    }
}

/// One side of a triangle: not below zero where a point lies within, ties already settled.
struct Edge {
    from: [i64; 2],
    d: [i64; 2],
    /// Change of the value from one pixel to the next in its row.
    step: i64,
    tie: i64,
}

impl Edge {
    fn new(from: [i64; 2], to: [i64; 2]) -> Edge {
        let d = [to[0] - from[0], to[1] - from[1]];
        // Top-left rule for y down and positive area: a left side runs up, a top side runs to the right.
        let keeps_its_line = d[1] < 0 || (d[1] == 0 && d[0] > 0);
        Edge {
            from,
            d,
            step: -d[1] * SUB,
            tie: if keeps_its_line { 0 } else { -1 },
        }
    }

    fn at(&self, x: i64, y: i64) -> i64 {
        self.d[0] * (y - self.from[1]) - self.d[1] * (x - self.from[0]) + self.tie
    }
}

fn cross(a: [i64; 2], b: [i64; 2], c: [i64; 2]) -> i64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// First and one past the last pixel centre between three snapped coordinates, within `0..limit`.
fn span(at: [i64; 3], limit: usize) -> (usize, usize) {
    let low = at[0].min(at[1]).min(at[2]);
    let high = at[0].max(at[1]).max(at[2]);
    let first = (low + SUB - 1).div_euclid(SUB).max(0) as usize;
    let end = (high.div_euclid(SUB) + 1).clamp(0, limit as i64) as usize;
    (first, end)
}

/// Length inside a closed surface along the ray to every pixel, mm, row by row.
///
/// # Errors
/// A surface that does not lie wholly before the source.
pub fn thickness_mm(camera: &Camera, mesh: &Mesh) -> Result<Vec<f32>, BehindSource> {
    let seen = Projected::new(camera, mesh)?;
    let mut picture = vec![0.0f32; camera.width * camera.height];
    picture
        .par_chunks_mut(BAND * camera.width)
        .enumerate()
        .for_each(|(band, rows)| {
            seen.add_to_band(band, camera.width, rows);
            for (i, value) in rows.iter_mut().enumerate() {
                if *value != 0.0 {
                    let (x, y) = (i % camera.width, band * BAND + i / camera.width);
                    *value *= camera.ray_to(x as f64, y as f64).length() as f32;
                }
            }
        });
    Ok(picture)
}

/// Length inside a ball along the ray `ray` from the source, mm: exact, no triangles.
pub(crate) fn ball_mm(source: V, ray: V, centre: V, radius_mm: f64) -> f64 {
    let to = centre - source;
    let along = to.dot(ray) / ray.length();
    let beside = to.dot(to) - along * along;
    let half = radius_mm * radius_mm - beside;
    if half > 0.0 { 2.0 * half.sqrt() } else { 0.0 }
}

/// For every grid column (y + z·ny) along x, where a closed surface given in cells is crossed, sorted:
/// +1 going in, −1 coming out. The same tie rule as on film, so that no column leaks.
pub(crate) fn coverage_of_columns(
    vertices: &[[f64; 3]],
    triangles: &[[u32; 3]],
    ny: usize,
    nz: usize,
) -> Vec<Vec<(f64, i32)>> {
    let snapped: Vec<[i64; 2]> = vertices
        .iter()
        .map(|v| {
            [
                (v[1] * SUB as f64).round() as i64,
                (v[2] * SUB as f64).round() as i64,
            ]
        })
        .collect();
    let mut columns: Vec<Vec<(f64, i32)>> = vec![Vec::new(); ny * nz];
    for triangle in triangles {
        let [a, mut b, mut c] = triangle.map(|v| v as usize);
        let mut area = cross(snapped[a], snapped[b], snapped[c]);
        if area == 0 {
            continue;
        }
        let turn = if area > 0 { -1 } else { 1 };
        if area < 0 {
            std::mem::swap(&mut b, &mut c);
            area = -area;
        }
        let p = [snapped[a], snapped[b], snapped[c]];
        let edges = [
            Edge::new(p[0], p[1]),
            Edge::new(p[1], p[2]),
            Edge::new(p[2], p[0]),
        ];
        let x = [vertices[a][0], vertices[b][0], vertices[c][0]];
        let (y0, y1) = span(p.map(|q| q[0]), ny);
        let (z0, z1) = span(p.map(|q| q[1]), nz);
        for z in z0..z1 {
            for y in y0..y1 {
                let e = edges
                    .each_ref()
                    .map(|e| e.at(y as i64 * SUB, z as i64 * SUB));
                if (e[0] | e[1] | e[2]) >= 0 {
                    let share = e.map(|e| e as f64 / area as f64);
                    let at = x[2] * share[0] + x[0] * share[1] + x[1] * share[2];
                    columns[z * ny + y].push((at, turn));
                }
            }
        }
    }
    for column in &mut columns {
        column.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    columns
}
