//! How is a photographed sheet lit? A lamp from one side, a lens that dims its corners, a shadow with a soft edge.

use super::PrintSheet;
use crate::skin::build::Dice;

/// Light over a sheet, as shares of the brightest.
///
/// # Units
/// Millimetres from the sheet's upper left corner; directions in degrees from the right, clockwise as seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightSpec {
    /// How many times brighter the lamp's side of the sheet is than the far side; 1 is even.
    pub ratio: f64,
    /// Where the lamp stands.
    pub lamp_deg: f64,
    /// What the corners lose to the lens.
    pub vignette: f64,
    pub shadow: Option<Shadow>,
}

/// Light beyond a straight edge is dimmed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shadow {
    /// The middle of the edge.
    pub through: [f64; 2],
    /// Towards the dark side.
    pub dark_deg: f64,
    /// From full light to full shadow.
    pub soft_mm: f64,
    /// Share of the light left in it.
    pub keeps: f64,
}

impl LightSpec {
    pub const EVEN: LightSpec = LightSpec {
        ratio: 1.0,
        lamp_deg: 0.0,
        vignette: 0.0,
        shadow: None,
    };

    /// Up to twice as bright on one side, corners dimmed by up to a fifth.
    pub fn random(seed: u64) -> LightSpec {
        let mut dice = Dice::new(seed ^ 0x11A7);
        LightSpec {
            ratio: dice.between(1.2, 2.0),
            lamp_deg: dice.between(0.0, 360.0),
            vignette: dice.between(0.0, 0.2),
            shadow: None,
        }
    }

    /// The share of light at a place of a sheet of that size.
    pub fn share(&self, at: [f64; 2], size: [f64; 2]) -> f64 {
        let off = [0, 1].map(|k| at[k] - 0.5 * size[k]);
        let towards = |deg: f64| {
            let (s, c) = deg.to_radians().sin_cos();
            [c, s]
        };
        let lamp = towards(self.lamp_deg);
        // From -1 at the far side to 1 at the lamp's.
        let reach = 0.5 * (size[0] * lamp[0].abs() + size[1] * lamp[1].abs());
        let nearer = (off[0] * lamp[0] + off[1] * lamp[1]) / reach;
        let far = 1.0 / self.ratio;
        let mut share = far + (1.0 - far) * 0.5 * (1.0 + nearer);
        let corner = 0.25 * (size[0] * size[0] + size[1] * size[1]);
        share *= 1.0 - self.vignette * (off[0] * off[0] + off[1] * off[1]) / corner;
        if let Some(shadow) = self.shadow {
            let dark = towards(shadow.dark_deg);
            let beyond = [0, 1].map(|k| (at[k] - shadow.through[k]) * dark[k]);
            let t = ((beyond[0] + beyond[1]) / shadow.soft_mm + 0.5).clamp(0.0, 1.0);
            share *= 1.0 - (1.0 - shadow.keeps) * t * t * (3.0 - 2.0 * t);
        }
        share
    }
}

impl PrintSheet {
    /// The same sheet under that light.
    #[must_use]
    pub fn lit(mut self, light: &LightSpec) -> PrintSheet {
        let pitch = self.mm_per_cell;
        let size = [self.width as f64 * pitch, self.height as f64 * pitch];
        for (i, value) in self.values.iter_mut().enumerate() {
            let at = [i % self.width, i / self.width].map(|c| (c as f64 + 0.5) * pitch);
            *value *= light.share(at, size) as f32;
        }
        self
    }

    /// With the grain of a camera's chip: normal, of that standard deviation.
    #[must_use]
    pub fn grained(mut self, deviation: f64, seed: u64) -> PrintSheet {
        let mut dice = Dice::new(seed);
        for value in &mut self.values {
            *value += (deviation * dice.normal()) as f32;
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lamps_side_is_as_many_times_brighter_as_asked_and_a_shadow_keeps_its_share() {
        let size = [200.0, 300.0];
        let lamp = LightSpec {
            ratio: 2.0,
            ..LightSpec::EVEN
        };
        let (near, far) = (lamp.share([200.0, 9.0], size), lamp.share([0.0, 9.0], size));
        assert!((near - 1.0).abs() < 1e-12 && (far - 0.5).abs() < 1e-12);
        let shaded = LightSpec {
            shadow: Some(Shadow {
                through: [100.0, 150.0],
                dark_deg: 90.0,
                soft_mm: 30.0,
                keeps: 0.6,
            }),
            ..LightSpec::EVEN
        };
        let at = |y| shaded.share([50.0, y], size);
        assert!((at(130.0) - 1.0).abs() < 1e-12 && (at(170.0) - 0.6).abs() < 1e-12);
        assert!((at(150.0) - 0.8).abs() < 1e-12);
        let dimmed = LightSpec {
            vignette: 0.2,
            ..LightSpec::EVEN
        };
        assert!((dimmed.share([0.0, 0.0], size) - 0.8).abs() < 1e-12);
    }
}
