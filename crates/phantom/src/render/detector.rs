//! What does the detector make of the beam that reaches it?
//!
//! Beam → scatter → blur of focus and detector → counted quanta → logarithm → grey levels.
//! The last step flattens slow differences a little and lifts fine ones, as the processing of a
//! digital radiograph does: soft tissue and dense bone are both seen, and the skin has a faint dark rim.

use super::blur::Grey;
use rand::{Rng, SeedableRng, rngs::StdRng};
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
    /// How much of the slow differences is taken away, 0 to 1, and how slow they are.
    pub flatten: f64,
    pub flatten_sigma_mm: f64,
    /// How much of the fine differences is added, and how fine they are.
    pub sharpen: f64,
    pub sharpen_sigma_mm: f64,
}

impl Default for Counting {
    fn default() -> Counting {
        Counting {
            counts: 5000.0,
            scatter_fraction: 0.10,
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
            flatten: 0.50,
            flatten_sigma_mm: 14.0,
            sharpen: 0.5,
            sharpen_sigma_mm: 0.7,
        }
    }
}

/// Counts of every pixel for an attenuation picture; `open` is the part of the beam that the
/// collimator lets through to each pixel (1 in the field). Where it lets next to nothing through the
/// film stays blank, so nothing is drawn from chance there.
pub(crate) fn counts(attenuation: Grey, open: &Grey, pixel_mm: f64, how: &Counting) -> Grey {
    let mut beam = attenuation;
    beam.values
        .par_iter_mut()
        .zip(&open.values)
        .for_each(|(v, open)| *v = (-*v).exp() * open);
    if how.scatter_fraction > 0.0 {
        let share = how.scatter_fraction.min(0.95) as f32;
        let wide = beam.blurred(how.scatter_sigma_mm / pixel_mm);
        beam.values
            .par_iter_mut()
            .zip(&wide.values)
            .for_each(|(v, wide)| *v = (1.0 - share) * *v + share * wide);
    }
    let mut beam = beam.blurred(how.blur_sigma_mm / pixel_mm);
    if how.counts <= 0.0 {
        return beam;
    }
    let width = beam.width;
    beam.values
        .par_chunks_mut(width)
        .zip(open.values.par_chunks(width))
        .enumerate()
        .for_each(|(y, (row, open))| {
            // Every row has its own seed, so that the order of work does not matter.
            let seed = how.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ y as u64;
            let mut rng = StdRng::seed_from_u64(seed);
            for (v, &open) in row.iter_mut().zip(open) {
                let expected = f64::from(*v) * how.counts;
                *v = if open > BLANK {
                    counted(expected, &mut rng) as f32
                } else {
                    expected as f32
                };
            }
        });
    beam
}

/// Less of the beam than this, and the shutter leaves the film blank.
const BLANK: f32 = 0.3;

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
    open: &Grey,
    pixel_mm: f64,
    full: f64,
    tone: &Tone,
) -> Vec<u16> {
    let mut log = counts;
    let per_full = (1.0 / full) as f32;
    log.values
        .par_iter_mut()
        .for_each(|v| *v = -(*v * per_full).max(0.002).ln());
    // Beyond the field's edge the slow picture must not see unexposed detector.
    let mut field = log.clone();
    field
        .values
        .par_iter_mut()
        .zip(&open.values)
        .for_each(|(v, &o)| {
            *v = if o < 0.5 { 0.0 } else { v.min(METAL) };
        });
    let slow = field.blurred(tone.flatten_sigma_mm / pixel_mm);
    let fine = field.blurred(tone.sharpen_sigma_mm / pixel_mm);
    let (flatten, sharpen) = (tone.flatten as f32, tone.sharpen as f32);
    let level = |i: usize| {
        log.values[i] - flatten * slow.values[i]
            + sharpen * (log.values[i].min(METAL) - fine.values[i])
    };
    let densest = densest_level(&field, open, level);
    let top = ((1u32 << tone.bits_stored.clamp(8, 16)) - 1) as f32;
    let gain = 1.0 / (densest - AIR).max(0.2);
    (0..log.values.len())
        .into_par_iter()
        .map(|i| {
            let shown = top * response((level(i) - AIR) * gain);
            // The blank border: a shutter drawn on the field's own soft edge.
            (shown * ((open.values[i] - BLANK) / 0.6).clamp(0.0, 1.0)).round() as u16
        })
        .collect()
}

/// Attenuation above which there is no bone but metal.
const METAL: f32 = 3.2;
/// The level shown black: a little below plain air, which keeps its own faint grey.
const AIR: f32 = -0.22;

/// The level that all but the densest half percent of the foot stays below. Every pixel counts, so that
/// a mirrored film gets the same grey.
fn densest_level(field: &Grey, open: &Grey, level: impl Fn(usize) -> f32 + Sync) -> f32 {
    const BINS: usize = 8192;
    let (lowest, step) = (-1.0f32, 6.0 / BINS as f32);
    let empty = || vec![0u64; BINS];
    let bins = (0..field.values.len())
        .into_par_iter()
        .with_min_len(65_536)
        .filter(|&i| {
            open.values[i] > 0.99 && field.values[i] > 0.25 && field.values[i] < METAL - 0.1
        })
        .fold(empty, |mut bins, i| {
            let bin = ((level(i) - lowest) / step).clamp(0.0, BINS as f32 - 1.0) as usize;
            bins[bin] += 1;
            bins
        })
        .reduce(empty, |mut a, b| {
            a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
            a
        });
    let wanted = bins.iter().sum::<u64>() / 200;
    let mut above = 0;
    for (bin, count) in bins.iter().enumerate().rev() {
        above += count;
        if above > wanted {
            return lowest + (bin as f32 + 1.0) * step;
        }
    }
    1.0
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
            let open = Grey {
                width: 200,
                height: 200,
                values: vec![1.0; 40_000],
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
    }
}
