//! Which spacing is used, with which error, and what is said about it.

mod common;

use film::scale::{
    Calibration, ObjectDistance, ScaleAnswer, ScaleSource, ScaleWish, Spacing, SpacingFacts, choose,
};

fn square(mm: f64) -> Spacing {
    Spacing::new(mm, mm).unwrap()
}

fn at_detector(mm: f64) -> SpacingFacts {
    SpacingFacts {
        imager_pixel_spacing: Some(square(mm)),
        ..SpacingFacts::default()
    }
}

const FILE: ScaleWish = ScaleWish::File { object: None };

#[track_caller]
fn known(facts: &SpacingFacts, wish: &ScaleWish) -> (f64, f64, f64, ScaleSource, String) {
    match choose(facts, wish) {
        ScaleAnswer::Known {
            scale,
            source,
            words,
        } => (
            scale.mm_per_px_x,
            scale.mm_per_px_y,
            scale.relative_standard_error,
            source,
            words,
        ),
        unknown => panic!("{unknown:?}"),
    }
}

#[track_caller]
fn unknown(facts: &SpacingFacts, wish: &ScaleWish) -> String {
    match choose(facts, wish) {
        ScaleAnswer::Unknown { reason, .. } => reason,
        known => panic!("{known:?}"),
    }
}

#[test]
fn a_calibrated_spacing_is_taken_as_it_is() {
    let facts = SpacingFacts {
        pixel_spacing: Some(square(0.14)),
        calibration: Some(Calibration::Fiducial),
        magnification: Some(1.05),
        ..at_detector(0.15)
    };
    let (x, y, se, source, words) = known(&facts, &FILE);
    assert_eq!((x, y, source), (0.14, 0.14, ScaleSource::CalibratedSpacing));
    assert!((se - 0.01).abs() < 1e-12);
    assert!(
        words.contains("calibrated by the sender on an object of known size"),
        "{words}"
    );
}

#[test]
fn the_detectors_spacing_is_divided_by_the_files_magnification() {
    let facts = SpacingFacts {
        magnification: Some(1.05),
        ..at_detector(0.15)
    };
    let (x, _, se, source, words) = known(&facts, &FILE);
    assert!((x - 0.15 / 1.05).abs() < 1e-12);
    assert_eq!(source, ScaleSource::DetectorSpacing);
    // 10 mm of depth over 1000 mm, times M.
    assert!((se - 0.0105).abs() < 1e-12, "{se}");
    assert!(
        words.contains("ImagerPixelSpacing (0.1500 mm) divided by the magnification 1.050"),
        "{words}"
    );
}

#[test]
fn two_distances_of_the_source_give_the_magnification() {
    let facts = SpacingFacts {
        source_to_detector_mm: Some(1100.0),
        source_to_patient_mm: Some(1000.0),
        ..at_detector(0.11)
    };
    let (x, ..) = known(&facts, &FILE);
    assert!((x - 0.1).abs() < 1e-12);
}

#[test]
fn a_magnification_of_exactly_one_is_what_devices_write_when_nobody_knew() {
    let facts = SpacingFacts {
        magnification: Some(1.0),
        ..at_detector(0.15)
    };
    assert_eq!(
        known(&facts, &FILE).3,
        ScaleSource::UnconfirmedMagnification
    );
}

#[test]
fn without_a_magnification_the_usual_one_is_used_with_its_wide_error_and_says_unconfirmed() {
    let (x, _, se, source, words) = known(&at_detector(0.15), &FILE);
    assert_eq!(source, ScaleSource::UnconfirmedMagnification);
    // SID even over 1000–1100 mm, OID over 20–80 mm: 1/M = 0.952, its spread 0.0166.
    assert!((x / 0.15 - 0.9523).abs() < 2e-4, "{}", x / 0.15);
    assert!((se - 0.0174).abs() < 3e-4, "{se}");
    assert!(
        words.contains("1.02 to 1.09") && words.contains("unconfirmed"),
        "{words}"
    );
}

#[test]
fn a_bare_pixel_spacing_may_already_be_corrected_and_has_a_wider_error() {
    let facts = SpacingFacts {
        pixel_spacing: Some(square(0.15)),
        ..SpacingFacts::default()
    };
    let (_, _, se, source, words) = known(&facts, &FILE);
    assert_eq!(source, ScaleSource::UnconfirmedMagnification);
    assert!(se > known(&at_detector(0.15), &FILE).2);
    assert!(
        words.starts_with("0.1443 mm for each pixel: PixelSpacing"),
        "{words}"
    );
}

#[test]
fn a_measured_distance_gives_a_smaller_error_than_the_usual_one() {
    let wish = ScaleWish::File {
        object: Some(ObjectDistance {
            mm: 50.0,
            se_mm: 5.0,
        }),
    };
    let facts = SpacingFacts {
        source_to_detector_mm: Some(1000.0),
        ..at_detector(0.15)
    };
    let (x, _, se, source, _) = known(&facts, &wish);
    assert_eq!(source, ScaleSource::DetectorSpacing);
    assert!((x - 0.15 * 0.95).abs() < 1e-12);
    assert!(se < 0.006, "{se}");
    let senseless = ScaleWish::File {
        object: Some(ObjectDistance {
            mm: 900.0,
            se_mm: 5.0,
        }),
    };
    assert!(unknown(&facts, &senseless).contains("measure it again"));
}

