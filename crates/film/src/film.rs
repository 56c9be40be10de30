//! The film in memory, and how bytes become one.

use crate::{FilmError, Header, Limits, SpacingFacts, dicom, plain, tone::Tone};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Stored values as the file holds them, row by row, before any table or window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Samples {
    Unsigned(Vec<u16>),
    Signed(Vec<i16>),
}

impl Samples {
    pub fn len(&self) -> usize {
        match self {
            Samples::Unsigned(v) => v.len(),
            Samples::Signed(v) => v.len(),
        }
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// One stored value, or `None` beyond the end.
    pub fn get(&self, index: usize) -> Option<i32> {
        match self {
            Samples::Unsigned(v) => v.get(index).map(|s| i32::from(*s)),
            Samples::Signed(v) => v.get(index).map(|s| i32::from(*s)),
        }
    }
}

/// One grey radiograph.
#[derive(Debug, Clone)]
pub struct Film {
    pub width: u32,
    pub height: u32,
    pub samples: Samples,
    pub header: Header,
    pub spacing: SpacingFacts,
    /// What was odd about the file and how it was understood; one sentence each.
    pub notes: Vec<String>,
    pub(crate) tone: Tone,
}

/// Opens a film from the bytes of a file.
///
/// # Errors
/// One sentence for every file that is not a single grey radiograph within `limits`.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Film, FilmError> {
    if bytes.is_empty() {
        return Err(FilmError::Empty);
    }
    if bytes.len() as u64 > limits.max_file_bytes {
        return Err(FilmError::FileTooLarge {
            bytes: bytes.len() as u64,
            limit: limits.max_file_bytes,
        });
    }
    // The decoders below are other people's and some index or unwrap on hostile data. This is the
    // one place where such a panic is caught: every buffer they touch is local to the call, so
    // nothing half-written survives. No panic hook is set, that is the binary's business.
    catch_unwind(AssertUnwindSafe(|| {
        if plain::is_plain(bytes) {
            plain::open(bytes, limits)
        } else {
            dicom::open(bytes, limits)
        }
    }))
    .unwrap_or_else(|_| {
        Err(FilmError::Damaged {
            found: "the decoder gave up on it".to_owned(),
            expected: "film",
        })
    })
}

/// Holds a size against the limit before anything is allocated for it.
pub(crate) fn check_size(width: u64, height: u64, limits: &Limits) -> Result<usize, FilmError> {
    let too_many = FilmError::TooManyPixels {
        width,
        height,
        limit: limits.max_pixels,
    };
    if width == 0 || height == 0 {
        return Err(FilmError::NoPixels {
            what: format!("{width} × {height} pixels"),
        });
    }
    match width.checked_mul(height) {
        Some(n) if n <= limits.max_pixels => usize::try_from(n).map_err(|_| too_many),
        _ => Err(too_many),
    }
}
