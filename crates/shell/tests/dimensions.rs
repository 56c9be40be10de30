//! A device has the dimensions that were asked for, measured on its triangles.

mod common;

use common::{POWDER, foot, plain, posted};
use quantity::{Angle, Length};
use shell::measured::{Dimension, dimensions};
use shell::prescription::{ForefootPost, Prescription, Skive, Thickness};
use shell::{Detail, Device, Part};
use terms::Side;

fn made(wanted: &Prescription, side: Side) -> (Device, Vec<Dimension>) {
    let device = shell::build(&foot(255.0, 18.0, side), wanted, &POWDER, Detail::FINAL).unwrap();
    let bodies: Vec<_> = device
        .bodies
        .iter()
        .map(|b| (b.part, b.mesh.clone()))
        .collect();
    let found = dimensions(&device, wanted, &bodies);
    for d in &found {
        println!("{:45} asked {:?} found {:.3}", d.what, d.asked, d.found);
    }
    (device, found)
}

#[track_caller]
fn all_kept(found: &[Dimension], at_least: usize) {
    let asked = found.iter().filter(|d| d.asked.is_some()).count();
    assert!(asked >= at_least, "only {asked} dimensions were measured");
    let missed: Vec<_> = found.iter().filter(|d| !d.kept()).collect();
    assert!(missed.is_empty(), "{missed:?}");
}

#[test]
fn a_plain_shell_keeps_thickness_cup_and_front_edge() {
    all_kept(&made(&plain(), Side::Right).1, 3);
}

#[test]
fn posts_of_every_angle_are_flat_and_tilted_as_asked() {
    for degrees in [-3.0, 0.0, 2.0, 4.0, 6.0, 9.0] {
        all_kept(&made(&posted(degrees), Side::Left).1, 4);
    }
}

#[test]
fn a_post_of_its_own_is_a_body_with_the_same_tilt() {
    let mut wanted = posted(5.0);
    if let Some(post) = &mut wanted.rearfoot_post {
        post.separate = true;
    }
    let (device, found) = made(&wanted, Side::Right);
    assert_eq!(
        device.bodies.iter().map(|b| b.part).collect::<Vec<_>>(),
        [Part::Shell, Part::RearfootPost]
    );
    all_kept(&found, 4);
}

#[test]
fn a_skive_is_cut_to_its_depth_at_its_angle() {
    for (depth, clipped) in [(2.0, false), (4.0, false), (6.0, false), (4.0, true)] {
        let mut wanted = plain();
        wanted.shell.heel_cup_depth = Length::mm(18.0);
        wanted.corrections.skive = Some(Skive {
            depth: Length::mm(depth),
            angle: Skive::usual_angle(),
            clipped,
        });
        all_kept(&made(&wanted, Side::Right).1, 5);
    }
}

#[test]
fn flange_arch_thickness_and_forefoot_post_are_kept() {
    let mut wanted = posted(4.0);
    wanted.shell.thickness = Thickness::ThickerArch {
        arch: Length::mm(4.0),
        rest: Length::mm(3.0),
    };
    wanted.shell.medial_flange = Some(Length::mm(34.0));
    wanted.forefoot_post = Some(ForefootPost {
        angle: Angle::degrees(3.0),
        length: Length::mm(30.0),
        separate: false,
    });
    all_kept(&made(&wanted, Side::Right).1, 6);
}