#[test]
fn an_oblong_pixel_keeps_its_shape_through_every_source() {
    let facts = SpacingFacts {
        imager_pixel_spacing: Some(Spacing::new(0.10, 0.20).unwrap()),
        magnification: Some(1.05),
        ..SpacingFacts::default()
    };
    let wishes = [
        FILE,
        // A ball of 25 mm at 0.1 mm across and 0.2 mm down, not magnified: 250 by 125 pixels.
        ScaleWish::Ball {
            diameter_mm: 25.0,
            diameter_se_mm: 0.05,
            edge_points_px: (0..12)
                .map(|i| f64::from(i) / 12.0 * std::f64::consts::TAU)
                .map(|t| [500.0 + 125.0 * t.cos(), 400.0 + 62.5 * t.sin()])
                .collect(),
            point_se_px: 0.5,
        },
        ScaleWish::KnownLength {
            from_px: [0.0, 0.0],
            to_px: [300.0, 200.0],
            length_mm: 50.0,
            length_se_mm: 0.1,
            point_se_px: 0.5,
        },
    ];
    for wish in &wishes {
        let answer = choose(&facts, wish);
        assert!((answer.pixel_aspect() - 2.0).abs() < 1e-12);
    }
    let (x, y, ..) = known(&facts, &wishes[1]);
    assert!((x - 0.1).abs() < 1e-9 && (y - 0.2).abs() < 1e-9, "{x} {y}");
    // 300 across and 200 of double height: 500 widths for 50 mm.
    let (x, y, ..) = known(&facts, &wishes[2]);
    assert!((x - 0.1).abs() < 1e-12 && (y - 0.2).abs() < 1e-12);
    let angles_only = choose(&facts, &ScaleWish::None);
    assert!((angles_only.pixel_aspect() - 2.0).abs() < 1e-12);
}

#[test]
fn the_error_of_a_ball_joins_points_diameter_and_depth() {
    let points = (0..16)
        .map(|i| f64::from(i) / 16.0 * std::f64::consts::TAU)
        .map(|t| [500.0 + 80.0 * t.cos(), 400.0 + 80.0 * t.sin()])
        .collect();
    let wish = ScaleWish::Ball {
        diameter_mm: 25.0,
        diameter_se_mm: 0.25,
        edge_points_px: points,
        point_se_px: 1.0,
    };
    let (x, _, se, source, _) = known(&SpacingFacts::default(), &wish);
    assert_eq!(source, ScaleSource::Ball);
    assert!((x - 25.0 / 160.0).abs() < 1e-9);
    // 1 px over √16 points on 80 px, 1 % of the diameter, 10 mm of depth in 1000.
    let expected = ((0.25_f64 / 80.0).powi(2) + 0.01_f64.powi(2) + 0.01_f64.powi(2)).sqrt();
    assert!((se - expected).abs() < 1e-9, "{se} {expected}");
}

#[test]
fn a_ball_that_is_none_and_a_length_too_short_are_refused_with_the_reason() {
    let ball = |points: Vec<[f64; 2]>| ScaleWish::Ball {
        diameter_mm: 25.0,
        diameter_se_mm: 0.1,
        edge_points_px: points,
        point_se_px: 0.5,
    };
    let none = SpacingFacts::default();
    assert!(unknown(&none, &ball(vec![[0.0, 0.0], [1.0, 1.0]])).contains("no circle"));
    let square = vec![
        [0.0, 0.0],
        [100.0, 0.0],
        [100.0, 30.0],
        [0.0, 30.0],
        [50.0, 90.0],
    ];
    assert!(unknown(&none, &ball(square)).contains("from one circle"));
    let length = |mm, to| ScaleWish::KnownLength {
        from_px: [10.0, 10.0],
        to_px: to,
        length_mm: mm,
        length_se_mm: 0.1,
        point_se_px: 0.5,
    };
    assert!(unknown(&none, &length(50.0, [12.0, 10.0])).contains("mark something longer"));
    assert!(unknown(&none, &length(0.0, [200.0, 10.0])).contains("expected a size above zero"));
    assert!(
        unknown(&none, &length(f64::NAN, [200.0, 10.0])).contains("expected a size above zero")
    );
    assert!(unknown(&none, &length(50.0, [f64::NAN, 10.0])).contains("pixels apart"));
}

#[test]
fn a_file_without_spacing_refuses_millimetres_and_keeps_the_aspect() {
    let facts = SpacingFacts {
        pixel_aspect: Some(1.25),
        ..SpacingFacts::default()
    };
    assert!(unknown(&facts, &FILE).starts_with("the file gives no pixel spacing"));
    assert!((choose(&facts, &FILE).pixel_aspect() - 1.25).abs() < 1e-12);
}

#[test]
fn an_answer_survives_its_own_json() {
    for wish in [FILE, ScaleWish::None] {
        let answer = choose(&at_detector(0.15), &wish);
        let text = serde_json::to_string(&answer).unwrap();
        let back: ScaleAnswer = serde_json::from_str(&text).unwrap();
        assert_eq!(back, answer, "{text}");
    }
}
