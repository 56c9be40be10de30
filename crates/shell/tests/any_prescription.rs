//! Whatever is asked for: a sound solid, or a refusal with a reason; never a panic.

mod common;

use common::{POWDER, foot, plain};
use mesh::check::{Options, check};
use quantity::{Angle, Length};
use shell::prescription::*;
use shell::{Detail, ShellError};
use terms::Side;

/// A small generator with a fixed start: the same prescriptions every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }
    fn often(&mut self, share: f64) -> bool {
        self.roll() < share
    }
}

fn any(d: &mut Dice) -> Prescription {
    let mm = |v: f64| Length::mm(v);
    let mut p = plain();
    p.shell.thickness = if d.often(0.6) {
        Thickness::Uniform {
            all: mm(d.between(1.6, 6.0)),
        }
    } else {
        Thickness::ThickerArch {
            arch: mm(d.between(2.0, 6.0)),
            rest: mm(d.between(1.6, 4.5)),
        }
    };
    p.shell.heel_cup_depth = mm(d.between(8.0, 30.0));
    p.shell.behind_heads = mm(d.between(0.0, 25.0));
    p.shell.medial_flange = d.often(0.4).then(|| mm(d.between(15.0, 45.0)));
    p.shell.lateral_flange = d.often(0.3).then(|| mm(d.between(10.0, 25.0)));
    for _ in 0..(d.roll() * 4.0) as usize {
        p.shell.trim.push(TrimEdit {
            station: d.between(0.0, 2.0),
            outward: mm(d.between(-12.0, 12.0)),
        });
    }
    p.edges.radius = mm(d.between(1.0, 2.5));
    let c = &mut p.corrections;
    c.arch_fill =
        [ArchFill::Minimal, ArchFill::Standard, ArchFill::Maximal][(d.roll() * 3.0) as usize];
    c.inversion = d.often(0.5).then(|| Inversion {
        angle: Angle::degrees(d.between(-5.0, 30.0)),
        about: if d.often(0.5) {
            InversionAxis::Long
        } else {
            InversionAxis::Oblique {
                inclination: Angle::degrees(42.0),
                inward: Angle::degrees(16.0),
            }
        },
    });
    c.forefoot_balance = d.often(0.3).then(|| Angle::degrees(d.between(-8.0, 8.0)));
    c.skive = d.often(0.5).then(|| Skive {
        depth: mm(d.between(1.0, 7.0)),
        angle: Skive::usual_angle(),
        clipped: d.often(0.5),
    });
    c.heel_expansion = d.often(0.4).then(|| mm(d.between(0.0, 6.0)));
    c.fascia_groove = d.often(0.3).then(|| FasciaGroove {
        depth: mm(d.between(1.0, 4.0)),
        width: mm(d.between(8.0, 18.0)),
    });
    c.navicular_relief = d.often(0.4).then(|| NavicularRelief {
        depth: mm(d.between(1.0, 5.0)),
        radius: mm(d.between(10.0, 25.0)),
        forward: None,
        upward: Some(mm(d.between(-5.0, 5.0))),
    });
    c.first_ray_cut_out = d.often(0.3);
    p.rearfoot_post = d.often(0.7).then(|| RearfootPost {
        angle: Angle::degrees(d.between(-6.0, 11.0)),
        length: mm(d.between(35.0, 90.0)),
        bevel: Angle::degrees(d.between(0.0, 30.0)),
        separate: d.often(0.3),
        lift: mm(if d.often(0.3) {
            d.between(0.0, 8.0)
        } else {
            0.0
        }),
    });
    p.forefoot_post = d.often(0.3).then(|| ForefootPost {
        angle: Angle::degrees(d.between(-6.0, 8.0)),
        length: mm(d.between(12.0, 45.0)),
        separate: d.often(0.3),
    });
    p
}

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
