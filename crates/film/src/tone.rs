//! From stored values to display levels: modality table or slope, then VOI table or window.
//!
//! Answers "how bright is this pixel?". A linear window never throws grey levels away here: it
//! becomes the film's [default window](Film::default_window) over levels that span everything the
//! film holds, so that the reader can open it wider. Curves (sigmoid, VOI table) are applied.
//!
//! DICOM PS3.3 C.11.1 (Modality LUT), C.11.2 (VOI LUT and windows, with the equations of C.11.2.1.2
//! and C.11.2.1.3), C.7.6.3.1.2 (MONOCHROME1).

use crate::{Film, Samples};
use rayon::prelude::*;
use std::ops::RangeInclusive;

/// Brightest display level.
pub const WHITE: f64 = 65_535.0;
const CHUNK: usize = 1 << 16;

/// A linear window over the levels of [`Film::display16`] (0 to 65,535): `centre − width/2` shows
/// black, `centre + width/2` white; inverted the other way round.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Window {
    pub centre: f64,
    pub width: f64,
    #[serde(default)]
    pub invert: bool,
}

impl Window {
    /// Everything the film holds.
    pub const FULL: Window = Window {
        centre: WHITE / 2.0,
        width: WHITE,
        invert: false,
    };

    /// From the level shown black to the level shown white.
    pub fn between(black: f64, white: f64) -> Window {
        Window {
            centre: (black + white) / 2.0,
            width: white - black,
            invert: false,
        }
    }

    /// The 8-bit value of a level.
    pub fn grey8(&self, level: f64) -> u8 {
        // A width of nothing (or a broken one) still shows something: a step at the centre.
        let width = if self.width.is_finite() && self.width > 1e-6 {
            self.width
        } else {
            1e-6
        };
        let centre = if self.centre.is_finite() {
            self.centre
        } else {
            WHITE / 2.0
        };
        let share = ((level - centre) / width + 0.5).clamp(0.0, 1.0);
        let share = if self.invert { 1.0 - share } else { share };
        (share * 255.0).round() as u8
    }
}

/// A table from the file: input `first` and below gives the first entry, beyond the end the last.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Table {
    pub first: f64,
    pub entries: Vec<u16>,
    pub bits: u16,
}

impl Table {
    fn at(&self, value: f64) -> f64 {
        let last = self.entries.len().saturating_sub(1);
        let index = (value - self.first).round().clamp(0.0, last as f64) as usize;
        self.entries.get(index).map_or(0.0, |e| f64::from(*e))
    }
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Modality {
    Rescale { slope: f64, intercept: f64 },
    Table(Table),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Curve {
    Linear,
    LinearExact,
    Sigmoid,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Voi {
    None,
    Window {
        centre: f64,
        width: f64,
        curve: Curve,
    },
    Table(Table),
}

/// Everything needed to turn a stored value into a level.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tone {
    pub modality: Modality,
    pub voi: Voi,
    /// MONOCHROME1: the lowest value is shown white.
    pub inverse: bool,
    /// Values that are no picture (outside a shaped plate); kept out of the range.
    pub padding: Option<RangeInclusive<i32>>,
}

impl Tone {
    pub(crate) fn plain() -> Tone {
        Tone {
            modality: Modality::Rescale {
                slope: 1.0,
                intercept: 0.0,
            },
            voi: Voi::None,
            inverse: false,
            padding: None,
        }
    }

    fn modality_value(&self, stored: i32) -> f64 {
        match &self.modality {
            Modality::Rescale { slope, intercept } => f64::from(stored) * slope + intercept,
            Modality::Table(table) => table.at(f64::from(stored)),
        }
    }

    fn curve_value(&self, value: f64) -> f64 {
        match &self.voi {
            Voi::Table(table) => table.at(value),
            // PS3.3 C.11.2.1.3.1
            Voi::Window {
                centre,
                width,
                curve: Curve::Sigmoid,
            } => 1.0 / (1.0 + (-4.0 * (value - centre) / width).exp()),
            Voi::None | Voi::Window { .. } => value,
        }
    }
}

/// What levels 0 and 65,535 stand for, in the film's own units after modality and curve.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Range {
    low: f64,
    high: f64,
}

impl Range {
    fn level(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low) * WHITE
    }
}

impl Film {
    /// Every pixel as a level: 0 darkest, 65,535 brightest thing the film holds; bone is bright
    /// also where the file stores it dark (MONOCHROME1).
    pub fn display16(&self) -> Vec<u16> {
        self.through(&self.levels())
    }

