//! JPEG 2000 (ITU-T T.800) as nearly every grey film is packed with it: one component, no special coding
//! passes, no region of interest, no change of style between tiles.
//!
//! Our own decoder because a film's bits are mostly noise, and decoding them decides how long it takes
//! until the film is seen: code-blocks are shared out over the cores. What is not plain, or not sound, is
//! left to the general decoder, which also finds the words for damage; `None` says so.

mod contexts;
mod dwt;
mod ebcot;
mod head;
mod mq;
mod packets;
#[cfg(test)]
mod tests;
mod tile;

use dwt::{Filter, Irreversible, Reversible};
use head::Head;
use std::borrow::Cow;
use tile::{Corners, Tile};

/// The samples, row by row, as bit patterns of their sixteen-bit containers.
pub(super) fn decode(stream: &[u8]) -> Option<Vec<u16>> {
    // SOC followed by SIZ: some writers wrap the code stream in a JP2 file.
    let start = stream
        .windows(4)
        .take(4096)
        .position(|w| w == [0xFF, 0x4F, 0xFF, 0x51])?;
    let stream = stream.get(start..)?;
    let (head, parts) = head::read(stream)?;
    let [x0, y0, x1, y1] = head.picture;
    let (width, height) = ((x1 - x0) as usize, (y1 - y0) as usize);
    let (across, _) = head.tiles()?;
    let mut picture = Vec::new();
    for (number, parts) in parts.into_iter().enumerate() {
        let data: Cow<'_, [u8]> = match parts.as_slice() {
            [one] => Cow::Borrowed(stream.get(one.clone())?),
            several => several
                .iter()
                .filter_map(|part| stream.get(part.clone()))
                .collect::<Vec<_>>()
                .concat()
                .into(),
        };
        let corners = tile_corners(&head, number as u32 % across, number as u32 / across);
        let samples = tile_samples(&head, corners, &data)?;
        let [left, top, right, bottom] = corners;
        if corners == head.picture {
            return Some(samples);
        }
        if picture.is_empty() {
            picture = vec![0; width * height];
        }
        let rows = picture
            .chunks_exact_mut(width)
            .skip((top - y0) as usize)
            .take((bottom - top) as usize);
        let tile_width = (right - left) as usize;
        for (row, from) in rows.zip(samples.chunks_exact(tile_width.max(1))) {
            let start = (left - x0) as usize;
            row.get_mut(start..start + tile_width)?
                .copy_from_slice(from);
        }
    }
    Some(picture)
}

/// Equation B-7 to B-10.
fn tile_corners(head: &Head, column: u32, row: u32) -> Corners {
    let [x0, y0, x1, y1] = head.picture;
    let edge = |start: u32, number: u32, size: u32| {
        (u64::from(start) + u64::from(number) * u64::from(size)).min(u64::from(u32::MAX)) as u32
    };
    let (x, y) = (head.tile_start.0, head.tile_start.1);
    [
        edge(x, column, head.tile_size.0).max(x0),
        edge(y, row, head.tile_size.1).max(y0),
        edge(x, column + 1, head.tile_size.0).min(x1),
        edge(y, row + 1, head.tile_size.1).min(y1),
    ]
}

fn tile_samples(head: &Head, corners: Corners, data: &[u8]) -> Option<Vec<u16>> {
    let mut tile = Tile::new(head, corners)?;
    packets::read(&mut tile, &head.style, data)?;
    if head.style.reversible {
        tile.samples::<Reversible>(data, |row, out| finished::<Reversible>(head, row, out))
    } else {
        tile.samples::<Irreversible>(data, |row, out| finished::<Irreversible>(head, row, out))
    }
}

/// Unsigned samples were lowered by half their range (G.1.2); what lies outside the range is cut off.
#[inline(always)]
fn finished<F: Filter>(head: &Head, row: &[F::Value], out: &mut [u16]) {
    let half = 1_i32 << (head.precision - 1);
    let lift = if head.signed { 0 } else { half };
    let (least, most) = (lift - half, lift + half - 1);
    for (place, value) in out.iter_mut().zip(row) {
        *place = F::rounded(*value).wrapping_add(lift).clamp(least, most) as u16;
    }
}
