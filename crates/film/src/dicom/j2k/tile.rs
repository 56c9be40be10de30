//! One tile: its resolutions, sub-bands, precincts and code-blocks (T.800 B.3 to B.7), and how they
//! become samples.

use super::contexts::Kind;
use super::dwt::{self, Filter, Plane, Quarters};
use super::ebcot::{Coder, MOST_PLANES, NEGATIVE};
use super::head::Head;
use super::packets::{PrecinctBand, TagTree};
use rayon::prelude::*;
use std::ops::Range;

/// Corners: left, top, right and bottom, the latter two beyond the last place.
pub(super) type Corners = [u32; 4];

pub(super) struct Tile {
    pub resolutions: Vec<Resolution>,
    pub bands: Vec<Band>,
    pub blocks: Vec<Block>,
}

pub(super) struct Resolution {
    pub corners: Corners,
    /// Each precinct's part of each sub-band that makes this resolution of the one below.
    pub precincts: Vec<Vec<PrecinctBand>>,
}

pub(super) struct Band {
    kind: Kind,
    corners: Corners,
    step: f32,
    /// Height of a code-block as a power of two.
    block_height: u32,
}

pub(super) struct Block {
    band: usize,
    corners: Corners,
    pub planes: u32,
    pub passes: u32,
    pub length_bits: u32,
    /// Places of its bytes in the tile's data.
    pub pieces: Vec<Range<usize>>,
}

/// More precincts than a film has in one tile.
const MOST_PRECINCTS: u64 = 1 << 16;

/// More code-blocks than a film has in one tile, at the least size that an encoder would choose.
const MOST_BLOCKS: u64 = 1 << 19;

fn shrunk(corner: u32, by: u32) -> u32 {
    ((u64::from(corner) + (1 << by) - 1) >> by) as u32
}

/// Equation B-15: a sub-band's corner; `high` in this direction, after `level` transforms.
fn band_corner(corner: u32, level: u32, high: bool) -> u32 {
    let back = if high && level > 0 {
        1 << (level - 1)
    } else {
        0
    };
    ((u64::from(corner) + (1 << level) - 1).saturating_sub(back) >> level) as u32
}

impl Tile {
    /// Everything that the main header decides about a tile. `None` where it is not plain: a side of less
    /// than two places, for which the transform has rules of its own, or too many precincts or blocks.
    pub fn new(head: &Head, corners: Corners) -> Option<Tile> {
        let style = &head.style;
        let [x0, y0, x1, y1] = corners.map(u64::from);
        let area = x1.saturating_sub(x0) * y1.saturating_sub(y0);
        if area == 0 || area >> (style.block.0 + style.block.1) > MOST_BLOCKS {
            return None;
        }
        let mut tile = Tile {
            resolutions: Vec::new(),
            bands: Vec::new(),
            blocks: Vec::new(),
        };
        for r in 0..=style.levels {
            let below = style.levels - r;
            let here = corners.map(|c| shrunk(c, below));
            let size = (here[2] - here[0], here[3] - here[1]);
            if style.levels > 0 && (size.0 < 2 || size.1 < 2) {
                return None;
            }
            let first = tile.bands.len();
            let kinds: &[Kind] = if r == 0 {
                &[Kind::LowLow]
            } else {
                &[Kind::HighLow, Kind::LowHigh, Kind::HighHigh]
            };
            let precinct = *style.precincts.get(r as usize)?;
            // A precinct covers half as many places of a sub-band (B.7).
            let half = u32::from(r > 0);
            let in_band = (precinct.0 - half, precinct.1 - half);
            let block = (style.block.0.min(in_band.0), style.block.1.min(in_band.1));
            let mut planes = Vec::new();
            for kind in kinds {
                let (band, depth) = Band::new(head, corners, r, *kind, block.1)?;
                tile.bands.push(band);
                planes.push(depth);
            }
            let columns = here[0] >> precinct.0..shrunk(here[2], precinct.0);
            let rows = here[1] >> precinct.1..shrunk(here[3], precinct.1);
            let count = u64::from(columns.end - columns.start) * u64::from(rows.end - rows.start);
            if count > MOST_PRECINCTS {
                return None;
            }
            let mut precincts = Vec::new();
            for y in rows {
                for x in columns.clone() {
                    let parts = planes.iter().enumerate().map(|(i, depth)| {
                        tile.precinct_band(first + i, (x, y), in_band, block, *depth)
                    });
                    precincts.push(parts.collect());
                }
            }
            tile.resolutions.push(Resolution {
                corners: here,
                precincts,
            });
        }
        Some(tile)
    }

