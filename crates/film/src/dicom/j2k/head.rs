//! The markers of a JPEG 2000 code stream (T.800 annex A), as far as a plain grey film has them.
//!
//! `None` means: not plain, or not sound. Another decoder then reads it, or says what is wrong.

use std::ops::Range;

/// What the main header says.
#[derive(Debug, Clone)]
pub(super) struct Head {
    /// Corners of the picture and of its first tile, and the size of a tile (A.5.1).
    pub picture: [u32; 4],
    pub tile_size: (u32, u32),
    pub tile_start: (u32, u32),
    pub precision: u32,
    pub signed: bool,
    pub style: Style,
    pub steps: Steps,
}

/// COD (A.6.1).
#[derive(Debug, Clone)]
pub(super) struct Style {
    pub progression: u8,
    pub layers: u32,
    pub levels: u32,
    /// Width and height of a code-block as powers of two.
    pub block: (u32, u32),
    pub reversible: bool,
    /// Width and height of a precinct as powers of two, by resolution.
    pub precincts: Vec<(u32, u32)>,
    pub packet_starts: bool,
    pub packet_ends: bool,
}

/// QCD (A.6.4): exponent and mantissa by sub-band, in the order of the sub-bands.
#[derive(Debug, Clone)]
pub(super) struct Steps {
    pub guard: u32,
    pub derived: bool,
    pub sizes: Vec<(u32, u32)>,
}

/// The parts of each tile's data, in order, as places in the stream.
pub(super) type TileParts = Vec<Vec<Range<usize>>>;

/// More tiles than a film has; many small ones are left to the other decoder.
const MOST_TILES: u64 = 4096;

impl Head {
    pub fn tiles(&self) -> Option<(u32, u32)> {
        let [_, _, x1, y1] = self.picture;
        let across = x1
            .checked_sub(self.tile_start.0)?
            .div_ceil(self.tile_size.0);
        let down = y1
            .checked_sub(self.tile_start.1)?
            .div_ceil(self.tile_size.1);
        (u64::from(across) * u64::from(down) <= MOST_TILES).then_some((across, down))
    }
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Reader<'_> {
    fn byte(&mut self) -> Option<u32> {
        let byte = self.bytes.get(self.at)?;
        self.at += 1;
        Some(u32::from(*byte))
    }

    fn word(&mut self) -> Option<u32> {
        Some(self.byte()? << 8 | self.byte()?)
    }

    fn long(&mut self) -> Option<u32> {
        Some(self.word()? << 16 | self.word()?)
    }

    /// Where the marker segment that begins here ends.
    fn segment(&mut self) -> Option<usize> {
        let start = self.at;
        let length = self.word()? as usize;
        let end = start.checked_add(length)?;
        (length >= 2 && end <= self.bytes.len()).then_some(end)
    }
}

/// The main header and where the tiles' data lie, in a stream that starts with SOC.
pub(super) fn read(stream: &[u8]) -> Option<(Head, TileParts)> {
    let mut reader = Reader {
        bytes: stream,
        at: 2,
    };
    let (mut size, mut style, mut steps) = (None, None, None);
    loop {
        let marker = reader.word()?;
        if marker == 0xFF90 {
            break;
        }
        let end = reader.segment()?;
        match marker {
            0xFF51 => size = Some(sizes(&mut reader)?),
            0xFF52 => style = Some(coding_style(&mut reader)?),
            0xFF5C => steps = Some(step_sizes(&mut reader, end)?),
            // Pointers into the stream, registration and comments change no sample.
            0xFF55 | 0xFF57 | 0xFF63 | 0xFF64 => {}
            _ => return None,
        }
        if reader.at > end {
            return None;
        }
        reader.at = end;
    }
    let (mut head, style, steps) = (size?, style?, steps?);
    let wanted = if steps.derived {
        1
    } else {
        3 * style.levels as usize + 1
    };
    // Whole steps go with the reversible filter, real ones with the other (A.6.4, table A.28).
    let whole = steps
        .sizes
        .iter()
        .all(|(_, mantissa)| *mantissa == u32::MAX);
    if steps.sizes.len() < wanted || whole != style.reversible {
        return None;
    }
    (head.style, head.steps) = (style, steps);
    let parts = tile_parts(&mut reader, &head)?;
    Some((head, parts))
}

