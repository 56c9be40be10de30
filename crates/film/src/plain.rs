//! PNG, JPEG and TIFF pictures to a film. Such a file says nothing about person, view or scale.

use crate::error::quote;
use crate::film::check_size;
use crate::tone::Tone;
use crate::{Film, FilmError, Header, Limits, Samples, SpacingFacts};
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use rayon::prelude::*;
use std::io::Cursor;

/// JPEG stores even grey pictures through rounded colour differences; more than this apart is colour.
const JPEG_COLOUR_SLACK: u16 = 4;

fn format_of(bytes: &[u8]) -> Option<ImageFormat> {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => Some(ImageFormat::Png),
        [0xFF, 0xD8, 0xFF, ..] => Some(ImageFormat::Jpeg),
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..]
            if bytes.get(128..132) != Some(b"DICM") =>
        {
            Some(ImageFormat::Tiff)
        }
        _ => None,
    }
}

pub(crate) fn is_plain(bytes: &[u8]) -> bool {
    format_of(bytes).is_some()
}

pub(crate) fn open(bytes: &[u8], limits: &Limits) -> Result<Film, FilmError> {
    let format = format_of(bytes).unwrap_or(ImageFormat::Png);
    let expected = match format {
        ImageFormat::Jpeg => "JPEG",
        ImageFormat::Tiff => "TIFF",
        _ => "PNG",
    };
    let damaged = |error: image::ImageError| FilmError::Damaged {
        found: quote(&error.to_string()),
        expected,
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    // Eight bytes for each admitted pixel: 16-bit RGBA is the widest picture looked at.
    let mut decoder_limits = image::Limits::default();
    decoder_limits.max_alloc = Some(limits.max_pixels.saturating_mul(8).saturating_add(1 << 20));
    reader.limits(decoder_limits);
    let decoder = reader.into_decoder().map_err(damaged)?;
    let (width, height) = decoder.dimensions();
    check_size(u64::from(width), u64::from(height), limits)?;
    let picture = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    let slack = if format == ImageFormat::Jpeg {
        JPEG_COLOUR_SLACK
    } else {
        0
    };
    let (samples, bits) = grey(picture, slack)?;
    let mut notes = vec![format!(
        "a {expected} picture says nothing about person, view, side, stance or scale; they are asked"
    )];
    if format == ImageFormat::Jpeg {
        notes.push("the film was packed with loss (JPEG); fine detail may be blurred".to_owned());
    }
    Ok(Film {
        width,
        height,
        samples: Samples::Unsigned(samples),
        header: Header {
            packing: expected.to_owned(),
            bits_stored: bits,
            ..Header::default()
        },
        spacing: SpacingFacts::default(),
        notes,
        tone: Tone::plain(),
    })
}

/// One value for each pixel, or the refusal of true colour and transparency.
fn grey(picture: DynamicImage, slack: u16) -> Result<(Vec<u16>, u16), FilmError> {
    let wide = |v: Vec<u8>| v.into_iter().map(u16::from).collect::<Vec<u16>>();
    Ok(match picture {
        DynamicImage::ImageLuma8(p) => (wide(p.into_raw()), 8),
        DynamicImage::ImageLuma16(p) => (p.into_raw(), 16),
        DynamicImage::ImageLumaA8(p) => (first_of(&wide(p.into_raw()), 2, 1, 0, 255)?, 8),
        DynamicImage::ImageLumaA16(p) => (first_of(p.as_raw(), 2, 1, 0, u16::MAX)?, 16),
        DynamicImage::ImageRgb8(p) => (first_of(&wide(p.into_raw()), 3, 3, slack, 255)?, 8),
        DynamicImage::ImageRgb16(p) => (first_of(p.as_raw(), 3, 3, slack, u16::MAX)?, 16),
        DynamicImage::ImageRgba8(p) => (first_of(&wide(p.into_raw()), 4, 3, slack, 255)?, 8),
        DynamicImage::ImageRgba16(p) => (first_of(p.as_raw(), 4, 3, slack, u16::MAX)?, 16),
        _ => {
            return Err(FilmError::Depth {
                found: "floating-point values".to_owned(),
            });
        }
    })
}

/// The first of `channels` values where the first `colours` of them agree and the rest is opaque.
fn first_of(
    values: &[u16],
    channels: usize,
    colours: usize,
    slack: u16,
    opaque: u16,
) -> Result<Vec<u16>, FilmError> {
    values
        .par_chunks_exact(channels)
        .map(|pixel| {
            let (colour, alpha) = pixel.split_at(colours);
            let least = colour.iter().copied().min().unwrap_or(0);
            let most = colour.iter().copied().max().unwrap_or(0);
            if most - least > slack {
                return Err(FilmError::Colour {
                    found: "red, green and blue differ".to_owned(),
                });
            }
            if alpha.iter().any(|a| *a != opaque) {
                return Err(FilmError::Colour {
                    found: "parts of it are transparent".to_owned(),
                });
            }
            // The middle of three near-equal values: green, which carries most of the brightness.
            Ok(colour.get(1).or(colour.first()).copied().unwrap_or(0))
        })
        .collect()
}
