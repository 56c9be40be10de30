//! The stored values: shape from the header, bytes from the pixel data, one integer for each pixel.
//!
//! Sign extension and masking from BitsStored are done here: the codecs return raw containers.
//! DICOM PS3.5 section 8, PS3.3 C.7.6.3.

use super::codestream::{self, Head};
use super::syntax::Packing;
use super::walk::{Encoding, PixelValue};
use super::{j2k, jpegls, lossless, rle, value};
use crate::error::quote;
use crate::film::check_size;
use crate::{FilmError, Limits, Samples};
use dicom_dictionary_std::tags;
use dicom_encoding::adapters::{PixelDataObject, PixelDataReader, RawPixelData};
use dicom_object::InMemDicomObject;
use dicom_transfer_syntax_registry::entries;
use rayon::prelude::*;
use std::borrow::Cow;

const LOSSY: &str = "the film was packed with loss; fine detail may be blurred";

/// What the header says about the picture, checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Shape {
    pub width: u32,
    pub height: u32,
    pub bits_allocated: u16,
    pub bits_stored: u16,
    pub high_bit: u16,
    pub signed: bool,
    pub inverse: bool,
}

impl Shape {
    fn pixels(&self) -> usize {
        self.width as usize * self.height as usize
    }

    fn bytes_each(&self) -> usize {
        usize::from(self.bits_allocated / 8)
    }

    fn read(
        object: &InMemDicomObject,
        limits: &Limits,
        notes: &mut Vec<String>,
    ) -> Result<Shape, FilmError> {
        let size = |tag, attribute| match value::integer(object, tag) {
            Some(n) if n >= 0 => Ok(n as u64),
            _ => Err(FilmError::NoPixels {
                what: format!("it does not say its {attribute}"),
            }),
        };
        let (height, width) = (size(tags::ROWS, "rows")?, size(tags::COLUMNS, "columns")?);
        let photometric = value::text(object, tags::PHOTOMETRIC_INTERPRETATION);
        let components = value::integer(object, tags::SAMPLES_PER_PIXEL).unwrap_or(1);
        let inverse = match photometric.as_deref() {
            Some("MONOCHROME1") => true,
            Some("MONOCHROME2") => false,
            Some(other) => {
                return Err(FilmError::Colour {
                    found: quote(other),
                });
            }
            None if components == 1 => {
                notes.push(
                    "the file does not say whether bone is stored bright or dark; bright was taken"
                        .to_owned(),
                );
                false
            }
            None => {
                return Err(FilmError::Colour {
                    found: format!("{components} values for each pixel"),
                });
            }
        };
        if components != 1 {
            return Err(FilmError::Colour {
                found: format!("{components} values for each pixel"),
            });
        }
        match value::text(object, tags::NUMBER_OF_FRAMES) {
            None => {}
            Some(text) => match text.parse::<f64>() {
                Ok(n) if n <= 1.0 => {}
                Ok(n) => return Err(FilmError::ManyFrames { frames: n as u64 }),
                Err(_) => notes.push(
                    "the number of frames cannot be read; the file was taken as a single film"
                        .to_owned(),
                ),
            },
        }
        let bits = |tag| value::integer(object, tag);
        let allocated = match bits(tags::BITS_ALLOCATED) {
            Some(1) => return Err(FilmError::OneBit),
            Some(n @ (8 | 16)) => n as u16,
            Some(n) => {
                return Err(FilmError::Depth {
                    found: format!("{n} bits for each pixel"),
                });
            }
            None => {
                return Err(FilmError::Depth {
                    found: "no BitsAllocated in its header".to_owned(),
                });
            }
        };
        let stored = match bits(tags::BITS_STORED) {
            None => allocated,
            Some(n) if (1..=i64::from(allocated)).contains(&n) => n as u16,
            Some(n) => {
                return Err(FilmError::Contradiction {
                    attribute: "BitsStored",
                    found: n.to_string(),
                    expected: format!("1 to {allocated}"),
                });
            }
        };
        let high_bit = match bits(tags::HIGH_BIT) {
            Some(n) if n >= i64::from(stored) - 1 && n < i64::from(allocated) => n as u16,
            _ => stored - 1,
        };
        check_size(width, height, limits)?;
        let dimension = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
        Ok(Shape {
            width: dimension(width),
            height: dimension(height),
            bits_allocated: allocated,
            bits_stored: stored,
            high_bit,
            signed: bits(tags::PIXEL_REPRESENTATION) == Some(1),
            inverse,
        })
    }
}

