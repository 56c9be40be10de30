//! Where do ground, long axis, heel and toes lie?
//!
//! [`settle`] starts from a rough way up and finds, turn by turn, the plane that the foot stands on, the line
//! from the heel's middle along the second ray, and the rearmost skin of the heel. It works on points alone, so
//! the first rough look and the last exact one are the same.
//!
//! One surprise: the second ray is not seen on skin. It is drawn where it divides the breadth of the ball, as
//! it does in feet whose bones are known.

use crate::look::{across, long_axis};
use crate::outline::{Bulge, Outline};
use crate::sample::V;
use nalgebra::Vector2;

/// Share of the ball's breadth that lies to the inner side of the second ray.
///
/// # Sources
/// 0.419 ± 0.003 in 60 invented feet (computed); no published figure was read.
pub(crate) const SECOND_RAY: f64 = 0.419;
/// Place of the heel's middle, of foot length from the back.
pub(crate) const HEEL_PLACE: f64 = 0.15;
/// Skin counts as heel up to this height, of foot length: the calf may reach farther back.
const BACK_HEIGHT: f64 = 0.17;

/// Axes of a foot in the coordinates that the points came in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    pub forward: V,
    /// Towards `inner`, square to the others; to the left of forward unless `mirrored`.
    pub inner: V,
    pub up: V,
    pub origin: V,
}

impl Frame {
    pub fn local(&self, p: &V) -> V {
        let d = p - self.origin;
        V::new(d.dot(&self.forward), d.dot(&self.inner), d.dot(&self.up))
    }

    pub fn world(&self, local: &V) -> V {
        self.origin + self.forward * local.x + self.inner * local.y + self.up * local.z
    }

    pub fn mirrored(&self) -> bool {
        self.up.cross(&self.forward).dot(&self.inner) < 0.0
    }

    /// The same axes with the other side as the inner one.
    pub fn other_side(&self) -> Frame {
        Frame {
            inner: -self.inner,
            ..*self
        }
    }

    /// Heel and toes exchanged.
    pub fn end_for_end(&self) -> Frame {
        Frame {
            forward: -self.forward,
            inner: -self.inner,
            ..*self
        }
    }

    /// Turned about the up axis so that `towards` (in this frame, level) becomes forward.
    fn swung(&self, towards: Vector2<f64>) -> Frame {
        let forward = self.forward * towards.x + self.inner * towards.y;
        let Some(forward) = forward.try_normalize(1e-12) else {
            return *self;
        };
        let left = self.up.cross(&forward);
        Frame {
            forward,
            inner: if self.mirrored() { -left } else { left },
            ..*self
        }
    }

    /// Tilted so that `up` (in this frame) becomes the up axis; forward stays as near as it can.
    fn tilted(&self, up: V) -> Frame {
        let mirrored = self.mirrored();
        let up = self.forward * up.x + self.inner * up.y + self.up * up.z;
        let Some(up) = up.try_normalize(1e-12) else {
            return *self;
        };
        let forward = self.forward - up * self.forward.dot(&up);
        let Some(forward) = forward.try_normalize(1e-12) else {
            return *self;
        };
        let left = up.cross(&forward);
        Frame {
            forward,
            inner: if mirrored { -left } else { left },
            up,
            origin: self.origin,
        }
    }
}

/// What a foot stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Ground {
    /// Heel, inner and outer ball each touch it at one place.
    ThreeContacts,
    /// The sole lies flat on it over an area.
    FlatSole,
}

/// A foot in its frame.
#[derive(Debug, Clone)]
pub(crate) struct Settled {
    pub frame: Frame,
    pub length: f64,
    pub ground: Ground,
    pub outline: Outline,
    /// Outermost places of the ball.
    pub inner_ball: Bulge,
    pub outer_ball: Bulge,
    /// y of the heel's middle; 0 once settled.
    pub heel_breadth: f64,
    /// Places of the three contacts.
    pub contacts: [V; 3],
}

/// A frame from a way up alone: the long axis by the outline's spread, which end and which side left open.
pub(crate) fn rough(points: &[V], up: V) -> Frame {
    let (u, w) = across(up);
    let flat: Vec<Vector2<f64>> = points
        .iter()
        .map(|p| Vector2::new(p.dot(&u), p.dot(&w)))
        .collect();
    let axis = long_axis(&evened(&flat));
    let forward = u * axis.x + w * axis.y;
    let origin = points.iter().sum::<V>() / points.len().max(1) as f64;
    Frame {
        forward,
        inner: up.cross(&forward),
        up,
        origin,
    }
}

