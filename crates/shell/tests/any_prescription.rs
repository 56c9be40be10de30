//! Whatever is asked for: a sound solid, or a refusal with a reason; never a panic.

mod common;

use common::any::{Dice, any};
use common::{POWDER, foot};
use mesh::check::{Options, check};
use quantity::{Angle, Length};
use shell::prescription::*;
use shell::{Detail, ShellError};
use terms::Side;

#[test]
fn any_prescription_gives_sound_solids_or_a_reason() {
    let mut d = Dice(20_261_126);
    let (mut made, mut refused) = (0, 0);
    let mut volumes = Vec::new();
    for n in 0..60 {
        let length = d.between(130.0, 310.0);
        let arch = length * d.between(0.0, 0.11);
        let side = if d.often(0.5) {
            Side::Left
        } else {
            Side::Right
        };
        let wanted = any(&mut d);
        match shell::build(&foot(length, arch, side), &wanted, &POWDER, Detail::PREVIEW) {
            Ok(device) => {
                made += 1;
                for body in &device.bodies {
                    let report = check(
                        &body.mesh,
                        &Options {
                            crossings: true,
                            wall: None,
                        },
                    );
                    volumes.push(report.volume.unwrap_or(0.0) / length.powi(2));
                    assert!(
                        report.is_sound() && report.components == 1,
                        "prescription {n}, {}: {:?}, {} parts\n{wanted:?}",
                        body.part.words(),
                        report.faults,
                        report.components
                    );
                }
            }
            Err(ShellError::Value { .. }) => refused += 1,
            Err(other) => panic!("prescription {n}: {other}"),
        }
    }
    volumes.sort_by(f64::total_cmp);
    println!(
        "{made} made, {refused} refused, volumes by squared length {:.3?}",
        volumes
    );
    assert!(made > 40);
}

#[test]
fn what_cannot_be_made_is_refused_in_one_sentence() {
    let foot = foot(255.0, 18.0, Side::Right);
    let said = |change: &dyn Fn(&mut Prescription)| {
        let mut wanted = common::posted(4.0);
        change(&mut wanted);
        shell::build(&foot, &wanted, &POWDER, Detail::PREVIEW)
            .unwrap_err()
            .to_string()
    };
    let thin = said(&|p| {
        p.shell.thickness = Thickness::Uniform {
            all: Length::mm(0.5),
        }
    });
    assert_eq!(
        thin,
        "found 0.5 mm as the shell's thickness; expected 1.5 to 8 mm: take a thickness that the material and its process allow"
    );
    let steep = said(&|p| {
        if let Some(post) = &mut p.rearfoot_post {
            post.angle = Angle::degrees(40.0);
        }
    });
    assert_eq!(
        steep,
        "found 40° as the rearfoot post; expected −8 to 12°: take an angle that a foot can stand on"
    );
    assert!(said(&|p| p.shell.heel_cup_depth = Length::mm(f64::NAN)).contains("found NaN mm"));
    assert!(
        said(&|p| {
            p.shell.heel_cup_depth = Length::mm(8.0);
            p.corrections.skive = Some(Skive {
                depth: Length::mm(6.0),
                angle: Skive::usual_angle(),
                clipped: false,
            });
        })
        .contains("deepen the cup")
    );
    assert!(said(&|p| p.order_code = "a patient's name".into()).contains("never a name"));
}

#[test]
fn a_left_device_is_the_mirror_of_a_right_one() {
    let mut wanted = common::posted(5.0);
    wanted.order_code.clear();
    let made =
        |side| shell::build(&foot(240.0, 15.0, side), &wanted, &POWDER, Detail::PREVIEW).unwrap();
    let (left, right) = (made(Side::Left), made(Side::Right));
    let (l, r) = (
        left.bodies[0].in_hand(Side::Left),
        right.bodies[0].in_hand(Side::Right),
    );
    let (low, high) = l.bounds().unwrap();
    let (low_r, high_r) = r.bounds().unwrap();
    assert!((low[1] + high_r[1]).abs() < 1e-9 && (high[1] + low_r[1]).abs() < 1e-9);
    assert!(l.volume() > 0.0 && (l.volume() / r.volume() - 1.0).abs() < 0.02);
}

#[test]
fn the_same_order_gives_the_same_solid() {
    let wanted = common::posted(3.0);
    let made = || {
        shell::build(
            &foot(250.0, 12.0, Side::Left),
            &wanted,
            &POWDER,
            Detail::PREVIEW,
        )
        .unwrap()
    };
    assert_eq!(made().bodies, made().bodies);
}
