//! How far has the new surface strayed from the given one, so far?
//!
//! Places of the given surface, its vertices and the middles of its triangles, are each kept with the triangle of
//! the new surface that it is near. [`Places`] asks about all of them after many steps, and tells which have come
//! to lie too far away; [`Followed`] asks about those near it before every step.
//!
//! One surprise: a place is looked for only about where its triangle went. One that is not found near enough there
//! counts as strayed, though another part of the surface may pass by it.

use super::collapse::{Before, NONE, P, Work, cross, dot, minus};
use crate::Mesh;
use crate::near::nearest_on_triangle;
use crate::topology::triangle;
use rayon::prelude::*;

/// So near, by the square of the reach, that no nearer triangle need be sought.
const NEAR: f64 = 0.3;
/// Places asked about one after the other.
const PIECE: usize = 16_384;

/// A place of the given surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub at: P,
    /// The given triangle whose middle it is; none for a vertex.
    pub of: u32,
}

/// All places of a surface, shifted as its vertices are.
pub(super) struct Places {
    pub spots: Vec<Spot>,
    /// The triangle that each is near.
    pub triangle: Vec<u32>,
}

impl Places {
    /// The places near each triangle are given with where those of each begin, and the end.
    pub fn of(near: &[Spot], near_first: &[u32], middle: P) -> Places {
        let mut triangle = Vec::with_capacity(near.len());
        for (t, ends) in near_first.windows(2).enumerate() {
            triangle.extend((ends[0]..ends[1]).map(|_| t as u32));
        }
        let shifted = |spot: &Spot| Spot {
            at: minus(spot.at, middle),
            of: spot.of,
        };
        Places {
            spots: near.iter().map(shifted).collect(),
            triangle,
        }
    }

    /// Where the places of each triangle begin, and the end; and the places in that order.
    fn sorted(spots: &[Spot], triangle: &[u32], triangles: usize) -> (Vec<u32>, Vec<Spot>) {
        let mut first = vec![0u32; triangles + 1];
        for &t in triangle {
            first[t as usize + 1] += 1;
        }
        for t in 0..triangles {
            first[t + 1] += first[t];
        }
        let mut at = first.clone();
        let mut sorted = spots.to_vec();
        for (spot, &t) in spots.iter().zip(triangle) {
            sorted[at[t as usize] as usize] = *spot;
            at[t as usize] += 1;
        }
        (first, sorted)
    }

