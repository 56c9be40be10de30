//! How leg and heel stand at a moment.

use super::RiseTruth;
use super::spec::{ClipSpec, LEAD_S, LegSpec};
use nalgebra::{Matrix3, Vector3};
use terms::Side;

/// Ball of the foot, about which it pitches, and centre of the ankle; adult, mm.
const BALL: Vector3<f64> = Vector3::new(0.0, 10.0, 172.0);
const ANKLE: Vector3<f64> = Vector3::new(0.0, 84.0, 36.0);
/// Between these heights the skin goes over from heel to leg.
const BLEND: (f64, f64) = (60.0, 112.0);
/// The shank leans forward.
const LEAN_DEG: f64 = 6.0;

/// A leg at a moment: heel and leg are rigid, the skin between them follows both.
pub(crate) struct Pose {
    heel: (Matrix3<f64>, Vector3<f64>),
    leg: (Matrix3<f64>, Vector3<f64>),
    size: f64,
    outward: f64,
    offset: f64,
}

fn about_z(angle: f64) -> Matrix3<f64> {
    let (s, c) = angle.sin_cos();
    Matrix3::new(c, -s, 0.0, s, c, 0.0, 0.0, 0.0, 1.0)
}

/// Positive lifts what lies behind the axis and leans what lies above it forward.
fn about_x(angle: f64) -> Matrix3<f64> {
    let (s, c) = angle.sin_cos();
    Matrix3::new(1.0, 0.0, 0.0, 0.0, c, -s, 0.0, s, c)
}

/// How far up a rise stands, 0 to 1: standing, up, held, down, standing.
fn lift(phase: f64) -> f64 {
    let smooth = |x: f64| 0.5 - 0.5 * (std::f64::consts::PI * x.clamp(0.0, 1.0)).cos();
    smooth((phase - 0.12) / 0.32) - smooth((phase - 0.58) / 0.32)
}

/// Height of rise `number` (from 0).
fn height_of(leg: &LegSpec, number: usize) -> f64 {
    leg.height_mm * (1.0 - leg.decay).powi(number as i32)
}

impl Pose {
    pub(crate) fn at(spec: &ClipSpec, leg: &LegSpec, time_s: f64, offset: f64) -> Self {
        let since = (time_s - LEAD_S) / spec.period_s;
        let number = since.floor().max(0.0) as usize;
        let up = if since >= 0.0 && number < leg.rises {
            lift(since - number as f64)
        } else {
            0.0
        };
        let share = up * height_of(leg, number) / leg.height_mm;
        let pitch = (up * height_of(leg, number) / (BALL.z * leg.size))
            .clamp(-0.95, 0.95)
            .asin();
        // The heel turns early in the rise: most of the turn is done at half the height.
        let turned = leg.turn_deg * (1.0 - (1.0 - share.min(1.0)).powi(2));
        let leg_tilt = 1.2 + 1.5 * share;
        let against_upright = (leg.standing_deg + turned + leg_tilt).to_radians();
        // Seen from behind, a pitched heel shows tan of its tilt over cos of the pitch.
        let tilt = (against_upright.tan() * pitch.cos()).atan();
        let heel_turn = about_x(pitch) * about_z(tilt);
        let heel = (heel_turn, BALL - heel_turn * BALL);
        let ankle = heel.0 * ANKLE + heel.1;
        let leg_turn =
            about_x(LEAN_DEG.to_radians() * (1.0 - 0.4 * share)) * about_z(leg_tilt.to_radians());
        Self {
            heel,
            leg: (leg_turn, ankle - leg_turn * ANKLE),
            size: leg.size,
            outward: match leg.side {
                Side::Right => 1.0,
                Side::Left => -1.0,
            },
            offset,
        }
    }

    /// From the standing neutral right leg of an adult (x outward) to the world.
    pub(crate) fn place(&self, p: Vector3<f64>) -> Vector3<f64> {
        let share = ((p.y - BLEND.0) / (BLEND.1 - BLEND.0)).clamp(0.0, 1.0);
        let w = share * share * (3.0 - 2.0 * share);
        let heel = self.heel.0 * p + self.heel.1;
        let leg = self.leg.0 * p + self.leg.1;
        self.world(heel * (1.0 - w) + leg * w)
    }

    /// Rigid with the heel.
    pub(crate) fn place_foot(&self, p: Vector3<f64>) -> Vector3<f64> {
        self.world(self.heel.0 * p + self.heel.1)
    }

    /// On the floor whatever the heel does.
    pub(crate) fn place_toe(&self, p: Vector3<f64>) -> Vector3<f64> {
        self.world(p)
    }

    fn world(&self, p: Vector3<f64>) -> Vector3<f64> {
        Vector3::new(
            self.outward * p.x * self.size + self.offset,
            p.y * self.size,
            p.z * self.size,
        )
    }

    pub(crate) fn mirrored(&self) -> bool {
        self.outward < 0.0
    }
}

/// Tops of all rises by construction.
pub(crate) fn rises(
    spec: &ClipSpec,
    leg: &LegSpec,
    at: impl Fn(f64) -> (f64, f64),
) -> Vec<RiseTruth> {
    let standing = at(0.0);
    (0..leg.rises)
        .map(|number| {
            let top_s = LEAD_S + spec.period_s * (number as f64 + 0.51);
            let (angle, height) = at(top_s);
            RiseTruth {
                top_s,
                height_mm: height - standing.1,
                change_deg: angle - standing.0,
            }
        })
        .collect()
}
