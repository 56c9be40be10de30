//! An invented photograph from behind: lines by hand and lines from the skin's edges.

#[path = "../examples/shared/mod.rs"]
mod shared;

use motion::MotionError;
use motion::frames::{Frame, Frames};
use motion::posture::{BehindMarks, BehindReadings, LineMark, read_behind};
use motion::steps::{Setup, Spot};
use phantom::clip::{Clip, ClipSpec};
use picture::Grey;
use terms::Side;

fn standing(side: Side, seed: u64) -> (Clip, Grey) {
    let mut spec = ClipSpec::plain(seed);
    (spec.width, spec.height, spec.px_per_mm) = (900, 1200, 2.8);
    spec.legs[0].side = side;
    spec.legs[0].standing_deg = 8.0;
    spec.stickers = false;
    let clip = Clip::new(spec);
    let grey = shared::Drawn(&clip).grey(0).unwrap();
    (clip, grey)
}

fn spot((x, y): (f64, f64)) -> Spot {
    Spot::new(x, y)
}

#[test]
fn points_on_the_middle_of_leg_and_heel_read_the_heel_as_far_out_as_it_stands() {
    for side in Side::BOTH {
        let (clip, _) = standing(side, 5);
        let [a, b, c, d] = clip.truth().legs[0].spots[0];
        let marks = BehindMarks {
            side,
            leg: LineMark::Points {
                upper: spot(a),
                lower: spot(b),
            },
            heel: LineMark::Points {
                upper: spot(c),
                lower: spot(d),
            },
            toes: None,
        };
        let read = read_behind(None, &marks, &Setup::default()).unwrap();
        assert!((read.heel_to_leg.value - 8.0).abs() < 0.3, "{read:?}");
    }
}

fn by_edges(
    clip: &Clip,
    grey: &Grey,
    crooked: f64,
    heel_too: bool,
) -> Result<BehindReadings, MotionError> {
    let [a, b, c, d] = clip.truth().legs[0].spots[0];
    let beside = |p: (f64, f64), by: f64| Spot::new(p.0 + by, p.1);
    let points = LineMark::Points {
        upper: spot(c),
        lower: spot(d),
    };
    let edges = LineMark::Edges {
        upper: beside(c, -crooked),
        lower: beside(d, crooked),
        reach_px: 120.0,
    };
    let marks = BehindMarks {
        side: Side::Right,
        leg: LineMark::Edges {
            upper: beside(a, crooked),
            lower: beside(b, -crooked),
            reach_px: 200.0,
        },
        heel: if heel_too { edges } else { points },
        toes: Some(vec![]),
    };
    read_behind(Some(grey), &marks, &Setup::default())
}

#[test]
fn the_legs_edges_give_the_same_line_from_a_crooked_guess_and_lie_near_the_truth() {
    for seed in [5, 6, 7] {
        let (clip, grey) = standing(Side::Right, seed);
        let straight = by_edges(&clip, &grey, 0.0, false).unwrap();
        let crooked = by_edges(&clip, &grey, 6.0, false).unwrap();
        let apart = straight.heel_to_leg.value - crooked.heel_to_leg.value;
        assert!(apart.abs() < 0.3, "{straight:?} {crooked:?}");
        let (low, high) = straight.heel_to_leg.interval_95();
        assert!(low < 8.0 && 8.0 < high, "{straight:?}");
        assert!(straight.leg_edges.is_some_and(|e| e.len() >= 8));
    }
}

/// A foot turned out stands behind the outer edge of the heel: what is found there is not the heel.
#[test]
fn a_heel_whose_outer_edge_is_not_seen_sends_back_to_points_by_hand() {
    let (clip, grey) = standing(Side::Right, 5);
    let error = by_edges(&clip, &grey, 0.0, true).unwrap_err();
    assert!(error.to_string().contains("by hand"), "{error}");
}

#[test]
fn edges_asked_for_where_the_picture_shows_none_send_back_to_points_by_hand() {
    let grey = Frame::new(300, 300, vec![120; 90_000]).unwrap().grey();
    let line = LineMark::Edges {
        upper: Spot::new(150.0, 50.0),
        lower: Spot::new(150.0, 200.0),
        reach_px: 80.0,
    };
    let marks = BehindMarks {
        side: Side::Left,
        leg: line,
        heel: line,
        toes: None,
    };
    for picture in [Some(&grey), None] {
        let error = read_behind(picture, &marks, &Setup::default()).unwrap_err();
        assert!(error.to_string().contains("by hand"));
    }
}