    /// The code-blocks of precinct number `place` in one sub-band.
    fn precinct_band(
        &mut self,
        band: usize,
        place: (u32, u32),
        size: (u32, u32),
        block: (u32, u32),
        planes: u32,
    ) -> PrecinctBand {
        let [x0, y0, x1, y1] = self.bands[band].corners;
        // The last precinct of a row may reach beyond 32 bits.
        let end = |n: u32, size: u32| ((u64::from(n) + 1) << size).min(u64::from(u32::MAX)) as u32;
        let within = [
            x0.max(place.0 << size.0),
            y0.max(place.1 << size.1),
            x1.min(end(place.0, size.0)),
            y1.min(end(place.1, size.1)),
        ];
        let [left, top, right, bottom] = within;
        let first = self.blocks.len();
        let (mut across, mut down) = (0, 0);
        if left < right && top < bottom {
            let columns = left >> block.0..shrunk(right, block.0);
            let rows = top >> block.1..shrunk(bottom, block.1);
            (across, down) = (columns.len(), rows.len());
            for y in rows {
                for x in columns.clone() {
                    self.blocks.push(Block {
                        band,
                        corners: [
                            left.max(x << block.0),
                            top.max(y << block.1),
                            right.min((x + 1) << block.0),
                            bottom.min((y + 1) << block.1),
                        ],
                        planes: 0,
                        passes: 0,
                        length_bits: 0,
                        pieces: Vec::new(),
                    });
                }
            }
        }
        PrecinctBand {
            across,
            blocks: first..self.blocks.len(),
            inclusion: TagTree::new(across, down),
            empty_planes: TagTree::new(across, down),
            planes,
        }
    }

    /// Decodes the blocks and undoes the transforms; `keep` makes samples of the last one's rows.
    pub fn samples<F: Filter>(
        self,
        data: &[u8],
        keep: impl Fn(&[F::Value], &mut [u16]) + Sync,
    ) -> Option<Vec<u16>> {
        let deep =
            |b: &Block| b.planes > MOST_PLANES || b.passes > (3 * b.planes).saturating_sub(2);
        if self.blocks.iter().any(|b| b.passes > 0 && deep(b)) {
            return None;
        }
        let mut planes = self.planes::<F>(data).into_iter();
        let mut low_low = planes.next()?;
        let last = self.resolutions.len() - 1;
        if last == 0 {
            let mut out = vec![0; low_low.values.len()];
            keep(&low_low.values, &mut out);
            return Some(out);
        }
        for (number, resolution) in self.resolutions.iter().enumerate().skip(1) {
            let quarters = Quarters {
                low_low,
                high_low: planes.next()?,
                low_high: planes.next()?,
                high_high: planes.next()?,
                x_odd: resolution.corners[0] % 2 == 1,
                y_odd: resolution.corners[1] % 2 == 1,
            };
            if number == last {
                return Some(dwt::inverse::<F, u16>(quarters, keep).values);
            }
            low_low = dwt::inverse::<F, F::Value>(quarters, |row, out| out.copy_from_slice(row));
        }
        None
    }

    /// All sub-bands, filled from their blocks. A strip is one row of blocks; strips are shared out.
    fn planes<F: Filter>(&self, data: &[u8]) -> Vec<Plane<F::Value>> {
        let mut planes: Vec<Plane<F::Value>> = self.bands.iter().map(Band::plane).collect();
        // The blocks of each strip of each band.
        let mut blocks: Vec<Vec<Vec<&Block>>> = self
            .bands
            .iter()
            .map(|band| vec![Vec::new(); band.strips().len()])
            .collect();
        for block in self.blocks.iter().filter(|b| b.passes > 0) {
            let band = &self.bands[block.band];
            let strip = (block.corners[1] >> band.block_height) - band.strips().start;
            blocks[block.band][strip as usize].push(block);
        }
        let mut strips = Vec::new();
        for ((band, plane), blocks) in self.bands.iter().zip(&mut planes).zip(blocks) {
            let mut rest = plane.values.as_mut_slice();
            for (number, blocks) in band.strips().zip(blocks) {
                let top = band.corners[1].max(number << band.block_height);
                let bottom = band.corners[3].min((number + 1) << band.block_height);
                let (rows, after) = rest.split_at_mut((bottom - top) as usize * plane.width);
                rest = after;
                strips.push((band, top, rows, blocks));
            }
        }
        strips.into_par_iter().for_each_init(
            || (Coder::default(), Vec::new()),
            |(coder, bytes), (band, top, rows, blocks)| {
                for block in blocks {
                    block.decode::<F>(coder, bytes, data, band, top, rows);
                }
            },
        );
        planes
    }
}

