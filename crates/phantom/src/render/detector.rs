//! What does the detector make of the beam that reaches it?
//!
//! Beam → scatter → blur of focus and detector → counted quanta → logarithm → grey levels.
//! The last step presses large dense areas together and lifts fine differences, as the processing of a
//! digital radiograph does, the same for every view: toes and a heel under the shin are both seen, and the
//! skin has a faint dark rim.

use super::blur::Grey;
use rand::rngs::SmallRng;
use rand::{Rng, SeedableRng};
use rand_distr::{Distribution, Poisson, StandardNormal};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// How the beam becomes counts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Counting {
    /// Quanta counted in a pixel that nothing shades; 0 leaves the noise out.
    pub counts: f64,
    /// Part of what arrives that is scatter, spread widely.
    pub scatter_fraction: f64,
    pub scatter_sigma_mm: f64,
    /// Unsharpness of focus and detector together on the detector.
    pub blur_sigma_mm: f64,
    pub seed: u64,
}

/// How counts become grey levels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Tone {
    pub bits_stored: u16,
    /// Attenuation of a large area at which its differences are shown at half their size; the denser the
    /// area, the more they are pressed together (as c·ln(1 + a/c)). What is finer than an area keeps its size.
    pub press: f64,
    /// How large an area is.
    pub press_sigma_mm: f64,
    /// How much of the fine differences is added, and how fine they are.
    pub sharpen: f64,
    pub sharpen_sigma_mm: f64,
}

impl Default for Counting {
    fn default() -> Counting {
        Counting {
            counts: 20_000.0,
            // What is left of it once the processing has taken most of the veil off again.
            scatter_fraction: 0.015,
            scatter_sigma_mm: 22.0,
            blur_sigma_mm: 0.11,
            seed: 1,
        }
    }
}

impl Default for Tone {
    fn default() -> Tone {
        Tone {
            bits_stored: 12,
            press: 0.30,
            press_sigma_mm: 7.0,
            sharpen: 0.5,
            sharpen_sigma_mm: 0.7,
        }
    }
}

/// The part of the beam that the collimator lets through: 1 in the field, next to nothing beside it.
#[derive(Debug, Clone)]
pub(crate) struct Opening {
    pub columns: Vec<f32>,
    pub rows: Vec<f32>,
}

impl Opening {
    fn row(&self, y: usize) -> impl Iterator<Item = f32> + '_ {
        let row = self.rows[y];
        self.columns.iter().map(move |c| 0.003 + 0.997 * c * row)
    }

    fn holds(&self, x: usize, y: usize) -> bool {
        self.columns[x] >= 0.5 && self.rows[y] >= 0.5
    }

    /// Which columns and which rows lie in the field, in pixels of twice the size: two pictures one
    /// pixel high, as the field is a rectangle.
    fn seen_in_half(&self) -> [Grey; 2] {
        [&self.columns, &self.rows].map(|open| {
            let values: Vec<f32> = open
                .chunks(HALF)
                .map(|part| part.iter().filter(|o| **o >= 0.5).count() as f32 / part.len() as f32)
                .collect();
            Grey {
                width: values.len(),
                height: 1,
                values,
            }
        })
    }
}

/// Counts of every pixel for an attenuation picture. Where the collimator lets next to nothing through
/// the film stays blank, so nothing is drawn from chance there.
pub(crate) fn counts(attenuation: Grey, open: &Opening, pixel_mm: f64, how: &Counting) -> Grey {
    let mut beam = attenuation;
    let width = beam.width.max(1);
    beam.values
        .par_chunks_mut(width)
        .enumerate()
        .for_each(|(y, row)| {
            for (v, open) in row.iter_mut().zip(open.row(y)) {
                *v = (-*v).exp() * open;
            }
        });
    let share = how.scatter_fraction.clamp(0.0, 0.95) as f32;
    let wide = (share > 0.0).then(|| beam.wide(how.scatter_sigma_mm / pixel_mm));
    beam.blurred_then(how.blur_sigma_mm / pixel_mm, |y, row| {
        if let Some(wide) = &wide {
            let (mut work, mut veil) = (Vec::new(), Vec::new());
            wide.row(y, &mut work, &mut veil);
            for (v, veil) in row.iter_mut().zip(&veil) {
                // Behind metal nothing but the veil arrives, and the processing takes it off.
                *v = if *v < BEHIND_METAL {
                    0.0
                } else {
                    (1.0 - share) * *v + share * veil
                };
            }
        }
        if how.counts > 0.0 {
            // Every row has its own seed, so that the order of work does not matter; seven million draws a
            // film ask for a quick generator, not for one made for secrets.
            let mut rng =
                SmallRng::seed_from_u64(how.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ y as u64);
            for (v, open) in row.iter_mut().zip(open.row(y)) {
                let expected = f64::from(*v) * how.counts;
                *v = if open > BLANK {
                    counted(expected, &mut rng) as f32
                } else {
                    expected as f32
                };
            }
        }
    })
}

/// Less of the beam than this, and the shutter leaves the film blank.
const BLANK: f32 = 0.3;

