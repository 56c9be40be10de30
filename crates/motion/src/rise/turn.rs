//! Does the heel turn inward at the top? A change of angle with its error becomes a probability and a verdict.

use quantity::{Estimate, Unit};
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

/// Changes up to this are within the error of looking at heels.
///
/// # Units
/// Degrees.
///
/// # Sources
/// `Haight2005` (abstract): changes of the standing heel angle up to 2° are called error.
pub const LEAST_TURN_DEG: f64 = 2.0;

/// From this probability on the verdict is said; below its complement the opposite is.
pub const SURE: f64 = 0.95;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The heel turns inward by more than looking errs.
    Inverts,
    DoesNot,
    CannotTell,
}

impl Verdict {
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Inverts => "the heel turns inward at the top",
            Verdict::DoesNot => "the heel does not turn inward at the top",
            Verdict::CannotTell => "whether the heel turns inward cannot be told from this clip",
        }
    }
}

/// The turn from standing to the top over all rises.
///
/// # Sign
/// Minus is inward (inversion).
///
/// # Uncertainty
/// Spread between the rises or following, whichever is larger; a camera askew, which sees a pitched heel as
/// turned; a camera that looks down, which sees a pitched heel shorter and its tilt larger; marks off the heel's line, which show more as the heel foreshortens. That skin slides over the bone is
/// not in it; no figure for it was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Turn {
    pub change: Estimate,
    /// Part of the error that a camera askew makes alone, degrees: what a line on the floor would take away.
    pub of_camera_deg: f64,
    /// How far the heel pitches between standing and top, degrees, from the foreshortening of its own line.
    pub pitch_deg: f64,
    /// Probability that the heel turns inward by more than [`LEAST_TURN_DEG`].
    pub probability: f64,
    pub verdict: Verdict,
    /// Rises that have both angles.
    pub rises: usize,
}

/// The change of one rise.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OneTurn {
    pub(crate) change_deg: f64,
    pub(crate) sd_deg: f64,
    /// Heel against leg at the top.
    pub(crate) top_deg: f64,
    /// Foreshortening of the heel's line, top over standing.
    pub(crate) shortened: f64,
    pub(crate) heel_length: f64,
}

/// Foreshortening below this is taken for a fault of following and not for a pitch.
const MOST_SHORTENED: f64 = 0.3;

/// Standard error with which the camera looks level, degrees: common practice, as for heights.
const LOOKING_DOWN_DEG: f64 = 4.0;

/// `None` without any rise that has both angles.
pub(crate) fn turn(rises: &[OneTurn], yaw_sd_deg: f64, placing_sd: f64) -> Option<Turn> {
    if rises.is_empty() {
        return None;
    }
    let n = rises.len() as f64;
    let mean = |value: fn(&OneTurn) -> f64| rises.iter().map(value).sum::<f64>() / n;
    let change = mean(|r| r.change_deg);
    let followed = mean(|r| r.sd_deg * r.sd_deg);
    let between = if rises.len() > 1 {
        rises
            .iter()
            .map(|r| (r.change_deg - change).powi(2))
            .sum::<f64>()
            / (n - 1.0)
    } else {
        0.0
    };
    let shortened = mean(|r| r.shortened).clamp(MOST_SHORTENED, 1.0);
    let pitch = shortened.acos();
    // tan θ′ = tan θ cos ψ + tan φ sin ψ: a heel pitched by φ seen at yaw ψ leans although it does not.
    let of_camera = (pitch.tan() * yaw_sd_deg.to_radians().sin())
        .atan()
        .to_degrees();
    // tan θ′ = tan θ cos φ over cos(φ + δ) for a camera that looks down by δ.
    let of_looking_down =
        mean(|r| r.top_deg.abs()) * pitch.tan() * LOOKING_DOWN_DEG.to_radians().sin();
    let of_marks = (std::f64::consts::SQRT_2 * placing_sd / mean(|r| r.heel_length)
        * (1.0 / shortened - 1.0))
        .to_degrees();
    let alike = of_camera.powi(2) + of_looking_down.powi(2) + of_marks.powi(2);
    let sd = (between.max(followed) / n + alike).sqrt();
    let probability = below(-LEAST_TURN_DEG, change, sd);
    Some(Turn {
        change: Estimate::new(change, sd, Unit::Degree),
        of_camera_deg: of_camera,
        pitch_deg: pitch.to_degrees(),
        probability,
        verdict: if probability >= SURE {
            Verdict::Inverts
        } else if probability <= 1.0 - SURE {
            Verdict::DoesNot
        } else {
            Verdict::CannotTell
        },
        rises: rises.len(),
    })
}

/// Probability that the true value lies below `limit`.
fn below(limit: f64, value: f64, sd: f64) -> f64 {
    match Normal::new(value, sd) {
        Ok(normal) => normal.cdf(limit),
        // Without any error the value itself decides.
        Err(_) => f64::from(u8::from(value < limit)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(change: f64, shortened: f64) -> OneTurn {
        OneTurn {
            change_deg: change,
            sd_deg: 0.3,
            top_deg: 5.0,
            shortened,
            heel_length: 60.0,
        }
    }

    #[test]
    fn a_clear_swing_inverts_a_heel_that_stays_out_does_not_and_a_small_one_cannot_be_told() {
        let of = |changes: [f64; 3]| {
            let rises = changes.map(|c| one(c, 0.85));
            turn(&rises, 2.0, 1.0).unwrap().verdict
        };
        assert_eq!(of([-9.0, -8.6, -9.3]), Verdict::Inverts);
        assert_eq!(of([2.0, 1.8, 2.4]), Verdict::DoesNot);
        assert_eq!(of([-2.5, -2.2, -1.6]), Verdict::CannotTell);
        assert!(turn(&[], 2.0, 1.0).is_none());
    }

    #[test]
    fn a_camera_five_degrees_askew_behind_a_heel_pitched_forty_errs_by_four_degrees() {
        let turn = turn(&[one(-9.0, 40f64.to_radians().cos())], 5.0, 0.0).unwrap();
        assert!((turn.pitch_deg - 40.0).abs() < 1e-9);
        assert!(
            (turn.of_camera_deg - 4.18).abs() < 0.02,
            "{}",
            turn.of_camera_deg
        );
    }
}
