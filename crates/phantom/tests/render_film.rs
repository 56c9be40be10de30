//! Does a film of the phantom obey geometry, chance and side?

use phantom::expose::{
    BallWish, Collimation, Exposure, MeshBone, MeshFoot, PhantomFilm, expose_meshes,
};
use phantom::render::shapes::{ball, cuboid};
use std::collections::BTreeMap;
use terms::{Side, View};

/// Two blocks and a ball-shaped heel: enough of a foot to place a film on.
fn plain_foot(side: Side) -> MeshFoot {
    let out = if side == Side::Right { 1.0 } else { -1.0 };
    let bone = |name: &str, low: [f64; 3], high: [f64; 3]| {
        let (a, b) = (low[2] * out, high[2] * out);
        MeshBone {
            name: name.into(),
            outer: cuboid([low[0], low[1], a.min(b)], [high[0], high[1], a.max(b)]),
            inner: None,
            density: 1.0,
        }
    };
    let heel = ball([30.0, 35.0, 0.0], 22.0, 64);
    MeshFoot {
        side,
        bones: vec![
            MeshBone {
                name: "calcaneus".into(),
                outer: heel,
                inner: None,
                density: 1.0,
            },
            bone("talus", [40.0, 58.0, -14.0], [85.0, 80.0, 10.0]),
            bone("metatarsal 5", [110.0, 8.0, 20.0], [180.0, 20.0, 32.0]),
        ],
        skin: None,
    }
}

fn small(view: View) -> Exposure {
    Exposure {
        pixel_mm: 0.5,
        width: 600,
        height: 480,
        marker: false,
        ..Exposure::usual(view)
    }
}

fn without_noise(mut exposure: Exposure) -> Exposure {
    exposure.counting.counts = 0.0;
    exposure
}

#[test]
fn a_steel_ball_is_drawn_larger_by_source_over_object_distance() {
    for (view, oblique) in [
        (View::Lateral, false),
        (View::HindfootAlignment, false),
        (View::Dorsoplantar, true),
    ] {
        let exposure = Exposure {
            pixel_mm: 0.1,
            width: 3000,
            height: 2400,
            ball: Some(BallWish {
                diameter_mm: 30.0,
                centre_mm: None,
            }),
            marker: false,
            ..without_noise(small(view))
        };
        let film = expose_meshes(&plain_foot(Side::Right), &exposure).unwrap();
        let truth = film.ball.unwrap();
        let (across, down) = extent_of_metal(&film, truth.centre_px);
        // An oblique detector stretches the shadow along the beam's tilt (down the film) only.
        let width = across * 0.1 / 30.0;
        assert!(
            (width / truth.magnification - 1.0).abs() < 0.005,
            "{view:?} {width} {}",
            truth.magnification
        );
        if !oblique {
            assert!(
                (down / across - 1.0).abs() < 0.006,
                "{view:?} {across} {down}"
            );
            let plain = exposure.source_to_detector_mm;
            assert!(truth.magnification > 1.0 && truth.magnification < plain / (plain - 400.0));
        }
        assert!((truth.diameter_px / across - 1.0).abs() < 0.005);
    }
}

/// Width and height of the metal at its middle, to a part of a pixel at half its brightness.
fn extent_of_metal(film: &PhantomFilm, [cx, cy]: [f64; 2]) -> (f64, f64) {
    let at = |x: f64, y: f64| {
        f64::from(film.pixels[y.round() as usize * film.width + x.round() as usize])
    };
    let middle = at(cx, cy);
    let reach = |dx: f64, dy: f64| {
        // Outside the ball lies air: half way between is its edge.
        let edge = (middle + at(cx + 260.0 * dx, cy + 260.0 * dy)) / 2.0;
        let mut step = 100.0;
        while at(cx + step * dx, cy + step * dy) > edge {
            step += 1.0;
        }
        let (high, low) = (
            at(cx + (step - 1.0) * dx, cy + (step - 1.0) * dy),
            at(cx + step * dx, cy + step * dy),
        );
        step - 1.0 + (high - edge) / (high - low)
    };
    (
        reach(1.0, 0.0) + reach(-1.0, 0.0),
        reach(0.0, 1.0) + reach(0.0, -1.0),
    )
}