    /// Every pixel as 8-bit grey under a window.
    pub fn display8(&self, window: Window) -> Vec<u8> {
        let grey: Vec<u8> = self
            .levels()
            .iter()
            .map(|level| window.grey8(f64::from(*level)))
            .collect();
        self.through(&grey)
    }

    /// The file's own linear window; without one, from the darkest to the brightest half percent.
    pub fn default_window(&self) -> Window {
        match &self.tone.voi {
            Voi::Window {
                centre,
                width,
                curve,
            } if *curve != Curve::Sigmoid => {
                // PS3.3 C.11.2.1.2.1 (LINEAR: half a step off) and C.11.2.1.3.2 (LINEAR_EXACT).
                let (black, white) = match curve {
                    Curve::Linear => (
                        centre - 0.5 - (width - 1.0) / 2.0,
                        centre - 0.5 + (width - 1.0) / 2.0,
                    ),
                    _ => (centre - width / 2.0, centre + width / 2.0),
                };
                let range = self.range();
                let (black, white) = (range.level(black), range.level(white));
                if self.tone.inverse {
                    Window::between(WHITE - white, WHITE - black)
                } else {
                    Window::between(black, white)
                }
            }
            Voi::None => self.percentile_window(0.005),
            _ => Window::FULL,
        }
    }

    fn percentile_window(&self, share: f64) -> Window {
        let levels = self.levels();
        let counts = self.histogram();
        let mut by_level: Vec<(u16, u64)> = levels
            .iter()
            .copied()
            .zip(counts)
            .filter(|(_, n)| *n > 0)
            .collect();
        by_level.sort_unstable();
        let total: u64 = by_level.iter().map(|(_, n)| n).sum();
        let edge = (total as f64 * share) as u64;
        let black = level_beyond(by_level.iter(), edge);
        let white = level_beyond(by_level.iter().rev(), edge);
        match (black, white) {
            (Some(black), Some(white)) if white > black => Window::between(black, white),
            _ => Window::FULL,
        }
    }

    /// How often each of the 65,536 stored bit patterns occurs, padding left out.
    fn histogram(&self) -> Vec<u64> {
        let add = |mut a: Vec<u64>, b: Vec<u64>| {
            a.iter_mut().zip(&b).for_each(|(x, y)| *x += y);
            a
        };
        let empty = || vec![0_u64; 1 << 16];
        let count = |mut counts: Vec<u64>, pattern: u16| {
            if let Some(n) = counts.get_mut(usize::from(pattern)) {
                *n += 1;
            }
            counts
        };
        let mut counts = match &self.samples {
            Samples::Unsigned(v) => v
                .par_chunks(CHUNK * 8)
                .map(|c| c.iter().fold(empty(), |counts, s| count(counts, *s)))
                .reduce(empty, add),
            Samples::Signed(v) => v
                .par_chunks(CHUNK * 8)
                .map(|c| c.iter().fold(empty(), |counts, s| count(counts, *s as u16)))
                .reduce(empty, add),
        };
        if let Some(padding) = &self.tone.padding {
            for (pattern, n) in counts.iter_mut().enumerate() {
                if padding.contains(&self.stored_of(pattern as u16)) {
                    *n = 0;
                }
            }
        }
        counts
    }

    /// The stored value that a bit pattern means.
    fn stored_of(&self, pattern: u16) -> i32 {
        match self.samples {
            Samples::Unsigned(_) => i32::from(pattern),
            Samples::Signed(_) => i32::from(pattern as i16),
        }
    }

    fn range(&self) -> Range {
        // Curves have a range of their own; everything else spans the values that occur.
        match &self.tone.voi {
            Voi::Window {
                curve: Curve::Sigmoid,
                ..
            } => {
                return Range {
                    low: 0.0,
                    high: 1.0,
                };
            }
            Voi::Table(table) => {
                let top = 2_f64.powi(i32::from(table.bits)) - 1.0;
                let most = table.entries.iter().copied().max().map_or(0.0, f64::from);
                return Range {
                    low: 0.0,
                    high: top.max(most).max(1.0),
                };
            }
            _ => {}
        }
        let (low, high) = self.stored_range();
        let ends: Vec<f64> = match &self.tone.modality {
            Modality::Rescale { .. } => {
                vec![
                    self.tone.modality_value(low),
                    self.tone.modality_value(high),
                ]
            }
            Modality::Table(_) => (low..=high).map(|s| self.tone.modality_value(s)).collect(),
        };
        let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
        let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if low.is_finite() && high.is_finite() && high > low {
            Range { low, high }
        } else {
            // A blank film: one grey, no span.
            let low = if low.is_finite() { low } else { 0.0 };
            Range {
                low,
                high: low + 1.0,
            }
        }
    }

