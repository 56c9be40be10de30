//! The camera: a pinhole behind the heel, askew and in an unsteady hand.

use super::spec::ClipSpec;
use nalgebra::{Matrix3, Rotation3, Vector3};
use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};

/// A view: where the camera is and how it looks.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    pub(crate) eye: Vector3<f64>,
    /// Rows: right, up, forward of the camera.
    pub(crate) turn: Matrix3<f64>,
    pub(crate) focal: f64,
    pub(crate) middle: (f64, f64),
}

/// Height over the floor of the middle of the picture, mm.
const LOOK_AT_MM: f64 = 165.0;

impl View {
    pub(crate) fn steady(spec: &ClipSpec) -> Self {
        let yaw = spec.yaw_deg.to_radians();
        // The camera walks around the heel by the yaw and keeps looking at it.
        let eye = Vector3::new(
            -spec.distance_mm * yaw.sin(),
            LOOK_AT_MM + 40.0,
            -spec.distance_mm * yaw.cos(),
        );
        let to = Vector3::new(0.0, LOOK_AT_MM, 0.0);
        let forward = (to - eye).normalize();
        let right = Vector3::new(0.0, 1.0, 0.0).cross(&forward).normalize();
        let up = forward.cross(&right);
        Self {
            eye,
            turn: Matrix3::from_rows(&[right.transpose(), up.transpose(), forward.transpose()]),
            focal: spec.px_per_mm * spec.distance_mm,
            middle: (spec.width as f64 / 2.0, spec.height as f64 / 2.0),
        }
    }

    /// The view turned about the camera's own axes.
    pub(crate) fn turned(&self, by: Matrix3<f64>) -> Self {
        Self {
            turn: by * self.turn,
            ..*self
        }
    }

    /// Pixel and depth; `None` behind the camera.
    pub(crate) fn pixel(&self, p: Vector3<f64>) -> Option<(f64, f64, f64)> {
        let c = self.turn * (p - self.eye);
        (c.z > 1.0).then(|| {
            (
                self.middle.0 + self.focal * c.x / c.z,
                self.middle.1 - self.focal * c.y / c.z,
                c.z,
            )
        })
    }

    /// Direction of a pixel in the camera's own axes.
    pub(crate) fn own_ray(&self, x: f64, y: f64) -> Vector3<f64> {
        Vector3::new(
            (x - self.middle.0) / self.focal,
            (self.middle.1 - y) / self.focal,
            1.0,
        )
    }
}

/// The hand's wandering: slow waves and a faster tremor, the same for the same seed.
pub(crate) struct Hand {
    waves: Vec<[f64; 5]>,
    size: f64,
}

impl Hand {
    pub(crate) fn new(spec: &ClipSpec) -> Self {
        let mut lot = StdRng::seed_from_u64(spec.seed ^ 0xACE5);
        let waves = (0..6)
            .map(|k| {
                let rate = if k < 4 {
                    lot.random_range(0.15..0.9)
                } else {
                    lot.random_range(3.0..6.0)
                };
                let strength = if k < 4 { 0.5 } else { 0.08 };
                [
                    std::f64::consts::TAU * rate,
                    lot.random_range(0.0..std::f64::consts::TAU),
                    strength * lot.random_range(-1.0..1.0f64),
                    strength * lot.random_range(-1.0..1.0f64),
                    strength * lot.random_range(-1.0..1.0f64),
                ]
            })
            .collect();
        Self {
            waves,
            size: spec.shake_px / (spec.px_per_mm * spec.distance_mm),
        }
    }

    pub(crate) fn turn(&self, time_s: f64) -> Matrix3<f64> {
        let mut angles = [0.0; 3];
        for w in &self.waves {
            let wave = (w[0] * time_s + w[1]).sin();
            for (a, s) in angles.iter_mut().zip(&w[2..]) {
                *a += self.size * s * wave;
            }
        }
        // Rolling moves the picture's edge as far as panning moves all of it.
        Rotation3::from_euler_angles(angles[0], angles[1], 4.0 * angles[2]).into_inner()
    }
}
