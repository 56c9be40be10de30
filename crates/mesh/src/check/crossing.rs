//! Where does a surface run through itself?
//!
//! Every pair of triangles whose boxes meet is decided by the signs of determinants, and the signs are exact
//! (adaptive arithmetic), so that neither a hair's breadth nor a coordinate far from zero changes the answer.
//! Triangles that share corners by number are asked only what else they share.
//!
//! One surprise: two corners at the same place under two numbers are not shared. Triangles there touch.

use super::{At, Count, Fault};
use crate::Mesh;
use crate::near::{Tree, box_of};
use rayon::prelude::*;
use robust::{Coord, Coord3D, orient2d, orient3d};

type P = [f64; 3];

/// Pairs of triangles, the lower number first, in rising order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Crossings {
    /// An edge of one runs through the inside of the other.
    pub crossing: Vec<[u32; 2]>,
    /// They have a point in common that is no common corner or edge, and neither runs through the other:
    /// a corner on a face, edges across each other, faces on each other.
    pub touching: Vec<[u32; 2]>,
    /// Was the search ended because there were so many?
    pub ended_early: bool,
}

impl Crossings {
    pub(super) fn faults(&self, mesh: &Mesh) -> Vec<Fault> {
        let count = |pairs: &[[u32; 2]]| {
            if self.ended_early {
                Count::AtLeast(pairs.len())
            } else {
                Count::Exactly(pairs.len())
            }
        };
        let at = |pair: &[u32; 2]| {
            let [a, b, c] = mesh.corners(pair[0] as usize);
            At([0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0))
        };
        let mut faults = Vec::new();
        if let Some(first) = self.crossing.first() {
            faults.push(Fault::Crossing {
                pairs: count(&self.crossing),
                at: at(first),
            });
        }
        if let Some(first) = self.touching.first() {
            faults.push(Fault::Touching {
                pairs: count(&self.touching),
                at: at(first),
            });
        }
        faults
    }
}

/// The search ends after the batch in which this many pairs are reached.
const ENOUGH: usize = 10_000;
/// One triangle is not asked for more partners than this.
const ENOUGH_FOR_ONE: usize = 64;
const BATCH: usize = 16_384;

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Contact {
    None,
    Touching,
    Crossing,
}

/// Every pair of triangles of a mesh that cross or touch; `tree` is the mesh's own.
pub fn crossings(mesh: &Mesh, tree: &Tree) -> Crossings {
    let mut found = Crossings::default();
    let slots = tree.len();
    for from in (0..slots).step_by(BATCH) {
        let batch: Vec<(Contact, [u32; 2])> = (from..(from + BATCH).min(slots))
            .into_par_iter()
            .flat_map_iter(|slot| partners(mesh, tree, slot))
            .collect();
        for (contact, pair) in batch {
            match contact {
                Contact::Crossing => found.crossing.push(pair),
                Contact::Touching => found.touching.push(pair),
                Contact::None => {}
            }
        }
        if found.crossing.len() + found.touching.len() >= ENOUGH && from + BATCH < slots {
            found.ended_early = true;
            break;
        }
    }
    found.crossing.sort_unstable();
    found.touching.sort_unstable();
    found
}

fn partners(mesh: &Mesh, tree: &Tree, slot: usize) -> Vec<(Contact, [u32; 2])> {
    let (number, corners) = tree.slot(slot);
    let mut found = Vec::new();
    if axis_of(corners).is_none() {
        return found;
    }
    let (low, high) = box_of(corners);
    let names = mesh.triangles[number as usize];
    tree.each_slot_in_box(low, high, |other| {
        if other > slot && found.len() < ENOUGH_FOR_ONE {
            let (other_number, other_corners) = tree.slot(other);
            let other_names = mesh.triangles[other_number as usize];
            let contact = contact(names, corners, other_names, other_corners);
            if contact != Contact::None {
                let pair = [number.min(other_number), number.max(other_number)];
                found.push((contact, pair));
            }
        }
    });
    found
}

fn contact(an: [u32; 3], a: &[P; 3], bn: [u32; 3], b: &[P; 3]) -> Contact {
    let mut shared = [(0usize, 0usize); 3];
    let mut count = 0;
    for (i, m) in an.iter().enumerate() {
        for (j, n) in bn.iter().enumerate() {
            if m == n && count < 3 {
                shared[count] = (i, j);
                count += 1;
            }
        }
    }
    match count {
        0 => apart(a, b),
        1 => at_corner(a, shared[0].0, b, shared[0].1),
        2 => at_edge(a, [shared[0].0, shared[1].0], b, [shared[0].1, shared[1].1]),
        _ => Contact::Touching,
    }
}