pub(super) fn read(
    object: &InMemDicomObject,
    data: &[u8],
    place: &PixelValue,
    packing: Packing,
    encoding: Encoding,
    limits: &Limits,
    notes: &mut Vec<String>,
) -> Result<(Shape, Samples), FilmError> {
    let mut shape = Shape::read(object, limits, notes)?;
    let samples = match place {
        PixelValue::Native { range, words } => {
            if packing.is_encapsulated() {
                notes.push(format!(
                    "the file says it is packed as {} but its picture is uncompressed",
                    packing.words()
                ));
            }
            let bytes = data.get(range.clone()).unwrap_or_default();
            native(&shape, bytes, encoding.big_endian, *words)?
        }
        PixelValue::Fragments(ranges) => {
            let fragments: Vec<&[u8]> = ranges.iter().filter_map(|r| data.get(r.clone())).collect();
            let stream: Cow<'_, [u8]> = match fragments.as_slice() {
                [] => {
                    return Err(FilmError::NoPixels {
                        what: "its pixel data are empty".to_owned(),
                    });
                }
                [one] => Cow::Borrowed(one),
                several => Cow::Owned(several.concat()),
            };
            packed(&mut shape, stream, packing, notes)?
        }
    };
    let said = value::text(object, tags::LOSSY_IMAGE_COMPRESSION).as_deref() == Some("01");
    if said && !notes.iter().any(|n| n == LOSSY) {
        notes.push(LOSSY.to_owned());
    }
    Ok((shape, samples))
}

fn native(
    shape: &Shape,
    bytes: &[u8],
    big_endian: bool,
    words: bool,
) -> Result<Samples, FilmError> {
    let wanted = shape.pixels() * shape.bytes_each();
    let Some(bytes) = bytes.get(..wanted) else {
        return Err(FilmError::Truncated {
            what: format!("the picture of {} × {} pixels", shape.width, shape.height),
            expected: wanted as u64,
            found: bytes.len() as u64,
        });
    };
    if shape.bits_allocated == 8 && big_endian && words {
        // Bytes travel in swapped pairs inside big-endian words (PS3.5 8.1.1).
        let mut swapped = bytes.to_vec();
        swapped.chunks_exact_mut(2).for_each(|pair| pair.swap(0, 1));
        return Ok(from_bytes(shape, &swapped, false));
    }
    Ok(from_bytes(shape, bytes, big_endian))
}

/// Containers to stored values: byte order, unused bits, sign.
fn from_bytes(shape: &Shape, bytes: &[u8], big_endian: bool) -> Samples {
    let fix = Fix::of(shape);
    let mut patterns = vec![0_u16; shape.pixels()];
    if shape.bits_allocated == 8 {
        patterns
            .iter_mut()
            .zip(bytes)
            .for_each(|(to, from)| *to = u16::from(*from));
    } else {
        const CHUNK: usize = 1 << 17;
        patterns
            .par_chunks_mut(CHUNK)
            .zip(bytes.par_chunks(2 * CHUNK))
            .for_each(|(to, from)| {
                let (pairs, _) = from.as_chunks::<2>();
                if big_endian {
                    to.iter_mut()
                        .zip(pairs)
                        .for_each(|(t, f)| *t = u16::from_be_bytes(*f));
                } else {
                    to.iter_mut()
                        .zip(pairs)
                        .for_each(|(t, f)| *t = u16::from_le_bytes(*f));
                }
            });
    }
    fix.apply(patterns, shape.signed)
}

/// Moves the stored bits to the bottom of the container and fills the rest by sign or zero.
#[derive(Clone, Copy)]
struct Fix {
    up: u32,
    down: u32,
}

impl Fix {
    fn of(shape: &Shape) -> Fix {
        Fix {
            up: u32::from(15 - shape.high_bit),
            down: u32::from(16 - shape.bits_stored),
        }
    }

    fn apply(self, mut patterns: Vec<u16>, signed: bool) -> Samples {
        let Fix { up, down } = self;
        if signed {
            let fixed = patterns
                .into_par_iter()
                .map(|p| ((p << up) as i16) >> down)
                .collect();
            return Samples::Signed(fixed);
        }
        if down > 0 {
            patterns
                .par_iter_mut()
                .for_each(|p| *p = (*p << up) >> down);
        }
        Samples::Unsigned(patterns)
    }
}

