//! What in a file is not the foot?
//!
//! Pieces that float beside it, sheets that lie on it once more, a plate that it stands on, the top of the foam
//! block that it was pressed into: found by their shape, taken away and told. Nothing here knows a unit.
//!
//! One surprise: a flat contact of the sole with a glass plate is a plane too. It is kept, because a plate goes
//! on beyond what stands on it and a contact does not.

use crate::look::across;
use crate::sample::{Sample, V, areas_of};
use crate::section::{hull, inside};
use mesh::Mesh;
use mesh::mend::{Rings, Sewn, keep, sew, spikes};
use mesh::near::Tree;
use mesh::topology::{Components, Topology};
use nalgebra::{Matrix3, Vector2};
use rayon::prelude::*;

/// What was taken away.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Removed {
    pub strays: usize,
    pub stray_triangles: usize,
    /// Pieces that lay on the foot once more.
    pub sheets: usize,
    pub plates: usize,
    /// A plane that the foot was joined to.
    pub rim: bool,
    pub rim_triangles: usize,
    /// Pieces nearly as large as the largest that was kept.
    pub rivals: usize,
}

/// The one body that may be a foot.
pub(crate) struct Cleaned {
    pub sewn: Sewn,
    pub removed: Removed,
    /// Vertices set back, and how far the farthest, in the file's numbers.
    pub spikes: (usize, f64),
}

/// Points by which pieces are judged.
const LOOK_AT: usize = 6000;
/// Layers from which a plane is sought.
const STARTS: usize = 6;
/// Thickness beside breadth from which a piece is flat.
const FLAT: f64 = 0.04;

/// Usual length of a triangle's side.
pub(crate) fn usual_side(mesh: &Mesh) -> f64 {
    // Asked before faulty triangles are dropped.
    let place = |v: u32| mesh.vertices.get(v as usize).map(|&v| V::from(v));
    let area = |t: &[u32; 3]| {
        let [a, b, c] = [place(t[0])?, place(t[1])?, place(t[2])?];
        let area = 0.5 * (b - a).cross(&(c - a)).norm();
        area.is_finite().then_some(area)
    };
    // In pieces of one size, so that the sum does not depend on how many processors there are.
    let pieces = mesh.triangles.par_chunks(16_384);
    let areas: Vec<f64> = pieces
        .map(|piece| piece.iter().filter_map(area).sum())
        .collect();
    let each = areas.iter().sum::<f64>() / mesh.triangles.len().max(1) as f64;
    (each / 0.433).sqrt()
}

/// Joins, orders and reduces what a file holds to one body.
pub(crate) fn clean(mesh: Mesh) -> Cleaned {
    let side = usual_side(&mesh);
    let mut sewn = sew(mesh, 0.01 * side);
    let rings = Rings::of(&sewn.topology);
    let back = spikes::set_back(&mut sewn.mesh, &sewn.topology, &rings);
    let mut removed = Removed {
        strays: 0,
        stray_triangles: 0,
        sheets: 0,
        plates: 0,
        rim: false,
        rim_triangles: 0,
        rivals: 0,
    };
    single(&mut sewn, &mut removed, true);
    if let Some(plane) = rim(&sewn) {
        let before = sewn.mesh.triangles.len();
        let inside = keep(&sewn.mesh, |t| !plane.holds(&sewn.mesh, t));
        removed.rim = true;
        removed.rim_triangles = before - inside.triangles.len();
        let done = std::mem::take(&mut sewn.done);
        sewn = sew(inside, 0.0);
        // What the cut left ragged is no fault of the file.
        sewn.done = done;
        let whole = &plane;
        within_rim(&mut sewn, whole);
        // What else the plane held is no stray piece of the file, but a second foot in the block is one.
        let mut cut = removed.clone();
        single(&mut sewn, &mut cut, false);
        removed.rivals = cut.rivals;
    }
    Cleaned {
        sewn,
        removed,
        spikes: (back.done.count, back.farthest),
    }
}