/// No common corner.
fn apart(a: &[P; 3], b: &[P; 3]) -> Contact {
    let to_a = b.map(|p| side(a, p));
    if same_side(to_a) {
        return Contact::None;
    }
    let to_b = a.map(|p| side(b, p));
    if same_side(to_b) {
        return Contact::None;
    }
    let Some(axis) = axis_of(b) else {
        return Contact::None;
    };
    if to_a == [0; 3] {
        let flat_b = b.map(|p| dropped(p, axis));
        let flat_a = a.map(|p| dropped(p, axis));
        let meets = (0..3).any(|k| meets_flat(flat_a[k], flat_a[(k + 1) % 3], &flat_b))
            || within(&flat_a, flat_b[0]);
        return if meets {
            Contact::Touching
        } else {
            Contact::None
        };
    }
    let mut worst = Contact::None;
    for k in 0..3 {
        let n = (k + 1) % 3;
        worst = worst
            .max(pierces(b[k], b[n], [to_a[k], to_a[n]], a))
            .max(pierces(a[k], a[n], [to_b[k], to_b[n]], b));
    }
    worst
}

/// One common corner: whatever else is common reaches to the side across from it in one of both.
fn at_corner(a: &[P; 3], i: usize, b: &[P; 3], j: usize) -> Contact {
    let (a1, a2) = (a[(i + 1) % 3], a[(i + 2) % 3]);
    let (b1, b2) = (b[(j + 1) % 3], b[(j + 2) % 3]);
    let to_a = [side(a, b1), side(a, b2)];
    if to_a[0] * to_a[1] > 0 {
        return Contact::None;
    }
    let to_b = [side(b, a1), side(b, a2)];
    // What both have in common lies on a line through the corner, with the rest of each to both its sides.
    if to_b[0] * to_b[1] > 0 || axis_of(b).is_none() {
        return Contact::None;
    }
    pierces(b1, b2, to_a, a).max(pierces(a1, a2, to_b, b))
}

/// A common side: only two triangles folded flat onto each other have more in common.
fn at_edge(a: &[P; 3], i: [usize; 2], b: &[P; 3], j: [usize; 2]) -> Contact {
    // A triangle that names a corner twice has no side; it is told as a fault of its own.
    if i[0] == i[1] || j[0] == j[1] {
        return Contact::None;
    }
    let (pa, pb) = (a[3 - i[0] - i[1]], b[3 - j[0] - j[1]]);
    if side(a, pb) != 0 {
        return Contact::None;
    }
    let (Some(axis), Some(_)) = (axis_of(a), axis_of(b)) else {
        return Contact::None;
    };
    let [u, v] = i.map(|i| dropped(a[i], axis));
    if turn(u, v, dropped(pa, axis)) == turn(u, v, dropped(pb, axis)) {
        Contact::Touching
    } else {
        Contact::None
    }
}

/// A segment against a triangle; `sides` are its ends' against the triangle's plane.
fn pierces(p: P, q: P, sides: [i8; 2], t: &[P; 3]) -> Contact {
    if sides[0] * sides[1] > 0 {
        return Contact::None;
    }
    if sides == [0, 0] {
        let meets = axis_of(t).is_some_and(|axis| {
            meets_flat(
                dropped(p, axis),
                dropped(q, axis),
                &t.map(|c| dropped(c, axis)),
            )
        });
        return if meets {
            Contact::Touching
        } else {
            Contact::None
        };
    }
    let mut strict = sides[0] != 0 && sides[1] != 0;
    let mut seen = 0;
    for k in 0..3 {
        let turn = sign(orient3d(at(p), at(q), at(t[k]), at(t[(k + 1) % 3])));
        if turn == 0 {
            strict = false;
        } else if seen == 0 {
            seen = turn;
        } else if seen != turn {
            return Contact::None;
        }
    }
    if strict {
        Contact::Crossing
    } else {
        Contact::Touching
    }
}

fn same_side(sides: [i8; 3]) -> bool {
    sides == [1; 3] || sides == [-1; 3]
}

