//! A film stored flipped or turned reads the same, and points that contradict themselves are told.

use knowledge::Knowledge;
use quantity::PixelScale;
use reading::figures::{Draws, invented_cases, invented_film, invented_points};
use reading::{FilmFacts, PlacedPoint, PointSet, Reader, WarningKind};
use terms::{LandmarkKey, Side, View};

fn key(name: &str) -> LandmarkKey {
    LandmarkKey::new(name).expect("a good key")
}

/// The film carried through `p ↦ a·p + b`; covariances go along.
fn carried(set: &PointSet, a: [[f64; 2]; 2], b: [f64; 2]) -> PointSet {
    let mut out = set.clone();
    for p in out.points.values_mut() {
        let (x, y) = (p.x_px, p.y_px);
        p.x_px = a[0][0] * x + a[0][1] * y + b[0];
        p.y_px = a[1][0] * x + a[1][1] * y + b[1];
        p.covariance_px2 = p.covariance_px2.map(|c| {
            let half = [
                [
                    a[0][0] * c[0][0] + a[0][1] * c[1][0],
                    a[0][0] * c[0][1] + a[0][1] * c[1][1],
                ],
                [
                    a[1][0] * c[0][0] + a[1][1] * c[1][0],
                    a[1][0] * c[0][1] + a[1][1] * c[1][1],
                ],
            ];
            let cell = |i: usize, j: usize| half[i][0] * a[j][0] + half[i][1] * a[j][1];
            let off = 0.5 * (cell(0, 1) + cell(1, 0));
            [[cell(0, 0), off], [off, cell(1, 1)]]
        });
    }
    out
}

fn assert_same(view: View, a: &PointSet, fa: &FilmFacts, b: &PointSet, fb: &FilmFacts, what: &str) {
    let reader = Reader::new(Knowledge::built_in(), view);
    let (one, other) = (reader.estimates(a, fa), reader.estimates(b, fb));
    assert!(
        one.iter().all(Option::is_some),
        "every measure is read on {}",
        view.words()
    );
    for (key, (x, y)) in reader.measures().zip(one.iter().zip(&other)) {
        let (x, y) = (
            x.expect("read"),
            y.unwrap_or_else(|| panic!("{key} refused, {what}")),
        );
        assert!(
            (x.value - y.value).abs() < 1e-8,
            "{key}: {x:?} {y:?}, {what}"
        );
        let apart = (x.standard_error - y.standard_error).abs();
        assert!(
            apart < 1e-8 * (1.0 + x.standard_error),
            "{key}: {x:?} {y:?}, {what}"
        );
    }
}

/// All eight ways a scanner can store the same film: four quarter turns, each mirrored or not.
#[test]
fn a_film_stored_flipped_or_turned_by_quarters_reads_the_same() {
    let ways = [
        [[1.0, 0.0], [0.0, 1.0]],
        [[0.0, -1.0], [1.0, 0.0]],
        [[-1.0, 0.0], [0.0, -1.0]],
        [[0.0, 1.0], [-1.0, 0.0]],
        [[-1.0, 0.0], [0.0, 1.0]],
        [[1.0, 0.0], [0.0, -1.0]],
        [[0.0, 1.0], [1.0, 0.0]],
        [[0.0, -1.0], [-1.0, 0.0]],
    ];
    for view in View::ALL {
        // Every fourth case has tall pixels, which a quarter turn would lay flat: leave those out.
        let cases = invented_cases(view, 40, 5).into_iter().enumerate();
        for (_, (set, film)) in cases.filter(|(i, _)| i % 4 != 3) {
            for a in ways {
                let back = |r: [f64; 2]| if r[0] + r[1] < 0.0 { 2999.0 } else { 0.0 };
                let turned = carried(&set, a, [back(a[0]), back(a[1])]);
                assert_same(view, &set, &film, &turned, &film, &format!("{a:?}"));
            }
        }
    }
}

/// By any angle: the lateral view with its floor points; the others except the moment arm, whose
/// level is the film's edge.
#[test]
fn a_film_turned_by_any_angle_reads_the_same_angles() {
    let mut draws = Draws::new(3);
    let wide = FilmFacts {
        width_px: 9000,
        height_px: 9000,
        ..invented_film()
    };
    for view in [View::Lateral, View::Dorsoplantar, View::AnkleFront] {
        for (set, _) in invented_cases(view, 60, 9).into_iter().step_by(2) {
            let angle = 0.35 * (2.0 * draws.uniform() - 1.0);
            let (s, c) = angle.sin_cos();
            let set = carried(&set, [[1.0, 0.0], [0.0, 1.0]], [3000.0, 3000.0]);
            let turned = carried(&set, [[c, -s], [s, c]], [1000.0, 1000.0]);
            assert_same(
                view,
                &set,
                &wide,
                &turned,
                &wide,
                &format!("turned by {angle} rad"),
            );
        }
    }
}

