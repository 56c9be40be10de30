//! What are the true values of every measure? Plain arithmetic on the foot's own points.
//!
//! Two truths are kept. The one in space is read on the points as they lie, seen square to the plane of
//! the anatomy; the one on the film is read on the same points after the point source has thrown them on
//! the detector. Written out here once more, formula by formula, and shared with no other part of the
//! program, so that readings can be held against it.
//!
//! # Sign
//! As on the page: + is the way of a collapsing foot for every angle of the table except the calcaneal
//! pitch; heights + = above the floor; the plain angle of two lines is given where it has no sign.

use crate::foot::Foot;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, View};

/// Where a point of the world falls on a detector.
pub trait Camera {
    /// Position on the detector in millimetres: x along its columns to the right, y down its rows.
    fn project(&self, world_mm: [f64; 3]) -> [f64; 2];
}

/// One measure's true value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrueValue {
    pub key: String,
    pub view: View,
    /// "deg", "mm", "%" or "ratio".
    pub unit: String,
    pub true_value: f64,
}

/// The true values of one foot, in space or on one film. A measure whose points are not all there is absent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    pub values: Vec<TrueValue>,
}

impl Truth {
    pub fn value(&self, key: &str) -> Option<f64> {
        self.values
            .iter()
            .find(|v| v.key == key)
            .map(|v| v.true_value)
    }
}

/// True values in space: all four views, each seen square.
pub fn of_foot(foot: &Foot) -> Truth {
    in_space(foot.spec.side, &foot.landmarks)
}

/// The same of points by view, wherever they come from.
pub fn in_space(side: Side, landmarks: &BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>>) -> Truth {
    let values = landmarks
        .iter()
        .flat_map(|(view, points)| {
            let flat = points
                .iter()
                .map(|(k, q)| (k.as_str(), seen_square(*view, side, *q)));
            values_of(*view, &Points(flat.collect()))
        })
        .collect();
    Truth { values }
}

/// True values of one view of a foot as a film shows them; see [`cast`].
pub fn on_film(foot: &Foot, view: View, camera: &impl Camera, mm_per_detector_mm: f64) -> Truth {
    let none = BTreeMap::new();
    let points = foot.landmarks.get(&view).unwrap_or(&none);
    cast(foot.spec.side, view, points, camera, mm_per_detector_mm)
}

/// True values of one view's points as a film shows them, brought back to the size of life.
///
/// `mm_per_detector_mm` is what one millimetre on the detector stands for (1 / magnification); angles,
/// ratios and percentages do not depend on it.
pub fn cast(
    side: Side,
    view: View,
    points: &BTreeMap<LandmarkKey, [f64; 3]>,
    camera: &impl Camera,
    mm_per_detector_mm: f64,
) -> Truth {
    // Turn the film so that x runs forward or to the outer side, and y up.
    let first_right = is_mirrored(view, side);
    let flat = points.iter().map(|(k, q)| {
        let [x, y] = camera.project(*q);
        let x = if first_right { -x } else { x };
        (
            k.as_str(),
            [x * mm_per_detector_mm, -y * mm_per_detector_mm],
        )
    });
    Truth {
        values: values_of(view, &Points(flat.collect())),
    }
}

/// Does the film's x run against the view's own (forward, or to the outer side)? Seen from the tube, which
/// stands on the outer side, above, behind, or before the foot.
fn is_mirrored(view: View, side: Side) -> bool {
    match view {
        View::Lateral | View::Dorsoplantar | View::HindfootAlignment => side == Side::Left,
        View::AnkleFront => side == Side::Right,
    }
}

/// The plane of the anatomy: x forward and y up, or x outwards and y forward, or x outwards and y up.
fn seen_square(view: View, side: Side, [x, y, z]: [f64; 3]) -> [f64; 2] {
    let out = if side == Side::Right { z } else { -z };
    match view {
        View::Lateral => [x, y],
        View::Dorsoplantar => [out, x],
        View::HindfootAlignment | View::AnkleFront => [out, y],
    }
}

type Point = [f64; 2];

struct Points<'a>(BTreeMap<&'a str, Point>);

impl Points<'_> {
    fn at(&self, key: &str) -> Option<Point> {
        self.0.get(key).copied()
    }
    fn mid(&self, a: &str, b: &str) -> Option<Point> {
        let (a, b) = (self.at(a)?, self.at(b)?);
        Some([(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0])
    }
}

