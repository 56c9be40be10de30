//! What must not become a foot is refused with one sentence, and with the right one.

mod common;

use common::{load_of, prepared, scan};
use mesh::Mesh;
use mesh::shapes::{ball, beside, cuboid, quartered, shifted, torus};
use phantom::scan::{Part, Refusal, ScanSpec, refused};
use surface::{Asked, Load, SurfaceError, Unit, prepare_mesh};
use terms::Side;

/// One line, what was found, what was expected, what to do.
fn is_one_sentence(error: &SurfaceError) {
    let said = error.to_string();
    assert!(
        said.starts_with("found ") && said.contains("expected ") && said.contains(": "),
        "{said}"
    );
    assert!(!said.ends_with('.') && !said.contains('\n'), "{said}");
}

#[test]
fn every_scan_that_must_be_refused_is_refused_for_its_own_reason() {
    for (spec, reason) in refused() {
        let scan = scan(&spec);
        let asked = Asked {
            side: Some(spec.skin.foot.side),
            ..Asked::load(load_of(&spec))
        };
        let error = match prepared(&scan.mesh, &asked) {
            Err(error) => error,
            Ok(_) => panic!("{} was taken for a foot", spec.name),
        };
        eprintln!("{:48} {error}", spec.name);
        is_one_sentence(&error);
        let right = match reason {
            Refusal::NoSole => matches!(error, SurfaceError::NoSole),
            Refusal::CutThroughArch => matches!(error, SurfaceError::CutThrough { .. }),
            Refusal::BothFeet => matches!(error, SurfaceError::MoreThanOne { found: 2 }),
            Refusal::NotAFoot => {
                matches!(
                    error,
                    SurfaceError::NotAFoot { .. } | SurfaceError::NoHeelAndBall
                )
            }
            Refusal::WrongSide => matches!(
                error,
                SurfaceError::WrongSide {
                    found: Side::Left,
                    ..
                }
            ),
            Refusal::NoUnitFits => matches!(error, SurfaceError::NoUnitFits { .. }),
            Refusal::TooFewTriangles => matches!(error, SurfaceError::TooFewTriangles { .. }),
        };
        assert!(right, "{}: {error}", spec.name);
    }
}

#[test]
fn half_a_foot_is_refused_from_every_direction() {
    let (base, _) = refused()
        .into_iter()
        .find(|(s, _)| s.part == Part::Rear)
        .expect("a preset");
    for part in [Part::Rear, Part::Front, Part::Upper] {
        for turn_deg in [
            [0.0; 3],
            [90.0, 10.0, 0.0],
            [-70.0, 33.0, 190.0],
            [15.0, -100.0, 60.0],
        ] {
            let spec = ScanSpec {
                part,
                turn_deg,
                noise_mm: 0.1,
                triangles: 40_000,
                ..base.clone()
            };
            let error =
                prepared(&scan(&spec).mesh, &Asked::load(Load::None)).expect_err("half a foot");
            let right = match part {
                Part::Upper => matches!(error, SurfaceError::NoSole),
                _ => matches!(error, SurfaceError::CutThrough { .. }),
            };
            assert!(right, "{part:?} {turn_deg:?}: {error}");
        }
    }
}

#[test]
fn bodies_that_are_no_feet_are_refused() {
    let long = |m: Mesh, by: [f64; 3]| m.map(|v| [v[0] * by[0], v[1] * by[1], v[2] * by[2]]);
    let box_like = quartered(&cuboid([0.0; 3], [250.0, 95.0, 60.0]), 5);
    let bodies: [(&str, Mesh); 6] = [
        ("a ball", ball(120.0, 5)),
        ("an egg", long(ball(1.0, 5), [125.0, 48.0, 40.0])),
        ("a box", box_like.clone()),
        ("a ring", torus(90.0, 30.0, 120, 60)),
        (
            "a plate",
            quartered(&cuboid([0.0; 3], [250.0, 95.0, 3.0]), 5),
        ),
        (
            "a pillar",
            quartered(&cuboid([0.0; 3], [80.0, 80.0, 300.0]), 5),
        ),
    ];
    for (name, body) in bodies {
        let error = prepared(&body, &Asked::load(Load::None)).expect_err(name);
        eprintln!("{name:10} {error}");
        is_one_sentence(&error);
    }
    let two = beside(&box_like, &shifted(&box_like, [0.0, 200.0, 0.0]));
    let error = prepared(&two, &Asked::load(Load::None)).expect_err("two boxes");
    assert_eq!(error, SurfaceError::MoreThanOne { found: 2 });
}

#[test]
fn damaged_numbers_and_loose_triangles_harm_nothing() {
    let mut state = 9u64;
    let mut unit = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut soup = Mesh::default();
    for _ in 0..4000 {
        soup.vertices
            .push([unit() * 250.0, unit() * 100.0, unit() * 90.0]);
    }
    for _ in 0..9000 {
        soup.triangles
            .push([0; 3].map(|_| (unit() * 4100.0) as u32));
    }
    let mut torn = quartered(&cuboid([0.0; 3], [250.0, 95.0, 60.0]), 5);
    for (i, v) in torn
        .vertices
        .iter_mut()
        .enumerate()
        .filter(|(i, _)| i % 7 == 0)
    {
        *v = if i % 2 == 0 {
            [f64::NAN; 3]
        } else {
            [f64::INFINITY, 0.0, 0.0]
        };
    }
    let flat = Mesh {
        vertices: soup.vertices.iter().map(|v| [v[0], v[1], 0.0]).collect(),
        triangles: soup.triangles.clone(),
    };
    let point = Mesh {
        vertices: vec![[1.0; 3]; 4000],
        triangles: soup.triangles.clone(),
    };
    let far = soup.map(|v| v.map(|c| c * 1e300));
    let empty = Mesh::default();
    for mesh in [soup, torn, flat, point, far, empty] {
        let error = prepared(&mesh, &Asked::load(Load::Full)).expect_err("no foot");
        is_one_sentence(&error);
    }
}

#[test]
fn a_unit_that_was_said_wrongly_is_refused_and_one_said_rightly_is_taken() {
    let spec = ScanSpec {
        triangles: 40_000,
        ..ScanSpec::default()
    };
    let mesh = scan(&spec).mesh;
    let ask = |unit| {
        let asked = Asked {
            unit: Some(unit),
            ..Asked::load(Load::None)
        };
        prepare_mesh(mesh.clone(), None, &asked, &mut |_, _| {})
    };
    assert!(matches!(
        ask(Unit::Inch),
        Err(SurfaceError::UnitDoesNotFit { .. })
    ));
    assert!(ask(Unit::Millimetre).is_ok());
}
