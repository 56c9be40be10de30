//! Where on the bones is each point of each view?
//!
//! Two kinds. Anatomical points (edges of joint surfaces, corners of bases, centres of heads) are found
//! once on the plain bone and then carried with it. Extreme points (lowest, rearmost, borders of a shaft
//! or wall) are what a reader sees on the film, and are found on the standing bone, looking the view's way.
//! Everything here is a right foot; a left one is mirrored afterwards.

use crate::bones::plan;
use crate::bones::solid::P;
use crate::foot::Standing;
use std::collections::BTreeMap;
use terms::{LandmarkKey, View};

/// Points of all views; one whose bone is not there yet is left out.
pub(crate) fn find(foot: &Standing<'_>) -> BTreeMap<View, BTreeMap<LandmarkKey, [f64; 3]>> {
    let views = [
        (View::Lateral, lateral(foot)),
        (View::Dorsoplantar, dorsoplantar(foot)),
        (View::HindfootAlignment, hindfoot(foot)),
        (View::AnkleFront, ankle(foot)),
    ];
    views
        .into_iter()
        .map(|(view, points)| {
            let there = points
                .into_iter()
                .filter_map(|(key, at)| Some((LandmarkKey::new(key).ok()?, at?.into())))
                .collect();
            (view, there)
        })
        .collect()
}