/// The densest part of a foot lets fifty times as much of the beam through (e to the power of −7.5).
const BEHIND_METAL: f32 = 1e-5;

/// A Poisson count; above 60 the normal distribution stands in for it.
fn counted(expected: f64, rng: &mut impl Rng) -> f64 {
    if expected > 60.0 {
        let z: f64 = StandardNormal.sample(rng);
        (expected + expected.sqrt() * z).round()
    } else {
        Poisson::new(expected.max(1e-9)).map_or(0.0, |p| p.sample(rng))
    }
}

/// Grey levels of counts, dense bright; outside the exposed field the film is blank (0).
///
/// The levels are stretched between the air beside the foot and its densest parts, as automatic
/// processing does; lead and steel are left out of that.
pub(crate) fn grey_levels(
    counts: Grey,
    open: &Opening,
    pixel_mm: f64,
    full: f64,
    tone: &Tone,
) -> Vec<u16> {
    let mut log = counts;
    let width = log.width.max(1);
    let per_full = (1.0 / full) as f32;
    log.values
        .par_chunks_mut(width)
        .enumerate()
        .for_each(|(y, row)| {
            // The collimator's own soft edge is known, and taken off.
            for (v, open) in row.iter_mut().zip(open.row(y)) {
                *v = -(*v * per_full / open.max(BLANK)).max(LEAST).ln();
            }
        });
    // Beyond the field's edge, and through metal, the pictures of fine and of large areas see nothing.
    let half = log.shrunk_as(HALF, |x, y, v| {
        if v > METAL || !open.holds(x, y) {
            0.0
        } else {
            v
        }
    });
    let seen = open.seen_in_half();
    let smooth = |sigma_mm: f64| {
        let sigma_px = sigma_mm / (pixel_mm * HALF as f64);
        let [mut smooth, columns, rows] =
            [&half, &seen[0], &seen[1]].map(|grey| grey.wide(sigma_px));
        smooth.divide(&columns, &rows);
        smooth.into_part_of(HALF, width)
    };
    let fine = smooth(tone.sharpen_sigma_mm);
    let area = smooth(tone.press_sigma_mm);
    let (press, sharpen) = (tone.press.max(1e-3) as f32, tone.sharpen as f32);
    let densest = log
        .values
        .par_chunks_mut(width)
        .enumerate()
        .fold(Levels::default, |mut levels, (y, row)| {
            let (mut work, mut fine_row, mut area_row) = (Vec::new(), Vec::new(), Vec::new());
            fine.row(y, &mut work, &mut fine_row);
            area.row(y, &mut work, &mut area_row);
            let pressed = area_row.iter().map(|&a| press * (a / press).ln_1p() - a);
            for (((v, fine), change), open) in
                row.iter_mut().zip(&fine_row).zip(pressed).zip(open.row(y))
            {
                let (dense, edge) = (*v, *v - fine);
                *v += change + sharpen * edge;
                if open > 0.99 && dense > 0.25 && dense < METAL && edge.abs() < STEEP {
                    levels.add(*v);
                }
            }
            levels
        })
        .reduce(Levels::default, Levels::with)
        .densest();
    let top = ((1u32 << tone.bits_stored.clamp(8, 16)) - 1) as f32;
    let gain = 1.0 / (densest - AIR).max(0.2);
    let curve = Curve::new();
    let mut pixels = vec![0u16; log.values.len()];
    pixels
        .par_chunks_mut(width)
        .zip(log.values.par_chunks(width))
        .enumerate()
        .for_each(|(y, (out, row))| {
            for ((pixel, &level), open) in out.iter_mut().zip(row).zip(open.row(y)) {
                let shown = top * curve.at((level - AIR) * gain);
                // The blank border: a shutter drawn on the field's own soft edge.
                *pixel = (shown * ((open - BLANK) / 0.6).clamp(0.0, 1.0)).round() as u16;
            }
        });
    pixels
}

/// Fine and large areas are looked at in half the pixels each way.
const HALF: usize = 2;
/// The least part of the beam that is told from none.
const LEAST: f32 = 2.5e-5;
/// Attenuation above which there is no bone but metal.
const METAL: f32 = 9.0;
/// A larger step within a millimetre is the edge of metal.
const STEEP: f32 = 0.8;
/// The level shown black: a little below plain air, which keeps its own faint grey.
const AIR: f32 = -0.10;

/// How often each level is seen in the foot. Every pixel counts, so that a mirrored film gets the same grey.
#[derive(Default)]
struct Levels(Vec<u64>);

impl Levels {
    const BINS: usize = 8192;
    const LOWEST: f32 = -1.0;
    const STEP: f32 = 6.0 / 8192.0;

    fn add(&mut self, level: f32) {
        self.0.resize(Levels::BINS, 0);
        let bin = ((level - Levels::LOWEST) / Levels::STEP).clamp(0.0, Levels::BINS as f32 - 1.0);
        self.0[bin as usize] += 1;
    }

    fn with(mut self, other: Levels) -> Levels {
        if self.0.is_empty() {
            return other;
        }
        self.0.iter_mut().zip(other.0).for_each(|(a, b)| *a += b);
        self
    }

