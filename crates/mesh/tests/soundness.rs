//! Does the check measure what is known, and does every fault get its sentence?

use mesh::Mesh;
use mesh::check::{Count, Fault, Options, Report, check, closed};
use mesh::shapes::{ball, beside, cuboid, icosahedron, quartered, shifted, torus};
use std::f64::consts::PI;

fn of(mesh: &Mesh) -> Report {
    check(mesh, &Options::default())
}

fn sentences(mesh: &Mesh) -> Vec<String> {
    of(mesh).faults.iter().map(Fault::to_string).collect()
}

#[test]
fn volumes_and_genus_are_those_of_geometry() {
    // Regular icosahedron: 5/12 (3 + √5) a³ and 5 √3 a² (common geometry).
    let a: f64 = 7.0;
    let report = of(&icosahedron(a));
    let volume = 5.0 / 12.0 * (3.0 + 5f64.sqrt()) * a.powi(3);
    assert!((report.volume.unwrap() / volume - 1.0).abs() < 1e-12);
    assert!((report.area / (5.0 * 3f64.sqrt() * a * a) - 1.0).abs() < 1e-12);
    assert_eq!(
        (report.vertices, report.edges, report.triangles),
        (12, 30, 20)
    );
    assert_eq!((report.genus, report.components), (Some(0), 1));

    let cube = of(&shifted(
        &cuboid([0.0; 3], [2.0, 3.0, 4.0]),
        [1e6, -1e6, 3e5],
    ));
    assert!((cube.volume.unwrap() - 24.0).abs() < 1e-6 && cube.is_sound());
    assert!((cube.area - 52.0).abs() < 1e-9);

    // A ring of flats, each section the regular polygon of the tube: its volume is 2 π² R r² times the share of
    // the circle that the polygon of n corners has, sin(2π/n) / (2π/n), and the same for the way around.
    let (around, across) = (90, 48);
    let ring = of(&torus(30.0, 8.0, around, across));
    let part = |n: u32| (2.0 * PI / f64::from(n)).sin() / (2.0 * PI / f64::from(n));
    let exact = 2.0 * PI * PI * 30.0 * 64.0 * part(around) * part(across);
    // Its quadrangles are not flat, so that either diagonal adds or takes a little.
    assert!(
        (ring.volume.unwrap() / exact - 1.0).abs() < 1e-3,
        "{:?} {exact}",
        ring.volume
    );
    assert_eq!((ring.genus, ring.components), (Some(1), 1));
    assert!(ring.is_sound(), "{:?}", ring.faults);

    let both = of(&beside(
        &ball(5.0, 2),
        &shifted(&torus(30.0, 8.0, 40, 20), [0.0, 0.0, 1.0]),
    ));
    assert_eq!((both.genus, both.components), (Some(1), 2));
    assert!(both.is_sound());
}

#[test]
fn every_fault_is_named_with_its_count_and_place() {
    let sound = ball(10.0, 2);
    let mut open = sound.clone();
    open.triangles.remove(0);
    let mut turned = sound.clone();
    turned.triangles[5].swap(0, 1);
    let mut crowded = sound.clone();
    let n = crowded.vertices.len() as u32;
    crowded.vertices.push([0.0, 0.0, 30.0]);
    let [a, b, _] = crowded.triangles[7];
    crowded.triangles.push([a, b, n]);
    let mut repeated = sound.clone();
    repeated.triangles.push([3, 3, 4]);
    let mut missing = sound.clone();
    missing.triangles.push([3, 4, 9999]);
    let mut nowhere = sound.clone();
    nowhere.vertices[7] = [f64::NAN, 0.0, 0.0];
    let pinched = {
        // Two tetrahedra that share one corner.
        let corner = |s: f64| vec![[s, 0.0, 0.0], [0.0, s, 0.0], [0.0, 0.0, s]];
        let mut vertices = vec![[0.0; 3]];
        vertices.extend(corner(5.0));
        vertices.extend(corner(-5.0));
        let up = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
        let down = up.map(|t: [u32; 3]| t.map(|v| if v == 0 { 0 } else { v + 3 }));
        Mesh {
            vertices,
            triangles: up
                .into_iter()
                .chain(down.map(|[a, b, c]| [a, c, b]))
                .collect(),
        }
    };
    let hollow = beside(&ball(10.0, 2), &ball(5.0, 2).turned_inside_out());
    let crossing = beside(&sound, &shifted(&sound, [7.0, 0.3, 0.2]));
    let cube = cuboid([0.0; 3], [1.0; 3]);
    let touching = beside(&cube, &shifted(&cube, [1.0, 1.0, 1.0]));
    let tiny = quartered(&cuboid([0.0; 3], [0.01; 3]), 3);
    for (mesh, part) in [
        (Mesh::default(), "found no triangles"),
        (open, "found 3 edges with only one triangle, the first at ("),
        (
            turned,
            "found 3 edges whose two triangles are turned against each other",
        ),
        (crowded, "found 1 edges with more than two triangles"),
        (
            repeated,
            "found 1 triangles that name one corner twice, the first is 320",
        ),
        (
            missing,
            "found triangle 320 with corner 9999 where there are 162 vertices",
        ),
        (nowhere, "found vertex 7 at no finite place"),
        (
            pinched,
            "found 1 vertices where the surface only touches itself, the first at (0.0, 0.0, 0.0)",
        ),
        (hollow, "found 1 parts that face inward"),
        (crossing, "pairs of triangles that run through each other"),
        (
            touching,
            "pairs of triangles that touch without belonging together",
        ),
        (tiny, "triangles smaller than 1e-6 mm²"),
    ] {
        let all = sentences(&mesh);
        assert!(all.iter().any(|s| s.contains(part)), "{part}: {all:?}");
        for sentence in all {
            assert!(sentence.starts_with("found ") && sentence.contains("; expected "));
            assert!(
                sentence.contains(": ") && !sentence.ends_with('.'),
                "{sentence}"
            );
        }
    }
}

#[test]
fn whatever_is_closed_for_the_quick_look_is_told_so() {
    assert_eq!(closed(&ball(3.0, 1)), None);
    let inward = closed(&ball(3.0, 1).turned_inside_out())
        .unwrap()
        .to_string();
    assert!(inward.contains("face inward"), "{inward}");
    assert_eq!(closed(&Mesh::default()), Some(Fault::NoTriangles));
    // Touching itself at a corner is closed all the same; the whole check tells that.
    assert_eq!(
        Count::Exactly(3).to_string() + " " + &Count::AtLeast(9).to_string(),
        "3 at least 9"
    );
}

#[test]
fn the_wall_of_a_hollow_between_two_balls_is_their_distance() {
    let mut shell = beside(
        &ball(20.0, 5),
        &shifted(&ball(17.0, 5), [0.0, 0.0, 0.5]).turned_inside_out(),
    );
    shell.triangles.rotate_left(777);
    let report = of(&shell);
    let wall = report.wall.unwrap();
    // 2.5 mm above, 3.5 mm below, measured straight inward; flats of 1 mm take a hundredth off.
    assert!((wall.least - 2.5).abs() < 0.03, "{wall:?}");
    assert!(wall.least_at[0][2] > 15.0);
    assert!((wall.median - 3.0).abs() < 0.05, "{wall:?}");
    assert!(wall.share > 0.999);
}
