//! Prescriptions at random, far beyond what anybody orders.

use super::plain;
use quantity::{Angle, Length};
use shell::prescription::*;

/// A small generator with a fixed start: the same prescriptions every time.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }
    pub fn often(&mut self, share: f64) -> bool {
        self.roll() < share
    }
}

/// A prescription as nobody in his right mind writes it, within what is a prescription at all.
pub fn any(d: &mut Dice) -> Prescription {
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