type Points = Vec<(&'static str, Option<P>)>;

fn all(_: P) -> bool {
    true
}

/// Part of the talar head's ball, not of the trochlea behind it.
fn on_head(q: P) -> bool {
    q.x > 78.0 && (q - plan::head()).norm() < 16.0
}

/// Middle between both borders of the heel bone a little before its back.
fn back_end(foot: &Standing<'_>) -> Option<P> {
    let back = foot.plan_towards("calcaneus", -P::x(), all)?.x;
    let near = |q: P| (q.x - back - 5.0).abs() < 0.9;
    let med = foot.plan_towards("calcaneus", -P::z(), near)?;
    let lat = foot.plan_towards("calcaneus", P::z(), near)?;
    foot.carry("calcaneus", (med + lat) * 0.5)
}

fn lateral(foot: &Standing<'_>) -> Points {
    let rays = plan::rays();
    let first = foot.ray_frame(0);
    let base_corner = |up: f64| {
        foot.towards(
            "metatarsal 1",
            first.direction(P::new(-0.45, up * 0.89, 0.0)),
            |q| first.along(q) < 16.0,
        )
    };
    let back = foot.extreme("calcaneus", -P::x(), all);
    let tip = foot.extreme("toe 1 distal", P::x(), all);
    let on_floor = |at: Option<P>, beyond: f64| at.map(|q| P::new(q.x + beyond, 0.0, 0.0));
    vec![
        ("floor_back", on_floor(back, -3.0)),
        ("floor_front", on_floor(tip, 3.0)),
        (
            "calc_plantar_tuber",
            foot.extreme("calcaneus", -P::y(), |q| q.x < 50.0),
        ),
        (
            "calc_plantar_front",
            foot.towards("calcaneus", P::new(0.80, -0.60, 0.0), |q| q.x > 70.0),
        ),
        ("calc_back", back),
        (
            "talus_dome_top",
            foot.extreme("talus", P::y(), |q| q.x < 78.0),
        ),
        (
            "talus_head_top",
            foot.towards("talus", P::new(0.38, 0.92, 0.0), on_head),
        ),
        (
            "talus_back_low",
            foot.towards("talus", P::new(-0.15, -0.99, 0.0), |q| q.x < 42.0),
        ),
        (
            "talus_head_low",
            foot.towards("talus", P::new(0.25, -0.97, 0.0), on_head),
        ),
        ("nav_low", foot.extreme("navicular", -P::y(), all)),
        (
            "cuneiform1_low",
            foot.extreme("medial cuneiform", -P::y(), all),
        ),
        ("cuboid_low", foot.extreme("cuboid", -P::y(), all)),
        (
            "calc_cuboid_top",
            foot.towards("calcaneus", P::new(0.75, 0.66, 0.0), |q| q.x > 74.0),
        ),
        ("mt1_base_top", base_corner(1.0)),
        ("mt1_base_low", base_corner(-1.0)),
        ("mt1_head_centre", foot.inside("metatarsal 1", rays[0].head)),
        ("mt1_head_front", foot.extreme("metatarsal 1", P::x(), all)),
        (
            "mt5_base_low",
            foot.extreme("metatarsal 5", -P::y(), |q| q.x < 128.0),
        ),
        (
            "mt5_head_low",
            foot.extreme("metatarsal 5", -P::y(), |q| q.x > 160.0),
        ),
        ("hallux_tip", tip),
    ]
}

fn dorsoplantar(foot: &Standing<'_>) -> Points {
    let rays = plan::rays();
    // Directions on the floor: forward along the talar head, and to its inner side.
    let ahead = P::new(16f64.to_radians().cos(), 0.0, -16f64.to_radians().sin());
    let inwards = P::new(-ahead.z, 0.0, ahead.x) * -1.0;
    let (neck_med, neck_lat) = neck(foot, ahead, inwards);
    // The joint surface ends a little before the head is widest.
    let head = |side: f64| foot.towards("talus", ahead * 0.45 + inwards * (0.89 * side), on_head);
    let navicular = |side: f64| {
        let dir = ahead * -0.65 + inwards * (0.76 * side);
        foot.edge_towards("navicular", dir, |q| q.y > 57.0)
    };
    let base = |n: usize, bone: &'static str, side: f64| {
        let f = foot.ray_frame(n);
        foot.towards(
            bone,
            f.direction(P::new(-0.5, 0.0, side * 0.87)),
            move |q| f.along(q) < 12.0,
        )
    };
    let calcaneus_front =
        |side: f64| foot.towards("calcaneus", P::new(0.62, 0.0, side * 0.78), |q| q.x > 78.0);
    let cuboid = |ahead: f64| foot.towards("cuboid", P::new(ahead * 0.6, 0.0, 0.8), all);
    vec![
        ("dp_talus_head_med", head(1.0)),
        ("dp_talus_head_lat", head(-1.0)),
        ("dp_talus_neck_med", neck_med),
        ("dp_talus_neck_lat", neck_lat),
        ("dp_nav_med", navicular(1.0)),
        ("dp_nav_lat", navicular(-1.0)),
        ("dp_calc_back", back_end(foot)),
        ("dp_calc_front_med", calcaneus_front(-1.0)),
        ("dp_calc_front_lat", calcaneus_front(1.0)),
        (
            "dp_calc_lat_back",
            foot.towards("calcaneus", P::z(), |q| (q.x - 34.0).abs() < 1.2),
        ),
        ("dp_cuboid_lat_back", cuboid(-1.0)),
        ("dp_cuboid_lat_front", cuboid(1.0)),
        (
            "dp_cun1_front_med",
            foot.towards("medial cuneiform", P::new(0.62, 0.0, -0.78), all),
        ),
        ("dp_mt1_base_med", base(0, "metatarsal 1", -1.0)),
        ("dp_mt1_base_lat", base(0, "metatarsal 1", 1.0)),
        (
            "dp_mt1_head_centre",
            foot.inside("metatarsal 1", rays[0].head),
        ),
        ("dp_mt2_base_med", base(1, "metatarsal 2", -1.0)),
        ("dp_mt2_base_lat", base(1, "metatarsal 2", 1.0)),
        (
            "dp_mt2_head_centre",
            foot.inside("metatarsal 2", rays[1].head),
        ),
        (
            "dp_mt5_head_centre",
            foot.inside("metatarsal 5", rays[4].head),
        ),
    ]
}