#[test]
fn the_same_seed_gives_the_same_film_and_another_seed_another_noise() {
    let foot = plain_foot(Side::Right);
    let film = |seed| {
        let mut exposure = small(View::Lateral);
        exposure.counting.seed = seed;
        expose_meshes(&foot, &exposure).unwrap().pixels
    };
    let (a, b, c) = (film(4), film(4), film(5));
    assert!(a == b);
    assert!(a.iter().zip(&c).filter(|(a, c)| a != c).count() > a.len() / 4);
}

#[test]
fn a_left_foot_is_the_mirror_image_of_a_right_one_in_every_view() {
    for view in View::ALL {
        let exposure = without_noise(small(view));
        // The bone texture is laid along the film's own axes: it is no part of the mirror.
        let film = |side| expose_meshes(&plain_foot(side), &exposure).unwrap();
        let (right, left) = (film(Side::Right), film(Side::Left));
        assert_eq!(right.magnification, left.magnification);
        let w = right.width;
        let mut worst = 0;
        for (y, (r, l)) in right
            .pixels
            .chunks(w)
            .zip(left.pixels.chunks(w))
            .enumerate()
        {
            for x in 0..w {
                let difference = r[x].abs_diff(l[w - 1 - x]);
                assert!(
                    difference < 400,
                    "{view:?} {x} {y}: {} {}",
                    r[x],
                    l[w - 1 - x]
                );
                worst += usize::from(difference > 40);
            }
        }
        // Only edges cut through a pixel's middle may differ.
        assert!(worst < w * 4, "{view:?}: {worst}");
    }
}

#[test]
fn turning_the_foot_outwards_carries_the_toes_to_the_outer_side() {
    let toe = [200.0, 20.0, 0.0];
    for side in Side::BOTH {
        let out = if side == Side::Right { 1.0 } else { -1.0 };
        let seen = |turn: f64| {
            let exposure = Exposure {
                foot_rotation_deg: turn,
                ..without_noise(small(View::Dorsoplantar))
            };
            let film = expose_meshes(&plain_foot(side), &exposure).unwrap();
            let (heel, toe) = (
                film.camera.project([30.0, 20.0, 0.0]),
                film.camera.project(toe),
            );
            (toe[0] - heel[0]) * out
        };
        // Seen from above with the toes up, the outer side of a right foot lies to the right.
        assert!(seen(10.0) > seen(0.0) + 10.0, "{side:?}");
    }
}

#[test]
fn the_toes_point_to_the_right_on_a_right_lateral_film_and_up_from_above() {
    let project = |view, side, at| {
        expose_meshes(&plain_foot(side), &without_noise(small(view)))
            .unwrap()
            .camera
            .project(at)
    };
    let (heel, toe) = ([20.0, 30.0, 0.0], [190.0, 30.0, 0.0]);
    assert!(
        project(View::Lateral, Side::Right, toe)[0] > project(View::Lateral, Side::Right, heel)[0]
    );
    assert!(
        project(View::Lateral, Side::Left, toe)[0] < project(View::Lateral, Side::Left, heel)[0]
    );
    assert!(
        project(View::Dorsoplantar, Side::Right, toe)[1]
            < project(View::Dorsoplantar, Side::Right, heel)[1]
    );
}

#[test]
fn a_known_point_outside_the_exposed_field_is_absent() {
    let mut foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    let key = |k: &str| terms::LandmarkKey::new(k).unwrap();
    let points = BTreeMap::from([
        (key("calc_back"), [60.0, 40.0, 0.0]),
        (key("hallux_tip"), [900.0, 10.0, 0.0]),
    ]);
    foot.landmarks.insert(View::Lateral, points);
    let film = phantom::expose::expose(&foot, &without_noise(small(View::Lateral))).unwrap();
    assert!(film.landmarks_px.contains_key(&key("calc_back")));
    assert!(!film.landmarks_px.contains_key(&key("hallux_tip")));
    assert!(film.facts()["points_px"]["calc_back"].is_array());
}

