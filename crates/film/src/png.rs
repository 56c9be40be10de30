//! Grey pictures out: PNG of 8 or 16 bits.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};

/// A picture that could not be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PngError {
    #[error(
        "found {found} pixels for a picture of {width} × {height}; expected one value for each pixel"
    )]
    Size {
        found: usize,
        width: u32,
        height: u32,
    },
    #[error("the picture could not be written as PNG ({found})")]
    Encoder { found: String },
}

/// A grey PNG of 8 bits; fast settings, for the page.
///
/// # Errors
/// When the number of pixels is not `width × height`.
pub fn encode_png8(pixels: &[u8], width: u32, height: u32) -> Result<Vec<u8>, PngError> {
    check(pixels.len(), width, height)?;
    encode(pixels, width, height, ExtendedColorType::L8)
}

/// A grey PNG of 16 bits.
///
/// # Errors
/// When the number of pixels is not `width × height`.
pub fn encode_png16(pixels: &[u16], width: u32, height: u32) -> Result<Vec<u8>, PngError> {
    check(pixels.len(), width, height)?;
    // The encoder takes native byte order and swaps by itself.
    let bytes: Vec<u8> = pixels.iter().flat_map(|p| p.to_ne_bytes()).collect();
    encode(&bytes, width, height, ExtendedColorType::L16)
}

fn check(found: usize, width: u32, height: u32) -> Result<(), PngError> {
    let good = u64::from(width) * u64::from(height) == found as u64 && found > 0;
    if good {
        Ok(())
    } else {
        Err(PngError::Size {
            found,
            width,
            height,
        })
    }
}

fn encode(
    bytes: &[u8],
    width: u32,
    height: u32,
    colour: ExtendedColorType,
) -> Result<Vec<u8>, PngError> {
    let mut out = Vec::with_capacity(bytes.len() / 2);
    PngEncoder::new_with_quality(&mut out, CompressionType::Fast, FilterType::Adaptive)
        .write_image(bytes, width, height, colour)
        .map_err(|e| PngError::Encoder {
            found: e.to_string(),
        })?;
    Ok(out)
}
