//! How long, broad, high and round is a foot?
//!
//! Every dimension has one definition, in the foot frame. What was not scanned is missing, never zero. Girths are
//! those of a tape: drawn tight around the section, over its hollows.
//!
//! One surprise: breadths are taken across the long axis, not along the slanted ball; a caliper laid on both
//! heads reads a little more.

use crate::foot::{Foot, Points};
use crate::section::{closed_above, heel_ankle_girth, section, tape};
use crate::sole::Sole;
use mesh::Mesh;
use serde::{Deserialize, Serialize};

/// Dimensions of one foot.
///
/// # Units
/// Millimetres; ratios where the name says so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dimensions {
    /// Rearmost heel to the longest toe, along the long axis.
    pub foot_length_mm: f64,
    /// Rearmost heel to below the first metatarsal head, along the long axis.
    pub ball_length_mm: f64,
    /// Greatest breadth of the front half, across the long axis.
    pub breadth_mm: f64,
    /// Greatest breadth of the rear fifth, up to 15 % of foot length high.
    pub heel_breadth_mm: f64,
    /// A tape around the upright section through both outer heads.
    pub ball_girth_mm: Option<f64>,
    /// A tape around the upright section at half the foot's length.
    pub instep_girth_mm: Option<f64>,
    /// A tape around the section through the heel's lower back and the deepest place between instep and leg.
    pub heel_ankle_girth_mm: Option<f64>,
    /// Height of the foot's back at half its length.
    pub instep_height_mm: Option<f64>,
    /// Height of the skin over the navicular's tuberosity.
    pub navicular_height_mm: f64,
    /// Navicular height beside the length to the ball.
    pub navicular_ratio: f64,
    /// Instep height beside the length to the ball.
    pub arch_height_ratio: Option<f64>,
    /// Lowest skin on the way from the heel's centre to the first head: distance from the heel's centre, height;
    /// every 5 mm.
    pub arch_profile_mm: Vec<[f64; 2]>,
    /// The highest of it.
    pub arch_clearance_mm: f64,
}

/// One dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Size {
    FootLength,
    BallLength,
    Breadth,
    HeelBreadth,
    BallGirth,
    InstepGirth,
    HeelAnkleGirth,
    InstepHeight,
    NavicularHeight,
    ArchClearance,
}

impl Size {
    pub const ALL: [Size; 10] = [
        Size::FootLength,
        Size::BallLength,
        Size::Breadth,
        Size::HeelBreadth,
        Size::BallGirth,
        Size::InstepGirth,
        Size::HeelAnkleGirth,
        Size::InstepHeight,
        Size::NavicularHeight,
        Size::ArchClearance,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Size::FootLength => "foot length",
            Size::BallLength => "length to the inner ball",
            Size::Breadth => "breadth at the ball",
            Size::HeelBreadth => "breadth of the heel",
            Size::BallGirth => "girth of the ball",
            Size::InstepGirth => "girth of the instep",
            Size::HeelAnkleGirth => "girth over heel and ankle",
            Size::InstepHeight => "height of the instep",
            Size::NavicularHeight => "height of the navicular",
            Size::ArchClearance => "free height under the arch",
        }
    }
}

/// Two feet beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Difference {
    pub size: Size,
    pub left_mm: f64,
    pub right_mm: f64,
}

impl Difference {
    /// # Sign
    /// Positive where the left is larger.
    pub fn left_less_right_mm(&self) -> f64 {
        self.left_mm - self.right_mm
    }
}

