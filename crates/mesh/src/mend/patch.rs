//! Which surface closes one border as if it had never been open?
//!
//! First the least area over the border's own vertices, then new vertices until triangles are as large as those
//! around, then all new vertices moved so that the surface bends as little as can be, across the border too.
//! Vertices are numbered within the patch: those of the border first, in their order.

use super::{Rings, V, add, cross, dot, length, scaled, sub};
use crate::Mesh;
use std::collections::BTreeSet;

/// A lid without its border's vertices.
pub(super) struct Patch {
    pub inside: Vec<V>,
    pub triangles: Vec<[u32; 3]>,
}

/// More new vertices than this make a patch no smoother, only slower.
const MOST_INSIDE: f64 = 700.0;

/// `None` where every way to close the border would cross what is there.
pub(super) fn over(mesh: &Mesh, rings: &Rings, rim: &[u32]) -> Option<Patch> {
    let places: Vec<V> = rim.iter().map(|&v| mesh.vertices[v as usize]).collect();
    let taken = taken_chords(rings, rim);
    let mut work = Work {
        triangles: least_area(&places, &taken)?,
        sizes: rim.iter().map(|&v| usual_side(mesh, rings, v)).collect(),
        places,
        rim: rim.len(),
        taken,
    };
    if rim.len() > 3 {
        work.relax();
        work.refine();
        work.bend(mesh, rings, rim);
    }
    Some(Patch {
        inside: work.places.split_off(rim.len()),
        triangles: work.triangles,
    })
}

/// Pairs of the border's vertices, lower place first, that share an edge already without being neighbours on it.
fn taken_chords(rings: &Rings, rim: &[u32]) -> BTreeSet<(u32, u32)> {
    let mut place: Vec<(u32, u32)> = rim.iter().zip(0..).map(|(&v, i)| (v, i)).collect();
    place.sort_unstable();
    let last = rim.len() as u32 - 1;
    let mut taken = BTreeSet::new();
    for (&v, i) in rim.iter().zip(0u32..) {
        for w in rings.of_vertex(v as usize) {
            if let Ok(at) = place.binary_search_by_key(w, |p| p.0) {
                let j = place[at].1;
                if i < j && j - i > 1 && !(i == 0 && j == last) {
                    taken.insert((i, j));
                }
            }
        }
    }
    taken
}

fn usual_side(mesh: &Mesh, rings: &Rings, v: u32) -> f64 {
    let ring = rings.of_vertex(v as usize);
    let at = mesh.vertices[v as usize];
    let sum: f64 = ring
        .iter()
        .map(|&w| length(sub(mesh.vertices[w as usize], at)))
        .sum();
    sum / ring.len().max(1) as f64
}

/// The division of a closed line into triangles of least area, all corners on it.
fn least_area(places: &[V], taken: &BTreeSet<(u32, u32)>) -> Option<Vec<[u32; 3]>> {
    let n = places.len();
    let at = |i: usize, j: usize| i * n + j;
    let mut barred = vec![false; n * n];
    for &(i, j) in taken {
        barred[at(i as usize, j as usize)] = true;
    }
    let mut least = vec![0.0f64; n * n];
    let mut through = vec![0u32; n * n];
    for gap in 2..n {
        for i in 0..n - gap {
            let j = i + gap;
            let (mut best, mut by) = (f64::INFINITY, i + 1);
            if !barred[at(i, j)] {
                let side = sub(places[j], places[i]);
                for k in i + 1..j {
                    let below = least[at(i, k)] + least[at(k, j)];
                    if below >= best {
                        continue;
                    }
                    let area = 0.5 * length(cross(side, sub(places[k], places[i])));
                    if below + area < best {
                        best = below + area;
                        by = k;
                    }
                }
            }
            least[at(i, j)] = best;
            through[at(i, j)] = by as u32;
        }
    }
    if !least[at(0, n - 1)].is_finite() {
        return None;
    }
    let mut triangles = Vec::with_capacity(n - 2);
    let mut waiting = vec![(0usize, n - 1)];
    while let Some((i, j)) = waiting.pop() {
        if j - i < 2 {
            continue;
        }
        let k = through[at(i, j)] as usize;
        triangles.push([i as u32, j as u32, k as u32]);
        waiting.extend([(i, k), (k, j)]);
    }
    Some(triangles)
}

