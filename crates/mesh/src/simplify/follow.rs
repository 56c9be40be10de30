//! How far has the new surface strayed from the given one, so far?
//!
//! Places of the given surface, its vertices and the middles of its triangles, are each kept with the triangle of
//! the new surface that it is near. [`Places`] asks about all of them after many steps, and tells which have come
//! to lie too far away; [`Followed`] asks about those near it before every step.
//!
//! One surprise: a place is looked for only about where its triangle went. One that is not found near enough there
//! counts as strayed, though another part of the surface may pass by it.

use super::collapse::{NONE, P, Work, dot, minus};
use crate::near::{Tree, nearest_on_triangle};
use crate::topology::triangle;
use rayon::prelude::*;

/// So near, by the square of the reach, that no nearer triangle need be sought.
const NEAR: f64 = 0.3;
/// Places asked about one after the other.
const PIECE: usize = 16_384;

/// All places of a surface, shifted as its vertices are.
pub(super) struct Places {
    pub at: Vec<P>,
    /// The triangle that each is near.
    pub triangle: Vec<u32>,
}

impl Places {
    /// The places near each triangle are given with where those of each begin, and the end.
    pub fn of(near: &[P], near_first: &[u32], middle: P) -> Places {
        let mut triangle = Vec::with_capacity(near.len());
        for (t, ends) in near_first.windows(2).enumerate() {
            triangle.extend((ends[0]..ends[1]).map(|_| t as u32));
        }
        Places {
            at: near.iter().map(|p| minus(*p, middle)).collect(),
            triangle,
        }
    }

    /// Finds for every place a near triangle of `after`, which came from `before` by steps.
    ///
    /// Gives the triangles, and the places farther from the surface than the square root of `limit`.
    pub fn found(&self, before: &Work<'_>, after: &Work<'_>, limit: f64) -> (Vec<u32>, Vec<u32>) {
        let root = after.roots();
        // The triangle found last is asked first: most neighbours are near the same.
        let near = |spokes: &mut Vec<u32>, last: u32, i: usize| {
            let (at, t) = (self.at[i], self.triangle[i]);
            if after.same(before, t) {
                return (t, true);
            }
            if last != NONE {
                let off = minus(at, nearest_on_triangle(at, &after.corners(last)).0);
                if dot(off, off) < NEAR * limit {
                    return (last, true);
                }
            }
            let mut corners = before.names(t);
            let off = |v: u32| {
                let d = minus(before.at(v), at);
                dot(d, d)
            };
            // The nearest corner first.
            if off(corners[1]) < off(corners[0]) {
                corners.swap(0, 1);
            }
            if off(corners[2]) < off(corners[0]) {
                corners.swap(0, 2);
            }
            let mut best = (f64::INFINITY, t);
            let mut about = |v: u32, spokes: &mut Vec<u32>| {
                after.spokes(v, spokes);
                for &h in spokes.iter() {
                    let t = triangle(h);
                    let off = minus(at, nearest_on_triangle(at, &after.corners(t)).0);
                    let square = dot(off, off);
                    if square < best.0 {
                        best = (square, t);
                        if square < NEAR * limit {
                            break;
                        }
                    }
                }
                (best.0 <= limit).then_some((best.1, true))
            };
            let corners = corners.map(|v| root[v as usize]);
            for v in corners {
                if let Some(found) = about(v, spokes) {
                    return found;
                }
            }
            // Rarely it is one triangle farther on.
            for v in corners {
                after.spokes(v, spokes);
                for h in spokes.clone() {
                    if let Some(found) = about(after.end(h), spokes) {
                        return found;
                    }
                }
            }
            (best.1, false)
        };
        // Pieces of one size, so that the answer does not depend on how many processors there are.
        let found: Vec<(u32, bool)> = (0..self.at.len().div_ceil(PIECE))
            .into_par_iter()
            .flat_map_iter(|piece| {
                let (mut last, mut spokes) = (NONE, Vec::new());
                let all: Vec<(u32, bool)> = (piece * PIECE..self.at.len().min((piece + 1) * PIECE))
                    .map(|i| {
                        let found = near(&mut spokes, last, i);
                        if found.1 {
                            last = found.0;
                        }
                        found
                    })
                    .collect();
                all
            })
            .collect();
        let strayed = (0..).zip(&found).filter(|(_, f)| !f.1).map(|(i, _)| i);
        let strayed = strayed.collect();
        (found.into_iter().map(|f| f.0).collect(), strayed)
    }
}

