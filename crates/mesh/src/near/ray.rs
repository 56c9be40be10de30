//! Where does a ray meet a surface?
//!
//! The test of a triangle is the watertight one: a ray that runs exactly along an edge or through a vertex
//! meets at least one of the triangles there, so none slips through a closed surface.

use super::{DEPTH, Node, Tree};
use rayon::prelude::*;

/// A ray from `origin + from · direction` to `origin + to · direction`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    pub origin: [f64; 3],
    /// Need not be of length 1.
    pub direction: [f64; 3],
    pub from: f64,
    pub to: f64,
}

impl Ray {
    /// From its origin without end.
    pub fn new(origin: [f64; 3], direction: [f64; 3]) -> Ray {
        Ray {
            origin,
            direction,
            from: 0.0,
            to: f64::INFINITY,
        }
    }

    /// The same ray within other ends.
    pub fn between(self, from: f64, to: f64) -> Ray {
        Ray { from, to, ..self }
    }

    pub fn at(&self, along: f64) -> [f64; 3] {
        [0, 1, 2].map(|k| self.origin[k] + self.direction[k] * along)
    }
}

/// A place where a ray meets a triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    pub triangle: u32,
    /// How many directions from the origin.
    pub along: f64,
    /// How much of each corner of the triangle is in the place; together 1.
    pub weights: [f64; 3],
    /// Does the ray come from the triangle's outside?
    pub entering: bool,
}

impl Tree {
    /// The first place where the ray meets the surface, from either side.
    pub fn first_hit(&self, ray: &Ray) -> Option<Hit> {
        self.first_hit_where(ray, |_| true)
    }

    /// The first place that `counts`.
    pub fn first_hit_where(&self, ray: &Ray, counts: impl Fn(&Hit) -> bool) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        self.walk(ray, |hit, reach| {
            if hit.along < *reach && counts(&hit) {
                *reach = hit.along;
                best = Some(hit);
            }
        });
        best
    }

    /// Every place where the ray meets the surface, the nearest first. A place on an edge is named once for
    /// every triangle there.
    pub fn hits(&self, ray: &Ray) -> Vec<Hit> {
        let mut all = Vec::new();
        self.walk(ray, |hit, _| all.push(hit));
        all.sort_by(|a, b| (a.along.total_cmp(&b.along)).then(a.triangle.cmp(&b.triangle)));
        all
    }

    /// [`Tree::first_hit`] for many rays, on all cores.
    pub fn first_hits(&self, rays: &[Ray]) -> Vec<Option<Hit>> {
        rays.par_iter().map(|ray| self.first_hit(ray)).collect()
    }

    /// [`Tree::hits`] for many rays, on all cores.
    pub fn hits_all(&self, rays: &[Ray]) -> Vec<Vec<Hit>> {
        rays.par_iter().map(|ray| self.hits(ray)).collect()
    }

    /// Calls `meet` for hits within the ray's ends; `meet` may draw the far end nearer.
    fn walk(&self, ray: &Ray, mut meet: impl FnMut(Hit, &mut f64)) {
        let Some(slope) = Slope::of(ray) else { return };
        if self.nodes.is_empty() {
            return;
        }
        let mut reach = ray.to;
        let Some(near) = slope.enters(&self.nodes[0], ray.from, reach) else {
            return;
        };
        let mut stack = [(0.0f64, 0u32); DEPTH];
        stack[0] = (near, 0);
        let mut waiting = 1;
        while waiting > 0 {
            waiting -= 1;
            let (near, at) = stack[waiting];
            if near > reach {
                continue;
            }
            let mut at = at as usize;
            loop {
                let node = &self.nodes[at];
                if node.count > 0 {
                    for slot in node.first as usize..(node.first + node.count) as usize {
                        if let Some((along, weights, entering)) = slope.meets(&self.corners[slot])
                            && along >= ray.from
                            && along <= reach
                        {
                            let hit = Hit {
                                triangle: self.order[slot],
                                along,
                                weights,
                                entering,
                            };
                            meet(hit, &mut reach);
                        }
                    }
                    break;
                }
                let first = node.first;
                let a = slope.enters(&self.nodes[first as usize], ray.from, reach);
                let b = slope.enters(&self.nodes[first as usize + 1], ray.from, reach);
                match (a, b) {
                    (Some(a), Some(b)) => {
                        let (far, farther, nearer) = if a <= b {
                            (b, first + 1, first)
                        } else {
                            (a, first, first + 1)
                        };
                        stack[waiting] = (far, farther);
                        waiting += 1;
                        at = nearer as usize;
                    }
                    (Some(_), None) => at = first as usize,
                    (None, Some(_)) => at = first as usize + 1,
                    (None, None) => break,
                }
            }
        }
    }
}

/// A ray made ready for boxes and triangles.
struct Slope {
    origin: [f64; 3],
    inverse: [f64; 3],
    /// Axes in an order that keeps right-handedness, the ray's longest last.
    axes: [usize; 3],
    shear: [f64; 3],
}

impl Slope {
    /// # Sources
    /// Woop, Benthin, Wald 2013, "Watertight Ray/Triangle Intersection" (unconfirmed: written from memory; the
    /// tests shoot at edges and vertices).
    fn of(ray: &Ray) -> Option<Slope> {
        let finite = |v: [f64; 3]| v.iter().all(|c| c.is_finite());
        if !finite(ray.origin) || !finite(ray.direction) {
            return None;
        }
        let d = ray.direction;
        let mut z = 0;
        for k in 1..3 {
            if d[k].abs() > d[z].abs() {
                z = k;
            }
        }
        if d[z] == 0.0 {
            return None;
        }
        let (mut x, mut y) = ((z + 1) % 3, (z + 2) % 3);
        if d[z] < 0.0 {
            std::mem::swap(&mut x, &mut y);
        }
        // A direction of nothing along an axis is made tiny: its quotients stay numbers.
        let inverse = d.map(|c| 1.0 / if c.abs() < 1e-300 { 1e-300 } else { c });
        Some(Slope {
            origin: ray.origin,
            inverse,
            axes: [x, y, z],
            shear: [d[x] / d[z], d[y] / d[z], 1.0 / d[z]],
        })
    }