struct Work {
    places: Vec<V>,
    /// Length that sides about a vertex should have.
    sizes: Vec<f64>,
    triangles: Vec<[u32; 3]>,
    rim: usize,
    taken: BTreeSet<(u32, u32)>,
}

impl Work {
    fn corners(&self, t: &[u32; 3]) -> [V; 3] {
        t.map(|v| self.places[v as usize])
    }

    fn refine(&mut self) {
        let area: f64 = self
            .triangles
            .iter()
            .map(|t| {
                let [a, b, c] = self.corners(t);
                0.5 * length(cross(sub(b, a), sub(c, a)))
            })
            .sum();
        let usual = self.sizes.iter().sum::<f64>() / self.sizes.len() as f64;
        // A vertex for every two triangles with sides of the usual length.
        let wanted = area / (2.0 * 0.433 * usual * usual).max(f64::MIN_POSITIVE);
        let coarser = (wanted / MOST_INSIDE).sqrt().max(1.0);
        for _ in 0..14 {
            let mut split = false;
            for t in 0..self.triangles.len() {
                let [a, b, c] = self.triangles[t];
                let corners = self.corners(&[a, b, c]);
                let sizes = [a, b, c].map(|v| self.sizes[v as usize]);
                let middle = scaled(add(add(corners[0], corners[1]), corners[2]), 1.0 / 3.0);
                let size = sizes.iter().sum::<f64>() / 3.0;
                let far = (0..3).all(|k| {
                    let d = 2f64.sqrt() * length(sub(corners[k], middle));
                    d > coarser * size && d > coarser * sizes[k]
                });
                if far && self.places.len() < self.rim + 2 * MOST_INSIDE as usize {
                    let v = self.places.len() as u32;
                    self.places.push(middle);
                    self.sizes.push(size);
                    self.triangles[t] = [a, b, v];
                    self.triangles.extend([[b, c, v], [c, a, v]]);
                    split = true;
                }
            }
            if !split {
                break;
            }
            for _ in 0..12 {
                if !self.relax() {
                    break;
                }
            }
        }
    }

    /// Exchanges diagonals where that widens angles; true where any was.
    fn relax(&mut self) -> bool {
        let mut sides: Vec<(u32, u32, u32, u32)> = Vec::with_capacity(3 * self.triangles.len());
        for (t, corners) in self.triangles.iter().enumerate() {
            for k in 0..3 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                sides.push((a.min(b), a.max(b), t as u32, k as u32));
            }
        }
        sides.sort_unstable();
        let mut edges: BTreeSet<(u32, u32)> = sides.iter().map(|s| (s.0, s.1)).collect();
        let mut touched = vec![false; self.triangles.len()];
        let mut any = false;
        for pair in sides.windows(2) {
            let (s, o) = (pair[0], pair[1]);
            let (t, u) = (s.2 as usize, o.2 as usize);
            if (s.0, s.1) != (o.0, o.1) || touched[t] || touched[u] {
                continue;
            }
            let corner = |t: usize, k: u32| self.triangles[t][k as usize % 3];
            let (a, b) = (corner(t, s.3), corner(t, s.3 + 1));
            let (c, d) = (corner(t, s.3 + 2), corner(u, o.3 + 2));
            let chord = (c.min(d), c.max(d));
            if c == d || edges.contains(&chord) || self.taken.contains(&chord) {
                continue;
            }
            let [pa, pb, pc, pd] = [a, b, c, d].map(|v| self.places[v as usize]);
            if cotangent(pc, pa, pb) + cotangent(pd, pa, pb) > -1e-9 {
                continue;
            }
            let first = cross(sub(pd, pa), sub(pc, pa));
            let second = cross(sub(pb, pd), sub(pc, pd));
            if dot(first, second) <= 0.0 {
                continue;
            }
            self.triangles[t] = [a, d, c];
            self.triangles[u] = [d, b, c];
            touched[t] = true;
            touched[u] = true;
            edges.insert(chord);
            any = true;
        }
        any
    }

    /// Moves the new vertices to where, over them and the border, the sum of squared differences to the rings'
    /// weighted middles is least.
    fn bend(&mut self, mesh: &Mesh, rings: &Rings, rim: &[u32]) {
        let inside = self.places.len() - self.rim;
        if inside == 0 {
            return;
        }
        let mut around: Vec<Vec<u32>> = vec![Vec::new(); self.places.len()];
        for t in &self.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                around[a as usize].push(b);
                around[b as usize].push(a);
            }
        }
        let rows: Vec<Row> = around
            .iter_mut()
            .enumerate()
            .map(|(v, ring)| {
                ring.sort_unstable();
                ring.dedup();
                let outer: &[u32] = match rim.get(v) {
                    Some(&g) => rings.of_vertex(g as usize),
                    None => &[],
                };
                self.row(v, ring, outer.iter().map(|&w| mesh.vertices[w as usize]))
            })
            .collect();
        for k in 0..3 {
            let start: Vec<f64> = self.places[self.rim..].iter().map(|p| p[k]).collect();
            let found = least_squares(&rows, k, start);
            for (p, x) in self.places[self.rim..].iter_mut().zip(found) {
                p[k] = x;
            }
        }
    }

    /// Neighbours count by the inverse of their distance, so that uneven triangles bend evenly.
    fn row(&self, v: usize, ring: &[u32], outer: impl Iterator<Item = V>) -> Row {
        let own = self.places[v];
        let weight = |at: V| 1.0 / length(sub(at, own)).max(f64::MIN_POSITIVE);
        let mut moving = Vec::with_capacity(ring.len() + 1);
        let mut fixed = [0.0; 3];
        let mut all = 0.0;
        for &w in ring {
            let at = self.places[w as usize];
            let share = weight(at);
            all += share;
            match (w as usize).checked_sub(self.rim) {
                Some(i) => moving.push((i as u32, -share)),
                // Neighbours along the border are in the outer ring too.
                None if v < self.rim => all -= share,
                None => fixed = sub(fixed, scaled(at, share)),
            }
        }
        for at in outer {
            let share = weight(at);
            all += share;
            fixed = sub(fixed, scaled(at, share));
        }
        let all = all.max(f64::MIN_POSITIVE);
        moving.iter_mut().for_each(|m| m.1 /= all);
        let mut fixed = scaled(fixed, 1.0 / all);
        match v.checked_sub(self.rim) {
            Some(i) => moving.push((i as u32, 1.0)),
            None => fixed = add(fixed, own),
        }
        Row { moving, fixed }
    }
}