/// One point for each cell that has any: walls and the leg must not draw the axis.
fn evened(points: &[Vector2<f64>]) -> Vec<Vector2<f64>> {
    let mut low = Vector2::repeat(f64::INFINITY);
    let mut high = Vector2::repeat(f64::NEG_INFINITY);
    for p in points {
        low = low.inf(p);
        high = high.sup(p);
    }
    let side = ((high - low).max() / 60.0).max(f64::MIN_POSITIVE);
    let mut cells: Vec<(i32, i32)> = points
        .iter()
        .map(|p| (((p.x - low.x) / side) as i32, ((p.y - low.y) / side) as i32))
        .collect();
    cells.sort_unstable();
    cells.dedup();
    cells
        .into_iter()
        .map(|(i, j)| Vector2::new(f64::from(i), f64::from(j)) * side)
        .collect()
}

/// How the outline is made of points that are already in the frame.
pub(crate) trait Sections {
    fn outline(&self, frame: &Frame, local: &[V], length: f64) -> Outline;
}

/// Points in bins: for a first look.
pub(crate) struct Binned(pub usize);

impl Sections for Binned {
    fn outline(&self, _: &Frame, local: &[V], length: f64) -> Outline {
        Outline::of_points(local, length, self.0)
    }
}

/// Turns the frame until it fits. `None` where no heel and ball can be made out.
pub(crate) fn settle(
    points: &[V],
    start: Frame,
    sections: &impl Sections,
    turns: usize,
) -> Option<Settled> {
    let mut frame = start;
    let mut found = None;
    for _ in 0..turns.max(1) {
        let mut local: Vec<V> = points.iter().map(|p| frame.local(p)).collect();
        let low = local.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        let mut length = extent(&local, low)?;
        // Ground first: what counts as outline depends on it.
        let contact = contact(&local, low, length)?;
        let places = contact.places.map(|p| frame.world(&p));
        let on = frame.world(&contact.on);
        frame = frame.tilted(contact.up);
        local = points.iter().map(|p| frame.local(p)).collect();
        let mut ground = frame.local(&on).z;
        let (back, front) = ends(&local, ground, length)?;
        length = front - back;
        if contact.kind == Ground::ThreeContacts {
            // What lies lower between the contacts is what it rests on; toes may hang below.
            let behind_toes = back + 0.8 * length;
            ground = local
                .iter()
                .filter(|p| p.x < behind_toes)
                .map(|p| p.z)
                .fold(ground, f64::min);
        }
        frame.origin += frame.up * ground;
        local.iter_mut().for_each(|p| p.z -= ground);
        frame.origin += frame.forward * back;
        local.iter_mut().for_each(|p| p.x -= back);
        let outline = sections.outline(&frame, &local, length);
        let heel = outline.at(HEEL_PLACE * length)?;
        let middle = 0.5 * (heel.heel_low_y + heel.heel_high_y);
        let heel_breadth = heel.heel_high_y - heel.heel_low_y;
        if !middle.is_finite() {
            return None;
        }
        let inner_ball = outline.bulge(true, 0.58 * length, 0.86 * length)?;
        let outer_ball = outline.bulge(false, 0.52 * length, 0.78 * length)?;
        let breadth = inner_ball.y - outer_ball.y;
        // The second ray at the ball, from the heel's middle.
        let ray = inner_ball.y - SECOND_RAY * breadth;
        let ahead = 0.5 * (inner_ball.x + outer_ball.x) - HEEL_PLACE * length;
        found = Some(Settled {
            frame,
            length,
            ground: contact.kind,
            outline,
            inner_ball,
            outer_ball,
            heel_breadth,
            contacts: places.map(|p| frame.local(&p)),
        });
        frame.origin += frame.inner * middle;
        frame = frame.swung(Vector2::new(ahead, ray - middle));
    }
    found
}

/// Length of all that is low enough, along x.
fn extent(local: &[V], low: f64) -> Option<f64> {
    let span = |top: f64| {
        local
            .iter()
            .filter(|p| p.z - low < top)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
                (l.min(p.x), h.max(p.x))
            })
    };
    let (a, b) = span(f64::INFINITY);
    let (a, b) = span(0.25 * (b - a));
    (b - a > 0.0).then_some(b - a)
}

