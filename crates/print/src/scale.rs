//! How do cells of a sheet become millimetres on the ground?
//!
//! Two pitches for a grid, one for a scan, a plane-to-plane map for a photograph taken at a tilt. Where nothing is
//! known the cell is the unit: ratios and angles still come, lengths and areas do not.

use crate::PrintError;
use geometry::Vec2;
use nalgebra::{SMatrix, SVector};
use serde::{Deserialize, Serialize};

/// Millimetres from one cell to the next.
///
/// # Uncertainty
/// `relative_standard_error` is one standard deviation of the true pitch beside the stated one, shared by both
/// directions.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pitch {
    pub x_mm: f64,
    pub y_mm: f64,
    pub relative_standard_error: f64,
}

impl Pitch {
    /// # Errors
    /// Not finite, not above zero, or beyond what a sheet of a foot can have (a micrometre to 50 mm).
    pub fn new(x_mm: f64, y_mm: f64, relative_standard_error: f64) -> Result<Pitch, PrintError> {
        let pitch = Pitch {
            x_mm,
            y_mm,
            relative_standard_error,
        };
        let good = |mm: f64| (1e-3..=50.0).contains(&mm);
        if good(x_mm) && good(y_mm) && (0.0..=0.5).contains(&relative_standard_error) {
            return Ok(pitch);
        }
        Err(PrintError::BadScale {
            what: "the pitch",
            found: format!("{x_mm} × {y_mm} mm, error {relative_standard_error}"),
            expected: "0.001 to 50 mm for a cell and an error of at most a half",
        })
    }
}

/// A sheet of known size whose corners were pointed at.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    A4,
    Letter,
    Given { long_mm: f64, short_mm: f64 },
}

impl Paper {
    /// Long side, short side.
    pub fn sides_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (297.0, 210.0),
            Paper::Letter => (279.4, 215.9),
            Paper::Given { long_mm, short_mm } => (long_mm, short_mm),
        }
    }
}

/// Where the scale of a picture comes from; points in pixels of the picture, whole numbers at pixel centres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scaling {
    Unknown,
    /// What a flat-bed scanner wrote into the file.
    FileDensity,
    /// Two marks of a ruler that lies in the plane of the print.
    Ruler {
        from: [f64; 2],
        to: [f64; 2],
        mm: f64,
    },
    /// The four corners of the paper, in any order; undoes the camera's tilt. The side that looks longer in the
    /// picture is taken for the longer one.
    Corners {
        corners: [[f64; 2]; 4],
        paper: Paper,
    },
}

/// Flat-bed scanners keep their own scale to about this (common practice, unconfirmed).
pub const SCANNER_ERROR: f64 = 0.005;
/// A point on a picture is set to about this many pixels (common practice, unconfirmed).
pub const POINTING_PX: f64 = 1.5;

/// Maps between cells and the plane of the ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scale {
    /// No millimetres: the plane is counted in cells.
    Unknown,
    Even(Pitch),
    /// Nine numbers, row by row, for homogeneous points, each way.
    Tilted {
        mm_from_cell: [f64; 9],
        cell_from_mm: [f64; 9],
        /// The paper lies from zero to here.
        paper_mm: [f64; 2],
        relative_standard_error: f64,
    },
}

impl Scale {
    pub fn is_known(&self) -> bool {
        *self != Scale::Unknown
    }

    pub fn relative_standard_error(&self) -> f64 {
        match self {
            Scale::Unknown => 0.0,
            Scale::Even(pitch) => pitch.relative_standard_error,
            Scale::Tilted {
                relative_standard_error,
                ..
            } => *relative_standard_error,
        }
    }

    /// On the ground, in millimetres (in cells where the scale is unknown).
    pub fn on_ground(&self, cell: [f64; 2]) -> Vec2 {
        match self {
            Scale::Unknown => Vec2::new(cell[0], cell[1]),
            Scale::Even(pitch) => Vec2::new(cell[0] * pitch.x_mm, cell[1] * pitch.y_mm),
            Scale::Tilted { mm_from_cell, .. } => mapped(mm_from_cell, cell[0], cell[1]),
        }
    }

    /// The way back.
    pub fn in_cells(&self, ground: Vec2) -> [f64; 2] {
        match self {
            Scale::Unknown => [ground.x, ground.y],
            Scale::Even(pitch) => [ground.x / pitch.x_mm, ground.y / pitch.y_mm],
            Scale::Tilted { cell_from_mm, .. } => {
                let p = mapped(cell_from_mm, ground.x, ground.y);
                [p.x, p.y]
            }
        }
    }

    /// Length on the ground of one cell's side, near a cell.
    pub fn cell_on_ground(&self, at: [f64; 2]) -> f64 {
        let here = self.on_ground(at);
        let x = self.on_ground([at[0] + 1.0, at[1]]).minus(here);
        let y = self.on_ground([at[0], at[1] + 1.0]).minus(here);
        x.cross(y).abs().sqrt()
    }

