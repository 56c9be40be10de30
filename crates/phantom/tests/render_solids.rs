//! Is the length of a ray inside a closed surface drawn right, and does nothing leak?

use phantom::Mesh;
use phantom::render::shapes::{ball, cuboid};
use phantom::render::{Beam, Camera, Setup, thickness_mm};
use terms::{Side, View};

fn camera(aim: [f64; 3], pixel_mm: f64, width: usize, height: usize) -> Camera {
    Camera::new(&Setup {
        beam: Beam::of(View::Lateral, Side::Right, 0.0),
        aim,
        source_to_detector_mm: 1000.0,
        object_to_detector_mm: 100.0,
        foot_rotation_deg: 0.0,
        side: Side::Right,
        pixel_mm,
        width,
        height,
    })
}

/// Length of the ray to a pixel inside a ball: its closest approach to the centre by Pythagoras, with
/// the ball 900 mm from the source and the pixel 1,000 mm away.
fn length_in_ball(x_mm: f64, y_mm: f64, radius: f64) -> f64 {
    let (distance, detector) = (900.0_f64, 1000.0_f64);
    let off = x_mm.hypot(y_mm);
    let beside = distance * off / detector.hypot(off);
    2.0 * (radius * radius - beside * beside).max(0.0).sqrt()
}

#[test]
fn a_ball_is_as_thick_as_arithmetic_says_at_every_pixel() {
    let radius = 20.0;
    let aim = [5.0, 40.0, -3.0];
    let camera = camera(aim, 0.25, 201, 201);
    let drawn = thickness_mm(&camera, &ball(aim, radius, 600)).unwrap();
    let mut worst = 0.0f64;
    for (i, &got) in drawn.iter().enumerate() {
        let (x, y) = ((i % 201) as f64 - 100.0, (i / 201) as f64 - 100.0);
        let expected = length_in_ball(x * 0.25, y * 0.25, radius);
        // 600 corners around: the flat triangles lie up to 1.1e-3 mm inside the ball; near the rim, where
        // the length falls steeply, that and the snapping to 1/1024 pixel weigh more.
        if expected > 10.0 {
            worst = worst.max((f64::from(got) - expected).abs());
        } else {
            assert!(
                (f64::from(got) - expected).abs() < 1.0,
                "{x} {y}: {got} against {expected}"
            );
        }
    }
    assert!(worst < 0.01, "{worst}");
}

#[test]
fn a_cube_whose_edges_run_through_pixel_centres_leaks_nowhere() {
    // Half the side, drawn at 1000/880 for the near face and 1000/920 for the far one.
    let aim = [0.0, 50.0, 0.0];
    let camera = camera(aim, 0.5, 161, 161);
    let drawn = thickness_mm(&camera, &cuboid([-20.0, 30.0, -20.0], [20.0, 70.0, 20.0])).unwrap();
    let mut inside = 0;
    for (i, &got) in drawn.iter().enumerate() {
        let (x, y) = (
            ((i % 161) as f64 - 80.0) * 0.5,
            ((i / 161) as f64 - 80.0) * 0.5,
        );
        let off = x.abs().max(y.abs());
        let slant = (1000.0f64.powi(2) + x * x + y * y).sqrt() / 1000.0;
        if off < 20.0 * 1000.0 / 920.0 - 0.01 {
            // Through both faces: 40 mm, longer by the slant.
            assert!(
                (f64::from(got) - 40.0 * slant).abs() < 1e-3,
                "{x} {y}: {got}"
            );
            inside += 1;
        } else if off > 20.0 * 1000.0 / 880.0 + 0.01 {
            assert_eq!(got, 0.0, "{x} {y}");
        }
    }
    assert!(inside > 5000);
}

/// A ball of about a million triangles with a rough skin: a cheap hash moves every vertex in or out.
fn rough_ball(centre: [f64; 3], radius: f64) -> Mesh {
    let mut number = 1u32;
    ball(centre, radius, 1000).map(|v| {
        number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let out = 1.0 + 0.004 * (f64::from(number >> 8) / f64::from(1u32 << 24) - 0.5);
        std::array::from_fn(|k| centre[k] + out * (v[k] - centre[k]))
    })
}

#[test]
fn a_million_small_triangles_of_a_rough_ball_leave_no_bright_and_no_dark_pixel() {
    let radius = 30.0;
    let aim = [0.0, 40.0, 0.0];
    let mesh = rough_ball(aim, radius);
    assert!(mesh.triangles.len() > 990_000);
    let camera = camera(aim, 0.1, 801, 801);
    let drawn = thickness_mm(&camera, &mesh).unwrap();
    let (mut covered, mut worst) = (0, 0.0f64);
    for (i, &got) in drawn.iter().enumerate() {
        let (x, y) = (
            ((i % 801) as f64 - 400.0) * 0.1,
            ((i / 801) as f64 - 400.0) * 0.1,
        );
        let expected = length_in_ball(x, y, radius);
        let widest = length_in_ball(x, y, radius * 1.0021);
        if widest == 0.0 {
            assert_eq!(got, 0.0, "leak at {x} {y}");
        } else if expected > 20.0 {
            // ±0.06 mm of skin on both sides, met at up to 70°: a leak would be tens of millimetres.
            worst = worst.max((f64::from(got) - expected).abs());
            covered += 1;
        }
        assert!(got >= -1e-3, "negative at {x} {y}: {got}");
    }
    assert!(covered > 200_000);
    assert!(worst < 0.4, "{worst}");
}

#[test]
fn the_order_of_triangles_and_of_their_corners_changes_no_pixel_beyond_rounding() {
    let aim = [0.0, 40.0, 0.0];
    let mesh = rough_ball(aim, 12.0);
    let mut other = mesh.clone();
    other.triangles.reverse();
    for t in &mut other.triangles {
        t.rotate_left(1);
    }
    let camera = camera(aim, 0.15, 200, 200);
    let (a, b) = (
        thickness_mm(&camera, &mesh).unwrap(),
        thickness_mm(&camera, &other).unwrap(),
    );
    let worst = a
        .iter()
        .zip(&b)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0f32, f32::max);
    assert!(worst < 1e-3, "{worst}");
}

#[test]
fn a_solid_beside_the_tube_is_refused_with_a_sentence() {
    let camera = camera([0.0, 40.0, 0.0], 0.5, 50, 50);
    let behind = ball([0.0, 40.0, 905.0], 20.0, 16);
    assert!(
        thickness_mm(&camera, &behind)
            .unwrap_err()
            .to_string()
            .contains("focus")
    );
}

#[test]
fn a_point_is_drawn_larger_the_nearer_it_lies_to_the_tube() {
    let camera = camera([0.0, 40.0, 0.0], 0.1, 1000, 1000);
    let one = |z: f64| {
        let (a, b) = (
            camera.project([0.0, 40.0, z]),
            camera.project([10.0, 40.0, z]),
        );
        (b[0] - a[0]) * 0.1 / 10.0
    };
    assert!((one(0.0) - 1000.0 / 900.0).abs() < 1e-12);
    assert!((one(100.0) - 1000.0 / 800.0).abs() < 1e-12);
    assert!((camera.magnification([3.0, 2.0, -50.0]) - 1000.0 / 950.0).abs() < 1e-12);
}