fn sign(value: f64) -> i8 {
    i8::from(value > 0.0) - i8::from(value < 0.0)
}

fn at(p: P) -> Coord3D<f64> {
    Coord3D {
        x: p[0],
        y: p[1],
        z: p[2],
    }
}

/// On which side of a triangle's plane a point lies.
fn side(t: &[P; 3], p: P) -> i8 {
    sign(orient3d(at(t[0]), at(t[1]), at(t[2]), at(p)))
}

type Flat = [f64; 2];

fn dropped(p: P, axis: usize) -> Flat {
    [p[(axis + 1) % 3], p[(axis + 2) % 3]]
}

fn turn(a: Flat, b: Flat, c: Flat) -> i8 {
    let at = |p: Flat| Coord { x: p[0], y: p[1] };
    sign(orient2d(at(a), at(b), at(c)))
}

/// The axis that can be left away without flattening the triangle, the best first; none for a triangle whose
/// corners lie on one line.
fn axis_of(t: &[P; 3]) -> Option<usize> {
    let (u, v) = (
        [0, 1, 2].map(|k| t[1][k] - t[0][k]),
        [0, 1, 2].map(|k| t[2][k] - t[0][k]),
    );
    let n = [0, 1, 2].map(|k| {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        (u[i] * v[j] - u[j] * v[i]).abs()
    });
    let mut axes = [0, 1, 2];
    axes.sort_by(|&i, &j| n[j].total_cmp(&n[i]));
    axes.into_iter().find(|&axis| {
        let [a, b, c] = t.map(|p| dropped(p, axis));
        turn(a, b, c) != 0
    })
}

/// Does a segment meet a triangle of the same plane, borders counted?
fn meets_flat(p: Flat, q: Flat, t: &[Flat; 3]) -> bool {
    within(t, p) || within(t, q) || (0..3).any(|k| segments_meet(p, q, t[k], t[(k + 1) % 3]))
}

fn within(t: &[Flat; 3], p: Flat) -> bool {
    let turns = [0, 1, 2].map(|k| turn(t[k], t[(k + 1) % 3], p));
    !(turns.contains(&1) && turns.contains(&-1))
}