#[test]
fn the_border_is_blank_and_an_open_collimator_leaves_none() {
    let foot = plain_foot(Side::Right);
    let mut exposure = small(View::Lateral);
    let shut = expose_meshes(&foot, &exposure).unwrap();
    assert!(shut.pixels[..600 * 10].iter().all(|&p| p == 0));
    exposure.collimation = Collimation::Open;
    let open = expose_meshes(&foot, &exposure).unwrap();
    assert!(open.pixels[..600 * 10].iter().filter(|&&p| p > 0).count() > 600 * 9);
}

#[test]
fn an_exposure_that_cannot_be_is_refused_with_what_was_found() {
    let foot = plain_foot(Side::Right);
    let with = |change: fn(&mut Exposure)| {
        let mut exposure = small(View::Lateral);
        change(&mut exposure);
        expose_meshes(&foot, &exposure).unwrap_err().to_string()
    };
    assert!(with(|e| e.pixel_mm = f64::NAN).contains("NaN as the pixel"));
    assert!(with(|e| e.source_to_detector_mm = 0.0).contains("expected 400 to 5000"));
    assert!(with(|e| e.width = 100_000).contains("100000"));
    assert!(with(|e| e.object_to_detector_mm = 900.0).contains("half the source distance"));
    let nothing = MeshFoot {
        side: Side::Left,
        bones: vec![],
        skin: None,
    };
    assert!(
        expose_meshes(&nothing, &small(View::Lateral))
            .unwrap_err()
            .to_string()
            .contains("no bone")
    );
}

#[test]
fn a_film_keeps_every_point_of_its_view_and_both_truths() {
    let foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    for view in View::ALL {
        let film = phantom::expose::expose(&foot, &without_noise(small_but_whole(view))).unwrap();
        let known = &foot.landmarks[&view];
        let missing: Vec<_> = known
            .keys()
            .filter(|k| !film.landmarks_px.contains_key(*k))
            .collect();
        assert!(missing.is_empty(), "{view:?}: {missing:?}");
        let truth = film.truth.as_ref().unwrap();
        assert!(
            !truth.in_space.is_empty() && truth.in_space.len() == truth.on_film.len(),
            "{view:?}"
        );
        for (space, film) in truth.in_space.iter().zip(&truth.on_film) {
            assert_eq!(space.key, film.key);
        }
    }
}

/// The usual film with a quarter of its pixels each way.
fn small_but_whole(view: View) -> Exposure {
    let usual = Exposure::usual(view);
    Exposure {
        pixel_mm: 4.0 * usual.pixel_mm,
        width: usual.width / 4,
        height: usual.height / 4,
        ..usual
    }
}

#[test]
fn a_square_view_without_rotation_shows_the_angles_that_are_there() {
    let foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    let film =
        phantom::expose::expose(&foot, &without_noise(small_but_whole(View::Lateral))).unwrap();
    let truth = film.truth.unwrap();
    let value = |values: &[phantom::truth::TrueValue], key: &str| {
        values
            .iter()
            .find(|v| v.key == key)
            .map(|v| v.true_value)
            .unwrap()
    };
    // The points of one bone lie up to 30 mm apart along the beam; at 1 m that tilts a line by a few degrees
    // at most, and the calcaneus' two points by far less.
    let (space, seen) = (
        value(&truth.in_space, "calc_pitch"),
        value(&truth.on_film, "calc_pitch"),
    );
    assert!((space - seen).abs() < 2.0, "{space} {seen}");
    let (space, seen) = (
        value(&truth.in_space, "meary_lat"),
        value(&truth.on_film, "meary_lat"),
    );
    assert!((space - seen).abs() < 4.0, "{space} {seen}");
}
