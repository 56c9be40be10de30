//! A file's bytes to upright pixels. What the file asks for is checked before anything is made of it.

use crate::error::quote;
use crate::{Grey, PictureError};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use std::io::Cursor;

/// The most a file may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    pub max_pixels: u64,
    pub max_file_bytes: u64,
}

impl Default for Limits {
    /// A sheet of A3 at 600 points an inch is 70 million pixels.
    fn default() -> Self {
        Self {
            max_pixels: 80_000_000,
            max_file_bytes: 128 * 1024 * 1024,
        }
    }
}

/// Fewer pixels than this in either direction hold no foot.
const LEAST_PX: u32 = 32;

/// How the file lay before it was set upright by its own mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turned {
    /// It lay upright, or said nothing.
    No,
    /// It carried a mark and was turned or mirrored by it.
    ByItsMark,
}

/// An upright picture in colour, 8 bits for red, green and blue; what is transparent lies on white.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub width: u32,
    pub height: u32,
    /// Rows from the top; red, green, blue for each pixel.
    pub rgb: Vec<u8>,
    pub turned: Turned,
    /// Pixels in a millimetre as a flat-bed scanner wrote them; `None` where the file does not say, or says
    /// something a scanner would not (cameras write 72 or 96 an inch whatever they see).
    pub px_per_mm: Option<f64>,
}

impl Picture {
    /// Brightness: 0.299 red, 0.587 green, 0.114 blue (ITU-R BT.601).
    pub fn grey(&self) -> Grey {
        self.each(|r, g, b| 0.299 * r + 0.587 * g + 0.114 * b)
    }

    /// The least of the three colours: any ink is dark in one of them.
    pub fn least(&self) -> Grey {
        self.each(|r, g, b| r.min(g).min(b))
    }

    fn each(&self, value: impl Fn(f32, f32, f32) -> f32) -> Grey {
        let pixels = self.rgb.as_chunks::<3>().0;
        let values = pixels
            .iter()
            .map(|[r, g, b]| value(f32::from(*r), f32::from(*g), f32::from(*b)))
            .collect();
        let (width, height) = (self.width as usize, self.height as usize);
        Grey::new(width, height, values).expect("a picture has three bytes for each pixel")
    }
}

/// # Errors
/// Not a PNG, JPEG or TIFF, too large, too small, or damaged; HEIC and clips by name.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Picture, PictureError> {
    if bytes.is_empty() {
        return Err(PictureError::Empty);
    }
    let size = bytes.len() as u64;
    if size > limits.max_file_bytes {
        return Err(PictureError::FileTooLarge {
            bytes: size,
            limit: limits.max_file_bytes,
        });
    }
    let (format, expected) = format_of(bytes)?;
    let damaged = |error: image::ImageError| PictureError::Damaged {
        found: quote(&error.to_string()),
        expected,
    };
    // The decoder would fill up with grey what a broken transfer left out.
    if format == ImageFormat::Jpeg && !jpeg_ends(bytes) {
        return Err(PictureError::Damaged {
            found: "it ends too soon".to_owned(),
            expected,
        });
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    // Eight bytes for each admitted pixel: 16-bit RGBA is the widest picture looked at.
    let mut decoder_limits = image::Limits::default();
    decoder_limits.max_alloc = Some(limits.max_pixels.saturating_mul(8).saturating_add(1 << 20));
    reader.limits(decoder_limits);
    let mut decoder = reader.into_decoder().map_err(damaged)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width).saturating_mul(u64::from(height)) > limits.max_pixels {
        return Err(PictureError::TooManyPixels {
            width: u64::from(width),
            height: u64::from(height),
            limit: limits.max_pixels,
        });
    }
    if width < LEAST_PX || height < LEAST_PX {
        return Err(PictureError::TooSmall {
            width,
            height,
            least: LEAST_PX,
        });
    }
    // A mark that cannot be read is no mark.
    let mark = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    picture.apply_orientation(mark);
    let (width, height) = (picture.width(), picture.height());
    Ok(Picture {
        width,
        height,
        rgb: on_white(picture),
        turned: match mark {
            Orientation::NoTransforms => Turned::No,
            _ => Turned::ByItsMark,
        },
        px_per_mm: scanner_density(bytes, format),
    })
}