#[test]
fn tall_pixels_read_like_square_ones() {
    for view in View::ALL {
        let (film, mut set) = (invented_film(), invented_points(view));
        for p in set.points.values_mut() {
            p.covariance_px2 = Some([[16.0, 3.0], [3.0, 25.0]]);
        }
        let tall = carried(&set, [[1.0, 0.0], [0.0, 0.8]], [0.0, 0.0]);
        let scale = PixelScale {
            mm_per_px_y: 0.125,
            ..film.scale.expect("a scale")
        };
        let tall_film = FilmFacts {
            scale: Some(scale),
            ..film.clone()
        };
        assert_same(view, &set, &film, &tall, &tall_film, "tall pixels");
    }
}

#[test]
fn angles_without_a_scale_use_the_pixel_aspect() {
    let set = invented_points(View::Dorsoplantar);
    let tall = carried(&set, [[1.0, 0.0], [0.0, 0.8]], [0.0, 0.0]);
    let bare = FilmFacts {
        scale: None,
        ..invented_film()
    };
    let tall_film = FilmFacts {
        pixel_aspect: Some(1.25),
        ..bare.clone()
    };
    let reader = Reader::new(Knowledge::built_in(), View::Dorsoplantar);
    let pairs = reader
        .estimates(&set, &bare)
        .into_iter()
        .zip(reader.estimates(&tall, &tall_film));
    for (a, b) in pairs {
        let (a, b) = (a.expect("read"), b.expect("read"));
        assert!((a.value - b.value).abs() < 1e-8, "{a:?} {b:?}");
    }
}

#[test]
fn a_left_foot_said_to_be_right_is_told() {
    let mirrored = |set: &PointSet| carried(set, [[-1.0, 0.0], [0.0, 1.0]], [2999.0, 0.0]);
    let reader = Reader::new(Knowledge::built_in(), View::Dorsoplantar);
    let right = invented_points(View::Dorsoplantar);
    assert!(reader.read(&right, &invented_film()).warnings.is_empty());
    let sheet = reader.read(&mirrored(&right), &invented_film());
    assert_eq!(sheet.frame.and_then(|f| f.side_shown), Some(Side::Left));
    let told: Vec<&str> = sheet
        .warnings
        .iter()
        .filter(|w| w.kind == WarningKind::SideContradiction)
        .map(|w| w.sentence.as_str())
        .collect();
    assert_eq!(
        told,
        [
            "the points show a left foot and the side said is right: check the side marker, or whether the film is mirrored"
        ]
    );
}

#[test]
fn exchanged_inner_and_outer_edges_are_told() {
    let reader = Reader::new(Knowledge::built_in(), View::HindfootAlignment);
    let mut set = invented_points(View::HindfootAlignment);
    let (med, lat) = (key("hf_calc_lower_med"), key("hf_calc_lower_lat"));
    let (a, b) = (set.points[&med], set.points[&lat]);
    set.points.insert(med, b);
    set.points.insert(lat, a);
    let sheet = reader.read(&set, &invented_film());
    let told = sheet
        .warnings
        .iter()
        .find(|w| w.kind == WarningKind::Exchanged)
        .expect("told");
    assert!(
        told.sentence
            .contains("hf_calc_lower_med and hf_calc_lower_lat"),
        "{}",
        told.sentence
    );
}

#[test]
fn the_drawing_of_a_flipped_film_is_the_flipped_drawing() {
    for view in View::ALL {
        let reader = Reader::new(Knowledge::built_in(), view);
        let set = invented_points(view);
        let flipped = carried(&set, [[-1.0, 0.0], [0.0, 1.0]], [2999.0, 0.0]);
        let film = invented_film();
        let (a, b) = (reader.read(&set, &film), reader.read(&flipped, &film));
        for (one, other) in a.readings.iter().zip(&b.readings) {
            let (one, other) = (&one.drawing, &other.drawing);
            assert!(!one.segments.is_empty());
            let near = |p: [f64; 2], q: [f64; 2]| {
                assert!((2999.0 - p[0] - q[0]).abs() < 1e-6 && (p[1] - q[1]).abs() < 1e-6);
            };
            near(one.label_at, other.label_at);
            for (s, t) in one.segments.iter().zip(&other.segments) {
                near(s[0], t[0]);
                near(s[1], t[1]);
            }
            assert_eq!(one.arc.is_some(), other.arc.is_some());
            if let (Some(s), Some(t)) = (one.arc, other.arc) {
                for (p, q) in s.polyline(4).into_iter().zip(t.polyline(4)) {
                    near(p, q);
                }
            }
        }
    }
}

#[test]
fn up_is_assumed_and_said_where_no_point_tells_it() {
    let reader = Reader::new(Knowledge::built_in(), View::Lateral);
    let mut set = PointSet::new(View::Lateral, None);
    set.points
        .insert(key("calc_plantar_tuber"), PlacedPoint::at(400.0, 1900.0));
    set.points
        .insert(key("calc_plantar_front"), PlacedPoint::at(1000.0, 1700.0));
    let sheet = reader.read(&set, &invented_film());
    assert_eq!(sheet.readings.len(), 1, "{:?}", sheet.readings);
    assert!((sheet.readings[0].estimate.value - 18.435).abs() < 1e-3);
    assert!(
        sheet.readings[0]
            .notes
            .iter()
            .any(|n| n.starts_with("No floor points"))
    );
    assert!(
        sheet
            .warnings
            .iter()
            .any(|w| w.kind == WarningKind::Assumed)
    );
}