/// Slope of the line from `a` to `b`, degrees above the x axis.
fn slope(a: Point, b: Point) -> f64 {
    (b[1] - a[1]).atan2(b[0] - a[0]).to_degrees()
}

/// Brought into −180 to 180.
fn wrapped(deg: f64) -> f64 {
    deg - 360.0 * (deg / 360.0).round()
}

fn values_of(view: View, p: &Points<'_>) -> Vec<TrueValue> {
    let list = match view {
        View::Lateral => lateral(p),
        View::Dorsoplantar => dorsoplantar(p),
        View::HindfootAlignment => hindfoot(p),
        View::AnkleFront => ankle(p),
    };
    list.into_iter()
        .filter_map(|(key, unit, value)| {
            let true_value = value.filter(|v| v.is_finite())?;
            Some(TrueValue {
                key: key.into(),
                view,
                unit: unit.into(),
                true_value,
            })
        })
        .collect()
}

type Row = (&'static str, &'static str, Option<f64>);

fn lateral(p: &Points<'_>) -> Vec<Row> {
    // Floor: the line under the foot, or level where it is not on the film.
    let floor = p.at("floor_back").zip(p.at("floor_front"));
    let tilt = floor.map_or(0.0, |(a, b)| slope(a, b));
    let (sin, cos) = (-tilt).to_radians().sin_cos();
    let origin = floor.map_or([0.0, 0.0], |(a, _)| a);
    let level = |q: Point| {
        let (x, y) = (q[0] - origin[0], q[1] - origin[1]);
        [x * cos - y * sin, x * sin + y * cos]
    };
    let at = |k: &str| p.at(k).map(level);
    let talus = || {
        let upper = slope(at("talus_dome_top")?, at("talus_head_top")?);
        let lower = slope(at("talus_back_low")?, at("talus_head_low")?);
        Some((upper + lower) / 2.0)
    };
    let mt1 = || {
        Some(slope(
            level(p.mid("mt1_base_top", "mt1_base_low")?),
            at("mt1_head_centre")?,
        ))
    };
    let mt5 = || Some(slope(at("mt5_base_low")?, at("mt5_head_low")?));
    let pitch = || Some(slope(at("calc_plantar_tuber")?, at("calc_plantar_front")?));
    let difference = |a: Option<f64>, b: Option<f64>| Some(wrapped(a? - b?));
    let height = |k: &str| floor.and(at(k)).map(|q| q[1]);
    let share = |k: &str, end: &str| Some(height(k)? / (at(end)?[0] - at("calc_back")?[0]));
    vec![
        ("meary_lat", "deg", difference(mt1(), talus())),
        ("calc_pitch", "deg", pitch()),
        ("talar_decl", "deg", talus().map(|s| -s)),
        ("mt1_decl", "deg", mt1().map(|s| -s)),
        ("tca_lat", "deg", difference(pitch(), talus())),
        (
            "c1ma_lat",
            "deg",
            difference(mt1(), pitch()).map(|d| 180.0 + d),
        ),
        (
            "c5ma_lat",
            "deg",
            difference(mt5(), pitch()).map(|d| 180.0 + d),
        ),
        ("mc_floor", "mm", height("cuneiform1_low")),
        (
            "mc_mt5",
            "mm",
            height("cuneiform1_low")
                .zip(height("mt5_base_low"))
                .map(|(a, b)| a - b),
        ),
        ("nav_height", "mm", height("nav_low")),
        (
            "nav_height_truncated",
            "ratio",
            share("nav_low", "mt1_head_front"),
        ),
        ("nav_height_foot", "ratio", share("nav_low", "hallux_tip")),
        ("cuboid_height", "mm", height("cuboid_low")),
        (
            "cyma_step",
            "mm",
            at("talus_head_low")
                .zip(at("calc_cuboid_top"))
                .map(|(tn, cc)| tn[0] - cc[0]),
        ),
    ]
}

