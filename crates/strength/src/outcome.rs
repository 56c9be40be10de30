//! What comes out: motions, stresses, safety, contact, mass.
//!
//! Leaves the computing to [`crate::bench`]. One surprise: a stress is told with the side it lies on (towards
//! the foot or the ground), because a printed shell fails first where it is pulled.

use serde::Serialize;

use crate::input::Held;

/// Which side of the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WallSide {
    TowardsGround,
    Middle,
    TowardsFoot,
}

impl WallSide {
    pub const ALL: [WallSide; 3] = [
        WallSide::TowardsGround,
        WallSide::Middle,
        WallSide::TowardsFoot,
    ];

    pub fn words(self) -> &'static str {
        match self {
            WallSide::TowardsGround => "on the underside",
            WallSide::Middle => "in the middle of the wall",
            WallSide::TowardsFoot => "on the foot's side",
        }
    }
}

/// The place of the highest stress.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Worst {
    /// Von Mises stress, mean of the triangles that meet there.
    pub stress_mpa: f64,
    pub side: WallSide,
    /// On the skin above, foot frame, mm.
    pub at: [f64; 3],
    pub words: String,
}

/// A place where the floor presses.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Press {
    /// On the underside, in the plan of the foot frame, mm.
    pub at: [f64; 2],
    pub force_n: f64,
    pub through_post: bool,
}

/// Where and how hard the floor answers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Floor {
    pub heel_n: f64,
    pub front_n: f64,
    /// Between heel and front strip, mostly along the outer border.
    pub between_n: f64,
    /// Centre of all contact forces in the plan of the foot frame, mm.
    pub centre: [f64; 2],
    pub places: Vec<Press>,
    /// Deepest a place of contact lies under the floor, mm; round-off.
    pub deepest_mm: f64,
}

/// Everything at the nodes of the net.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fields {
    /// Motion in the foot frame, mm.
    pub motion: Vec<[f64; 3]>,
    /// Von Mises stress on the underside, in the middle, on the foot's side, MPa.
    pub stress_mpa: Vec<[f64; 3]>,
}

/// One case, held in one way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    pub case: String,
    pub title: String,
    pub held: Held,
    /// Load of the whole case; part of a forefoot's stands in front of the shell.
    pub whole_n: f64,
    /// Load on the shell.
    pub on_shell_n: f64,
    /// Drop of the inner arch at the navicular's station over the floor, from hardly loaded to loaded.
    pub arch_drop_mm: f64,
    /// Force over the stamp's own way; a stamp's case only.
    pub stiffness_n_per_mm: Option<f64>,
    /// Largest motion of any node from hardly loaded to loaded.
    pub largest_motion_mm: f64,
    pub worst: Worst,
    /// Allowable over highest stress.
    pub safety: Option<f64>,
    /// Fatigue figure over highest stress; cases with cycles only.
    pub fatigue_safety: Option<f64>,
    /// `None` on a plate.
    pub floor: Option<Floor>,
    /// Along the foot between front strip and heel base, where both are held.
    pub thrust_n: Option<f64>,
    /// Largest unbalanced force at a node over the largest force.
    pub residual: f64,
    /// Load less what holds it, over the load.
    pub unbalanced_share: f64,
    pub fields: Fields,
}

/// Mass of one body.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mass {
    pub body: String,
    pub material: String,
    pub volume_cm3: f64,
    /// `None` where the material's density is not known.
    pub grams: Option<f64>,
}

/// How soft a post is: what the computation takes as stiff.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PostYield {
    pub post: String,
    /// Shortening under the whole load of the hardest case on it alone; `None` where no modulus is known.
    pub yield_mm: Option<f64>,
    pub area_mm2: f64,
    pub height_mm: f64,
}

/// Stiffness at the ends of its band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sensitivity {
    pub case: String,
    pub held: Held,
    /// At the lowest, usual and highest modulus.
    pub arch_drop_mm: [f64; 3],
    pub stress_mpa: [f64; 3],
}

impl Outcome {
    /// One line of the table.
    pub fn line(&self) -> String {
        let number = |value: Option<f64>, decimals| {
            value.map_or_else(|| "–".to_owned(), |v| quantity::written_short(v, decimals))
        };
        let floor = self.floor.as_ref().map_or_else(
            || "on a plate".to_owned(),
            |f| {
                format!(
                    "floor {} N heel, {} N between, {} N front",
                    quantity::written_short(f.heel_n, 0),
                    quantity::written_short(f.between_n, 0),
                    quantity::written_short(f.front_n, 0)
                )
            },
        );
        format!(
            "{} ({}): {} N on the shell, arch {} mm, stiffness {} N/mm, stress {} MPa {}; safety {}, fatigue {}; {floor}",
            self.case,
            self.held.words(),
            quantity::written_short(self.on_shell_n, 0),
            quantity::written_short(self.arch_drop_mm, 2),
            number(self.stiffness_n_per_mm, 1),
            quantity::written_short(self.worst.stress_mpa, 1),
            self.worst.words,
            number(self.safety, 2),
            number(self.fatigue_safety, 2),
        )
    }
}
