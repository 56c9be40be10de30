//! What a clip is asked for by.

use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use terms::Side;

/// The four marks of a leg.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkName {
    LegUpper,
    LegLower,
    HeelUpper,
    HeelLower,
}

/// Marks with their heights over the floor on the standing leg of an adult, mm.
pub const MARKS: [(MarkName, f64); 4] = [
    (MarkName::LegUpper, 262.0),
    (MarkName::LegLower, 142.0),
    (MarkName::HeelUpper, 54.0),
    (MarkName::HeelLower, 15.0),
];

/// A mark that something passes in front of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hidden {
    pub leg: usize,
    pub mark: usize,
    pub from_s: f64,
    pub until_s: f64,
}

/// One leg and how it rises.
#[derive(Debug, Clone, PartialEq)]
pub struct LegSpec {
    pub side: Side,
    /// Whether it rises; the other leg of a single rise stands lifted out of the picture and is not asked for.
    pub rises: usize,
    /// Height of the first rise, mm.
    pub height_mm: f64,
    /// Part of the height lost with each rise.
    pub decay: f64,
    /// Heel against leg while standing, eversion plus, degrees.
    pub standing_deg: f64,
    /// What is added to it at the top; minus turns inward.
    pub turn_deg: f64,
    /// Size against an adult's leg.
    pub size: f64,
    /// How far the forefoot points outward, degrees.
    pub abducted_deg: f64,
}

/// A clip.
#[derive(Debug, Clone, PartialEq)]
pub struct ClipSpec {
    pub seed: u64,
    pub width: usize,
    pub height: usize,
    /// Frames a second; each frame's time wanders around it by `jitter` of a frame.
    pub rate: f64,
    pub jitter: f64,
    pub legs: Vec<LegSpec>,
    /// Seconds from top to top.
    pub period_s: f64,
    pub distance_mm: f64,
    pub px_per_mm: f64,
    /// Camera beside the line of the foot, degrees.
    pub yaw_deg: f64,
    /// Wandering of the hand that holds the camera, pixels.
    pub shake_px: f64,
    pub blur_px: f64,
    pub noise: f64,
    /// Light that swells and fades, part of the brightness.
    pub flicker: f64,
    pub stickers: bool,
    pub hidden: Option<Hidden>,
}

impl ClipSpec {
    /// A plain clip: right leg, five rises, the heel turns inward.
    pub fn plain(seed: u64) -> Self {
        Self {
            seed,
            width: 480,
            height: 640,
            rate: 30.0,
            jitter: 0.0,
            legs: vec![LegSpec {
                side: Side::Right,
                rises: 5,
                height_mm: 90.0,
                decay: 0.04,
                standing_deg: 6.0,
                turn_deg: -9.0,
                size: 1.0,
                abducted_deg: 12.0,
            }],
            period_s: 2.0,
            distance_mm: 1800.0,
            px_per_mm: 1.5,
            yaw_deg: 0.0,
            shake_px: 1.0,
            blur_px: 0.6,
            noise: 2.0,
            flicker: 0.03,
            stickers: true,
            hidden: None,
        }
    }

    /// Somebody's clip: everything drawn by lot.
    pub fn random(seed: u64) -> Self {
        let mut lot = StdRng::seed_from_u64(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x1D);
        let mut spec = Self::plain(seed);
        let child = lot.random_bool(0.25);
        let inverts = lot.random_bool(0.5);
        let leg = &mut spec.legs[0];
        leg.side = if lot.random_bool(0.5) {
            Side::Left
        } else {
            Side::Right
        };
        leg.rises = lot.random_range(3..=6);
        leg.size = if child {
            lot.random_range(0.66..0.85)
        } else {
            lot.random_range(0.92..1.08)
        };
        leg.height_mm = leg.size * lot.random_range(55.0..105.0);
        leg.decay = lot.random_range(0.0..0.12);
        leg.standing_deg = lot.random_range(-1.0..13.0);
        leg.turn_deg = if inverts {
            lot.random_range(-16.0..-3.0)
        } else {
            lot.random_range(-1.5..4.5)
        };
        leg.abducted_deg = lot.random_range(3.0..24.0);
        spec.rate = [24.0, 25.0, 30.0][lot.random_range(0..3)];
        spec.jitter = if lot.random_bool(0.5) { 0.0 } else { 0.2 };
        spec.period_s = lot.random_range(1.6..2.4);
        spec.px_per_mm = lot.random_range(1.3..1.55);
        spec.distance_mm = lot.random_range(1400.0..2600.0);
        // A camera set on the line of the foot drawn on the floor: standard error 2°.
        let normal: f64 = (0..12).map(|_| lot.random::<f64>()).sum::<f64>() - 6.0;
        spec.yaw_deg = 2.0 * normal;
        spec.shake_px = if lot.random_bool(0.4) {
            0.0
        } else {
            lot.random_range(0.5..4.0)
        };
        spec.blur_px = lot.random_range(0.4..1.1);
        spec.noise = lot.random_range(1.0..4.0);
        spec.flicker = lot.random_range(0.0..0.12);
        spec.stickers = lot.random_bool(0.6);
        if lot.random_bool(0.25) {
            let from_s = lot.random_range(1.0..3.0);
            spec.hidden = Some(Hidden {
                leg: 0,
                mark: lot.random_range(0..4),
                from_s,
                until_s: from_s + lot.random_range(0.1..0.9),
            });
        }
        spec
    }

    pub fn length_s(&self) -> f64 {
        let most = self.legs.iter().map(|l| l.rises).max().unwrap_or(0);
        LEAD_S + self.period_s * most as f64 + TAIL_S
    }
}

/// Standing before the first rise and after the last.
pub(crate) const LEAD_S: f64 = 0.8;
pub(crate) const TAIL_S: f64 = 0.6;
