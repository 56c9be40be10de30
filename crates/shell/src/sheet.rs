//! What does the device look like while the hand still moves?
//!
//! Skin, underside and rim as sheets over the layout's own grid, posts as prisms up to them: the picture that
//! follows a hand, drawn in a tenth of the time that the solid takes. It has the same layout, rim, ground and
//! walls as the solid, but no letters, and a post runs into the shell instead of ending at it: nothing is made
//! or measured from it.

use crate::field::ShellShape;
use crate::layout::{Layout, RayPlace, V};
use crate::positive::Positive;
use crate::post::Footing;
use mesh::Mesh;
use std::collections::BTreeMap;

/// Skin, underside and rounded rim of the shell.
pub(crate) fn shell(shape: &ShellShape<'_>) -> Mesh {
    let radius = shape.radius();
    let clipped = Clipped::of(shape, radius);
    let count = clipped.places.len() as u32;
    let mut out = Mesh::default();
    out.vertices
        .extend(clipped.places.iter().map(|p| <[f64; 3]>::from(p.skin)));
    out.vertices
        .extend(clipped.places.iter().map(|p| <[f64; 3]>::from(p.under())));
    for &[a, b, c] in &clipped.triangles {
        out.triangles.push([a, c, b]);
        out.triangles.push([a + count, b + count, c + count]);
    }
    // Around the rim, the skin on the left hand as seen from the foot.
    let rim = clipped.border();
    let mut ways = vec![V::zeros(); clipped.places.len()];
    for &[a, b] in &rim {
        let way = clipped.places[b as usize].skin - clipped.places[a as usize].skin;
        for end in [a, b] {
            ways[end as usize] += way;
        }
    }
    let mut middles = BTreeMap::new();
    for &[a, b] in &rim {
        let [mid_a, mid_b] = [a, b].map(|at| {
            *middles.entry(at).or_insert_with(|| {
                let place = &clipped.places[at as usize];
                let out_of = place.normal.cross(&ways[at as usize]);
                let outward = out_of.try_normalize(1e-9).unwrap_or(V::zeros());
                let middle = (place.skin + place.under()) / 2.0 + outward * radius;
                out.vertices.push(middle.into());
                (out.vertices.len() - 1) as u32
            })
        });
        let (under_a, under_b) = (a + count, b + count);
        out.triangles.extend([
            [b, a, mid_a],
            [b, mid_a, mid_b],
            [under_a, under_b, mid_b],
            [under_a, mid_b, mid_a],
        ]);
    }
    out
}

/// A place of the shell.
struct Place {
    skin: V,
    normal: V,
    thick: f64,
}

impl Place {
    fn under(&self) -> V {
        self.skin + self.normal * self.thick
    }
}

/// The layout's grid as far as it lies within the outline drawn in by the rim's rounding.
struct Clipped {
    places: Vec<Place>,
    /// Facing away from the foot.
    triangles: Vec<[u32; 3]>,
}

impl Clipped {
    fn of(shape: &ShellShape<'_>, drawn_in: f64) -> Clipped {
        let layout = shape.layout;
        let (rays, samples) = (layout.rays.len(), layout.samples);
        let values: Vec<f64> = (0..rays * samples)
            .map(|at| layout.outside_at(at / samples, at % samples) + drawn_in)
            .collect();
        let mut clipped = Clipped {
            places: Vec::new(),
            triangles: Vec::new(),
        };
        let mut numbers: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        let mut corners = Vec::with_capacity(5);
        for i in 0..rays.saturating_sub(1) {
            for j in 0..samples - 1 {
                let cell = [(i, j), (i, j + 1), (i + 1, j + 1), (i + 1, j)]
                    .map(|(i, j)| spine(layout, i, j));
                corners.clear();
                for n in 0..4 {
                    let (a, b) = (cell[n], cell[(n + 1) % 4]);
                    if a == b {
                        continue;
                    }
                    let (va, vb) = (values[a], values[b]);
                    if va < 0.0 {
                        corners.push((a, a, 0.0));
                    }
                    if (va < 0.0) != (vb < 0.0) {
                        let (from, to) = (a.min(b), a.max(b));
                        let t = values[from] / (values[from] - values[to]);
                        corners.push((from, to, t));
                    }
                }
                let named: Vec<u32> = corners
                    .iter()
                    .map(|&(from, to, t)| {
                        *numbers.entry((from, to)).or_insert_with(|| {
                            clipped.places.push(between(shape, from, to, t));
                            (clipped.places.len() - 1) as u32
                        })
                    })
                    .collect();
                for n in 2..named.len() {
                    clipped.triangles.push([named[0], named[n - 1], named[n]]);
                }
            }
        }
        clipped
    }

    /// Edges that only one triangle has, each so that the surface lies on its left, seen from the foot.
    fn border(&self) -> Vec<[u32; 2]> {
        let mut edges: Vec<[u32; 3]> = self
            .triangles
            .iter()
            .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
            .map(|[a, b]| [a.min(b), a.max(b), u32::from(a > b)])
            .collect();
        edges.sort_unstable();
        let same = |a: &[u32; 3], b: &[u32; 3]| a[..2] == b[..2];
        edges
            .chunk_by(same)
            .filter(|chunk| chunk.len() == 1)
            .map(|chunk| match chunk[0] {
                // The triangles face away from the foot: seen from it, their edges run the other way.
                [a, b, 0] => [b, a],
                [a, b, _] => [a, b],
            })
            .collect()
    }
}

fn length_at(layout: &Layout, node: usize) -> f64 {
    (node % layout.samples) as f64 * layout.rays[node / layout.samples].spacing
}