fn dorsoplantar(p: &Points<'_>) -> Vec<Row> {
    let at = |k: &str| p.at(k);
    let line = |a: Option<Point>, b: Option<Point>| Some(slope(a?, b?));
    // A line's turn to the inner side of another is plus: x runs outwards, so that is counter-clockwise.
    let inwards = |of: Option<f64>, from: Option<f64>| Some(wrapped(of? - from?));
    let talus = line(
        p.mid("dp_talus_neck_med", "dp_talus_neck_lat"),
        p.mid("dp_talus_head_med", "dp_talus_head_lat"),
    );
    let mt1 = line(
        p.mid("dp_mt1_base_med", "dp_mt1_base_lat"),
        at("dp_mt1_head_centre"),
    );
    let mt2 = line(
        p.mid("dp_mt2_base_med", "dp_mt2_base_lat"),
        at("dp_mt2_head_centre"),
    );
    let calcaneus = line(
        at("dp_calc_back"),
        p.mid("dp_calc_front_med", "dp_calc_front_lat"),
    );
    let head_chord = line(at("dp_talus_head_med"), at("dp_talus_head_lat"));
    let navicular_chord = line(at("dp_nav_med"), at("dp_nav_lat"));
    let calcaneal_border = line(at("dp_calc_lat_back"), at("dp_calc_front_lat"));
    let cuboid_border = line(at("dp_cuboid_lat_back"), at("dp_cuboid_lat_front"));
    let neck_to_edge = line(at("dp_talus_neck_lat"), at("dp_talus_head_lat"));
    let edge_to_navicular = line(at("dp_talus_head_lat"), at("dp_nav_lat"));
    let cross_line = line(
        p.mid("dp_cun1_front_med", "dp_nav_med"),
        p.mid("dp_cuboid_lat_back", "dp_cuboid_lat_front"),
    );
    vec![
        ("tca_dp", "deg", inwards(talus, calcaneus)),
        ("tnca", "deg", inwards(head_chord, navicular_chord)),
        ("tn_uncov", "%", uncovered(p)),
        ("t1mt_dp", "deg", inwards(talus, mt1)),
        ("t2mt_dp", "deg", inwards(talus, mt2)),
        ("cc_abd", "deg", inwards(calcaneal_border, cuboid_border)),
        ("lia", "deg", inwards(neck_to_edge, edge_to_navicular)),
        (
            "maa",
            "deg",
            inwards(mt2, cross_line).map(|d| wrapped(d - 90.0)),
        ),
    ]
}

/// Percent of the head's chord on the inner side of the navicular's inner edge.
fn uncovered(p: &Points<'_>) -> Option<f64> {
    let (a, b, edge) = (
        p.at("dp_talus_head_med")?,
        p.at("dp_talus_head_lat")?,
        p.at("dp_nav_med")?,
    );
    let chord = [b[0] - a[0], b[1] - a[1]];
    let along = (edge[0] - a[0]) * chord[0] + (edge[1] - a[1]) * chord[1];
    Some(100.0 * along / (chord[0] * chord[0] + chord[1] * chord[1]))
}

fn hindfoot(p: &Points<'_>) -> Vec<Row> {
    let high = p.mid("hf_tibia_high_med", "hf_tibia_high_lat");
    let low = p.mid("hf_tibia_low_med", "hf_tibia_low_lat");
    let arm = || {
        let (high, low, heel) = (high?, low?, p.at("hf_calc_low")?);
        let axis_at_heel = low[0] + (low[0] - high[0]) / (low[1] - high[1]) * (heel[1] - low[1]);
        Some(heel[0] - axis_at_heel)
    };
    let angle = || {
        let upper = p.mid("hf_calc_upper_med", "hf_calc_upper_lat")?;
        let lower = p.mid("hf_calc_lower_med", "hf_calc_lower_lat")?;
        Some(wrapped(slope(upper, lower) - slope(high?, low?)))
    };
    vec![("hma", "mm", arm()), ("haa", "deg", angle())]
}

fn ankle(p: &Points<'_>) -> Vec<Row> {
    let line = |a: Option<Point>, b: Option<Point>| Some(slope(a?, b?));
    let shaft = line(
        p.mid("an_tibia_low_med", "an_tibia_low_lat"),
        p.mid("an_tibia_high_med", "an_tibia_high_lat"),
    );
    let plafond = line(p.at("an_plafond_med"), p.at("an_plafond_lat"));
    let dome = line(p.at("an_dome_med"), p.at("an_dome_lat"));
    // The angle on the inner side: between the shaft upwards and the line towards its inner end.
    let inner = |of: Option<f64>| Some(wrapped(of? + 180.0 - shaft?));
    vec![
        (
            "talar_tilt",
            "deg",
            dome.zip(plafond).map(|(d, p)| wrapped(d - p)),
        ),
        ("mdta", "deg", inner(plafond)),
        ("tibiotalar", "deg", inner(dome)),
    ]
}
