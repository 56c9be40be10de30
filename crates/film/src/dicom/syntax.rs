//! How a DICOM file is packed (PS3.5 section 10 and annex A), and the unpacking of a deflated one.

use crate::error::quote;
use crate::{FilmError, Limits};
use dicom_encoding::transfer_syntax::{Codec, DataRWAdapter};
use dicom_transfer_syntax_registry::entries;
use std::io::Read;

pub(super) const IMPLICIT: &str = "1.2.840.10008.1.2";

/// The kinds of packing that are unpacked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Packing {
    Native { big_endian: bool },
    Deflated,
    Rle,
    JpegBaseline,
    JpegExtended,
    JpegLossless,
    JpegLs,
    Jpeg2000,
}

impl Packing {
    pub fn of(uid: &str) -> Result<Packing, FilmError> {
        Ok(match uid {
            IMPLICIT | "1.2.840.10008.1.2.1" => Packing::Native { big_endian: false },
            "1.2.840.10008.1.2.2" => Packing::Native { big_endian: true },
            "1.2.840.10008.1.2.1.99" => Packing::Deflated,
            "1.2.840.10008.1.2.5" => Packing::Rle,
            "1.2.840.10008.1.2.4.50" => Packing::JpegBaseline,
            "1.2.840.10008.1.2.4.51" => Packing::JpegExtended,
            "1.2.840.10008.1.2.4.57" | "1.2.840.10008.1.2.4.70" => Packing::JpegLossless,
            "1.2.840.10008.1.2.4.80" | "1.2.840.10008.1.2.4.81" => Packing::JpegLs,
            "1.2.840.10008.1.2.4.90" | "1.2.840.10008.1.2.4.91" => Packing::Jpeg2000,
            other => {
                return Err(FilmError::Packing {
                    found: quote(other),
                });
            }
        })
    }

    pub fn words(self) -> &'static str {
        match self {
            Packing::Native { big_endian: false } => "uncompressed",
            Packing::Native { big_endian: true } => "uncompressed, big-endian",
            Packing::Deflated => "deflated",
            Packing::Rle => "RLE",
            Packing::JpegBaseline => "JPEG",
            Packing::JpegExtended => "JPEG extended",
            Packing::JpegLossless => "JPEG lossless",
            Packing::JpegLs => "JPEG-LS",
            Packing::Jpeg2000 => "JPEG 2000",
        }
    }

    pub fn is_encapsulated(self) -> bool {
        !matches!(self, Packing::Native { .. } | Packing::Deflated)
    }
}

/// Inflates the data set, and stops at the limit instead of filling the memory.
pub(super) fn inflate(bytes: &[u8], start: usize, limits: &Limits) -> Result<Vec<u8>, FilmError> {
    let damaged = |found: String| FilmError::Damaged {
        found,
        expected: "deflated",
    };
    let Codec::Dataset(Some(adapter)) = entries::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN.codec() else {
        return Err(FilmError::Packing {
            found: "'deflated'".to_owned(),
        });
    };
    let packed = bytes.get(start..).unwrap_or_default();
    let reader = adapter.adapt_reader(Box::new(packed));
    let mut out = Vec::new();
    let result = reader
        .take(limits.max_inflated_bytes.saturating_add(1))
        .read_to_end(&mut out);
    if out.len() as u64 > limits.max_inflated_bytes {
        return Err(FilmError::InflatesTooFar {
            limit: limits.max_inflated_bytes,
        });
    }
    // A tail that is missing is judged by what the elements inside need.
    match result {
        Ok(_) => Ok(out),
        Err(_) if !out.is_empty() => Ok(out),
        Err(error) => Err(damaged(quote(&error.to_string()))),
    }
}