fn segments_meet(a: Flat, b: Flat, c: Flat, d: Flat) -> bool {
    let (c_side, d_side) = (turn(a, b, c), turn(a, b, d));
    let (a_side, b_side) = (turn(c, d, a), turn(c, d, b));
    if c_side * d_side < 0 && a_side * b_side < 0 {
        return true;
    }
    let on = |p: Flat, q: Flat, r: Flat, side: i8| {
        side == 0 && (0..2).all(|k| p[k].min(q[k]) <= r[k] && r[k] <= p[k].max(q[k]))
    };
    on(a, b, c, c_side) || on(a, b, d, d_side) || on(c, d, a, a_side) || on(c, d, b, b_side)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{ball, beside, cuboid, quartered, shifted, torus};

    fn counts(mesh: &Mesh) -> (usize, usize) {
        let found = crossings(mesh, &Tree::of(mesh));
        (found.crossing.len(), found.touching.len())
    }

    fn two(a: [P; 3], b: [P; 3]) -> (usize, usize) {
        counts(&Mesh {
            vertices: a.into_iter().chain(b).collect(),
            triangles: vec![[0, 1, 2], [3, 4, 5]],
        })
    }

    const FLOOR: [P; 3] = [[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]];

    #[test]
    fn sound_surfaces_have_none() {
        for mesh in [
            cuboid([0.0; 3], [1.0, 2.0, 3.0]),
            quartered(&cuboid([0.1; 3], [1.3, 2.7, 3.9]), 3),
            ball(10.0, 4),
            torus(10.0, 3.0, 60, 30),
        ] {
            assert_eq!(counts(&mesh), (0, 0));
        }
    }

    #[test]
    fn an_edge_through_a_face_crosses() {
        assert_eq!(
            two(FLOOR, [[1.0, 1.0, -1.0], [1.0, 1.0, 1.0], [3.0, 3.0, 2.0]]),
            (1, 0)
        );
        // By a breadth that no rounded determinant of this size can see.
        let hair = f64::MIN_POSITIVE.sqrt();
        assert_eq!(
            two(FLOOR, [[1.0, 1.0, -hair], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]),
            (1, 0)
        );
        assert_eq!(
            two(FLOOR, [[1.0, 1.0, hair], [1.0, 1.0, 1.0], [1.5, 1.0, 1.0]]),
            (0, 0)
        );
    }

    #[test]
    fn what_only_touches_is_told_apart() {
        // A corner on the face, on a side, on a corner; edges across each other; faces on each other.
        for other in [
            [[1.0, 1.0, 0.0], [1.0, 1.0, 1.0], [2.0, 1.0, 1.0]],
            [[2.0, 0.0, 0.0], [2.0, 0.0, 1.0], [3.0, 0.0, 1.0]],
            [[0.0, 0.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 1.0]],
            [[2.0, -1.0, -1.0], [2.0, 1.0, 1.0], [2.0, -1.0, 1.0]],
            [[1.0, 1.0, 0.0], [9.0, 1.0, 0.0], [1.0, 9.0, 0.0]],
            [[-9.0, -9.0, 0.0], [30.0, -9.0, 0.0], [-9.0, 30.0, 0.0]],
            [[0.5, 0.5, 0.0], [1.0, 0.5, 0.0], [0.5, 1.0, 0.0]],
        ] {
            assert_eq!(two(FLOOR, other), (0, 1), "{other:?}");
            assert_eq!(two(other, FLOOR), (0, 1), "{other:?}");
        }
        // In the plane, but beside.
        assert_eq!(
            two(FLOOR, [[5.0, 5.0, 0.0], [9.0, 5.0, 0.0], [5.0, 9.0, 0.0]]),
            (0, 0)
        );
    }

    #[test]
    fn neighbours_are_asked_only_what_else_they_share() {
        let with = |more: &[P], triangles: &[[u32; 3]]| {
            let mut vertices = FLOOR.to_vec();
            vertices.extend(more);
            counts(&Mesh {
                vertices,
                triangles: [&[[0, 1, 2]], triangles].concat(),
            })
        };
        // A side in common: an open book is sound, a book shut is not.
        assert_eq!(with(&[[2.0, 2.0, 5.0]], &[[1, 0, 3]]), (0, 0));
        assert_eq!(with(&[[2.0, -2.0, 0.0]], &[[1, 0, 3]]), (0, 0));
        assert_eq!(with(&[[1.0, 1.0, 0.0]], &[[1, 0, 3]]), (0, 1));
        // A corner in common: standing on it, cut through by it, and lying on it.
        assert_eq!(
            with(&[[-1.0, 0.0, 1.0], [-1.0, 1.0, 1.0]], &[[0, 3, 4]]),
            (0, 0)
        );
        assert_eq!(
            with(&[[1.0, 1.0, 1.0], [1.0, 1.0, -1.0]], &[[0, 3, 4]]),
            (1, 0)
        );
        assert_eq!(
            with(&[[2.0, 0.0, 0.0], [2.0, 0.0, 3.0]], &[[0, 3, 4]]),
            (0, 1)
        );
        assert_eq!(
            with(&[[1.0, 0.5, 0.0], [0.5, 1.0, 0.0]], &[[0, 3, 4]]),
            (0, 1)
        );
        // The same three corners.
        assert_eq!(with(&[], &[[0, 2, 1]]), (0, 1));
    }

    #[test]
    fn balls_that_cross_touch_or_keep_clear() {
        let one = ball(10.0, 3);
        assert_eq!(
            counts(&beside(&one, &shifted(&one, [20.5, 0.3, 0.2]))),
            (0, 0)
        );
        let crossed = counts(&beside(&one, &shifted(&one, [12.0, 0.3, 0.2])));
        assert!(crossed.0 > 50, "{crossed:?}");
        let cube = cuboid([0.0; 3], [1.0; 3]);
        let beside_it = counts(&beside(&cube, &shifted(&cube, [1.0, 0.0, 0.0])));
        assert_eq!(beside_it.0, 0);
        assert!(beside_it.1 >= 4, "{beside_it:?}");
    }

    #[test]
    fn the_same_triangles_a_thousand_times_end_the_search() {
        let mut pile = Mesh::default();
        for _ in 0..40_000 {
            let n = pile.vertices.len() as u32;
            pile.vertices.extend(FLOOR);
            pile.triangles.push([n, n + 1, n + 2]);
        }
        let found = crossings(&pile, &Tree::of(&pile));
        assert!(found.ended_early && found.touching.len() >= ENOUGH);
    }
}