impl Dimensions {
    /// Measures a foot by its points as they are now.
    pub fn of(foot: &Foot) -> Dimensions {
        let points = &foot.points;
        let skin = foot.skin.as_ref();
        let length = points.foot_length_mm();
        let front = |v: &[f64; 3]| v[0] > 0.5 * length;
        let rear = |v: &[f64; 3]| v[0] < 0.2 * length && v[2] < 0.15 * length;
        let (breadth, heel_breadth) = match skin {
            Some(skin) => (across(&skin.vertices, front), across(&skin.vertices, rear)),
            None => {
                let places = places(&foot.sole);
                // Each border lies up to a step beyond the last value inside it: half of one on the average.
                let step = foot.sole.step;
                (across(&places, front) + step, across(&places, rear) + step)
            }
        };
        let ball_length = points.first_head.at[0];
        let instep = skin.and_then(|skin| instep(skin, length));
        let profile = arch_profile(&foot.sole, points);
        let navicular = points.navicular.at[2];
        Dimensions {
            foot_length_mm: length,
            ball_length_mm: ball_length,
            breadth_mm: breadth,
            heel_breadth_mm: heel_breadth,
            ball_girth_mm: skin.and_then(|skin| ball_girth(skin, points, length)),
            instep_girth_mm: instep.map(|i| i.1),
            heel_ankle_girth_mm: skin.and_then(|skin| heel_ankle_girth(skin, length)),
            instep_height_mm: instep.map(|i| i.0),
            navicular_height_mm: navicular,
            navicular_ratio: navicular / ball_length,
            arch_height_ratio: instep.map(|i| i.0 / ball_length),
            arch_clearance_mm: profile.iter().map(|p| p[1]).fold(0.0, f64::max),
            arch_profile_mm: profile,
        }
    }

    pub fn value_mm(&self, size: Size) -> Option<f64> {
        match size {
            Size::FootLength => Some(self.foot_length_mm),
            Size::BallLength => Some(self.ball_length_mm),
            Size::Breadth => Some(self.breadth_mm),
            Size::HeelBreadth => Some(self.heel_breadth_mm),
            Size::BallGirth => self.ball_girth_mm,
            Size::InstepGirth => self.instep_girth_mm,
            Size::HeelAnkleGirth => self.heel_ankle_girth_mm,
            Size::InstepHeight => self.instep_height_mm,
            Size::NavicularHeight => Some(self.navicular_height_mm),
            Size::ArchClearance => Some(self.arch_clearance_mm),
        }
    }
}

/// Every dimension that both feet have.
pub fn differences(left: &Dimensions, right: &Dimensions) -> Vec<Difference> {
    Size::ALL
        .into_iter()
        .filter_map(|size| {
            Some(Difference {
                size,
                left_mm: left.value_mm(size)?,
                right_mm: right.value_mm(size)?,
            })
        })
        .collect()
}

/// Extent along y of what is kept.
fn across(vertices: &[[f64; 3]], keep: impl Fn(&[f64; 3]) -> bool) -> f64 {
    let (low, high) = vertices
        .iter()
        .filter(|v| keep(v))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v[1]), h.max(v[1]))
        });
    (high - low).max(0.0)
}

/// The sole's values as points.
fn places(sole: &Sole) -> Vec<[f64; 3]> {
    (0..sole.heights.len())
        .filter_map(|at| {
            let (i, j) = (at % sole.size[0], at / sole.size[0]);
            let z = sole.value(i, j)?;
            Some([
                sole.origin[0] + sole.step * i as f64,
                sole.origin[1] + sole.step * j as f64,
                z,
            ])
        })
        .collect()
}

fn arch_profile(sole: &Sole, points: &Points) -> Vec<[f64; 2]> {
    let (a, b) = (points.heel_centre.at, points.first_head.at);
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = dx.hypot(dy);
    if length.is_nan() || length <= 0.0 {
        return Vec::new();
    }
    (0..=(length / 5.0) as usize)
        .filter_map(|i| {
            let s = 5.0 * i as f64;
            let z = sole.height(a[0] + dx * s / length, a[1] + dy * s / length)?;
            Some([s, z])
        })
        .collect()
}

fn ball_girth(skin: &Mesh, points: &Points, length: f64) -> Option<f64> {
    let (a, b) = (points.first_head.at, points.fifth_head.at);
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let l = dx.hypot(dy).max(1e-9);
    let normal = [dy / l, -dx / l, 0.0];
    let lines = section(skin, normal, normal[0] * a[0] + normal[1] * a[1]);
    let all = closed_above(&lines, length)?;
    Some(tape(&all, [dx / l, dy / l, 0.0], [0.0, 0.0, 1.0]))
}

/// Height and girth at half the length.
fn instep(skin: &Mesh, length: f64) -> Option<(f64, f64)> {
    let lines = section(skin, [1.0, 0.0, 0.0], 0.5 * length);
    let all = closed_above(&lines, length)?;
    let high = all.iter().map(|q| q[2]).fold(0.0, f64::max);
    // Where the leg leans far forward the section has no top within a foot's height.
    (high < 0.315 * length).then(|| (high, tape(&all, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])))
}