fn sizes(reader: &mut Reader<'_>) -> Option<Head> {
    reader.word()?;
    let mut numbers = [0_u32; 8];
    for number in &mut numbers {
        *number = reader.long()?;
    }
    let [x1, y1, x0, y0, tile_width, tile_height, tile_x, tile_y] = numbers;
    let components = reader.word()?;
    let (depth, across, down) = (reader.byte()?, reader.byte()?, reader.byte()?);
    let precision = (depth & 0x7F) + 1;
    let plain = components == 1 && (across, down) == (1, 1) && precision <= 16;
    let sound = x1 > x0
        && y1 > y0
        && x1 < 1 << 30
        && y1 < 1 << 30
        && (1..1 << 31).contains(&tile_width)
        && (1..1 << 31).contains(&tile_height)
        && tile_x <= x0
        && tile_y <= y0
        && tile_x + tile_width > x0
        && tile_y + tile_height > y0;
    (plain && sound).then(|| Head {
        picture: [x0, y0, x1, y1],
        tile_size: (tile_width, tile_height),
        tile_start: (tile_x, tile_y),
        precision,
        signed: depth & 0x80 != 0,
        style: Style {
            progression: 0,
            layers: 0,
            levels: 0,
            block: (0, 0),
            reversible: true,
            precincts: Vec::new(),
            packet_starts: false,
            packet_ends: false,
        },
        steps: Steps {
            guard: 0,
            derived: false,
            sizes: Vec::new(),
        },
    })
}

fn coding_style(reader: &mut Reader<'_>) -> Option<Style> {
    let flags = reader.byte()?;
    let progression = reader.byte()? as u8;
    let layers = reader.word()?;
    let _components_mixed = reader.byte()?;
    let levels = reader.byte()?;
    let block = (reader.byte()? + 2, reader.byte()? + 2);
    let (passes, filter) = (reader.byte()?, reader.byte()?);
    let sound = levels <= 32
        && layers > 0
        && progression <= 4
        && block.0 <= 10
        && block.1 <= 10
        && block.0 + block.1 <= 12;
    // No special passes (table A.19), and one of the two filters.
    if !sound || flags > 7 || passes != 0 || filter > 1 {
        return None;
    }
    let mut precincts = Vec::new();
    for resolution in 0..=levels {
        if flags & 1 == 0 {
            precincts.push((15, 15));
            continue;
        }
        let both = reader.byte()?;
        let (width, height) = (both & 15, both >> 4);
        if resolution > 0 && (width == 0 || height == 0) {
            return None;
        }
        precincts.push((width, height));
    }
    Some(Style {
        progression,
        layers,
        levels,
        block,
        reversible: filter == 1,
        precincts,
        packet_starts: flags & 2 != 0,
        packet_ends: flags & 4 != 0,
    })
}

fn step_sizes(reader: &mut Reader<'_>, end: usize) -> Option<Steps> {
    let style = reader.byte()?;
    let mut sizes = Vec::new();
    while reader.at < end {
        sizes.push(match style & 31 {
            0 => (reader.byte()? >> 3, u32::MAX),
            1 | 2 => {
                let both = reader.word()?;
                (both >> 11, both & 0x7FF)
            }
            _ => return None,
        });
    }
    (!sizes.is_empty()).then_some(Steps {
        guard: style >> 5,
        derived: style & 31 == 1,
        sizes,
    })
}

/// Everything after the first SOT marker's two bytes.
fn tile_parts(reader: &mut Reader<'_>, head: &Head) -> Option<TileParts> {
    let (across, down) = head.tiles()?;
    let mut parts: TileParts = vec![Vec::new(); (across * down) as usize];
    loop {
        let start = reader.at - 2;
        let length = reader.word()?;
        let tile = reader.word()? as usize;
        let size = reader.long()? as usize;
        let _numbers = reader.word()?;
        // A length of nothing means: up to the end-of-stream marker (A.4.2).
        let end = match size {
            0 => reader.bytes.len().checked_sub(2)?,
            size => start.checked_add(size)?,
        };
        if length != 10 || end > reader.bytes.len() {
            return None;
        }
        loop {
            match reader.word()? {
                0xFF93 => break,
                // Packet lengths and comments change no sample; anything else does.
                0xFF58 | 0xFF64 => reader.at = reader.segment()?,
                _ => return None,
            }
        }
        if reader.at > end {
            return None;
        }
        parts.get_mut(tile)?.push(reader.at..end);
        reader.at = end;
        match reader.word()? {
            0xFF90 => {}
            0xFFD9 => break,
            _ => return None,
        }
    }
    parts.iter().all(|p| !p.is_empty()).then_some(parts)
}
