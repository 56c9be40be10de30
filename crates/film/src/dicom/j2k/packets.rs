//! Which coded bytes belong to which code-block (T.800 annex B): precincts, packet headers, tag trees.

use super::head::Style;
use super::tile::{Block, Tile};
use std::ops::Range;

/// A value for each leaf, told little by little: each node holds the least of the four below it (B.10.2).
pub(super) struct TagTree {
    levels: Vec<(usize, Vec<Node>)>,
}

#[derive(Clone, Copy, Default)]
struct Node {
    at_least: u32,
    known: bool,
}

impl TagTree {
    pub fn new(mut across: usize, mut down: usize) -> TagTree {
        let mut levels = Vec::new();
        loop {
            levels.push((across, vec![Node::default(); across * down]));
            if across * down <= 1 {
                return TagTree { levels };
            }
            (across, down) = (across.div_ceil(2), down.div_ceil(2));
        }
    }

    /// Whether the leaf's value is below the limit, as far as the bits must be asked.
    fn below(&mut self, bits: &mut Bits<'_>, x: usize, y: usize, limit: u32) -> Option<bool> {
        let mut least = 0;
        let mut known = false;
        for (level, (across, nodes)) in self.levels.iter_mut().enumerate().rev() {
            let node = nodes.get_mut((y >> level) * *across + (x >> level))?;
            node.at_least = node.at_least.max(least);
            while !node.known && node.at_least < limit {
                if bits.bit()? == 1 {
                    node.known = true;
                } else {
                    node.at_least += 1;
                }
            }
            (least, known) = (node.at_least, node.known);
        }
        Some(known && least < limit)
    }
}

/// The bits of a packet header; a zero is stuffed after each 0xFF (B.10.1).
struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    byte: u8,
    left: u32,
}

impl<'a> Bits<'a> {
    fn new(bytes: &'a [u8], at: usize) -> Bits<'a> {
        Bits {
            bytes,
            at,
            byte: 0,
            left: 0,
        }
    }

    fn bit(&mut self) -> Option<u32> {
        if self.left == 0 {
            self.left = if self.byte == 0xFF { 7 } else { 8 };
            self.byte = *self.bytes.get(self.at)?;
            self.at += 1;
        }
        self.left -= 1;
        Some(u32::from(self.byte >> self.left & 1))
    }

    fn number(&mut self, bits: u32) -> Option<u32> {
        let mut number = 0;
        for _ in 0..bits {
            number = number << 1 | self.bit()?;
        }
        Some(number)
    }

    /// Number of passes (table B.4).
    fn passes(&mut self) -> Option<u32> {
        if self.bit()? == 0 {
            return Some(1);
        }
        if self.bit()? == 0 {
            return Some(2);
        }
        Some(match self.number(2)? {
            3 => match self.number(5)? {
                31 => 37 + self.number(7)?,
                n => 6 + n,
            },
            n => 3 + n,
        })
    }

    /// Where the bytes after the header begin.
    fn end(self) -> Option<usize> {
        if self.byte != 0xFF {
            return Some(self.at);
        }
        self.bytes.get(self.at).map(|_| self.at + 1)
    }
}

/// The blocks of a precinct in one sub-band, row by row.
pub(super) struct PrecinctBand {
    pub across: usize,
    pub blocks: Range<usize>,
    pub inclusion: TagTree,
    pub empty_planes: TagTree,
    /// Bit-planes of the sub-band (equation E-2).
    pub planes: u32,
}

/// Walks all packets in their order (B.12) and gives every block its bytes.
pub(super) fn read(tile: &mut Tile, style: &Style, data: &[u8]) -> Option<()> {
    let resolutions = tile.resolutions.len();
    let precincts: Vec<usize> = tile.resolutions.iter().map(|r| r.precincts.len()).collect();
    let mut at = 0;
    let mut next = |layer: u32, resolution: usize, precinct: usize| {
        at = packet(tile, style, data, at, layer, resolution, precinct)?;
        Some(())
    };
    match style.progression {
        0 => {
            for layer in 0..style.layers {
                for (resolution, count) in precincts.iter().enumerate() {
                    (0..*count).try_for_each(|p| next(layer, resolution, p))?;
                }
            }
        }
        1 => {
            for (resolution, count) in precincts.iter().enumerate() {
                for layer in 0..style.layers {
                    (0..*count).try_for_each(|p| next(layer, resolution, p))?;
                }
            }
        }
        // With one component, resolution first and then places is precinct after precinct; places first
        // is the same where every resolution is one precinct.
        by_place => {
            if by_place != 2 && precincts.iter().any(|count| *count != 1) {
                return None;
            }
            for resolution in 0..resolutions {
                for p in 0..precincts.get(resolution).copied()? {
                    (0..style.layers).try_for_each(|layer| next(layer, resolution, p))?;
                }
            }
        }
    }
    Some(())
}

/// One packet; hands back where the next begins.
fn packet(
    tile: &mut Tile,
    style: &Style,
    data: &[u8],
    mut at: usize,
    layer: u32,
    resolution: usize,
    precinct: usize,
) -> Option<usize> {
    if style.packet_starts && data.get(at..at + 2) == Some(&[0xFF, 0x91]) {
        at += 6;
    }
    let mut bits = Bits::new(data, at);
    let mut found: Vec<(usize, usize)> = Vec::new();
    let bands = tile
        .resolutions
        .get_mut(resolution)?
        .precincts
        .get_mut(precinct)?;
    if bits.bit()? == 1 {
        for band in bands {
            for (number, place) in band.blocks.clone().enumerate() {
                let (x, y) = (number % band.across, number / band.across);
                let block = tile.blocks.get_mut(place)?;
                if let Some(length) = contribution(&mut bits, band, block, (x, y), layer)? {
                    found.push((place, length));
                }
            }
        }
    }
    at = bits.end()?;
    if style.packet_ends && data.get(at..at + 2) == Some(&[0xFF, 0x92]) {
        at += 2;
    }
    for (place, length) in found {
        let end = at.checked_add(length)?;
        data.get(at..end)?;
        tile.blocks.get_mut(place)?.pieces.push(at..end);
        at = end;
    }
    Some(at)
}

/// What a packet header says of one block (B.10.3 to B.10.7): the length of its bytes, if it has any.
fn contribution(
    bits: &mut Bits<'_>,
    band: &mut PrecinctBand,
    block: &mut Block,
    (x, y): (usize, usize),
    layer: u32,
) -> Option<Option<usize>> {
    let first = block.passes == 0;
    let included = if first {
        band.inclusion.below(bits, x, y, layer + 1)?
    } else {
        bits.bit()? == 1
    };
    if !included {
        return Some(None);
    }
    if first {
        let mut empty = 0;
        while !band.empty_planes.below(bits, x, y, empty + 1)? {
            empty += 1;
            if empty > band.planes {
                return None;
            }
        }
        block.planes = band.planes - empty;
        block.length_bits = 3;
    }
    let passes = bits.passes()?;
    while bits.bit()? == 1 {
        block.length_bits += 1;
    }
    let width = block.length_bits + passes.ilog2();
    if width > 31 {
        return None;
    }
    block.passes += passes;
    Some(Some(bits.number(width)? as usize))
}