/// Keeps the largest piece that is not flat.
fn single(sewn: &mut Sewn, removed: &mut Removed, plates: bool) {
    let components = sewn.topology.components();
    if components.count() < 2 {
        return;
    }
    let mut areas = vec![0.0; components.count()];
    for (t, area) in areas_of(&sewn.mesh).into_iter().enumerate() {
        if let Some(c) = components.of_triangle(t) {
            areas[c as usize] += area;
        }
    }
    let mut order: Vec<usize> = (0..areas.len()).collect();
    order.sort_by(|&a, &b| areas[b].total_cmp(&areas[a]).then(a.cmp(&b)));
    let piece = |c: usize| keep(&sewn.mesh, |t| components.of_triangle(t) == Some(c as u32));
    // Plates may be larger than what stands on them, so the largest few are looked at for flatness.
    let mut main = None;
    let mut flat = vec![false; areas.len()];
    for &c in order.iter().take(8) {
        let one = (plates && areas[c] > 0.1 * areas[order[0]]).then(|| piece(c));
        if one.as_ref().is_some_and(is_flat) {
            flat[c] = true;
        } else if main.is_none() {
            main = Some((c, one));
        }
    }
    let (main, body) = main.unwrap_or((order[0], None));
    let body = body.unwrap_or_else(|| piece(main));
    let members = members(&components, sewn.mesh.triangles.len(), main);
    // A sheet lies within a few sides of the body all over.
    let near = 3.0 * usual_side(&body);
    let mut others = Vec::new();
    for &c in order.iter().filter(|&&c| c != main) {
        if flat[c] {
            removed.plates += 1;
            continue;
        }
        if areas[c] > 0.5 * areas[main] {
            removed.rivals += 1;
        }
        others.push((c, spots(&sewn.mesh, &members[c])));
    }
    let tree = Tree::of(&around(&body, &others, near));
    for (c, spots) in others {
        let lies_on = spots
            .iter()
            .all(|&v| tree.nearest_within(v, near).is_some());
        if lies_on && areas[c] < 0.5 * areas[main] {
            removed.sheets += 1;
        } else {
            removed.strays += 1;
            removed.stray_triangles += members[c].len();
        }
    }
    // A whole piece of what was sewn is sewn.
    sewn.topology = Topology::of(&body);
    sewn.mesh = body;
}

/// The triangles of each piece but the main one.
fn members(components: &Components, triangles: usize, main: usize) -> Vec<Vec<u32>> {
    let mut members = vec![Vec::new(); components.count()];
    for t in 0..triangles {
        if let Some(c) = components.of_triangle(t).filter(|&c| c as usize != main) {
            members[c as usize].push(t as u32);
        }
    }
    members
}

/// Some corners of a piece, in their order.
fn spots(mesh: &Mesh, members: &[u32]) -> Vec<[f64; 3]> {
    let corners = members.iter().flat_map(|&t| mesh.triangles[t as usize]);
    let mut corners: Vec<u32> = corners.collect();
    corners.sort_unstable();
    corners.dedup();
    let every = (corners.len() / 40).max(1);
    let some = corners.iter().step_by(every);
    some.map(|&v| mesh.vertices[v as usize]).collect()
}

/// With more pieces all of the body is asked.
const FEW: usize = 64;

/// What of the body may lie within `near` of the pieces.
fn around(body: &Mesh, pieces: &[(usize, Vec<[f64; 3]>)], near: f64) -> Mesh {
    if pieces.len() > FEW {
        return body.clone();
    }
    let boxed = |places: &[[f64; 3]], by: f64| {
        let nothing = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        places.iter().fold(nothing, |(low, high), p| {
            (
                [0, 1, 2].map(|k| low[k].min(p[k] - by)),
                [0, 1, 2].map(|k| high[k].max(p[k] + by)),
            )
        })
    };
    let boxes: Vec<_> = pieces
        .iter()
        .map(|(_, spots)| boxed(spots, 1.001 * near))
        .collect();
    let triangles = body
        .triangles
        .par_iter()
        .copied()
        .filter(|t| {
            let (low, high) = boxed(&t.map(|v| body.vertices[v as usize]), 0.0);
            boxes
                .iter()
                .any(|(from, to)| (0..3).all(|k| low[k] <= to[k] && high[k] >= from[k]))
        })
        .collect();
    Mesh {
        vertices: body.vertices.clone(),
        triangles,
    }
}