    /// From a picture's ruler, corners or density.
    ///
    /// # Errors
    /// Points that coincide or cross, lengths that no sheet has, a file that says no density.
    pub fn of_picture(wish: &Scaling, density: Option<f64>) -> Result<Scale, PrintError> {
        match *wish {
            Scaling::Unknown => Ok(Scale::Unknown),
            Scaling::FileDensity => {
                let density = density.ok_or(PrintError::BadScale {
                    what: "the file",
                    found: "it says no density".into(),
                    expected: "the density that a flat-bed scanner writes",
                })?;
                let mm = 1.0 / density;
                Pitch::new(mm, mm, SCANNER_ERROR).map(Scale::Even)
            }
            Scaling::Ruler { from, to, mm } => ruler(from, to, mm),
            Scaling::Corners { corners, paper } => tilted(corners, paper),
        }
    }
}

fn mapped(m: &[f64; 9], x: f64, y: f64) -> Vec2 {
    let w = m[6] * x + m[7] * y + m[8];
    Vec2::new(
        (m[0] * x + m[1] * y + m[2]) / w,
        (m[3] * x + m[4] * y + m[5]) / w,
    )
}

fn ruler(from: [f64; 2], to: [f64; 2], mm: f64) -> Result<Scale, PrintError> {
    let px = (to[0] - from[0]).hypot(to[1] - from[1]);
    let bad = |found: String| PrintError::BadScale {
        what: "the ruler",
        found,
        expected: "two marks at least 20 pixels apart and 5 to 2000 mm between them",
    };
    if !px.is_finite() || px < 20.0 || !(5.0..=2000.0).contains(&mm) {
        return Err(bad(format!("{px:.1} pixels for {mm} mm")));
    }
    let each = mm / px;
    Pitch::new(each, each, POINTING_PX * 2.0_f64.sqrt() / px).map(Scale::Even)
}

fn tilted(corners: [[f64; 2]; 4], paper: Paper) -> Result<Scale, PrintError> {
    let bad = |found: String| PrintError::BadScale {
        what: "the sheet's corners",
        found,
        expected: "four corners of one sheet, at least 50 pixels apart, of a paper of 50 to 2000 mm",
    };
    let (long, short) = paper.sides_mm();
    let sides_good = (50.0..=2000.0).contains(&long) && (50.0..=2000.0).contains(&short);
    if !sides_good || corners.iter().flatten().any(|c| !c.is_finite()) {
        return Err(bad(format!("paper of {long} × {short} mm")));
    }
    let mut around = corners;
    let mid = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    around.sort_by(|a, b| {
        let turn = |c: &[f64; 2]| (c[1] - mid[1]).atan2(c[0] - mid[0]);
        turn(a).total_cmp(&turn(b))
    });
    let side = |i: usize| {
        let (a, b) = (around[i % 4], around[(i + 1) % 4]);
        (a[0] - b[0]).hypot(a[1] - b[1])
    };
    let convex = (0..4).all(|i| {
        let (a, b, c) = (around[i], around[(i + 1) % 4], around[(i + 2) % 4]);
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) > 1.0
    });
    let least = (0..4).map(side).fold(f64::INFINITY, f64::min);
    if !convex || least < 50.0 {
        return Err(bad(format!("shortest side {least:.0} pixels")));
    }
    let (first, second) = if side(0) + side(2) >= side(1) + side(3) {
        (long, short)
    } else {
        (short, long)
    };
    let on_paper = [[0.0, 0.0], [first, 0.0], [first, second], [0.0, second]];
    let found = homography(around, on_paper).zip(homography(on_paper, around));
    let (mm_from_cell, cell_from_mm) = found.ok_or_else(|| bad("they lie on a line".into()))?;
    Ok(Scale::Tilted {
        mm_from_cell,
        cell_from_mm,
        paper_mm: [first, second],
        relative_standard_error: POINTING_PX / least,
    })
}

/// The plane-to-plane map through four pairs of points.
fn homography(from: [[f64; 2]; 4], to: [[f64; 2]; 4]) -> Option<[f64; 9]> {
    let mut m = SMatrix::<f64, 8, 8>::zeros();
    let mut right = SVector::<f64, 8>::zeros();
    for i in 0..4 {
        let ([x, y], [u, v]) = (from[i], to[i]);
        for (k, row) in [
            [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y],
            [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y],
        ]
        .into_iter()
        .enumerate()
        {
            for (j, value) in row.into_iter().enumerate() {
                m[(2 * i + k, j)] = value;
            }
            right[2 * i + k] = [u, v][k];
        }
    }
    let h = m.lu().solve(&right)?;
    let all = [h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1.0];
    all.iter().all(|c| c.is_finite()).then_some(all)
}
