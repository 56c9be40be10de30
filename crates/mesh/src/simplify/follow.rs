//! How far has the new surface strayed from the given one, so far?
//!
//! Places of the given surface are kept in lists, one for each triangle of the new surface: its vertices that
//! are vertices no longer, and the middles of its triangles. A step looks at those about it only; the others
//! are near what they were near before.

use super::collapse::{NONE, P, dot, minus};
use crate::near::{Tree, nearest_on_triangle};

pub(super) struct Followed<'a> {
    given: &'a Tree,
    reach: f64,
    /// The square of the reach.
    limit: f64,
    /// What was subtracted from all places.
    middle: P,
    /// Vertices, then the others.
    place: Vec<P>,
    /// Is the vertex in a list, so that its place is no longer its own?
    moved: Vec<bool>,
    first: Vec<u32>,
    next: Vec<u32>,
    /// About the place of a step: the triangles that stay, as they would be.
    ring: Vec<(u32, [P; 3])>,
    /// Places, each with where in the ring it was.
    gathered: Vec<(u32, u32)>,
    /// The triangles that they would be near.
    assigned: Vec<u32>,
}

impl<'a> Followed<'a> {
    /// `vertices` are shifted by `middle` already, `near` are not; `near_first` says where those of each
    /// triangle begin.
    pub fn new(
        (reach, given): (f64, &'a Tree),
        middle: P,
        vertices: &[P],
        moved: Vec<bool>,
        near: &[P],
        near_first: &[u32],
    ) -> Followed<'a> {
        let mut first = vec![NONE; near_first.len().saturating_sub(1)];
        let mut next = vec![NONE; vertices.len() + near.len()];
        for (t, ends) in near_first.windows(2).enumerate() {
            for point in ends[0]..ends[1] {
                let point = vertices.len() as u32 + point;
                next[point as usize] = first[t];
                first[t] = point;
            }
        }
        let shifted = near.iter().map(|p| minus(*p, middle));
        Followed {
            given,
            // A hair more, so that what was not moved is near itself however the sum is rounded.
            reach: reach * (1.0 + 1e-9) + 1e-9,
            limit: reach * reach,
            middle,
            place: vertices.iter().copied().chain(shifted).collect(),
            moved,
            first,
            next,
            ring: Vec::new(),
            gathered: Vec::new(),
            assigned: Vec::new(),
        }
    }

    pub fn moved(&self, vertex: usize) -> bool {
        self.moved[vertex]
    }

    /// The places near a triangle, shifted back.
    pub fn near(&self, t: usize) -> impl Iterator<Item = P> + '_ {
        let mut point = self.first[t];
        std::iter::from_fn(move || {
            let at = self.place.get(point as usize)?;
            point = self.next[point as usize];
            Some([0, 1, 2].map(|k| at[k] + self.middle[k]))
        })
    }

    /// Do all places about a step stay near enough, and the new vertex near the given surface? If so, each is
    /// given to the triangle it is near then.
    ///
    /// `ring` are the triangles that stay, with their new corners; `taken` those that go, or none; `ends` the
    /// vertices drawn together at `place`.
    pub fn allows(
        &mut self,
        ring: impl Iterator<Item = (u32, [P; 3])>,
        taken: [u32; 2],
        ends: [u32; 2],
        place: P,
    ) -> bool {
        self.gathered.clear();
        self.assigned.clear();
        self.ring.clear();
        self.ring.extend(ring);
        for at in 0..self.ring.len() {
            self.gather(self.ring[at].0, at as u32);
        }
        for t in taken {
            if t != NONE {
                self.gather(t, 0);
            }
        }
        for v in ends {
            if !self.moved[v as usize] {
                self.gathered.push((v, 0));
            }
        }
        for &(point, guess) in &self.gathered {
            let from = self.place[point as usize];
            let mut best = (f64::INFINITY, NONE);
            // From the triangle it was near, on round the place.
            let (before, after) = self.ring.split_at(guess as usize);
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
            self.assigned.push(best.1);
        }
        let world = [0, 1, 2].map(|k| place[k] + self.middle[k]);
        if self.given.nearest_within(world, self.reach).is_none() {
            return false;
        }
        for t in self.ring.iter().map(|r| r.0).chain(taken) {
            if t != NONE {
                self.first[t as usize] = NONE;
            }
        }
        for (&(point, _), &t) in self.gathered.iter().zip(&self.assigned) {
            self.next[point as usize] = self.first[t as usize];
            self.first[t as usize] = point;
        }
        for v in ends {
            self.moved[v as usize] = true;
        }
        true
    }

    fn gather(&mut self, t: u32, place_in_ring: u32) {
        let mut point = self.first[t as usize];
        while point != NONE {
            self.gathered.push((point, place_in_ring));
            point = self.next[point as usize];
        }
    }
}
