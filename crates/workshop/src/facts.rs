//! What does a foot, and a device on it, tell `care`?

use crate::foot::OpenFoot;
use care::orthosis::{Bone, EdgeAtBone, FootSize};
use quantity::Length;
use shell::Device;
use surface::{Foot, Origin};
use terms::Load;

/// Sizes of a foot as the proposal asks for them.
pub fn foot_size(open: &OpenFoot) -> FootSize {
    let foot = &open.foot;
    let points = &foot.points;
    let mm = |v: f64| v.is_finite().then(|| Length::mm(v));
    FootSize {
        length: mm(points.foot_length_mm()),
        ball_breadth: breadth(
            open,
            points.fifth_head.at[0] - 4.0,
            points.first_head.at[0] + 4.0,
        ),
        heel_breadth: breadth(
            open,
            points.heel_centre.at[0] - 2.0,
            points.heel_centre.at[0] + 2.0,
        ),
        navicular_height: mm(points.navicular.at[2]),
        captured_with_weight: with_weight(foot),
    }
}

fn with_weight(foot: &Foot) -> Option<bool> {
    match foot.origin {
        Origin::Scanned { load } => Some(load == Load::Full),
        Origin::Built { .. } => None,
    }
}

/// Widest place of the outline between two places along the foot.
fn breadth(open: &OpenFoot, from: f64, to: f64) -> Option<Length> {
    let (low, high) = open
        .outline
        .iter()
        .filter(|p| (from..=to).contains(&p[0]))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(p[1]), h.max(p[1]))
        });
    (high > low).then(|| Length::mm(high - low))
}

/// The straight way, which is never longer than the way along the skin: the cautious side.
pub fn navicular_to_edge(device: &Device) -> Option<EdgeAtBone> {
    let bone = device.positive.points.navicular.at;
    let away = |p: &[f64; 3]| {
        let d = [0, 1, 2].map(|k| p[k] - bone[k]);
        d.iter().map(|v| v * v).sum::<f64>().sqrt()
    };
    let least = shell::border(device)
        .iter()
        .map(away)
        .min_by(f64::total_cmp)?;
    Some(EdgeAtBone {
        bone: Bone::Navicular,
        distance: Length::mm(least),
    })
}