/// A difference to a ring's middle: what moves, by number, and what does not.
struct Row {
    moving: Vec<(u32, f64)>,
    fixed: V,
}

/// Conjugate gradients on the normal equations, for one coordinate.
fn least_squares(rows: &[Row], k: usize, start: Vec<f64>) -> Vec<f64> {
    let apply = |x: &[f64]| -> Vec<f64> {
        rows.iter()
            .map(|r| r.moving.iter().map(|&(i, w)| w * x[i as usize]).sum())
            .collect()
    };
    let back = |y: &[f64], out: &mut Vec<f64>| {
        out.iter_mut().for_each(|o| *o = 0.0);
        for (r, y) in rows.iter().zip(y) {
            for &(i, w) in &r.moving {
                out[i as usize] += w * y;
            }
        }
    };
    let mut x = start;
    let mut scale = vec![0.0; x.len()];
    for r in rows {
        for &(i, w) in &r.moving {
            scale[i as usize] += w * w;
        }
    }
    let product = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(a, b)| a * b).sum() };
    let residual: Vec<f64> = apply(&x)
        .iter()
        .zip(rows)
        .map(|(y, r)| -(y + r.fixed[k]))
        .collect();
    let mut r = vec![0.0; x.len()];
    back(&residual, &mut r);
    let mut z: Vec<f64> = r.iter().zip(&scale).map(|(r, s)| r / s).collect();
    let mut p = z.clone();
    let mut rz = product(&r, &z);
    let enough = rz * 1e-14;
    let mut q = vec![0.0; x.len()];
    for _ in 0..1500 {
        if rz <= enough || rz <= 0.0 {
            break;
        }
        back(&apply(&p), &mut q);
        let pq = product(&p, &q);
        if pq.is_nan() || pq <= 0.0 {
            break;
        }
        let step = rz / pq;
        for i in 0..x.len() {
            x[i] += step * p[i];
            r[i] -= step * q[i];
            z[i] = r[i] / scale[i];
        }
        let next = product(&r, &z);
        let turn = next / rz;
        rz = next;
        for i in 0..x.len() {
            p[i] = z[i] + turn * p[i];
        }
    }
    x
}

/// Cotangent of the angle at `at` between two places.
fn cotangent(at: V, a: V, b: V) -> f64 {
    let (u, v) = (sub(a, at), sub(b, at));
    dot(u, v) / length(cross(u, v)).max(f64::MIN_POSITIVE)
}
