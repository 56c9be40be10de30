//! What can be wrong with a surface that comes in or goes out?

use crate::Format;
use crate::read::{FARTHEST, MOST_TRIANGLES};

/// A file that gives no surface, or a surface that gives no file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshError {
    #[error("found an empty file; expected a surface: export or copy it again")]
    Empty,
    #[error(
        "found {found}, no STL, OBJ, PLY, VTP or 3MF file; expected a surface in one of these formats: export it again as one of them"
    )]
    Unrecognised { found: &'static str },
    #[error(
        "found {present} of the {announced} triangles that the {format} file announces; expected all of them: the file was cut off or damaged, so export or copy it again"
    )]
    Truncated {
        format: Format,
        present: u64,
        announced: u64,
    },
    #[error(
        "found the end of the {format} file {place}; expected more: the file was cut off, so export or copy it again"
    )]
    CutOff { format: Format, place: &'static str },
    #[error("found {found} in the {format} file; expected {expected}: export it again")]
    Broken {
        format: Format,
        found: String,
        expected: &'static str,
    },
    #[error("found {found} in the {format} file; expected {expected}: {remedy}")]
    Unsupported {
        format: Format,
        found: String,
        expected: &'static str,
        remedy: &'static str,
    },
    #[error(
        "found no triangles in the {format} file; expected a surface: export it as a surface, not as points or curves"
    )]
    NoTriangles { format: Format },
    #[error(
        "found {found} {what} in the {format} file; expected no more than a surface of {} million triangles needs: export it again with less detail",
        MOST_TRIANGLES / 1_000_000
    )]
    TooLarge {
        format: Format,
        found: u64,
        what: &'static str,
    },
    #[error(
        "found the coordinate {} in the {format} file; expected a finite number of at most {FARTHEST:e}: export it again",
        number(*found)
    )]
    NoPlace { format: Format, found: f64 },
    #[error(
        "found {pairs} pairs of corners that fall together in the numbers of the {format} file, the first at {at}; expected a surface that stays closed when it is written: simplify it first"
    )]
    FallTogether {
        format: Format,
        pairs: usize,
        at: String,
    },
    #[error("found no {what} to write; expected at least one: make the surface first")]
    NothingToWrite { what: &'static str },
    #[error("found {found} when the {format} file was put together; expected none: report this")]
    NotPacked { format: Format, found: String },
}

/// A few words of a file as they may stand in a sentence: one line, no more than 60 characters.
pub(crate) fn words(text: &[u8]) -> String {
    String::from_utf8_lossy(text)
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(60)
        .collect()
}

/// A number as it may stand in a sentence, never hundreds of digits long.
pub(crate) fn number(value: f64) -> String {
    if value.abs() < 1e15 {
        value.to_string()
    } else if value.is_finite() {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}