    /// Finds for every place a near triangle of `after`, which came from `before` by steps.
    ///
    /// Gives the triangles, and the places farther from the surface than the square root of `limit`.
    pub fn found(&self, before: &Before, after: &Work<'_>, limit: f64) -> (Vec<u32>, Vec<u32>) {
        let root = after.roots();
        // The triangle found last is asked first: most neighbours are near the same.
        let near = |spokes: &mut Vec<u32>, last: &(u32, Plane), i: usize| {
            let (at, t) = (self.spots[i].at, self.triangle[i]);
            if after.untouched(t) {
                return (t, true);
            }
            if last.0 != NONE && last.1.holds(at, NEAR * limit) {
                return (last.0, true);
            }
            let mut corners = before.triangles[t as usize];
            let off = |v: u32| {
                let d = minus(before.place[v as usize], at);
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
        let found: Vec<(u32, bool)> = (0..self.spots.len().div_ceil(PIECE))
            .into_par_iter()
            .flat_map_iter(|piece| {
                let (mut last, mut spokes) = ((NONE, Plane::of([[0.0; 3]; 3])), Vec::new());
                let all: Vec<(u32, bool)> = (piece * PIECE
                    ..self.spots.len().min((piece + 1) * PIECE))
                    .map(|i| {
                        let found = near(&mut spokes, &last, i);
                        // What stayed where it was needs no asking, and leads to no other.
                        if found.1 && found.0 != last.0 && found.0 != self.triangle[i] {
                            last = (found.0, Plane::of(after.corners(found.0)));
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

/// Of the vertices that were moved, and of the triangles about them, those that are not near enough to the given
/// surface: the vertices, and a corner of each such triangle.
pub(super) fn moved_far(before: &Before, after: &Work<'_>, followed: &Followed<'_>) -> Vec<u32> {
    let mut spokes = Vec::new();
    let mut far = Vec::new();
    let (given, middle, reach) = (followed.given, after.middle, followed.reach);
    for v in after.moved(&before.place) {
        after.spokes(v, &mut spokes);
        let spots = spokes.iter().flat_map(|&h| followed.near(triangle(h)));
        if !near_given(given, middle, after.at(v), reach, spots.copied()) {
            far.push(v);
        }
    }
    for t in 0..after.triangle_count() as u32 {
        let names = after.names(t);
        if names[0] == NONE || after.untouched(t) {
            continue;
        }
        let place = middle_of(&after.corners(t));
        if near_given(
            given,
            middle,
            place,
            reach,
            followed.near(t).iter().copied(),
        ) {
            continue;
        }
        let near = names.iter().any(|&v| {
            after.spokes(v, &mut spokes);
            let spots = spokes.iter().flat_map(|&h| followed.near(triangle(h)));
            near_given(given, middle, place, reach, spots.copied())
        });
        if !near {
            far.push(names[0]);
        }
    }
    far
}

/// All places, those near each triangle side by side.
#[derive(Clone)]
pub(super) struct Followed<'a> {
    given: &'a Mesh,
    reach: f64,
    /// The square of the reach.
    limit: f64,
    /// What was subtracted from all places.
    middle: P,
    /// Places, and such as were here before they were moved on.
    pool: Vec<Spot>,
    /// Where those near each triangle begin and end.
    near: Vec<[u32; 2]>,
    count: usize,
    /// About the place of a step: the triangles that stay, as they would be.
    ring: Vec<(u32, Plane)>,
    /// Places that were looked at, by where they lie in the pool, and the triangle of the ring that each would be near.
    gathered: Vec<u32>,
    assigned: Vec<u32>,
    /// Of each triangle of the ring its middle, and the nearest place that it would have.
    nearest: Vec<(P, (f64, u32))>,
}

/// The pool is put in order when it has so many places that are no more beside those that are.
const SLACK: usize = 7;

impl<'a> Followed<'a> {
    /// For every place the triangle that it is near is given.
    pub fn new(
        (reach, given): (f64, &'a Mesh),
        work: &Work<'_>,
        spots: &[Spot],
        triangle: &[u32],
    ) -> Followed<'a> {
        let (first, pool) = Places::sorted(spots, triangle, work.triangle_count());
        Followed {
            given,
            reach,
            limit: reach * reach,
            middle: work.middle,
            count: pool.len(),
            pool,
            near: first.windows(2).map(|ends| [ends[0], ends[1]]).collect(),
            ring: Vec::new(),
            gathered: Vec::new(),
            assigned: Vec::new(),
            nearest: Vec::new(),
        }
    }

    /// The places near a triangle.
    pub fn near(&self, t: u32) -> &[Spot] {
        let [from, to] = self.near[t as usize];
        &self.pool[from as usize..to as usize]
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
        self.ring
            .extend(ring.map(|(t, corners)| (t, Plane::of(corners))));
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
        let spots = || self.gathered.iter().map(|&i| self.pool[i as usize]);
        let near = |place: P| near_given(self.given, self.middle, place, self.reach, spots());
        if !near(place) {
            return false;
        }
        // The middle of each triangle too, most quickly beside what is given to that triangle.
        self.nearest.clear();
        let nothing = (f64::INFINITY, NONE);
        self.nearest
            .extend((self.ring.iter()).map(|(_, plane)| (middle_of(&plane.corners), nothing)));
        for (&i, &r) in self.gathered.iter().zip(&self.assigned) {
            let spot = self.pool[i as usize];
            let (middle, best) = &mut self.nearest[r as usize];
            let square = off(spot.at, *middle);
            if spot.of != NONE && square < best.0 {
                *best = (square, spot.of);
            }
        }
        let straight = |place: P, of: u32| {
            let world = [0, 1, 2].map(|k| place[k] + self.middle[k]);
            let corners = self.given.corners(of as usize);
            off(nearest_on_triangle(world, &corners).0, world) <= self.limit
        };
        let held = (self.nearest.iter())
            .all(|&(middle, (_, of))| of != NONE && straight(middle, of) || near(middle));
        if !held {
            return false;
        }
        self.give(taken);
        true
    }

    /// Puts what was gathered where it was assigned.
    fn give(&mut self, taken: [u32; 2]) {
        for t in taken {
            if t != NONE {
                self.near[t as usize] = [0; 2];
            }
        }
        for (t, _) in &self.ring {
            self.near[*t as usize] = [0; 2];
        }
        for &r in &self.assigned {
            self.near[self.ring[r as usize].0 as usize][1] += 1;
        }
        let mut end = self.pool.len() as u32;
        for (t, _) in &self.ring {
            let near = &mut self.near[*t as usize];
            let count = near[1];
            *near = [end, end];
            end += count;
        }
        let nothing = Spot {
            at: [0.0; 3],
            of: NONE,
        };
        self.pool.resize(end as usize, nothing);
        for (&i, &r) in self.gathered.iter().zip(&self.assigned) {
            let near = &mut self.near[self.ring[r as usize].0 as usize];
            self.pool[near[1] as usize] = self.pool[i as usize];
            near[1] += 1;
        }
        if self.pool.len() > (SLACK + 1) * self.count.max(1024) {
            let mut pool = Vec::with_capacity(self.count);
            for near in &mut self.near {
                let from = pool.len() as u32;
                pool.extend_from_slice(&self.pool[near[0] as usize..near[1] as usize]);
                *near = [from, pool.len() as u32];
            }
            self.pool = pool;
        }
    }

    /// Do all places near a triangle stay near enough? They are looked for from the one that they were near, on
    /// round the place.
    ///
    /// One that does not comes to the head of its list: the next step here most likely fails by it again, and
    /// then at once.
    fn all_keep(&mut self, t: u32, place_in_ring: usize) -> bool {
        let [from, to] = self.near[t as usize].map(|n| n as usize);
        let (ring, near) = (&self.ring[..], 0.5 * self.limit);
        // The ring's triangle found last is asked first.
        let mut last = place_in_ring;
        let mut strayed = None;
        for (i, spot) in (from..).zip(&self.pool[from..to]) {
            // Nearly all lie straight over some triangle, near enough that no better one need be sought.
            let mut r = last;
            let held = (0..ring.len()).any(|_| {
                let held = ring[r].1.holds(spot.at, near);
                if !held {
                    r = if r + 1 < ring.len() { r + 1 } else { 0 };
                }
                held
            });
            if !held {
                match nearest_in_ring(ring, spot.at, self.limit) {
                    Some(nearest) => r = nearest,
                    None => {
                        strayed = Some(i);
                        break;
                    }
                }
            }
            last = r;
            self.gathered.push(i as u32);
            self.assigned.push(r as u32);
        }
        if let Some(i) = strayed {
            self.pool.swap(from, i);
        }
        strayed.is_none()
    }
}

/// The triangle of the ring that lies nearest, if that is near enough.
fn nearest_in_ring(ring: &[(u32, Plane)], place: P, limit: f64) -> Option<usize> {
    let mut best = (f64::INFINITY, 0);
    for (r, (_, plane)) in ring.iter().enumerate() {
        let square = off(place, nearest_on_triangle(place, &plane.corners).0);
        if square < best.0 {
            best = (square, r);
        }
    }
    // Also where nothing was near at all.
    (best.0 <= limit).then_some(best.1)
}

/// A triangle made ready to be asked about many places.
#[derive(Clone)]
pub(super) struct Plane {
    pub corners: [P; 3],
    sides: [P; 2],
    /// Square to it, of length 1; no number for a triangle without area.
    normal: P,
    /// Of a place's products with both sides, how much of the second and the third corner is in it.
    weights: [f64; 3],
}

impl Plane {
    #[inline]
    pub fn of(corners: [P; 3]) -> Plane {
        let sides = [minus(corners[1], corners[0]), minus(corners[2], corners[0])];
        let n = cross(sides[0], sides[1]);
        let square = dot(n, n);
        let long = square.sqrt();
        let [aa, ab, bb] = [
            dot(sides[0], sides[0]),
            dot(sides[0], sides[1]),
            dot(sides[1], sides[1]),
        ];
        Plane {
            corners,
            sides,
            normal: n.map(|c| c / long),
            weights: [bb, ab, aa].map(|w| w / square),
        }
    }

    /// Does a place lie straight over the triangle, by no more than the root of `limit`?
    #[inline]
    pub fn holds(&self, place: P, limit: f64) -> bool {
        let from = minus(place, self.corners[0]);
        let height = dot(self.normal, from);
        let (a, b) = (dot(self.sides[0], from), dot(self.sides[1], from));
        let v = self.weights[0] * a - self.weights[1] * b;
        let w = self.weights[2] * b - self.weights[1] * a;
        (height * height < limit) & (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0)
    }
}

/// Is a place of the new surface near enough to the given one? It is looked for about the given places, which lie
/// near it, the nearest first: given triangles elsewhere do not count.
fn near_given(
    given: &Mesh,
    middle: P,
    place: P,
    reach: f64,
    spots: impl Iterator<Item = Spot> + Clone,
) -> bool {
    // A hair more, so that what was not moved is near itself however the sum is rounded.
    let reach = reach * (1.0 + 1e-9) + 1e-9;
    let world = [0, 1, 2].map(|k| place[k] + middle[k]);
    let middles = spots.filter(|spot| spot.of != NONE);
    let far = |spot: &Spot| off(spot.at, place);
    // Most lie straight over the triangle whose middle is nearest.
    let (mut nearest, mut least) = (NONE, f64::INFINITY);
    for spot in middles.clone() {
        let square = far(&spot);
        if square < least {
            (nearest, least) = (spot.of, square);
        }
    }
    let holds = |of: u32| {
        off(
            nearest_on_triangle(world, &given.corners(of as usize)).0,
            world,
        ) <= reach * reach
    };
    if nearest == NONE || holds(nearest) {
        return nearest != NONE;
    }
    // Nearly all of the rest over one whose middle is not much farther.
    let wide = (2.0 * least.sqrt() + reach).powi(2);
    [true, false].into_iter().any(|near| {
        let some = middles.clone().filter(|spot| (far(spot) <= wide) == near);
        some.into_iter().any(|spot| holds(spot.of))
    })
}

fn middle_of(corners: &[P; 3]) -> P {
    let [a, b, c] = corners;
    [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
}

#[inline]
pub(super) fn off(a: P, b: P) -> f64 {
    let d = minus(a, b);
    dot(d, d)
}
