//! Where on the skin are the points that a shell is laid out from?
//!
//! Proposed from the outline of the ball, the heel's borders and the innermost skin at the navicular; a hand may
//! move each of them, and then it lies on the skin nearest to where the hand put it.
//!
//! One surprise: bones are not seen. The heads are placed beside the ball's outermost points by shares of its
//! breadth; swelling, a bunion or a deformed ray moves what is seen, not the bone, so a proposal is to be felt
//! for and corrected.
//!
//! # Sources
//! Shares and shifts: fitted on 60 invented feet of known bones (computed), checked against the toe joints of an
//! outside body surface; palpation as the better way is common practice.

use crate::foot::{Foot, Mark, Placed, Points};
use crate::frame::{HEEL_PLACE, Settled};
use crate::outline::INNER_HEIGHTS;
use crate::sole::Sole;
use mesh::Mesh;
use mesh::near::Tree;
use serde::{Deserialize, Serialize};

/// From the middle of the ball's inner bulge forward to below the first head's middle, of foot length.
const FIRST_AHEAD: f64 = 0.002;
/// From the inner border to it, of the ball's breadth.
const FIRST_IN: f64 = 0.1755;
const FIFTH_AHEAD: f64 = 0.0024;
const FIFTH_IN: f64 = 0.1726;
/// Where heads lie, of foot length: four deviations of ANSUR II's ball length (0.740 ± 0.014, computed) for the
/// first; as much about the mean of 60 invented feet (0.655) for the fifth.
const FIRST_RANGE: (f64, f64) = (0.684, 0.796);
const FIFTH_RANGE: (f64, f64) = (0.60, 0.71);
/// The navicular's tuberosity, of the way from the rearmost heel to the first head.
const NAVICULAR_PLACE: f64 = 0.532;
/// Where along the foot it may stand out, and by how much it must to be told by that, of foot length.
const NAVICULAR_RANGE: (f64, f64) = (0.33, 0.50);
const NAVICULAR_STANDS_OUT: f64 = 0.003;
/// Where it is not scanned it is taken to be this high (mean of 60 invented feet, computed).
const NAVICULAR_USUAL: f64 = 0.174;

/// Which point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Point {
    FirstHead,
    FifthHead,
    HeelCentre,
    Navicular,
    ToeTip,
}

impl Point {
    pub const ALL: [Point; 5] = [
        Point::FirstHead,
        Point::FifthHead,
        Point::HeelCentre,
        Point::Navicular,
        Point::ToeTip,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Point::FirstHead => "first metatarsal head",
            Point::FifthHead => "fifth metatarsal head",
            Point::HeelCentre => "heel centre",
            Point::Navicular => "navicular",
            Point::ToeTip => "tip of the longest toe",
        }
    }
}

impl Points {
    pub fn mark(&self, point: Point) -> Mark {
        match point {
            Point::FirstHead => self.first_head,
            Point::FifthHead => self.fifth_head,
            Point::HeelCentre => self.heel_centre,
            Point::Navicular => self.navicular,
            Point::ToeTip => self.toe_tip,
        }
    }

    pub fn set(&mut self, point: Point, mark: Mark) {
        *match point {
            Point::FirstHead => &mut self.first_head,
            Point::FifthHead => &mut self.fifth_head,
            Point::HeelCentre => &mut self.heel_centre,
            Point::Navicular => &mut self.navicular,
            Point::ToeTip => &mut self.toe_tip,
        } = mark;
    }
}

/// Puts points by hand, onto the skin.
#[derive(Debug)]
pub struct Hand {
    skin: Option<Tree>,
}

impl Hand {
    /// Made once for a foot, then quick to ask.
    pub fn on(foot: &Foot) -> Hand {
        Hand {
            skin: foot.skin.as_ref().map(Tree::of),
        }
    }

    /// The point by hand, on the skin nearest to `at` (foot frame); on the sole where only a sole is there.
    pub fn placed(&self, foot: &Foot, at: [f64; 3]) -> Mark {
        let on_skin = self
            .skin
            .as_ref()
            .and_then(|t| t.nearest(at))
            .map(|n| n.point);
        let on_sole = || foot.sole.height(at[0], at[1]).map(|z| [at[0], at[1], z]);
        Mark {
            at: on_skin.or_else(on_sole).unwrap_or(at),
            placed: Placed::ByHand,
        }
    }
}

/// Proposed points, and which of them do not lie on scanned skin.
pub(crate) struct Proposed {
    pub points: Points,
    pub not_scanned: Vec<Point>,
}

