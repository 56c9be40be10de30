//! The picture that follows a hand lies on the solid that is made.

mod common;

use common::{POWDER, foot, plain, posted};
use mesh::near::Tree;
use mesh::topology::{EdgeKind, Topology};
use quantity::Length;
use shell::Detail;
use shell::prescription::{Prescription, TrimEdit};
use terms::Side;

/// How far corners of the picture lie off the solid, mm, the worst twentieth left out; and both volumes.
fn beside(wanted: &Prescription) -> (f64, f64, [f64; 2]) {
    let foot = foot(255.0, 18.0, Side::Right);
    let solid = shell::build(&foot, wanted, &POWDER, Detail::FINAL).unwrap();
    let led = shell::lead(&foot, wanted, &POWDER).unwrap();
    assert_eq!(led.bodies.len(), solid.bodies.len());
    let (solid, led) = (&solid.bodies[0].mesh, &led.bodies[0].mesh);
    let tree = Tree::of(solid);
    let mut off: Vec<f64> = led
        .vertices
        .iter()
        .map(|&p| tree.nearest(p).map_or(f64::INFINITY, |n| n.distance))
        .collect();
    off.sort_by(f64::total_cmp);
    let worst = off[off.len() - 1];
    (
        off[off.len() * 19 / 20],
        worst,
        [led.volume(), solid.volume()],
    )
}

#[test]
fn sheets_lie_on_the_solid_and_hold_as_much() {
    let (most, worst, [led, solid]) = beside(&plain());
    assert!(most < 0.25, "{most}");
    assert!(worst < 1.5, "{worst}");
    assert!((led / solid - 1.0).abs() < 0.02, "{led} {solid}");
}

#[test]
fn a_trim_line_moved_by_hand_is_followed() {
    let mut wanted = plain();
    wanted.shell.trim = vec![TrimEdit {
        station: 0.8,
        outward: Length::mm(-6.0),
    }];
    let (most, worst, [led, solid]) = beside(&wanted);
    assert!(most < 0.25, "{most}");
    assert!(worst < 1.5, "{worst}");
    assert!((led / solid - 1.0).abs() < 0.02, "{led} {solid}");
}

#[test]
fn the_shell_is_closed_and_turned_outward() {
    let led = shell::lead(&foot(255.0, 18.0, Side::Left), &plain(), &POWDER).unwrap();
    let mesh = &led.bodies[0].mesh;
    let topology = Topology::of(mesh);
    let edges = 0..topology.edge_count() as u32;
    assert!(
        edges
            .into_iter()
            .all(|e| topology.kind(e) == EdgeKind::Inner)
    );
    assert!(mesh.volume() > 0.0);
}

#[test]
fn a_post_reaches_from_its_plane_into_the_shell() {
    let mut wanted = posted(4.0);
    if let Some(post) = &mut wanted.rearfoot_post {
        post.separate = true;
    }
    let foot = foot(255.0, 18.0, Side::Right);
    let solid = shell::build(&foot, &wanted, &POWDER, Detail::PREVIEW).unwrap();
    let led = shell::lead(&foot, &wanted, &POWDER).unwrap();
    let (post, made) = (&led.bodies[1].mesh, &solid.bodies[1].mesh);
    assert!(post.volume() > 0.0);
    let [(low, _), (made_low, _)] = [post, made].map(|m| m.bounds().unwrap());
    assert!((low[2] - made_low[2]).abs() < 0.3, "{low:?} {made_low:?}");
    // It runs into the shell, no farther than the wall of 3 mm hides it.
    for k in 0..2 {
        assert!((low[k] - made_low[k]).abs() < 3.0, "{low:?} {made_low:?}");
    }
    assert!(post.volume() > made.volume());
}

#[test]
fn what_the_solid_refuses_is_refused_here_in_the_same_words() {
    let mut wanted = plain();
    wanted.shell.heel_cup_depth = Length::mm(500.0);
    let foot = foot(255.0, 18.0, Side::Right);
    let solid = shell::build(&foot, &wanted, &POWDER, Detail::PREVIEW).unwrap_err();
    let led = shell::lead(&foot, &wanted, &POWDER).unwrap_err();
    assert_eq!(solid.to_string(), led.to_string());
}