/// Inner and outer border of the talar neck where it is narrowest, seen from above.
fn neck(foot: &Standing<'_>, ahead: P, inwards: P) -> (Option<P>, Option<P>) {
    let head = plan::head();
    // Below the trochlea's front edge, which lies over the neck on the film.
    let station = |back: f64| {
        let near =
            move |q: P| ((q - head).dot(&ahead) + back).abs() < 0.9 && q.y > 54.0 && q.y < 68.0;
        let med = foot.plan_towards("talus", inwards, near)?;
        let lat = foot.plan_towards("talus", -inwards, near)?;
        Some(((med - lat).dot(&inwards), med, lat))
    };
    let narrowest = (0..12)
        .filter_map(|i| station(9.0 + f64::from(i) * 0.4))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match narrowest {
        Some((_, med, lat)) => (foot.carry("talus", med), foot.carry("talus", lat)),
        None => (None, None),
    }
}

/// Up on the film of the hindfoot view, whose beam falls 20° from behind.
fn up_on_hindfoot_film() -> P {
    let tilt = 20f64.to_radians();
    P::new(tilt.sin(), tilt.cos(), 0.0)
}

fn hindfoot(foot: &Standing<'_>) -> Points {
    let up = up_on_hindfoot_film();
    let low = foot.extreme("calcaneus", -up, |q| q.x < 50.0);
    // Levels run up the heel bone's own upright, so that the walls lean with it.
    let upright = foot.turned("calcaneus", P::y());
    let wall = |height: f64, side: f64| {
        let level = low?.dot(&up) + height * foot.scale;
        let across = upright.cross(&P::x()).normalize();
        foot.extreme_near("calcaneus", across * side, |q, at| {
            q.x < 44.0 && (at.dot(&up) - level).abs() < 0.7 * foot.scale
        })
    };
    vec![
        ("hf_tibia_high_med", foot.shaft(225.0, -1.0)),
        ("hf_tibia_high_lat", foot.shaft(225.0, 1.0)),
        ("hf_tibia_low_med", foot.shaft(165.0, -1.0)),
        ("hf_tibia_low_lat", foot.shaft(165.0, 1.0)),
        ("hf_calc_low", low),
        ("hf_calc_upper_med", wall(34.0, 1.0).map(|(m, _)| m)),
        ("hf_calc_upper_lat", wall(34.0, 1.0).map(|(_, l)| l)),
        ("hf_calc_lower_med", wall(9.5, 1.0).map(|(m, _)| m)),
        ("hf_calc_lower_lat", wall(9.5, 1.0).map(|(_, l)| l)),
        ("hf_lat_mall", foot.extreme("fibula", -P::y(), all)),
    ]
}

fn ankle(foot: &Standing<'_>) -> Points {
    let centre = plan::ankle();
    // The flat part reaches 12 mm to either side; both lines are read over the middle of the wheel.
    const REACH: f64 = 12.0;
    let over = |bone: &'static str, z: f64, from: f64| {
        let start = P::new(centre.x, centre.y + from, centre.z + z);
        foot.surface_along(bone, start, -P::y())
    };
    let ceiling = |z: f64| {
        let start = P::new(centre.x, centre.y + plan::TROCHLEA_RADIUS, centre.z + z);
        foot.surface_along("tibia", start, P::y())
    };
    vec![
        ("an_tibia_high_med", foot.shaft(225.0, -1.0)),
        ("an_tibia_high_lat", foot.shaft(225.0, 1.0)),
        ("an_tibia_low_med", foot.shaft(160.0, -1.0)),
        ("an_tibia_low_lat", foot.shaft(160.0, 1.0)),
        ("an_plafond_med", ceiling(-REACH)),
        ("an_plafond_lat", ceiling(REACH)),
        (
            "an_dome_med",
            over("talus", -REACH, plan::TROCHLEA_RADIUS + 1.8),
        ),
        (
            "an_dome_lat",
            over("talus", REACH, plan::TROCHLEA_RADIUS + 1.8),
        ),
        ("an_lat_mall", foot.extreme("fibula", -P::y(), all)),
    ]
}
