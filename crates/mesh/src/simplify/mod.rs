//! The same surface from fewer triangles: how far may it stray, and how far did it?
//!
//! Edges are drawn together one by one, the one that changes the surface least first (`collapse`), as long as
//! the surface stays what it is: two-manifold, its borders where they were, no triangle turned over.
//!
//! # The bound
//! With a [`Target::deviation`] every vertex of the given surface and every middle of its triangles is followed,
//! and none of them comes to lie farther than that from the new surface; and no new vertex and no middle of a new
//! triangle farther from the given one. The first steps go by the planes alone; then all are asked (`follow`), and
//! where one has strayed its neighbourhood is left as it was. From there on no step is taken without asking. Points
//! between are not bounded but measured: [`Simplified::strayed`] says how far both surfaces lie apart, both ways, at
//! many places (`measured`).
//!
//! One surprise: crossings are not looked for. Where two sheets lie closer than the deviation they may come to
//! cross; [`check`](mod@crate::check) finds that.

mod blocks;
mod collapse;
mod follow;
mod measured;
mod quadric;
mod queue;

use crate::near::Tree;
use crate::{Mesh, topology};
use rayon::prelude::*;

/// When to stop: at whichever comes first.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Target {
    /// How far any given vertex or middle of a triangle may come to lie from the new surface, and any new vertex
    /// or middle of a new triangle from the given surface.
    pub deviation: Option<f64>,
    pub triangles: Option<usize>,
}

/// A surface from fewer triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Simplified {
    pub mesh: Mesh,
    pub strayed: Strayed,
}

/// How far two surfaces lie apart, measured at places on both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strayed {
    /// The largest distance of places on the first surface from the second.
    pub there: f64,
    /// The largest distance of places on the second surface from the first.
    pub back: f64,
    /// Root mean square of all distances, each surface counting half.
    pub typical: f64,
    /// How many places were asked.
    pub places: usize,
}

impl Strayed {
    pub fn most(&self) -> f64 {
        self.there.max(self.back)
    }
}

/// Places asked on each surface when a simplified one is measured.
const PLACES: usize = 60_000;

/// Draws edges together until the target is met or nothing more can be drawn.
///
/// Triangles that name a corner twice and vertices without triangle are left away; edges that are turned or
/// crowded, and what is pinched, stay as they are. The same surface always gives the same result. A target of
/// neither kind only cleans.
pub fn simplify(mesh: &Mesh, target: &Target) -> Simplified {
    let draft = blocks::simplified(mesh, target);
    let strayed = match target.deviation {
        Some(deviation) => measured::strayed(mesh, &draft, deviation, PLACES),
        None => strayed(mesh, &draft.mesh, PLACES),
    };
    Simplified {
        mesh: draft.mesh,
        strayed,
    }
}

/// How far two surfaces lie apart: all their vertices and the middles of their triangles, or every so many of
/// them where there are more than `places`.
pub fn strayed(first: &Mesh, second: &Mesh, places: usize) -> Strayed {
    let (first_tree, second_tree) = rayon::join(|| Tree::of(first), || Tree::of(second));
    between(first, &first_tree, second, &second_tree, places)
}

