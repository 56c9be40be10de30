//! A foot of known shape, and prescriptions for it.

#![allow(dead_code)]

pub mod any;

use quantity::{Angle, Length};
use shell::Making;
use shell::prescription::{
    ArchFill, Corrections, Edges, Prescription, RearfootPost, ShellBody, Thickness,
};
use surface::{Foot, Load, Mark, Origin, Placed, Points, Sole};
use terms::Side;

/// Half the foot's width and its middle at a share of the length.
fn outline(share: f64, length: f64) -> Option<(f64, f64)> {
    if !(0.0..=1.0).contains(&share) {
        return None;
    }
    let heel = 0.133 * length;
    let ball = 0.195 * length;
    let blend = {
        let t = ((share - 0.12) / 0.5).clamp(0.0, 1.0);
        t * t * (3.0 - 2.0 * t)
    };
    let full = heel + (ball - heel) * blend;
    let rear = (1.0 - ((0.13 - share) / 0.13).clamp(0.0, 1.0).powi(2)).sqrt();
    let front = (1.0 - ((share - 0.78) / 0.22).clamp(0.0, 1.0).powi(2)).sqrt();
    let width = full * rear * front;
    (width > 0.5).then_some((width, 0.02 * length * blend))
}

/// Lowest skin over a place: a round heel, an arch on the inner side, walls that stand up at the outline.
pub fn skin(x: f64, y: f64, length: f64, arch: f64) -> Option<f64> {
    let share = x / length;
    let (half, middle) = outline(share, length)?;
    let u = (y - middle) / half;
    if u.abs() >= 1.0 {
        return None;
    }
    let along = {
        let t = ((share - 0.22) / 0.50).clamp(0.0, 1.0);
        (std::f64::consts::PI * t).sin().powi(2)
    };
    let inner = ((u + 0.35) / 1.35).clamp(0.0, 1.0);
    let wall = 0.085 * length * (1.0 - (1.0 - u.abs().powi(3)).sqrt());
    let rear = (0.10 - share).max(0.0) / 0.10;
    Some(arch * along * inner * inner + wall + 0.055 * length * (1.0 - (1.0 - rear.powi(3)).sqrt()))
}

pub fn sole(length: f64, arch: f64, step: f64) -> Sole {
    let size = [
        (length / step) as usize + 9,
        (0.5 * length / step) as usize + 9,
    ];
    let origin = [-4.0 * step, -0.25 * length];
    let heights = (0..size[0] * size[1])
        .map(|at| {
            let x = origin[0] + (at % size[0]) as f64 * step;
            let y = origin[1] + (at / size[0]) as f64 * step;
            skin(x, y, length, arch).unwrap_or(f64::NAN)
        })
        .collect();
    Sole {
        origin,
        step,
        size,
        heights,
    }
}

pub fn foot(length: f64, arch: f64, side: Side) -> Foot {
    let mark = |x: f64, y: f64| Mark {
        at: [x, y, skin(x, y, length, arch).unwrap_or(0.0)],
        placed: Placed::Built,
    };
    let ball = 0.17 * length;
    Foot {
        side,
        skin: None,
        sole: sole(length, arch, 0.5),
        points: Points {
            first_head: mark(0.735 * length, 0.02 * length + ball * 0.75),
            fifth_head: mark(0.64 * length, 0.02 * length - ball * 0.85),
            heel_centre: mark(0.13 * length, 0.0),
            navicular: mark(0.47 * length, 0.155 * length),
            toe_tip: mark(0.995 * length, 0.02 * length),
        },
        origin: Origin::Scanned {
            load: Load::Partial,
        },
    }
}

pub const POWDER: Making = Making {
    least_wall_mm: 1.5,
    least_radius_mm: 0.5,
};

/// A plain shell of 3 mm, no post.
pub fn plain() -> Prescription {
    Prescription {
        corrections: Corrections {
            arch_fill: ArchFill::Minimal,
            ..Corrections::default()
        },
        shell: ShellBody {
            material: "invented".into(),
            thickness: Thickness::Uniform {
                all: Length::mm(3.0),
            },
            heel_cup_depth: Length::mm(14.0),
            behind_heads: Length::mm(8.0),
            medial_flange: None,
            lateral_flange: None,
            trim: Vec::new(),
        },
        edges: Edges::default(),
        rearfoot_post: None,
        forefoot_post: None,
        shoe: None,
        order_code: "T7".into(),
    }
}

pub fn posted(degrees: f64) -> Prescription {
    Prescription {
        rearfoot_post: Some(RearfootPost {
            angle: Angle::degrees(degrees),
            length: Length::mm(62.0),
            bevel: RearfootPost::usual_bevel(),
            separate: false,
            lift: RearfootPost::no_lift(),
        }),
        ..plain()
    }
}