fn packed(
    shape: &mut Shape,
    stream: Cow<'_, [u8]>,
    packing: Packing,
    notes: &mut Vec<String>,
) -> Result<Samples, FilmError> {
    match packing {
        Packing::Native { .. } | Packing::Deflated => Err(FilmError::Contradiction {
            attribute: "transfer syntax",
            found: "an uncompressed picture cut into fragments".to_owned(),
            expected: "one piece".to_owned(),
        }),
        Packing::Rle => {
            let bytes = rle::unpack(&stream, shape.pixels(), shape.bytes_each())?;
            Ok(from_bytes(shape, &bytes, false))
        }
        Packing::JpegBaseline | Packing::JpegExtended | Packing::JpegLossless | Packing::JpegLs => {
            let stream = from_start_of_image(stream);
            let head = codestream::jpeg(&stream);
            let head = agree(shape, head, packing.words())?;
            jpeg(shape, stream, head, packing, notes)
        }
        Packing::Jpeg2000 => {
            let head = agree(shape, codestream::jpeg2000(&stream), "JPEG 2000")?;
            if head.signed != shape.signed {
                notes.push("the JPEG 2000 picture and the header disagree about the sign; the header was followed".to_owned());
            }
            let patterns = jpeg2000(shape, &stream, head)?;
            Ok(Fix::of(shape).apply(patterns, shape.signed))
        }
    }
}

/// Some writers put bytes before the start-of-image marker.
fn from_start_of_image(stream: Cow<'_, [u8]>) -> Cow<'_, [u8]> {
    match stream
        .windows(3)
        .take(64)
        .position(|w| w[..2] == [0xFF, 0xD8] && w[2] == 0xFF)
    {
        None | Some(0) => stream,
        Some(at) => match stream {
            Cow::Borrowed(bytes) => Cow::Borrowed(bytes.get(at..).unwrap_or_default()),
            Cow::Owned(bytes) => Cow::Owned(bytes.get(at..).unwrap_or_default().to_vec()),
        },
    }
}

/// Header and code stream must speak of the same picture, or nothing is allocated for it.
fn agree(shape: &Shape, head: Option<Head>, what: &'static str) -> Result<Head, FilmError> {
    let head = head.ok_or_else(|| FilmError::Damaged {
        found: "no frame header".to_owned(),
        expected: what,
    })?;
    if head.components != 1 {
        return Err(FilmError::Colour {
            found: format!("{} components", head.components),
        });
    }
    if (head.width, head.height) != (u64::from(shape.width), u64::from(shape.height)) {
        return Err(FilmError::Contradiction {
            attribute: "size",
            found: format!(
                "{} × {} and its picture {} × {}",
                shape.width, shape.height, head.width, head.height
            ),
            expected: "the same size twice".to_owned(),
        });
    }
    if head.precision > shape.bits_allocated {
        return Err(FilmError::Contradiction {
            attribute: "depth",
            found: format!(
                "{} bits and its picture {}",
                shape.bits_allocated, head.precision
            ),
            expected: "no more bits than the header allows".to_owned(),
        });
    }
    Ok(head)
}

fn jpeg(
    shape: &Shape,
    stream: Cow<'_, [u8]>,
    head: Head,
    packing: Packing,
    notes: &mut Vec<String>,
) -> Result<Samples, FilmError> {
    // 0xF7 is a JPEG-LS frame, 0xC3 lossless, 0xC0..=0xC2 built on the cosine transform.
    if head.frame == 0xF7 {
        let patterns = jpegls::decode(&stream, head).map_err(|found| FilmError::Damaged {
            found,
            expected: "JPEG-LS",
        })?;
        return Ok(Fix::of(shape).apply(patterns, shape.signed));
    }
    if head.frame == 0xC3 {
        let patterns = lossless::decode(&stream, head).map_err(|found| FilmError::Damaged {
            found,
            expected: "JPEG lossless",
        })?;
        return Ok(Fix::of(shape).apply(patterns, shape.signed));
    }
    if matches!(head.frame, 0xC0..=0xC2) && packing != Packing::JpegLossless {
        notes.push(LOSSY.to_owned());
    }
    if head.precision == 12 && matches!(head.frame, 0xC0 | 0xC1) {
        return jpeg12(shape, &stream);
    }
    let bytes = adapter(
        &entries::JPEG_BASELINE.pixel_data_reader(),
        shape,
        stream,
        packing.words(),
    )?;
    Ok(by_precision(shape, &bytes, head.precision))
}

/// JPEG 2000: plain films by our own decoder, what it leaves alone by a general one.
fn jpeg2000(shape: &Shape, stream: &[u8], head: Head) -> Result<Vec<u16>, FilmError> {
    if let Some(patterns) = j2k::decode(stream).filter(|p| p.len() == shape.pixels()) {
        return Ok(patterns);
    }
    any_jpeg2000(shape, stream, head)
}

/// A decoder without unsafe code. Its samples are 32-bit floats, exact for 16 bits.
fn any_jpeg2000(shape: &Shape, stream: &[u8], head: Head) -> Result<Vec<u16>, FilmError> {
    use hayro_jpeg2000::{DecodeSettings, DecoderContext, Image};
    let damaged = |found: String| FilmError::Damaged {
        found,
        expected: "JPEG 2000",
    };
    let settings = DecodeSettings {
        resolve_palette_indices: false,
        strict: true,
        target_resolution: None,
    };
    let told = |error: hayro_jpeg2000::DecodeError| damaged(quote(&error.to_string()));
    let image = Image::new(stream, &settings).map_err(told)?;
    let mut context = DecoderContext::default();
    let decoded = image.decode(&mut context).map_err(told)?;
    let samples = decoded
        .components()
        .first()
        .map(|c| c.samples())
        .unwrap_or_default();
    if samples.len() != shape.pixels() {
        return Err(damaged(format!(
            "{} of {} pixels",
            samples.len(),
            shape.pixels()
        )));
    }
    // The decoder lifts every component by half its range, which belongs to unsigned ones alone
    // (T.800 G.1.2).
    let half = 1_i32 << (head.precision - 1);
    let lift = if head.signed { half } else { 0 };
    let pattern = |v: &f32| ((v.round_ties_even() as i32).clamp(0, 2 * half - 1) - lift) as u16;
    Ok(samples.par_iter().map(pattern).collect())
}

/// One byte for each pixel when the stream has up to eight bits, two when it has more.
fn by_precision(shape: &Shape, bytes: &[u8], precision: u16) -> Samples {
    if precision <= 8 && shape.bits_allocated == 16 {
        let patterns = bytes
            .iter()
            .take(shape.pixels())
            .map(|b| u16::from(*b))
            .collect();
        return Fix::of(shape).apply(patterns, shape.signed);
    }
    from_bytes(shape, bytes, false)
}

/// Twelve-bit JPEG: the decoder that dicom-rs brings stops at eight.
fn jpeg12(shape: &Shape, stream: &[u8]) -> Result<Samples, FilmError> {
    let damaged = |found: String| FilmError::Damaged {
        found,
        expected: "12-bit JPEG",
    };
    let image = libjpeg_turbo_rs::precision::decompress_12bit(stream)
        .map_err(|error| damaged(quote(&error.to_string())))?;
    if image.data.len() != shape.pixels() {
        return Err(damaged(format!(
            "{} of {} pixels",
            image.data.len(),
            shape.pixels()
        )));
    }
    let patterns = image.data.into_iter().map(|v| v as u16).collect();
    Ok(Fix::of(shape).apply(patterns, shape.signed))
}

/// Runs one of dicom-rs' codecs over a single frame.
fn adapter<R: PixelDataReader>(
    reader: &Option<&R>,
    shape: &Shape,
    stream: Cow<'_, [u8]>,
    expected: &'static str,
) -> Result<Vec<u8>, FilmError> {
    let damaged = |found: String| FilmError::Damaged { found, expected };
    let Some(reader) = reader else {
        return Err(FilmError::Packing {
            found: quote(expected),
        });
    };
    let frame = OneFrame { shape, stream };
    let mut out = Vec::new();
    reader
        .decode_frame(&frame, 0, &mut out)
        .map_err(|e| damaged(quote(&e.to_string())))?;
    let least = shape.pixels();
    if out.len() < least {
        return Err(damaged(format!("{} of {least} pixels", out.len())));
    }
    Ok(out)
}

/// The one frame as the codecs want to see it.
struct OneFrame<'a> {
    shape: &'a Shape,
    stream: Cow<'a, [u8]>,
}