/// Rearmost heel and foremost toe.
fn ends(local: &[V], ground: f64, length: f64) -> Option<(f64, f64)> {
    let top = ground + BACK_HEIGHT * length;
    let (back, front) = local
        .iter()
        .filter(|p| p.z < top)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(p.x), h.max(p.x))
        });
    (front > back).then_some((back, front))
}

struct Contact {
    up: V,
    kind: Ground,
    /// In the coordinates of the points given.
    places: [V; 3],
    /// A place on the ground.
    on: V,
}

/// Up from the plane that heel, inner and outer ball rest on, in the frame of the points.
fn contact(local: &[V], low: f64, length: f64) -> Option<Contact> {
    let top = low + 0.35 * length;
    let (back, _) = local
        .iter()
        .filter(|p| p.z < top)
        .fold((f64::INFINITY, 0.0), |(l, h), p| (l.min(p.x), h));
    let share = |p: &V| (p.x - back) / length;
    let ball: Vec<&V> = local
        .iter()
        .filter(|p| (0.58..0.80).contains(&share(p)) && p.z < top)
        .collect();
    let (left, right) = ball
        .iter()
        .fold((f64::NEG_INFINITY, f64::INFINITY), |(l, r), p| {
            (l.max(p.y), r.min(p.y))
        });
    let (third, two_thirds) = (right + (left - right) * 0.36, right + (left - right) * 0.64);
    let lowest = |points: &mut dyn Iterator<Item = &V>| {
        points.fold(None, |best: Option<V>, p| match best {
            Some(b) if b.z <= p.z => Some(b),
            _ => Some(*p),
        })
    };
    let heel = lowest(&mut local.iter().filter(|p| (0.02..0.27).contains(&share(p))))?;
    let inner = lowest(&mut ball.iter().filter(|p| p.y > two_thirds).copied())?;
    let outer = lowest(&mut ball.iter().filter(|p| p.y < third).copied())?;
    let normal = |a: V, b: V, c: V| (b - a).cross(&(c - a)).try_normalize(1e-12);
    let mut up = normal(heel, inner, outer)?;
    if up.z < 0.0 {
        up = -up;
    }
    let places = [heel, inner, outer];
    Some(match flat_part(local, heel, up, length) {
        Some((up, on)) => Contact {
            up,
            kind: Ground::FlatSole,
            places,
            on,
        },
        None => Contact {
            up,
            kind: Ground::ThreeContacts,
            places,
            on: heel,
        },
    })
}

/// The plane through all skin that lies on the ground, where that is an area: heel and ball pressed flat.
fn flat_part(local: &[V], on: V, up: V, length: f64) -> Option<(V, V)> {
    let near = 0.003 * length;
    let mut up = up;
    let mut on = on;
    for turn in 0..3 {
        let there: Vec<&V> = local
            .iter()
            .filter(|p| ((*p - on).dot(&up)).abs() < near)
            .collect();
        let count = there.len();
        let share = count as f64 / local.len() as f64;
        let close = there
            .iter()
            .filter(|p| ((**p - on).dot(&up)).abs() < near / 3.0)
            .count();
        // The first plane goes through the lowest skin; only a fitted one lies in the middle of what is flat.
        let very_near = turn == 0 || close as f64 >= CLOSE_SHARE * count as f64;
        let flat = share >= FLAT_SHARE || (share >= SMALL_FLAT_SHARE && very_near);
        if !flat || count < 12 {
            return None;
        }
        let middle = there.iter().copied().sum::<V>() / count as f64;
        let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for p in there {
            let d = p - middle;
            xx += d.x * d.x;
            xy += d.x * d.y;
            yy += d.y * d.y;
            xz += d.x * d.z;
            yz += d.y * d.z;
        }
        let det = xx * yy - xy * xy;
        if det <= 1e-6 * xx * yy {
            return None;
        }
        let (sx, sy) = ((xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det);
        up = V::new(-sx, -sy, 1.0).normalize();
        on = middle;
    }
    Some((up, on))
}

/// Share of points on one plane from which a sole counts as flat: of a closed scan's points a sole flattened by
/// weight has 8 to 12 in a hundred, three round contacts have 1 to 3.
const FLAT_SHARE: f64 = 0.06;
/// A foot that is only held against glass has fewer there. It is flat all the same where most of what is near
/// the plane is very near it; of round contacts, whose area grows evenly with depth, about a third is.
const SMALL_FLAT_SHARE: f64 = 0.02;
const CLOSE_SHARE: f64 = 0.55;