    /// Where the ray enters a box, if it does between both ends.
    fn enters(&self, node: &Node, from: f64, to: f64) -> Option<f64> {
        let (mut near, mut far) = (from, to);
        for k in 0..3 {
            let a = (f64::from(node.low[k]) - self.origin[k]) * self.inverse[k];
            let b = (f64::from(node.high[k]) - self.origin[k]) * self.inverse[k];
            near = near.max(a.min(b));
            far = far.min(a.max(b));
        }
        // A few units in the last place for the rounding above.
        (near <= far + far.abs() * 4.0 * f64::EPSILON).then_some(near)
    }

    fn meets(&self, corners: &[[f64; 3]; 3]) -> Option<(f64, [f64; 3], bool)> {
        let [x, y, z] = self.axes;
        let [sx, sy, sz] = self.shear;
        let moved = corners.map(|c| {
            let p = [0, 1, 2].map(|k| c[k] - self.origin[k]);
            [p[x] - sx * p[z], p[y] - sy * p[z], p[z]]
        });
        let [a, b, c] = moved;
        let u = c[0] * b[1] - c[1] * b[0];
        let v = a[0] * c[1] - a[1] * c[0];
        let w = b[0] * a[1] - b[1] * a[0];
        if (u < 0.0 || v < 0.0 || w < 0.0) && (u > 0.0 || v > 0.0 || w > 0.0) {
            return None;
        }
        let whole = u + v + w;
        if whole == 0.0 {
            return None;
        }
        let along = (u * a[2] + v * b[2] + w * c[2]) * sz / whole;
        // Positive where the corners run counter-clockwise seen from the origin.
        (along.is_finite()).then_some((along, [u / whole, v / whole, w / whole], whole > 0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Mesh;
    use crate::near::tests::{Shuffled, litter};
    use crate::shapes::ball;

    #[test]
    fn the_tree_meets_what_asking_every_triangle_meets() {
        let mesh = litter(3000);
        let tree = Tree::of(&mesh);
        let mut shuffled = Shuffled(2);
        let mut met = 0;
        for _ in 0..400 {
            let ray = Ray::new(shuffled.place(60.0), shuffled.place(1.0));
            let slope = Slope::of(&ray).expect("a direction");
            let mut all: Vec<(f64, u32)> = (0..mesh.triangles.len())
                .filter_map(|t| {
                    let (along, ..) = slope.meets(&mesh.corners(t))?;
                    (along >= 0.0).then_some((along, t as u32))
                })
                .collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let hits: Vec<(f64, u32)> = tree
                .hits(&ray)
                .iter()
                .map(|h| (h.along, h.triangle))
                .collect();
            assert_eq!(hits, all);
            assert_eq!(
                tree.first_hit(&ray).map(|h| h.along),
                all.first().map(|a| a.0)
            );
            met += all.len();
        }
        assert!(met > 100, "{met}");
    }

    #[test]
    fn a_ray_from_inside_a_closed_surface_always_leaves_it_also_through_edges_and_vertices() {
        let mesh = ball(10.0, 3);
        let tree = Tree::of(&mesh);
        let mut aims = mesh.vertices.clone();
        for t in 0..mesh.triangles.len() {
            let [a, b, _] = mesh.corners(t);
            aims.push([0, 1, 2].map(|k| (a[k] + b[k]) / 2.0));
        }
        for aim in aims {
            let hit = tree.first_hit(&Ray::new([0.0; 3], aim)).expect("a wall");
            assert!((hit.along - 1.0).abs() < 1e-12 && !hit.entering);
            let back = Ray::new(aim.map(|c| c * 3.0), aim.map(|c| -c));
            let hit = tree.first_hit(&back).expect("a wall");
            assert!((hit.along - 2.0).abs() < 1e-12 && hit.entering);
        }
    }

    #[test]
    fn the_place_met_is_the_one_its_weights_name() {
        let mesh = Mesh {
            vertices: vec![[0.0, 0.0, 5.0], [4.0, 0.0, 5.0], [0.0, 4.0, 5.0]],
            triangles: vec![[0, 1, 2]],
        };
        let tree = Tree::of(&mesh);
        let down = Ray::new([1.0, 2.0, 9.0], [0.0, 0.0, -2.0]);
        let hit = tree.first_hit(&down).expect("a triangle below");
        assert_eq!((hit.along, hit.entering), (2.0, true));
        assert_eq!(hit.weights, [0.25, 0.25, 0.5]);
        assert_eq!(down.at(hit.along), [1.0, 2.0, 5.0]);
        assert!(tree.first_hit(&down.between(0.0, 1.9)).is_none());
        assert!(tree.first_hit(&down.between(2.1, 9.0)).is_none());
        let up = Ray::new([1.0, 2.0, 0.0], [0.0, 0.0, 1.0]);
        assert!(!tree.first_hit(&up).expect("a triangle above").entering);
        for none in [[0.0; 3], [f64::NAN, 0.0, 1.0]] {
            assert!(tree.first_hit(&Ray::new([1.0, 2.0, 9.0], none)).is_none());
        }
    }
}