fn between(
    first: &Mesh,
    first_tree: &Tree,
    second: &Mesh,
    second_tree: &Tree,
    places: usize,
) -> Strayed {
    let one_way = |from: &Mesh, tree: &Tree| {
        let used = topology::without_unused(from);
        let all = used.vertices.len() + used.triangles.len();
        let every = all.div_ceil(places.max(1)).max(1);
        let asked: Vec<[f64; 3]> = (0..all)
            .step_by(every)
            .map(|i| match used.vertices.get(i) {
                Some(&v) => v,
                None => {
                    let [a, b, c] = used.corners(i - used.vertices.len());
                    [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
                }
            })
            .collect();
        let found: Vec<f64> = asked
            .par_iter()
            .filter_map(|&p| tree.nearest(p).map(|n| n.distance))
            .collect();
        let most = found.iter().copied().fold(0.0, f64::max);
        let squares: f64 = found.iter().map(|d| d * d).sum();
        (most, squares / found.len().max(1) as f64, found.len())
    };
    let (there, square_there, count_there) = one_way(first, second_tree);
    let (back, square_back, count_back) = one_way(second, first_tree);
    Strayed {
        there,
        back,
        typical: ((square_there + square_back) / 2.0).sqrt(),
        places: count_there + count_back,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::{Options, check, closed};
    use crate::shapes::{ball, beside, cuboid, quartered, torus};

    fn to(mesh: &Mesh, triangles: usize) -> Simplified {
        let target = Target {
            deviation: None,
            triangles: Some(triangles),
        };
        simplify(mesh, &target)
    }

    fn within(mesh: &Mesh, deviation: f64) -> Simplified {
        let target = Target {
            deviation: Some(deviation),
            triangles: None,
        };
        simplify(mesh, &target)
    }

    #[test]
    fn a_ball_and_a_ring_stay_what_they_are() {
        for (mesh, genus) in [(ball(30.0, 5), 0), (torus(30.0, 8.0, 160, 60), 1)] {
            let simple = to(&mesh, 1500);
            let report = check(
                &simple.mesh,
                &Options {
                    crossings: true,
                    wall: None,
                },
            );
            assert!(report.is_sound(), "{:?}", report.faults);
            assert!(simple.mesh.triangles.len() <= 1500 && simple.mesh.triangles.len() > 1450);
            assert_eq!((report.genus, report.components), (Some(genus), 1));
            assert!(simple.strayed.most() < 0.25, "{:?}", simple.strayed);
            // No more volume than the area times the distance can hold.
            let lost = (simple.mesh.volume() - mesh.volume()).abs();
            assert!(lost < mesh.area() * simple.strayed.typical, "{lost}");
        }
    }

    #[test]
    fn no_given_vertex_comes_to_lie_farther_than_allowed() {
        for deviation in [0.02, 0.1, 0.5] {
            let mesh = torus(30.0, 8.0, 200, 80);
            let simple = within(&mesh, deviation);
            assert_eq!(closed(&simple.mesh), None);
            let tree = Tree::of(&simple.mesh);
            let middles = (0..mesh.triangles.len()).map(|t| {
                let [a, b, c] = mesh.corners(t);
                [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
            });
            let most = (mesh.vertices.iter().copied().chain(middles))
                .filter_map(|p| tree.nearest(p).map(|n| n.distance))
                .fold(0.0, f64::max);
            assert!(most <= deviation * (1.0 + 1e-9), "{most} of {deviation}");
            assert!(simple.mesh.triangles.len() * 3 < mesh.triangles.len());
            let given = Tree::of(&mesh);
            for &v in &simple.mesh.vertices {
                let near = given.nearest(v).expect("a surface");
                assert!(near.distance <= deviation * (1.0 + 1e-8) + 2e-9);
            }
            // Between vertices it is not bounded, and yet never seen to be much more.
            assert!(
                simple.strayed.most() < 1.25 * deviation,
                "{:?}",
                simple.strayed
            );
        }
    }

    #[test]
    fn the_bound_holds_across_many_blocks_and_any_number_of_threads_gives_the_same() {
        // So fine a bound that a second round of blocks follows the first.
        let mesh = torus(30.0, 8.0, 500, 200);
        let deviation = 0.004;
        let on = |threads| {
            rayon::ThreadPoolBuilder::new()
                .num_threads(threads)
                .build()
                .expect("threads")
                .install(|| within(&mesh, deviation))
        };
        let simple = on(3);
        assert_eq!(simple, on(1));
        assert_eq!(closed(&simple.mesh), None);
        let left = simple.mesh.triangles.len();
        assert!(left * 3 < mesh.triangles.len() && left > 24_576, "{left}");
        let all = strayed(&mesh, &simple.mesh, usize::MAX);
        assert!(all.there <= deviation * (1.0 + 1e-9), "{all:?}");
        let given = Tree::of(&mesh);
        for &v in &simple.mesh.vertices {
            let near = given.nearest(v).expect("a surface");
            assert!(near.distance <= deviation * (1.0 + 1e-8) + 2e-9);
        }
    }

    #[test]
    fn flat_faces_and_sharp_edges_are_kept_exactly() {
        let cube = quartered(&cuboid([0.0; 3], [10.0, 20.0, 5.0]), 5);
        let simple = to(&cube, 60);
        assert_eq!(closed(&simple.mesh), None);
        // Not to the last digit: places that planes leave free are drawn to the middle by a hundred-millionth.
        assert!(
            (simple.mesh.volume() - 1000.0).abs() < 1e-5,
            "{}",
            simple.mesh.volume()
        );
        assert!(simple.strayed.most() < 1e-6, "{:?}", simple.strayed);
    }

    #[test]
    fn borders_stay_where_they_are() {
        // The lower half of a ball: its rim lies in a plane.
        let mut bowl = ball(30.0, 5);
        let high = |v: u32| bowl.vertices[v as usize][2] > 0.0;
        let keep: Vec<[u32; 3]> = bowl
            .triangles
            .iter()
            .copied()
            .filter(|t| !t.iter().any(|&v| high(v)))
            .collect();
        bowl.triangles = keep;
        let simple = to(&bowl, 800);
        let topology = topology::Topology::of(&simple.mesh);
        let rims = topology.rims();
        assert_eq!(rims.len(), 1);
        assert!(rims[0].closed);
        assert!(topology.fans().iter().all(|&n| n == 1));
        // The rim as lines: every place of one near the other.
        let length = |mesh: &Mesh| -> f64 {
            let t = topology::Topology::of(mesh);
            t.rims()[0]
                .half_edges
                .iter()
                .map(|&h| {
                    let (a, b) = (
                        mesh.vertices[t.start(h) as usize],
                        mesh.vertices[t.end(h) as usize],
                    );
                    (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt()
                })
                .sum()
        };
        assert!((length(&simple.mesh) / length(&bowl) - 1.0).abs() < 0.02);
        assert!(simple.strayed.most() < 0.4, "{:?}", simple.strayed);
    }

    #[test]
    fn the_smallest_solids_are_left_alone_and_parts_stay_apart() {
        let tetrahedron = Mesh {
            vertices: vec![[0.0; 3], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0], [0.0, 0.0, 9.0]],
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        };
        let both = beside(
            &tetrahedron,
            &ball(3.0, 3).map(|v| [v[0] + 40.0, v[1], v[2]]),
        );
        let simple = to(&both, 4);
        assert_eq!(closed(&simple.mesh), None);
        assert_eq!(topology::Topology::of(&simple.mesh).components().count(), 2);
    }

    #[test]
    fn torn_crowded_and_turned_triangles_do_no_harm() {
        let mut mesh = ball(10.0, 3);
        let n = mesh.vertices.len() as u32;
        mesh.vertices
            .extend([[20.0, 0.0, 0.0], [0.0; 3], [f64::NAN, 1.0, 1.0]]);
        mesh.triangles.swap_remove(10);
        let [a, b, _] = mesh.triangles[50];
        mesh.triangles
            .extend([[a, b, n], [b, a, n], [a, a, b], [a, b, n + 1]]);
        mesh.triangles[70].swap(0, 1);
        mesh.triangles.push([a, n, n + 2]);
        let simple = to(&mesh, 300);
        assert!(simple.mesh.triangles.len() < 700);
        // The vertex at no place is not equal to itself.
        assert_eq!(simple.mesh.triangles, to(&mesh, 300).mesh.triangles);
    }
}