fn is_flat(mesh: &Mesh) -> bool {
    let every = (mesh.vertices.len() / 500).max(1);
    let points: Vec<V> = mesh
        .vertices
        .iter()
        .step_by(every)
        .map(|&v| V::from(v))
        .collect();
    let spread = spread(&points);
    spread[0] < FLAT * spread[1]
}

/// Standard deviations along the points' own axes, rising.
fn spread(points: &[V]) -> [f64; 3] {
    let count = points.len().max(1) as f64;
    let middle = points.iter().sum::<V>() / count;
    let sum = points.iter().fold(Matrix3::zeros(), |m: Matrix3<f64>, p| {
        let d = p - middle;
        m + d * d.transpose()
    });
    let mut values: Vec<f64> = (sum / count)
        .symmetric_eigenvalues()
        .iter()
        .map(|v| v.max(0.0).sqrt())
        .collect();
    values.sort_by(f64::total_cmp);
    [values[0], values[1], values[2]]
}

/// A plane that a foot is let into or stands on.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    up: V,
    height: f64,
    near: f64,
    /// Corners of the region that it covers, seen along `up`.
    hull: Vec<Vector2<f64>>,
}

impl Plane {
    fn off(&self, p: &V) -> f64 {
        p.dot(&self.up) - self.height
    }

    fn flat(&self, p: &V) -> Vector2<f64> {
        let (u, w) = across(self.up);
        Vector2::new(p.dot(&u), p.dot(&w))
    }

    /// All corners on it, and facing along it.
    fn holds(&self, mesh: &Mesh, t: usize) -> bool {
        let corners = mesh.corners(t).map(V::from);
        corners.iter().all(|c| self.off(c).abs() < self.near)
            && mesh
                .normal_of(t)
                .is_none_or(|n| V::from(n).dot(&self.up).abs() > 0.75)
    }
}

/// The plane that a body is joined to, where one reaches beyond the rest on all sides.
fn rim(sewn: &Sewn) -> Option<Plane> {
    let mesh = &sewn.mesh;
    let sample = Sample::of(mesh, &sewn.topology, LOOK_AT);
    let points: Vec<V> = sample.skin().copied().collect();
    let (low, high) = points.iter().fold(
        (V::repeat(f64::INFINITY), V::repeat(f64::NEG_INFINITY)),
        |(l, h), p| (l.inf(p), h.sup(p)),
    );
    let near = 0.006 * (high - low).max();
    let mut ways: Vec<(usize, V, f64)> = (0..400usize)
        .into_par_iter()
        .map(|i| {
            let z = (i as f64 + 0.5) / 400.0;
            let turn = std::f64::consts::PI * (1.0 + 5f64.sqrt()) * i as f64;
            let r = (1.0 - z * z).sqrt();
            densest(
                &points,
                V::new(r * turn.cos(), r * turn.sin(), z),
                4.0 * near,
            )
        })
        .collect();
    // Stable, so that equals stay in their order.
    ways.sort_by_key(|way| std::cmp::Reverse(way.0));
    let (_, up, height) = ways
        .par_iter()
        .take(STARTS)
        .filter_map(|&(_, up, height)| settled(&points, up, height, near))
        .collect::<Vec<_>>()
        .into_iter()
        .reduce(|best, other| if other.0 > best.0 { other } else { best })?;
    let on = |p: &V| (p.dot(&up) - height).abs() < near;
    let mut plane = Plane {
        up,
        height,
        near,
        hull: Vec::new(),
    };
    let there: Vec<Vector2<f64>> = points
        .iter()
        .filter(|p| on(p))
        .map(|p| plane.flat(p))
        .collect();
    let rest: Vec<&V> = points.iter().filter(|p| !on(p)).collect();
    if there.len() * 7 < points.len() || rest.len() < 50 {
        return None;
    }
    plane.hull = hull(&there);
    let middle = plane.hull.iter().sum::<Vector2<f64>>() / plane.hull.len() as f64;
    // Everything else lies well within what the plane reaches, and on one side of it.
    let within = rest
        .iter()
        .filter(|p| {
            let q = plane.flat(p);
            inside(&plane.hull, middle + (q - middle) * 1.02)
        })
        .count();
    let above = rest.iter().filter(|p| plane.off(p) > 0.0).count();
    let one_sided = above.max(rest.len() - above) * 100 >= rest.len() * 97;
    (within * 100 >= rest.len() * 97 && one_sided).then_some(plane)
}