/// A node's number; where both sides share the spine, and all rays of the heel their tip, the first of them.
fn spine(layout: &Layout, ray: usize, sample: usize) -> usize {
    let first = if sample > 0 {
        ray
    } else {
        match layout.rays[ray].place {
            RayPlace::Across { inner: false, .. } => ray,
            RayPlace::Across { inner: true, .. } => layout.rays.len() - 1 - ray,
            RayPlace::Heel { .. } => layout
                .rays
                .partition_point(|r| matches!(r.place, RayPlace::Across { inner: false, .. })),
        }
    };
    first * layout.samples + sample
}

fn between(shape: &ShellShape<'_>, from: usize, to: usize, t: f64) -> Place {
    let layout = shape.layout;
    let thick =
        |node: usize| shape.thickness((node / layout.samples) as f64, length_at(layout, node));
    let normal = layout.normals[from] * (1.0 - t) + layout.normals[to] * t;
    Place {
        skin: layout.points[from] * (1.0 - t) + layout.points[to] * t,
        normal: normal.try_normalize(1e-9).unwrap_or(-V::z()),
        thick: thick(from) * (1.0 - t) + thick(to) * t,
    }
}

/// A post from its plane up into the shell, `into` mm under the skin.
pub(crate) fn post(footing: &Footing, positive: &Positive, into: f64) -> Mesh {
    let outline = footing.outline();
    let base = footing.base();
    let n = outline.len();
    let mut out = Mesh::default();
    out.vertices
        .extend(outline.iter().map(|&[x, y]| [x, y, base.height(x, y)]));
    for k in 0..n {
        let (before, [x, y], after) = (outline[(k + n - 1) % n], outline[k], outline[(k + 1) % n]);
        let along = V::new(after[0] - before[0], after[1] - before[1], 0.0);
        // The outline runs so that its inside lies on the right or on the left; the bevel leads outward.
        let outward = along.cross(&(V::z() * turn(outline))).try_normalize(1e-9);
        let lean = outward.unwrap_or(V::zeros()) * footing.bevel_tan();
        let mut top = V::new(x, y, base.height(x, y));
        for _ in 0..3 {
            let Some(z) = positive.sole.height(top.x, top.y) else {
                break;
            };
            let up = (z - into - base.height(top.x, top.y)).max(0.0);
            top = V::new(x + lean.x * up, y + lean.y * up, z - into);
        }
        out.vertices.push(top.into());
    }
    let upward = turn(outline) > 0.0;
    for [a, b, c] in ears(outline) {
        let [d, e, f] = [a, b, c].map(|k| k + n as u32);
        // The base faces down.
        out.triangles.extend([[a, c, b], [d, e, f]]);
    }
    for a in 0..n as u32 {
        let b = (a + 1) % n as u32;
        let (c, d) = (b + n as u32, a + n as u32);
        if upward {
            out.triangles.extend([[a, b, c], [a, c, d]]);
        } else {
            out.triangles.extend([[b, a, c], [c, a, d]]);
        }
    }
    out
}

/// Two pieces as one picture.
pub(crate) fn join(into: &mut Mesh, other: &Mesh) {
    let shift = into.vertices.len() as u32;
    into.vertices.extend_from_slice(&other.vertices);
    let shifted = other.triangles.iter().map(|t| t.map(|c| c + shift));
    into.triangles.extend(shifted);
}

fn cross(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// 1 for an outline that runs counter-clockwise seen from above, else −1.
fn turn(outline: &[[f64; 2]]) -> f64 {
    let twice: f64 = (0..outline.len())
        .map(|k| cross([0.0; 2], outline[k], outline[(k + 1) % outline.len()]))
        .sum();
    twice.signum()
}

/// An outline as triangles, counter-clockwise seen from above: one ear after the other is cut off.
fn ears(outline: &[[f64; 2]]) -> Vec<[u32; 3]> {
    let mut left: Vec<u32> = (0..outline.len() as u32).collect();
    if turn(outline) < 0.0 {
        left.reverse();
    }
    let at = |n: u32| outline[n as usize];
    let mut out = Vec::new();
    while left.len() >= 3 {
        let n = left.len();
        let corners = |k: usize| [left[(k + n - 1) % n], left[k], left[(k + 1) % n]];
        let is_ear = |k: &usize| {
            let [a, b, c] = corners(*k);
            let within = |p: &u32| {
                ![a, b, c].contains(p)
                    && cross(at(a), at(b), at(*p)) >= 0.0
                    && cross(at(b), at(c), at(*p)) >= 0.0
                    && cross(at(c), at(a), at(*p)) >= 0.0
            };
            cross(at(a), at(b), at(c)) > 0.0 && !left.iter().any(within)
        };
        // An outline that crosses itself may have no ear left: any corner goes, so that the work ends.
        let ear = (0..n).find(is_ear).unwrap_or(0);
        out.push(corners(ear));
        left.remove(ear);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bent_outline_is_cut_into_triangles_of_its_area() {
        let bent = [
            [0.0, 0.0],
            [4.0, 0.0],
            [4.0, 3.0],
            [3.0, 3.0],
            [3.0, 1.0],
            [0.0, 1.0],
        ];
        let area = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|n| bent[n as usize]);
            cross(a, b, c) / 2.0
        };
        let cut = ears(&bent);
        assert_eq!(cut.len(), 4);
        assert!(cut.iter().all(|t| area(t) > 0.0));
        assert!((cut.iter().map(area).sum::<f64>() - 6.0).abs() < 1e-12);
    }

    #[test]
    fn an_outline_that_crosses_itself_ends_too() {
        let crossed = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
        assert_eq!(ears(&crossed).len(), 2);
    }
}
