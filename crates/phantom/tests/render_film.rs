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

#[test]
fn the_films_of_a_plain_foot_read_normal_and_those_of_a_collapsed_one_flat() {
    // On the film: a plain foot lies within the band (the first two numbers), a collapsed one at or beyond
    // the third, towards the flat side. Where grown feet have a yardstick, the band is that (two SD about a
    // mean); without one (first-metatarsal declination, navicular and cuboid heights, height over the fifth
    // metatarsal, step, uncoverage) it is chosen wide by hand. Both talocalcaneal angles open only a little
    // in this collapsed foot and stay within their wide bands.
    let rows = [
        (View::Lateral, "meary_lat", -4.0, 4.0, 15.0),
        (View::Lateral, "calc_pitch", 18.0, 30.0, 17.0),
        (View::Lateral, "talar_decl", 21.0, 26.0, 26.0),
        (View::Lateral, "mt1_decl", 15.0, 30.0, 14.0),
        (View::Lateral, "tca_lat", 25.0, 50.0, 46.0),
        (View::Lateral, "c1ma_lat", 124.8, 140.8, 141.7),
        (View::Lateral, "c5ma_lat", 140.0, 152.0, 155.0),
        (View::Lateral, "mc_floor", 18.0, 29.2, 17.9),
        (View::Lateral, "mc_mt5", 5.0, 12.0, 4.5),
        (View::Lateral, "nav_height", 34.0, 46.0, 30.0),
        (View::Lateral, "nav_height_truncated", 0.18, 0.28, 0.16),
        (View::Lateral, "nav_height_foot", 0.14, 0.21, 0.13),
        (View::Lateral, "cuboid_height", 18.0, 27.0, 17.0),
        (View::Lateral, "cyma_step", -4.0, 4.0, 5.5),
        (View::Dorsoplantar, "tca_dp", 15.0, 30.0, 27.0),
        (View::Dorsoplantar, "tnca", 3.6, 12.4, 20.0),
        (View::Dorsoplantar, "tn_uncov", 0.0, 15.0, 20.0),
        (View::Dorsoplantar, "t1mt_dp", 3.4, 12.2, 18.9),
        (View::Dorsoplantar, "t2mt_dp", 0.7, 25.9, 27.5),
        (View::Dorsoplantar, "cc_abd", 0.0, 5.0, 8.0),
        (View::Dorsoplantar, "lia", -15.0, 5.0, 20.0),
        // No sign of collapse; kept within the norm by both.
        (View::Dorsoplantar, "maa", 5.0, 15.0, 5.0),
        (View::HindfootAlignment, "hma", -8.0, 8.0, 8.9),
        (View::HindfootAlignment, "haa", 2.0, 6.0, 9.7),
    ];
    // A collapsed foot here keeps its ankle level.
    let level = [
        ("talar_tilt", -1.5, 1.5),
        ("mdta", 87.7, 96.5),
        ("tibiotalar", 86.2, 98.6),
    ];
    let truths = |pose: phantom::Pose| -> BTreeMap<String, f64> {
        let spec = phantom::FootSpec {
            pose,
            ..phantom::FootSpec::adult()
        };
        let foot = phantom::build(&spec).unwrap();
        View::ALL
            .into_iter()
            .flat_map(|view| {
                let film =
                    phantom::expose::expose(&foot, &without_noise(small_but_whole(view))).unwrap();
                film.truth.unwrap().on_film
            })
            .map(|v| (v.key, v.true_value))
            .collect()
    };
    let plain = truths(phantom::Pose::neutral());
    let flat = truths(phantom::Pose::arch_collapse(1.0));
    assert_eq!((plain.len(), flat.len()), (27, 27));
    for (_, key, low, high, beyond) in rows {
        let (plain, flat) = (plain[key], flat[key]);
        assert!(
            (low..=high).contains(&plain),
            "{key}, plain: {plain:.2} is not within {low} to {high}"
        );
        let falls = beyond < low;
        assert!(
            (flat - beyond) * if falls { -1.0 } else { 1.0 } >= 0.0,
            "{key}, collapsed: {flat:.2} does not reach {beyond}"
        );
    }
    for (key, low, high) in level {
        for value in [plain[key], flat[key]] {
            assert!((low..=high).contains(&value), "{key}: {value:.2}");
        }
    }
}

#[test]
fn the_great_toe_is_on_the_dorsoplantar_film_of_every_grown_foot() {
    for length in [200.0, 255.0, 265.0, 280.0, 300.0] {
        for degree in [0.0, 1.0] {
            let foot = phantom::build(&phantom::FootSpec {
                foot_length_mm: length,
                pose: phantom::Pose::arch_collapse(degree),
                ..phantom::FootSpec::adult()
            })
            .unwrap();
            for usual in [
                Exposure::usual(View::Dorsoplantar),
                Exposure::usual_for_length(View::Dorsoplantar, length),
            ] {
                let shrink = 8;
                let exposure = without_noise(Exposure {
                    pixel_mm: usual.pixel_mm * shrink as f64,
                    width: usual.width / shrink,
                    height: usual.height / shrink,
                    ..usual
                });
                let film = phantom::expose::expose(&foot, &exposure).unwrap();
                let toe = foot.bone("toe 1 distal").unwrap();
                let Collimation::Border { mm } = exposure.collimation else {
                    panic!("the usual film is collimated");
                };
                let border = mm / exposure.pixel_mm;
                let inside = toe.outer.vertices.iter().all(|&v| {
                    let [x, y] = film.camera.project(v);
                    x > border && x < film.width as f64 - border && y > border
                });
                assert!(inside, "{length} mm, collapsed by {degree}");
            }
        }
    }
}

#[test]
fn one_thread_or_three_draw_the_same_film() {
    let foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    let exposure = small_but_whole(View::Dorsoplantar);
    let film = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| phantom::expose::expose(&foot, &exposure).unwrap().pixels)
    };
    assert!(film(1) == film(3));
}

#[test]
fn talus_and_heel_are_seen_through_the_shin_from_above_and_the_toes_beside_them() {
    let foot = phantom::build(&phantom::FootSpec::adult()).unwrap();
    let film = phantom::expose::expose(&foot, &without_noise(small_but_whole(View::Dorsoplantar)))
        .unwrap();
    let mean = |[x, y]: [f64; 2], reach: i64| {
        let mut sum = 0.0;
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let (x, y) = (x as i64 + dx, y as i64 + dy);
                sum += f64::from(film.pixels[y as usize * film.width + x as usize]);
            }
        }
        sum / f64::from(4095 * ((2 * reach + 1) * (2 * reach + 1)) as i32)
    };
    let point = |key: &str| film.landmarks_px[&terms::LandmarkKey::new(key).unwrap()];
    // Parts of full white: the heel below the shin stays under it, a toe's bone well above black.
    let heel = mean(point("dp_calc_back"), 3);
    let toe = mean(point("dp_mt2_head_centre"), 3);
    let head = mean(point("dp_talus_head_lat"), 3);
    assert!(heel < 0.97, "heel {heel:.3}");
    assert!((0.2..0.8).contains(&head), "talar head {head:.3}");
    assert!((0.15..0.7).contains(&toe), "toe {toe:.3}");
    // Of the bone against the flesh beside it, between the second and third metatarsal.
    let [x, y] = point("dp_mt2_head_centre");
    let beside = mean([x + 14.0, y + 10.0], 1);
    assert!(toe > beside + 0.05, "{toe:.3} {beside:.3}");
}
