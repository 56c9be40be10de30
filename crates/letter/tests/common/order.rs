//! An invented order: a device on a foot of known shape, with everything an order sheet can say.

use figure::device::{DeviceModel, Drawing};
use letter::compose::{
    Banded, BodyLine, FileLine, Material, Product, StrengthRow, StrengthTable, Supported,
};
use letter::{BreakInFacts, OrderFacts};
use quantity::{Angle, Length};
use shell::measured::Dimension;
use shell::prescription::{
    FasciaGroove, ForefootPost, Inversion, InversionAxis, NavicularRelief, Shoe, Skive, Thickness,
    TrimEdit,
};
use shell::{Detail, Device, Prescription};
use terms::Side;

#[path = "../../../shell/tests/common/mod.rs"]
pub mod invented;

pub struct Order {
    pub practice: Vec<String>,
    pub device: Device,
    pub wanted: Prescription,
    pub found: Vec<Dimension>,
    pub drawings: Vec<Drawing>,
    pub cautions: Vec<String>,
}

/// What most people get: a shell with a rearfoot post.
pub fn usual() -> Order {
    let mut wanted = invented::posted(4.0);
    wanted.order_code = "T7".into();
    wanted.corrections.skive = Some(Skive {
        depth: Length::mm(3.0),
        angle: Skive::usual_angle(),
        clipped: false,
    });
    order(wanted, 255.0, Side::Left)
}

/// Every value of a prescription set.
pub fn everything() -> Order {
    let mut wanted = invented::posted(4.0);
    wanted.order_code = "T8-B".into();
    let c = &mut wanted.corrections;
    c.inversion = Some(Inversion {
        angle: Angle::degrees(5.0),
        about: InversionAxis::Oblique {
            inclination: Angle::degrees(42.0),
            inward: Angle::degrees(16.0),
        },
    });
    c.forefoot_balance = Some(Angle::degrees(-2.0));
    c.skive = Some(Skive {
        depth: Length::mm(4.0),
        angle: Skive::usual_angle(),
        clipped: true,
    });
    c.heel_expansion = Some(Length::mm(3.0));
    c.fascia_groove = Some(FasciaGroove {
        depth: Length::mm(2.0),
        width: Length::mm(12.0),
    });
    c.navicular_relief = Some(NavicularRelief {
        depth: Length::mm(2.0),
        radius: Length::mm(16.0),
        forward: Some(Length::mm(2.0)),
        upward: None,
    });
    c.first_ray_cut_out = true;
    wanted.shell.heel_cup_depth = Length::mm(20.0);
    wanted.shell.medial_flange = Some(Length::mm(30.0));
    wanted.shell.lateral_flange = Some(Length::mm(14.0));
    wanted.shell.thickness = Thickness::ThickerArch {
        arch: Length::mm(3.6),
        rest: Length::mm(3.0),
    };
    wanted.shell.trim = vec![TrimEdit {
        station: 0.8,
        outward: Length::mm(-3.0),
    }];
    wanted.rearfoot_post = wanted
        .rearfoot_post
        .map(|p| shell::prescription::RearfootPost {
            separate: true,
            ..p
        });
    wanted.forefoot_post = Some(ForefootPost {
        angle: Angle::degrees(3.0),
        length: Length::mm(22.0),
        separate: false,
    });
    wanted.shoe = Some(Shoe {
        heel_width: Length::mm(72.0),
        ball_width: Length::mm(100.0),
        toe_box_height: Some(Length::mm(32.0)),
    });
    order(wanted, 268.0, Side::Right)
}

fn order(wanted: Prescription, length: f64, side: Side) -> Order {
    let foot = invented::foot(length, 18.0, side);
    let device = shell::build(&foot, &wanted, &invented::POWDER, Detail::FINAL).unwrap();
    let bodies: Vec<_> = device
        .bodies
        .iter()
        .map(|b| (b.part, b.mesh.clone()))
        .collect();
    let found = shell::measured::dimensions(&device, &wanted, &bodies);
    let drawings = drawn(&device, &wanted, &found, letter::Words::english());
    Order {
        practice: [
            "Example Foot Practice (invented)",
            "1 Example Lane, 00000 Sampleton",
            "Telephone 000 000 000",
        ]
        .map(str::to_owned)
        .to_vec(),
        cautions: vec![
            "the post of 4° takes up all of the 4° that the heel can be turned in by hand".into(),
            "free the part of loose powder and seal it before it touches skin".into(),
        ],
        device,
        wanted,
        found,
        drawings,
    }
}

