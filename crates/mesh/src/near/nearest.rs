//! Which point of a surface is nearest?

use super::{DEPTH, Node, Tree};
use rayon::prelude::*;

/// The nearest point of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    pub point: [f64; 3],
    pub triangle: u32,
    /// How much of each corner of the triangle is in the point; never negative, together 1.
    pub weights: [f64; 3],
    pub distance: f64,
}

impl Tree {
    /// `None` only for an empty tree or a place that is no place.
    pub fn nearest(&self, place: [f64; 3]) -> Option<Near> {
        self.nearest_within(place, f64::INFINITY)
    }

    /// The nearest point closer than `reach`; the smaller the reach, the quicker.
    pub fn nearest_within(&self, place: [f64; 3], reach: f64) -> Option<Near> {
        if self.nodes.is_empty() || !place.iter().all(|c| c.is_finite()) {
            return None;
        }
        let mut best = reach * reach;
        let mut found: Option<(usize, [f64; 3], [f64; 3])> = None;
        let mut stack = [(0.0f64, 0u32); DEPTH];
        stack[0] = (from_box(&self.nodes[0], place), 0);
        let mut waiting = 1;
        while waiting > 0 {
            waiting -= 1;
            let (far, at) = stack[waiting];
            if far >= best {
                continue;
            }
            let mut at = at as usize;
            loop {
                let node = &self.nodes[at];
                if node.count > 0 {
                    for slot in node.first as usize..(node.first + node.count) as usize {
                        let (point, weights) = nearest_on_triangle(place, &self.corners[slot]);
                        let square = squared(from(place, point));
                        if square < best {
                            best = square;
                            found = Some((slot, point, weights));
                        }
                    }
                    break;
                }
                let first = node.first;
                let a = from_box(&self.nodes[first as usize], place);
                let b = from_box(&self.nodes[first as usize + 1], place);
                let (near, nearer, far, farther) = if a <= b {
                    (a, first, b, first + 1)
                } else {
                    (b, first + 1, a, first)
                };
                if far < best {
                    stack[waiting] = (far, farther);
                    waiting += 1;
                }
                if near >= best {
                    break;
                }
                at = nearer as usize;
            }
        }
        found.map(|(slot, point, weights)| Near {
            point,
            triangle: self.order[slot],
            weights,
            distance: best.sqrt(),
        })
    }

    /// [`Tree::nearest`] for many places, on all cores.
    pub fn nearest_all(&self, places: &[[f64; 3]]) -> Vec<Option<Near>> {
        places.par_iter().map(|&p| self.nearest(p)).collect()
    }

    /// [`Tree::nearest_within`] for many places, on all cores.
    pub fn nearest_all_within(&self, places: &[[f64; 3]], reach: f64) -> Vec<Option<Near>> {
        places
            .par_iter()
            .map(|&p| self.nearest_within(p, reach))
            .collect()
    }
}

/// Squared distance to a box, 0 inside it.
fn from_box(node: &Node, place: [f64; 3]) -> f64 {
    let mut sum = 0.0;
    for (k, at) in place.into_iter().enumerate() {
        let off = (f64::from(node.low[k]) - at)
            .max(at - f64::from(node.high[k]))
            .max(0.0);
        sum += off * off;
    }
    sum
}

fn from(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn squared(a: [f64; 3]) -> f64 {
    dot(a, a)
}

/// The nearest point of one triangle and its weights.
///
/// # Sources
/// The regions of a triangle after Ericson, Real-Time Collision Detection (2005), 5.1.5 (unconfirmed: written
/// from memory; the test holds it against sampling).
#[inline]
pub fn nearest_on_triangle(place: [f64; 3], corners: &[[f64; 3]; 3]) -> ([f64; 3], [f64; 3]) {
    let [a, b, c] = *corners;
    let (ab, ac, ap) = (from(a, b), from(a, c), from(a, place));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return (a, [1.0, 0.0, 0.0]);
    }
    let bp = from(b, place);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return (b, [0.0, 1.0, 0.0]);
    }
    let cp = from(c, place);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return (c, [0.0, 0.0, 1.0]);
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        let t = share(d1, d1 - d3);
        return (along(a, ab, t), [1.0 - t, t, 0.0]);
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        let t = share(d2, d2 - d6);
        return (along(a, ac, t), [1.0 - t, 0.0, t]);
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        let t = share(d4 - d3, (d4 - d3) + (d5 - d6));
        return (along(b, from(b, c), t), [0.0, 1.0 - t, t]);
    }
    let whole = va + vb + vc;
    let (v, w) = (vb / whole, vc / whole);
    if !(v.is_finite() && w.is_finite()) {
        return on_sides(place, corners);
    }
    let point = [0, 1, 2].map(|k| a[k] + ab[k] * v + ac[k] * w);
    (point, [(1.0 - v - w).max(0.0), v, w])
}

