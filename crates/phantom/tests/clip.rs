//! The truth of invented clips against what was asked for, and their pixels against the truth.

use phantom::clip::{Clip, ClipSpec};
use terms::Side;

fn small(seed: u64) -> ClipSpec {
    let mut spec = ClipSpec::plain(seed);
    (spec.width, spec.height, spec.rate) = (200, 280, 20.0);
    spec.px_per_mm = 0.66;
    spec.legs[0].rises = 2;
    spec
}

#[test]
fn the_same_seed_draws_the_same_frames_and_another_seed_others() {
    let frame = |seed| Clip::new(small(seed)).frame(25);
    assert_eq!(frame(1), frame(1));
    assert_ne!(frame(1), frame(2));
}

#[test]
fn heel_and_rises_are_as_asked_for_on_either_side() {
    for side in Side::BOTH {
        let mut spec = small(4);
        spec.legs[0].side = side;
        spec.legs[0].decay = 0.2;
        let clip = Clip::new(spec);
        let truth = &clip.truth().legs[0];
        assert!(
            (truth.front_deg[0] - 6.0).abs() < 0.2,
            "{}",
            truth.front_deg[0]
        );
        assert_eq!(truth.rises.len(), 2);
        for rise in &truth.rises {
            assert!((rise.change_deg + 9.0).abs() < 0.6, "{rise:?}");
        }
        let share = truth.rises[1].height_mm / truth.rises[0].height_mm;
        assert!((share - 0.8).abs() < 0.01 && (truth.rises[0].height_mm - 90.0).abs() < 4.0);
    }
}

#[test]
fn seen_from_straight_behind_the_angle_is_that_across_the_foot() {
    let clip = Clip::new(small(5));
    let truth = &clip.truth().legs[0];
    for (seen, front) in truth.seen_deg.iter().zip(&truth.front_deg) {
        assert!((seen - front).abs() < 0.6, "{seen} {front}");
    }
}

#[test]
fn a_camera_five_degrees_askew_sees_a_pitched_heel_lean_by_the_known_formula() {
    let mut spec = small(6);
    spec.yaw_deg = 5.0;
    spec.legs[0].turn_deg = 0.0;
    let clip = Clip::new(spec);
    let truth = &clip.truth().legs[0];
    let top = (0..clip.count())
        .max_by(|a, b| truth.height_mm[*a].total_cmp(&truth.height_mm[*b]))
        .unwrap();
    let pitch = (90.0f64 / 172.0).asin();
    let expected = (pitch.tan() * 5f64.to_radians().sin()).atan().to_degrees();
    let false_turn =
        (truth.seen_deg[top] - truth.front_deg[top]) - (truth.seen_deg[0] - truth.front_deg[0]);
    // The shank's own lean changes by 2° to 3° on the way up, and perspective adds a little.
    assert!(
        (false_turn.abs() - expected).abs() < 0.8,
        "{false_turn} {expected}"
    );
}

#[test]
fn a_sticker_is_drawn_where_the_truth_has_it() {
    let mut spec = small(7);
    (spec.width, spec.height, spec.px_per_mm) = (480, 640, 1.5);
    (spec.noise, spec.blur_px) = (0.0, 0.3);
    let clip = Clip::new(spec);
    for frame in [0, 26] {
        let bytes = clip.frame(frame);
        for (x, y) in clip.truth().legs[0].spots[frame] {
            let at = |dx: i64, dy: i64| {
                f64::from(
                    bytes
                        [(y.round() as i64 + dy) as usize * 480 + (x.round() as i64 + dx) as usize],
                )
            };
            let ring: Vec<f64> = (0..24)
                .map(|k| f64::from(k) * std::f64::consts::TAU / 24.0)
                .map(|a| {
                    at(
                        (4.0 * a.cos()).round() as i64,
                        (4.0 * a.sin()).round() as i64,
                    )
                })
                .collect();
            let least = ring.iter().copied().fold(f64::INFINITY, f64::min);
            let most = ring.iter().copied().fold(0.0, f64::max);
            assert!(most - least > 60.0, "{frame} {x} {y}: {least} {most}");
        }
    }
}