    /// The level that all but the densest six in a thousand stay below.
    fn densest(self) -> f32 {
        let wanted = self.0.iter().sum::<u64>() * 6 / 1000;
        let mut above = 0;
        for (bin, count) in self.0.iter().enumerate().rev() {
            above += count;
            if above > wanted {
                return Levels::LOWEST + (bin as f32 + 1.0) * Levels::STEP;
            }
        }
        1.0
    }
}

/// The characteristic curve in steps so small that no grey level is missed: its powers are slow.
struct Curve(Vec<f32>);

impl Curve {
    const END: f32 = 4.0;
    const STEPS: usize = 8192;

    fn new() -> Curve {
        let step = Curve::END / Curve::STEPS as f32;
        Curve(
            (0..=Curve::STEPS + 1)
                .map(|i| response(i as f32 * step))
                .collect(),
        )
    }

    fn at(&self, x: f32) -> f32 {
        let place = x.clamp(0.0, Curve::END) * (Curve::STEPS as f32 / Curve::END);
        let low = place as usize;
        let (a, b) = (self.0[low], self.0[low + 1]);
        a + (b - a) * (place - low as f32)
    }
}

/// The film's characteristic curve from black (0) to the densest bone (1): a foot, a long straight
/// part, a shoulder that metal reaches the top of.
fn response(x: f32) -> f32 {
    if x <= 0.0 {
        return 0.0;
    }
    let foot = x * x / (x + 0.06) * 1.06;
    // 0.92 at 1; whole at infinity.
    1.0 - (-2.525_73 * foot.powf(1.12)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_scatter_as_their_root_at_many_and_at_few() {
        for expected in [9.0, 4000.0] {
            let attenuation = Grey {
                width: 200,
                height: 200,
                values: vec![(10_000.0f32 / expected as f32).ln(); 40_000],
            };
            let open = Opening {
                columns: vec![1.0; 200],
                rows: vec![1.0; 200],
            };
            let how = Counting {
                counts: 10_000.0,
                scatter_fraction: 0.0,
                blur_sigma_mm: 0.0,
                ..Counting::default()
            };
            let got = counts(attenuation, &open, 0.1, &how);
            let mean = got.values.iter().map(|&v| f64::from(v)).sum::<f64>() / 40_000.0;
            let var = got
                .values
                .iter()
                .map(|&v| (f64::from(v) - mean).powi(2))
                .sum::<f64>()
                / 40_000.0;
            // 40,000 draws: the mean is known to 0.5 %/√expected, the variance to 0.7 %.
            assert!((mean / expected - 1.0).abs() < 0.01, "{mean}");
            assert!((var / expected - 1.0).abs() < 0.04, "{var}");
        }
    }

    #[test]
    fn denser_is_brighter_all_the_way() {
        let levels: Vec<f32> = (0..300).map(|i| response(i as f32 * 0.01 - 0.4)).collect();
        assert!(levels.windows(2).all(|w| w[1] >= w[0]));
        assert!(levels.iter().all(|v| (0.0..=1.0).contains(v)));
        let curve = Curve::new();
        let worst = (-100..1000)
            .map(|i| i as f32 * 0.0041)
            .map(|x| (curve.at(x) - response(x.min(4.0))).abs())
            .fold(0.0f32, f32::max);
        // A quarter of a grey level of 4,096.
        assert!(worst < 6e-5, "{worst}");
    }

    /// An inner area of one attenuation in a wider one of another, and the grey levels half way up.
    fn greys_of(inner: f32, outer: f32) -> (f64, f64) {
        let mut log = vec![0.0f32; 400 * 400];
        for (i, v) in log.iter_mut().enumerate() {
            let (x, y) = (i % 400, i / 400);
            if (40..360).contains(&x) && (40..360).contains(&y) {
                // A checked pattern of 4 mm, a fifth of attenuation high.
                let fine = if (x / 8 + y / 8) % 2 == 0 { 0.1 } else { -0.1 };
                *v = if x < 200 { inner } else { outer } + fine;
            }
        }
        let beam = Grey {
            width: 400,
            height: 400,
            values: log.iter().map(|v| (-v).exp()).collect(),
        };
        let open = Opening {
            columns: vec![1.0; 400],
            rows: vec![1.0; 400],
        };
        let pixels = grey_levels(beam, &open, 0.5, 1.0, &Tone::default());
        let spread = |x0: usize| {
            let row = &pixels[200 * 400 + x0..200 * 400 + x0 + 48];
            f64::from(*row.iter().max().unwrap() - *row.iter().min().unwrap())
        };
        (spread(90), spread(270))
    }

    #[test]
    fn fine_detail_is_seen_in_a_thin_and_in_a_very_dense_area_of_one_film() {
        let (thin, dense) = greys_of(0.8, 5.5);
        // Of 4,096 grey levels; the pattern is a fifth of a natural logarithm high.
        assert!(thin > 150.0 && dense > 150.0, "{thin} {dense}");
    }
}