/// The plane that a layer leads to: how many points lie on it, its direction and height.
///
/// The first directions lie some degrees apart, so that a layer cuts across the plane and through an impression
/// beside it, from where fitting alone does not find the way. Turned towards more and more points in a thinner
/// and thinner layer, it does.
fn settled(points: &[V], up: V, height: f64, near: f64) -> Option<(usize, V, f64)> {
    let (mut up, mut height) = (up, height);
    for (degrees, layer) in [(4.0f64, 4.0), (2.0, 2.0), (1.0, 1.0), (0.5, 1.0)] {
        let mut most = densest(points, up, layer * near);
        for _ in 0..4 {
            let (u, w) = across(most.1);
            let step = degrees.to_radians();
            let better = [u, -u, w, -w]
                .into_iter()
                .map(|way| densest(points, (most.1 + way * step).normalize(), layer * near))
                .reduce(|best, other| if other.0 > best.0 { other } else { best })?;
            if better.0 <= most.0 {
                break;
            }
            most = better;
        }
        (_, up, height) = most;
    }
    let mut count = 0;
    for _ in 0..3 {
        let there: Vec<&V> = points
            .iter()
            .filter(|p| (p.dot(&up) - height).abs() < near)
            .collect();
        count = there.len();
        (up, height) = fitted(&there)?;
    }
    Some((count, up, height))
}

/// How many points lie in the fullest layer across a direction, and where it is.
fn densest(points: &[V], up: V, layer: f64) -> (usize, V, f64) {
    let heights: Vec<f64> = points.iter().map(|p| p.dot(&up)).collect();
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let count = ((high - low) / layer) as usize + 2;
    let mut layers = vec![0usize; count];
    for h in &heights {
        layers[(((h - low) / layer) as usize).min(count - 1)] += 1;
    }
    let best = (0..count - 1)
        .max_by_key(|&i| (layers[i] + layers[i + 1], count - i))
        .unwrap_or(0);
    let most = layers[best] + layers[best + 1];
    (most, up, low + layer * (best as f64 + 1.0))
}

fn fitted(points: &[&V]) -> Option<(V, f64)> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let middle = points.iter().copied().sum::<V>() / count;
    let sum = points.iter().fold(Matrix3::zeros(), |m: Matrix3<f64>, p| {
        let d = *p - middle;
        m + d * d.transpose()
    });
    let eigen = sum.symmetric_eigen();
    let least = eigen.eigenvalues.imin();
    let up: V = eigen.eigenvectors.column(least).into_owned();
    Some((up, middle.dot(&up)))
}

/// After a plane was taken away: only pieces that lie within its border, not its own sides.
fn within_rim(sewn: &mut Sewn, plane: &Plane) {
    let components = sewn.topology.components();
    let middle = plane.hull.iter().sum::<Vector2<f64>>() / plane.hull.len().max(1) as f64;
    let mut outside = vec![0usize; components.count()];
    let mut all = vec![0usize; components.count()];
    for t in 0..sewn.mesh.triangles.len() {
        let Some(c) = components.of_triangle(t) else {
            continue;
        };
        all[c as usize] += 1;
        let [a, b, c3] = sewn.mesh.corners(t).map(V::from);
        let q = plane.flat(&((a + b + c3) / 3.0));
        outside[c as usize] += usize::from(!inside(&plane.hull, middle + (q - middle) * 1.03));
    }
    if outside.iter().zip(&all).all(|(o, a)| o * 4 < *a) {
        return;
    }
    let body = keep(&sewn.mesh, |t| {
        components
            .of_triangle(t)
            .is_some_and(|c| outside[c as usize] * 4 < all[c as usize])
    });
    let done = std::mem::take(&mut sewn.done);
    *sewn = sew(body, 0.0);
    sewn.done = done;
}