impl Block {
    fn decode<F: Filter>(
        &self,
        coder: &mut Coder,
        bytes: &mut Vec<u8>,
        data: &[u8],
        band: &Band,
        top: u32,
        rows: &mut [F::Value],
    ) {
        bytes.clear();
        for piece in &self.pieces {
            bytes.extend_from_slice(data.get(piece.clone()).unwrap_or_default());
        }
        let [left, upper, right, lower] = self.corners;
        let (width, height) = ((right - left) as usize, (lower - upper) as usize);
        coder.decode(bytes, (width, height), band.kind, self.planes, self.passes);
        let row_length = (band.corners[2] - band.corners[0]) as usize;
        let start = (left - band.corners[0]) as usize;
        let rows = rows
            .chunks_exact_mut(row_length)
            .skip((upper - top) as usize)
            .take(height)
            .filter_map(|row| row.get_mut(start..start + width));
        let mut rows = rows.collect::<Vec<_>>();
        for (four, columns) in rows.chunks_mut(4).zip(coder.stripes()) {
            for (i, row) in four.iter_mut().enumerate() {
                for (value, column) in row.iter_mut().zip(columns) {
                    let coded = column[i & 3];
                    *value = F::value(coded & !NEGATIVE, coded & NEGATIVE != 0, band.step);
                }
            }
        }
    }
}

impl Band {
    /// A sub-band of resolution `r`, and how many bit-planes it has (equation E-2).
    fn new(
        head: &Head,
        tile: Corners,
        r: u32,
        kind: Kind,
        block_height: u32,
    ) -> Option<(Band, u32)> {
        let (style, steps) = (&head.style, &head.steps);
        let level = if r == 0 {
            style.levels
        } else {
            style.levels - r + 1
        };
        let (x_high, y_high) = match kind {
            Kind::LowLow => (false, false),
            Kind::HighLow => (true, false),
            Kind::LowHigh => (false, true),
            Kind::HighHigh => (true, true),
        };
        let corners = [
            band_corner(tile[0], level, x_high),
            band_corner(tile[1], level, y_high),
            band_corner(tile[2], level, x_high),
            band_corner(tile[3], level, y_high),
        ];
        let high_in = u32::from(x_high) + u32::from(y_high);
        let number = match r {
            0 => 0,
            r => 3 * (r as usize - 1) + usize::from(x_high) + 2 * usize::from(y_high),
        };
        let (exponent, mantissa) = if steps.derived {
            // Equation E-5.
            let (exponent, mantissa) = *steps.sizes.first()?;
            ((exponent + level).checked_sub(style.levels)?, mantissa)
        } else {
            *steps.sizes.get(number)?
        };
        let step = if style.reversible {
            1.0
        } else {
            // Equations E-3 and E-4; the filter's own scaling goes with it.
            let range = head.precision as i32 + high_in as i32 - exponent as i32;
            let further = level.saturating_sub(1);
            let unit = 2_f32.powi(range) * (1.0 + mantissa as f32 / 2048.0);
            unit * if style.levels == 0 {
                1.0
            } else {
                dwt::scaling(high_in, further)
            }
        };
        let planes = (steps.guard + exponent).checked_sub(1)?;
        Some((
            Band {
                kind,
                corners,
                step,
                block_height,
            },
            planes,
        ))
    }

    /// Numbers of the rows of code-blocks.
    fn strips(&self) -> Range<u32> {
        self.corners[1] >> self.block_height..shrunk(self.corners[3], self.block_height)
    }

    fn plane<T: Copy + Default>(&self) -> Plane<T> {
        let [x0, y0, x1, y1] = self.corners;
        let (width, height) = ((x1 - x0) as usize, (y1 - y0) as usize);
        Plane {
            values: vec![T::default(); width * height],
            width,
            height,
        }
    }
}