impl PixelDataObject for OneFrame<'_> {
    fn transfer_syntax_uid(&self) -> &str {
        ""
    }
    fn rows(&self) -> Option<u16> {
        u16::try_from(self.shape.height).ok()
    }
    fn cols(&self) -> Option<u16> {
        u16::try_from(self.shape.width).ok()
    }
    fn samples_per_pixel(&self) -> Option<u16> {
        Some(1)
    }
    fn bits_allocated(&self) -> Option<u16> {
        Some(self.shape.bits_allocated)
    }
    fn bits_stored(&self) -> Option<u16> {
        Some(self.shape.bits_stored)
    }
    fn photometric_interpretation(&self) -> Option<&str> {
        Some(if self.shape.inverse {
            "MONOCHROME1"
        } else {
            "MONOCHROME2"
        })
    }
    fn number_of_frames(&self) -> Option<u32> {
        Some(1)
    }
    fn number_of_fragments(&self) -> Option<u32> {
        Some(1)
    }
    fn fragment(&self, fragment: usize) -> Option<Cow<'_, [u8]>> {
        (fragment == 0).then(|| Cow::Borrowed(self.stream.as_ref()))
    }
    fn offset_table(&self) -> Option<Cow<'_, [u32]>> {
        Some(Cow::Borrowed(&[]))
    }
    fn raw_pixel_data(&self) -> Option<RawPixelData> {
        Some(RawPixelData {
            fragments: vec![self.stream.to_vec()].into(),
            offset_table: Vec::new().into(),
        })
    }
}