fn drawn(
    device: &Device,
    wanted: &Prescription,
    found: &[Dimension],
    words: &letter::Words,
) -> Vec<Drawing> {
    let model = DeviceModel {
        device,
        wanted,
        found,
        section_mm: None,
        spoken: Some(words),
    };
    let drawings = figure::device::sheets(&model, letter::compose::drawing_room_mm());
    assert!(!drawings.is_empty());
    drawings
}

fn banded(value: f64, share: f64) -> Option<Banded> {
    Some(Banded {
        value,
        band: Some((value * (1.0 - share), value * (1.0 + share))),
    })
}

/// Invented figures of the size that such shells have.
fn strength() -> StrengthTable<'static> {
    let rows = [
        ("L1 standing on both feet", 402.0, 0.6, 6.1),
        ("L2 standing on one foot", 804.0, 1.3, 3.1),
        ("L3 heel strike", 965.0, 0.3, 4.4),
        ("L4 arch stiffness, round pad", 100.0, 1.9, 4.0),
        ("L5 fatigue, a million steps", 965.0, 1.6, 1.3),
        ("L6 overload, running", 2010.0, 3.4, 1.2),
    ]
    .into_iter()
    .map(|(case, load_n, mm, safety)| StrengthRow {
        case,
        load_n,
        free_to_slide: Supported {
            deflection_mm: banded(mm, 0.12),
            safety: banded(safety, 0.04),
        },
        held: Supported {
            deflection_mm: banded(0.7 * mm, 0.12),
            safety: banded(1.2 * safety, 0.04),
        },
    })
    .collect();
    StrengthTable {
        weight_kg: 82.0,
        stiffness: "PA12, multi-jet fused: 1.7 GPa (1.5 to 1.8), recalled and unconfirmed",
        rows,
        wanted_safety: Some(1.5),
        flattening_mm: banded(1.3, 0.12),
        left_out: "creep, heat, the print's direction, the shoe, the foot's softness, and the spread of fatigue",
    }
}

impl Order {
    /// Drawn again in another language.
    pub fn spoken(mut self, words: &letter::Words) -> Order {
        self.drawings = drawn(&self.device, &self.wanted, &self.found, words);
        self
    }

    pub fn facts(&self) -> OrderFacts<'_> {
        let bodies = self
            .device
            .bodies
            .iter()
            .map(|b| BodyLine {
                name: b.part.words(),
                material: "PA12, multi-jet fused",
                volume_cm3: b.mesh.volume() / 1000.0,
                mass_g: Some(b.mesh.volume() / 1000.0 * 1.01),
            })
            .collect();
        OrderFacts {
            words: letter::Words::english(),
            practice: &self.practice,
            invented: true,
            date: "25 November 2026",
            patient_code: Some("P-0042"),
            order_code: &self.wanted.order_code,
            side: self.device.side,
            foot_length_mm: Some(self.device.positive.foot_length_mm),
            other_foot_length_mm: None,
            surface: Some("scan, sitting, part of the weight"),
            product: Product::PrintableShell,
            material: Material {
                name: "PA12",
                process: "powder, multi-jet fused",
            },
            post_material: None,
            wanted: &self.wanted,
            found: &self.found,
            bodies,
            strength: Some(strength()),
            cautions: &self.cautions,
            files: vec![
                FileLine {
                    name: "T7-left.3mf",
                    bytes: 4_312_544,
                    hash: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
                },
                FileLine {
                    name: "T7-left-shell.stl",
                    bytes: 11_404_284,
                    hash: "60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752",
                },
            ],
            clinician: "Dr C. Clinician (invented)",
            signed: None,
            drawings: &self.drawings,
        }
    }
}

pub fn break_in(practice: &[String]) -> BreakInFacts<'_> {
    BreakInFacts {
        words: letter::Words::english(),
        practice,
        invented: true,
        date: "2 December 2026",
        patient: letter::PatientLine {
            name: Some("Sample Person (invented)"),
            born: Some("1 February 1968"),
            chart: Some("0042"),
        },
        kind: letter::BreakInKind::FootOrthosis,
        sides: &[Side::Left],
        child: false,
        feeling_lost: Some(false),
        clinician: "Dr C. Clinician (invented)",
        next_visit: Some("16 December 2026, 10:00"),
    }
}