/// Proposes all points for a foot whose skin is in the foot frame.
pub(crate) fn propose(skin: &Mesh, sole: &Sole, settled: &Settled) -> Proposed {
    let l = settled.length;
    let breadth = settled.inner_ball.y - settled.outer_ball.y;
    let mut not_scanned = Vec::new();
    let mut below = |point: Point, x: f64, y: f64| {
        let at = match nearest_height(sole, x, y) {
            Some(z) => [x, y, z],
            None => {
                not_scanned.push(point);
                [x, y, 0.0]
            }
        };
        Mark {
            at,
            placed: Placed::Found,
        }
    };
    // An outline of another shape must not put a head where none lies.
    let first_x =
        (settled.inner_ball.x + FIRST_AHEAD * l).clamp(FIRST_RANGE.0 * l, FIRST_RANGE.1 * l);
    let first_head = below(
        Point::FirstHead,
        first_x,
        settled.inner_ball.y - FIRST_IN * breadth,
    );
    let fifth_x =
        (settled.outer_ball.x + FIFTH_AHEAD * l).clamp(FIFTH_RANGE.0 * l, FIFTH_RANGE.1 * l);
    let fifth_head = below(
        Point::FifthHead,
        fifth_x,
        settled.outer_ball.y + FIFTH_IN * breadth,
    );
    let heel_centre = below(Point::HeelCentre, HEEL_PLACE * l, 0.0);
    let found = |at: [f64; 3]| Mark {
        at,
        placed: Placed::Found,
    };
    let navicular_x = navicular_place(settled, first_x);
    let navicular = match navicular(skin, navicular_x, l) {
        Some(at) => found(at),
        None => {
            not_scanned.push(Point::Navicular);
            let x = navicular_x;
            let border = settled.outline.at(x).map_or(0.15 * l, |s| s.high_y);
            found([x, border, NAVICULAR_USUAL * l])
        }
    };
    let toe_tip = found(toe_tip(skin, sole, l).unwrap_or([l, 0.0, 0.0]));
    Proposed {
        points: Points {
            first_head,
            fifth_head,
            heel_centre,
            navicular,
            toe_tip,
        },
        not_scanned,
    }
}

/// The foremost skin; of an upright wall, as foam leaves one before the toe, its foot.
fn toe_tip(skin: &Mesh, sole: &Sole, length: f64) -> Option<[f64; 3]> {
    let tip = skin
        .vertices
        .iter()
        .filter(|v| v[2] < 0.25 * length)
        .max_by(|a, b| a[0].total_cmp(&b[0]))
        .copied()?;
    // A toe's tip is round: two millimetres behind the foremost skin the lowest is some 6 mm lower.
    let below = sole.height(tip[0] - 0.008 * length, tip[1]);
    Some(match below {
        Some(z) if tip[2] - z > 0.03 * length => [tip[0], tip[1], z],
        _ => tip,
    })
}

/// Height of the sole at a place or, where a hole is there, at the nearest place within 6 mm.
fn nearest_height(sole: &Sole, x: f64, y: f64) -> Option<f64> {
    sole.height(x, y).or_else(|| {
        (1..=6).find_map(|r| {
            let r = f64::from(r);
            (0..8).find_map(|k| {
                let (s, c) = (f64::from(k) * std::f64::consts::FRAC_PI_4).sin_cos();
                sole.height(x + r * c, y + r * s)
            })
        })
    })
}

/// Where the inner side stands out most over a straight line along it; a share of the length to the first head
/// where nothing stands out. In 60 invented feet the first is right to 1 mm, the second to 2 mm (one SD).
fn navicular_place(settled: &Settled, first_x: f64) -> f64 {
    let usual = NAVICULAR_PLACE * first_x;
    let l = settled.length;
    let inner: Vec<(f64, f64)> = settled
        .outline
        .between(NAVICULAR_RANGE.0 * l, NAVICULAR_RANGE.1 * l)
        .map(|(x, s)| (x, s.inner_y))
        .filter(|p| p.1.is_finite())
        .collect();
    let (Some(a), Some(b)) = (inner.first(), inner.last()) else {
        return usual;
    };
    let slope = (b.1 - a.1) / (b.0 - a.0).max(1e-9);
    let out: Vec<(f64, f64)> = inner
        .iter()
        .map(|p| (p.0, p.1 - a.1 - slope * (p.0 - a.0)))
        .collect();
    let most = out.iter().map(|p| p.1).fold(0.0, f64::max);
    if most < NAVICULAR_STANDS_OUT * l {
        return usual;
    }
    let (mut sum, mut all) = (0.0, 0.0);
    for (x, by) in out {
        let weight = (by - 0.75 * most).max(0.0);
        sum += weight * x;
        all += weight;
    }
    // Both know something: weighted by what each is right to.
    0.8 * sum / all + 0.2 * usual
}

/// The innermost skin of the section at `x`, at heights where the tuberosity can lie. `None` where the skin
/// ends before it turns outward again.
fn navicular(skin: &Mesh, x: f64, length: f64) -> Option<[f64; 3]> {
    let (low, high) = (INNER_HEIGHTS.0 * length, INNER_HEIGHTS.1 * length);
    let mut found: Vec<[f64; 2]> = Vec::new();
    for t in &skin.triangles {
        let c = t.map(|v| skin.vertices[v as usize]);
        if c.iter().all(|v| v[0] < x) || c.iter().all(|v| v[0] > x) {
            continue;
        }
        for k in 0..3 {
            let (a, b) = (c[k], c[(k + 1) % 3]);
            if (a[0] < x) != (b[0] < x) {
                let t = (x - a[0]) / (b[0] - a[0]);
                found.push([a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])]);
            }
        }
    }
    let most = found
        .iter()
        .filter(|p| (low..high).contains(&p[1]))
        .map(|p| p[0])
        .fold(f64::NEG_INFINITY, f64::max);
    // Near the innermost, each counting by how far in it lies.
    let depth = 0.003 * length;
    let (mut sum, mut all) = (0.0, 0.0);
    for p in found
        .iter()
        .filter(|p| (low..high).contains(&p[1]) && p[0] > most - depth)
    {
        let weight = p[0] - (most - depth);
        sum += weight * p[1];
        all += weight;
    }
    let z = sum / all;
    let top = found
        .iter()
        .filter(|p| p[0] > 0.0)
        .map(|p| p[1])
        .fold(0.0, f64::max);
    (z.is_finite() && top > z + 0.02 * length).then_some([x, most, z])
}