/// Does a JPEG come to its end mark? Segments are passed over by their length, for a small picture within one has an end
/// mark of its own.
fn jpeg_ends(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(rest) = bytes.get(at..) {
        let Some(mark) = rest.windows(2).position(|w| w[0] == 0xFF && w[1] != 0xFF) else {
            return false;
        };
        at += mark + 2;
        match rest.get(mark + 1) {
            Some(0xD9) => return true,
            // Data that look like a mark, restarts, and marks without a length.
            Some(0x00 | 0x01 | 0xD0..=0xD8) => {}
            _ => {
                let Some([high, low]) = bytes.get(at..at + 2) else {
                    return false;
                };
                at += usize::from(u16::from_be_bytes([*high, *low]));
            }
        }
    }
    false
}

fn on_white(picture: DynamicImage) -> Vec<u8> {
    if !picture.color().has_alpha() {
        return picture.into_rgb8().into_raw();
    }
    let rgba = picture.into_rgba8().into_raw();
    let over = |c: u8, a: u8| {
        let (c, a) = (u32::from(c), u32::from(a));
        ((c * a + 255 * (255 - a) + 127) / 255) as u8
    };
    let pixels = rgba.as_chunks::<4>().0;
    pixels
        .iter()
        .flat_map(|[r, g, b, a]| [over(*r, *a), over(*g, *a), over(*b, *a)])
        .collect()
}

fn format_of(bytes: &[u8]) -> Result<(ImageFormat, &'static str), PictureError> {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => Ok((ImageFormat::Png, "PNG")),
        [0xFF, 0xD8, 0xFF, ..] => Ok((ImageFormat::Jpeg, "JPEG")),
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => Ok((ImageFormat::Tiff, "TIFF")),
        [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] => match brand.get(..4) {
            Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => {
                Err(PictureError::Heic)
            }
            _ => Err(PictureError::Clip),
        },
        [0x1A, 0x45, 0xDF, 0xA3, ..] => Err(PictureError::Clip),
        _ => Err(PictureError::NotAPicture {
            found: match std::str::from_utf8(bytes.get(..24).unwrap_or(bytes)) {
                Ok(text) => format!("text that starts with {}", quote(text)),
                Err(_) => "data of another kind".to_owned(),
            },
        }),
    }
}

/// Scanners work at 150 points an inch and more; what cameras and screens write by habit is left out.
const SCANNER_DPI: std::ops::RangeInclusive<f64> = 149.0..=2500.0;
const MM_PER_INCH: f64 = 25.4;

/// PNG `pHYs` (pixels a metre) and JPEG `JFIF` density (dots an inch or a centimetre). What TIFF says is not read.
fn scanner_density(bytes: &[u8], format: ImageFormat) -> Option<f64> {
    let (x, y) = match format {
        ImageFormat::Png => png_density(bytes)?,
        ImageFormat::Jpeg => jfif_density(bytes)?,
        _ => return None,
    };
    let dpi = x * MM_PER_INCH;
    (x == y && SCANNER_DPI.contains(&dpi)).then_some(x)
}

fn png_density(bytes: &[u8]) -> Option<(f64, f64)> {
    let mut rest = bytes.get(8..)?;
    loop {
        let length = u32::from_be_bytes(rest.get(..4)?.try_into().ok()?) as usize;
        let kind = rest.get(4..8)?;
        if kind == b"IDAT" {
            return None;
        }
        let data = rest.get(8..8usize.checked_add(length)?)?;
        if kind == b"pHYs" {
            let whole =
                |at: usize| Some(u32::from_be_bytes(data.get(at..at + 4)?.try_into().ok()?));
            let per_metre = data.get(8) == Some(&1);
            return per_metre.then_some((f64::from(whole(0)?) / 1e3, f64::from(whole(4)?) / 1e3));
        }
        rest = rest.get(12usize.checked_add(length)?..)?;
    }
}

fn jfif_density(bytes: &[u8]) -> Option<(f64, f64)> {
    let head = bytes.get(..18)?;
    if head.get(2..4)? != [0xFF, 0xE0] || head.get(6..11)? != b"JFIF\0" {
        return None;
    }
    let whole = |at: usize| {
        Some(f64::from(u16::from_be_bytes([
            *head.get(at)?,
            *head.get(at + 1)?,
        ])))
    };
    let per = match head.get(13)? {
        1 => MM_PER_INCH,
        2 => 10.0,
        _ => return None,
    };
    Some((whole(14)? / per, whole(16)? / per))
}
