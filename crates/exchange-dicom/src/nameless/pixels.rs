//! The picture of a copy: written anew from its values, so that nothing travels in a comment of a code stream, in
//! padding, behind the last row or in bits that no value uses; rectangles are made black.

use super::{NamelessError, Rect};
use crate::tree::{Object, Value};
use dicom_dictionary_std::tags;
use film::{Limits, Samples};

/// A picture to be written, little-endian.
pub(super) struct Pixels {
    pub bits_allocated: u16,
    pub bits_stored: u16,
    pub signed: bool,
    pub samples: u16,
    pub bytes: Vec<u8>,
}

pub(super) fn read(
    file: &[u8],
    object: &Object<'_>,
    black: &[Rect],
) -> Result<Pixels, NamelessError> {
    let set = &object.set;
    if set.text(tags::NUMBER_OF_FRAMES).is_some_and(|n| n != "1") {
        return Err(NamelessError::Frames);
    }
    match set.text(tags::PHOTOMETRIC_INTERPRETATION).as_deref() {
        Some("RGB") => colour(object, black),
        Some(kind @ ("MONOCHROME1" | "MONOCHROME2")) => grey(file, kind == "MONOCHROME1", black),
        _ => Err(NamelessError::Colour),
    }
}

fn grey(file: &[u8], inverted: bool, black: &[Rect]) -> Result<Pixels, NamelessError> {
    let film = film::open(file, &Limits::default())?;
    let (width, height) = (film.width as usize, film.height as usize);
    let bits = film.header.bits_stored.clamp(1, 16);
    let unused = 16 - u32::from(bits);
    let (signed, mut values): (bool, Vec<u16>) = match &film.samples {
        Samples::Unsigned(v) => (false, v.iter().map(|x| (x << unused) >> unused).collect()),
        Samples::Signed(v) => (
            true,
            // The sign fills the bits that are not used.
            v.iter().map(|x| ((x << unused) >> unused) as u16).collect(),
        ),
    };
    let darkest = match (signed, inverted) {
        (false, false) => 0,
        (false, true) => u16::MAX >> unused,
        (true, false) => (i16::MIN >> unused) as u16,
        (true, true) => (i16::MAX >> unused) as u16,
    };
    for rect in black {
        for y in rect.rows(height) {
            if let Some(row) = values.get_mut(y * width..(y + 1) * width)
                && let Some(part) = row.get_mut(rect.columns(width))
            {
                part.fill(darkest);
            }
        }
    }
    Ok(Pixels {
        bits_allocated: 16,
        bits_stored: bits,
        signed,
        samples: 1,
        bytes: values.iter().flat_map(|v| v.to_le_bytes()).collect(),
    })
}

fn colour(object: &Object<'_>, black: &[Rect]) -> Result<Pixels, NamelessError> {
    let set = &object.set;
    let number = |tag| set.u16(tag).map(usize::from);
    let (Some(width), Some(height), Some(8), Some(3)) = (
        number(tags::COLUMNS),
        number(tags::ROWS),
        number(tags::BITS_ALLOCATED),
        number(tags::SAMPLES_PER_PIXEL),
    ) else {
        return Err(NamelessError::Colour);
    };
    let Some(Value::Bytes(bytes)) = set.get(tags::PIXEL_DATA).map(|e| &e.value) else {
        return Err(NamelessError::Colour);
    };
    let plane = width * height;
    // Bytes of 16-bit words in big-endian files are swapped (PS3.5 8.1.1): not worth a guess.
    if set.big_endian || plane == 0 || plane as u64 > Limits::default().max_pixels {
        return Err(NamelessError::Colour);
    }
    let mut pixels = bytes.get(..plane * 3).ok_or(NamelessError::Short)?.to_vec();
    let planes = number(tags::PLANAR_CONFIGURATION) == Some(1);
    for rect in black {
        for y in rect.rows(height) {
            let columns = rect.columns(width);
            if planes {
                for p in 0..3 {
                    let at = p * plane + y * width;
                    if let Some(part) = pixels.get_mut(at + columns.start..at + columns.end) {
                        part.fill(0);
                    }
                }
            } else {
                let at = y * width;
                let range = 3 * (at + columns.start)..3 * (at + columns.end);
                if let Some(part) = pixels.get_mut(range) {
                    part.fill(0);
                }
            }
        }
    }
    pixels.resize(pixels.len().next_multiple_of(2), 0);
    Ok(Pixels {
        bits_allocated: 8,
        bits_stored: 8,
        signed: false,
        samples: 3,
        bytes: pixels,
    })
}