/// Where a triangle has no area that the arithmetic can see.
fn on_sides(place: [f64; 3], corners: &[[f64; 3]; 3]) -> ([f64; 3], [f64; 3]) {
    let mut best = (corners[0], [1.0, 0.0, 0.0]);
    let mut least = f64::INFINITY;
    for k in 0..3 {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        let side = from(a, b);
        let t = share(dot(from(a, place), side), squared(side)).clamp(0.0, 1.0);
        let point = along(a, side, t);
        let square = squared(from(place, point));
        if square < least {
            least = square;
            let mut weights = [0.0; 3];
            weights[k] = 1.0 - t;
            weights[(k + 1) % 3] = t;
            best = (point, weights);
        }
    }
    best
}

fn share(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

fn along(from: [f64; 3], way: [f64; 3], t: f64) -> [f64; 3] {
    [0, 1, 2].map(|k| from[k] + way[k] * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::near::tests::{Shuffled, litter};

    #[test]
    fn no_point_of_a_triangle_is_nearer_than_the_one_named() {
        let mut shuffled = Shuffled(3);
        for round in 0..4000 {
            let flat = if round % 3 == 0 { 1e-9 } else { 1.0 };
            let mut corners = [0; 3].map(|_| shuffled.place(5.0));
            // A third of them all but without area.
            corners[2] = [0, 1, 2].map(|k| {
                corners[0][k] * 0.3 + corners[1][k] * 0.7 + flat * (corners[2][k] - corners[0][k])
            });
            let place = shuffled.place(8.0);
            let (point, w) = nearest_on_triangle(place, &corners);
            assert!((w[0] + w[1] + w[2] - 1.0).abs() < 1e-9 && w.iter().all(|w| *w >= 0.0));
            let of = |w: [f64; 3]| {
                [0, 1, 2]
                    .map(|k| corners[0][k] * w[0] + corners[1][k] * w[1] + corners[2][k] * w[2])
            };
            assert!(squared(from(of(w), point)).sqrt() < 1e-8);
            let named = squared(from(place, point)).sqrt();
            for _ in 0..60 {
                let (mut u, mut v) = (shuffled.next(), shuffled.next());
                if u + v > 1.0 {
                    (u, v) = (1.0 - u, 1.0 - v);
                }
                let other = squared(from(place, of([1.0 - u - v, u, v]))).sqrt();
                // Rounding in a triangle a billionth as high as it is long.
                assert!(other > named - 1e-7, "{named} {other}");
            }
        }
    }

    #[test]
    fn the_tree_names_as_near_a_point_as_asking_every_triangle() {
        let mesh = litter(2000);
        let tree = Tree::of(&mesh);
        let mut shuffled = Shuffled(21);
        let places: Vec<[f64; 3]> = (0..500).map(|_| shuffled.place(70.0)).collect();
        for (place, near) in places.iter().zip(tree.nearest_all(&places)) {
            let near = near.expect("a tree with triangles");
            let least = (0..mesh.triangles.len())
                .map(|t| {
                    squared(from(
                        *place,
                        nearest_on_triangle(*place, &mesh.corners(t)).0,
                    ))
                })
                .fold(f64::INFINITY, f64::min);
            assert_eq!(near.distance, least.sqrt());
            let own = nearest_on_triangle(*place, &mesh.corners(near.triangle as usize));
            assert_eq!(own, (near.point, near.weights));
            assert!(tree.nearest_within(*place, near.distance * 0.999).is_none());
            assert_eq!(
                tree.nearest_within(*place, near.distance * 1.01),
                Some(near)
            );
        }
    }
}
