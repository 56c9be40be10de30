//! How does a surface that came in torn, turned or rough become one that can be worked on?
//!
//! Each step is its own function, changes as little as it can and says what it did, with places:
//!
//! * [`sew`]: corners joined, faulty and doubled triangles dropped, crowded edges and pinched vertices opened,
//!   every piece turned outward: an oriented two-manifold with borders;
//! * [`spikes`]: single vertices far off their surroundings set back;
//! * [`noise`]: roughness smoothed away without shrinking, by no more than a bound;
//! * [`holes`]: borders listed, and those that the caller chooses closed by a patch that goes on smoothly.
//!
//! What is a stray piece, and which border is meant to be open, the caller knows.
//!
//! One surprise: lengths have no unit here. Tolerances are given by the caller or follow the triangles' own
//! sides.

mod crowded;
mod faces;
pub mod holes;
pub mod noise;
mod orient;
mod patch;
pub mod rings;
mod sew;
pub mod spikes;
mod weld;

#[cfg(test)]
mod tests;

pub use holes::{Hole, holes};
pub use orient::volume_with_lids;
pub use rings::Rings;
pub use sew::{Sewn, keep, sew};

/// How many places a [`Done`] keeps.
pub const PLACES: usize = 16;

/// What was mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Triangles with a corner that is missing, no number, or named twice.
    Faulty,
    /// Corners at the same place made one.
    Welded,
    /// Triangles without height, their longest side given to the neighbour.
    Flat,
    /// Triangles that lay on another.
    Doubled,
    /// Triangles cut off where more than two met on an edge.
    Crowded,
    /// Vertices at which the surface touched itself, parted.
    Pinched,
    /// Triangles turned over to run with their neighbours.
    Turned,
    /// Pieces turned over as a whole, to face outward.
    InsideOut,
    /// Edges along which no turning makes both sides agree, cut.
    OneSided,
    /// Vertices set back into their surroundings.
    Spikes,
    /// Borders closed by a patch.
    Holes,
}

/// One step: how often it was needed, and where first.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    pub what: What,
    pub count: usize,
    /// The first few places, in the surface's own numbers.
    pub places: Vec<[f64; 3]>,
}

impl Done {
    pub(crate) fn new(what: What) -> Done {
        Done {
            what,
            count: 0,
            places: Vec::new(),
        }
    }

    pub(crate) fn at(&mut self, place: [f64; 3]) {
        self.count += 1;
        if self.places.len() < PLACES && place.iter().all(|c| c.is_finite()) {
            self.places.push(place);
        }
    }
}

/// Adds a step that did something.
pub(crate) fn note(done: Done, into: &mut Vec<Done>) {
    if done.count > 0 {
        into.push(done);
    }
}

pub(crate) type V = [f64; 3];

pub(crate) fn sub(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(crate) fn add(a: V, b: V) -> V {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(crate) fn scaled(a: V, by: f64) -> V {
    [a[0] * by, a[1] * by, a[2] * by]
}

pub(crate) fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn cross(a: V, b: V) -> V {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

pub(crate) fn length(a: V) -> f64 {
    dot(a, a).sqrt()
}

/// The middle value; `None` of nothing. The order of `values` is lost.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    let (_, m, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*m)
}