/// All places, in one list for each triangle.
#[derive(Clone)]
pub(super) struct Followed<'a> {
    given: &'a Tree,
    reach: f64,
    /// The square of the reach.
    limit: f64,
    /// What was subtracted from all places.
    middle: P,
    place: Vec<P>,
    first: Vec<u32>,
    next: Vec<u32>,
    /// About the place of a step: the triangles that stay, as they would be.
    ring: Vec<(u32, [P; 3])>,
    /// Places that were looked at.
    gathered: Vec<u32>,
    /// The triangles that they would be near.
    assigned: Vec<u32>,
}

impl<'a> Followed<'a> {
    pub fn new((reach, given): (f64, &'a Tree), work: &Work<'_>, places: &Places) -> Followed<'a> {
        let mut first = vec![NONE; work.triangle_count()];
        let mut next = vec![NONE; places.at.len()];
        for (point, &t) in places.triangle.iter().enumerate() {
            next[point] = first[t as usize];
            first[t as usize] = point as u32;
        }
        Followed {
            given,
            reach,
            limit: reach * reach,
            middle: work.middle,
            place: places.at.clone(),
            first,
            next,
            ring: Vec::new(),
            gathered: Vec::new(),
            assigned: Vec::new(),
        }
    }

    /// For every place the triangle it is near.
    pub fn triangles(&self) -> Vec<u32> {
        let mut near = vec![NONE; self.place.len()];
        for (t, &first) in self.first.iter().enumerate() {
            let mut point = first;
            while point != NONE {
                near[point as usize] = t as u32;
                point = self.next[point as usize];
            }
        }
        near
    }

    /// Do all followed places about a step stay near enough, and the new vertex near the given surface? If so,
    /// each is given to the triangle it is near then.
    ///
    /// `ring` are the triangles that stay, with their new corners; `taken` those that go, or none; `place` is
    /// where the ends are drawn together.
    pub fn allows(
        &mut self,
        ring: impl Iterator<Item = (u32, [P; 3])>,
        taken: [u32; 2],
        place: P,
    ) -> bool {
        self.gathered.clear();
        self.assigned.clear();
        self.ring.clear();
        self.ring.extend(ring);
        for t in taken {
            if t != NONE && !self.all_keep(t, 0) {
                return false;
            }
        }
        for at in 0..self.ring.len() {
            if !self.all_keep(self.ring[at].0, at) {
                return false;
            }
        }
        if !near_given(self.given, place, self.middle, self.reach) {
            return false;
        }
        for t in self.ring.iter().map(|r| r.0).chain(taken) {
            if t != NONE {
                self.first[t as usize] = NONE;
            }
        }
        for (&point, &t) in self.gathered.iter().zip(&self.assigned) {
            self.next[point as usize] = self.first[t as usize];
            self.first[t as usize] = point;
        }
        true
    }

    /// Do all places near a triangle stay near enough?
    ///
    /// One that does not comes to the head of its list: the next step here most likely fails by it again, and
    /// then at once.
    fn all_keep(&mut self, t: u32, place_in_ring: usize) -> bool {
        let (mut before, mut point) = (NONE, self.first[t as usize]);
        while point != NONE {
            let after = self.next[point as usize];
            if !self.keeps(point, place_in_ring) {
                if before != NONE {
                    self.next[before as usize] = after;
                    self.next[point as usize] = self.first[t as usize];
                    self.first[t as usize] = point;
                }
                return false;
            }
            (before, point) = (point, after);
        }
        true
    }

    /// Does a place stay near enough to one of the triangles that stay? It is looked for from the one that it was
    /// near, on round the place.
    fn keeps(&mut self, point: u32, place_in_ring: usize) -> bool {
        let from = self.place[point as usize];
        let mut best = (f64::INFINITY, NONE);
        let (before, after) = self.ring.split_at(place_in_ring.min(self.ring.len()));
        for (t, corners) in after.iter().chain(before) {
            let off = minus(from, nearest_on_triangle(from, corners).0);
            let square = dot(off, off);
            if square < best.0 {
                best = (square, *t);
                // Near enough that no better one need be sought.
                if square < 0.5 * self.limit {
                    break;
                }
            }
        }
        // Also where nothing was near at all.
        if best.0 > self.limit {
            return false;
        }
        self.gathered.push(point);
        self.assigned.push(best.1);
        true
    }
}

/// Is a place of the new surface near enough to the given one?
pub(super) fn near_given(given: &Tree, place: P, middle: P, reach: f64) -> bool {
    let world = [0, 1, 2].map(|k| place[k] + middle[k]);
    // A hair more, so that what was not moved is near itself however the sum is rounded.
    let reach = reach * (1.0 + 1e-9) + 1e-9;
    given.nearest_within(world, reach).is_some()
}