    /// Lowest and highest stored value that is picture.
    fn stored_range(&self) -> (i32, i32) {
        let padding = self.tone.padding.clone();
        let found = match (&self.samples, padding) {
            (Samples::Unsigned(v), None) => span(v),
            (Samples::Signed(v), None) => span(v),
            (_, Some(_)) => {
                let stored: Vec<i32> = self
                    .histogram()
                    .iter()
                    .enumerate()
                    .filter(|(_, n)| **n > 0)
                    .map(|(pattern, _)| self.stored_of(pattern as u16))
                    .collect();
                stored
                    .iter()
                    .copied()
                    .min()
                    .zip(stored.iter().copied().max())
            }
        };
        found.unwrap_or((0, 1))
    }

    /// The level of each of the 65,536 stored bit patterns.
    fn levels(&self) -> Vec<u16> {
        let range = self.range();
        let level_of = |pattern: u32| {
            let stored = self.stored_of(pattern as u16);
            let value = self.tone.curve_value(self.tone.modality_value(stored));
            let level = range.level(value).clamp(0.0, WHITE).round() as u16;
            if self.tone.inverse {
                u16::MAX - level
            } else {
                level
            }
        };
        (0..1_u32 << 16)
            .into_par_iter()
            .with_min_len(8192)
            .map(level_of)
            .collect()
    }

    /// Sends every pixel through a table of 65,536 entries.
    fn through<T: Copy + Default + Send + Sync>(&self, table: &[T]) -> Vec<T> {
        let look = |pattern: u16| table.get(usize::from(pattern)).copied().unwrap_or_default();
        let mut out = vec![T::default(); self.samples.len()];
        match &self.samples {
            Samples::Unsigned(v) => out
                .par_chunks_mut(CHUNK)
                .zip(v.par_chunks(CHUNK))
                .for_each(|(to, from)| to.iter_mut().zip(from).for_each(|(t, s)| *t = look(*s))),
            Samples::Signed(v) => {
                out.par_chunks_mut(CHUNK)
                    .zip(v.par_chunks(CHUNK))
                    .for_each(|(to, from)| {
                        to.iter_mut()
                            .zip(from)
                            .for_each(|(t, s)| *t = look(*s as u16))
                    })
            }
        }
        out
    }
}

/// The first level with more than `edge` pixels up to it.
fn level_beyond<'a>(counts: impl Iterator<Item = &'a (u16, u64)>, edge: u64) -> Option<f64> {
    let mut seen = 0;
    for (level, n) in counts {
        seen += n;
        if seen > edge {
            return Some(f64::from(*level));
        }
    }
    None
}

fn span<T: Copy + Ord + Into<i32> + Send + Sync>(values: &[T]) -> Option<(i32, i32)> {
    values
        .par_chunks(CHUNK)
        .filter_map(|chunk| {
            let first = *chunk.first()?;
            Some(
                chunk
                    .iter()
                    .fold((first, first), |(lo, hi), v| (lo.min(*v), hi.max(*v))),
            )
        })
        .map(|(lo, hi)| (lo.into(), hi.into()))
        .reduce_with(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// Mean over blocks of `step` × `step` pixels, with its width and height; the last partial blocks are
/// averaged over what is there.
pub fn averaged(grey: &[u16], width: u32, height: u32, step: u32) -> (Vec<u16>, u32, u32) {
    let (w, h, step) = (width as usize, height as usize, step.max(1) as usize);
    let (across, down) = (w.div_ceil(step), h.div_ceil(step));
    let mut out = Vec::with_capacity(across * down);
    let mut sums = vec![0u64; across];
    for lines in grey.chunks(w.max(1) * step).take(down) {
        sums.fill(0);
        for line in lines.chunks(w.max(1)) {
            for (sum, block) in sums.iter_mut().zip(line.chunks(step)) {
                *sum += block.iter().map(|v| u64::from(*v)).sum::<u64>();
            }
        }
        let rows = lines.len() / w.max(1);
        for (column, sum) in sums.iter().enumerate() {
            let columns = step.min(w - column * step);
            out.push((sum / (rows * columns).max(1) as u64) as u16);
        }
    }
    (out, across as u32, down as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smaller_picture_holds_the_mean_of_each_block_also_at_the_border() {
        let grey = [10, 20, 30, 30, 40, 50, 7, 9, 11];
        let (small, w, h) = averaged(&grey, 3, 3, 2);
        assert_eq!((w, h), (2, 2));
        assert_eq!(small, [25, 40, 8, 11]);
        assert_eq!(averaged(&[], 0, 0, 2), (Vec::new(), 0, 0));
    }
}
