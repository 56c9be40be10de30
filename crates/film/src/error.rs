//! Why a file did not become a film: what was found, what was expected, what to do.

/// A file that cannot be opened as a film. Every message is one sentence for the person at the desk
/// and names nothing about the patient.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum FilmError {
    #[error("the file is empty; expected a DICOM, PNG, JPEG or TIFF film; export or copy it again")]
    Empty,
    #[error(
        "this is not a film: found {found}, expected a DICOM, PNG, JPEG or TIFF file; export the film from where it was taken and try again"
    )]
    NotAFilm { found: String },
    #[error(
        "the file has {bytes} bytes and at most {limit} are taken; export this one film alone, or ask for the limit to be raised"
    )]
    FileTooLarge { bytes: u64, limit: u64 },
    #[error(
        "the compressed file grows beyond {limit} bytes when unpacked; expected a film, which needs far less; export the film again without 'deflated'"
    )]
    InflatesTooFar { limit: u64 },
    #[error(
        "the file says {width} × {height} pixels and at most {limit} pixels are taken; check that this is a single radiograph and export it again"
    )]
    TooManyPixels { width: u64, height: u64, limit: u64 },
    #[error(
        "the file ends too early: {what} needs {expected} bytes and {found} are there; copy or export it again"
    )]
    Truncated {
        what: String,
        expected: u64,
        found: u64,
    },
    #[error(
        "the file holds no picture ({what}); expected a radiograph with pixel data; pick the film itself, not its report or list"
    )]
    NoPixels { what: String },
    #[error(
        "the picture is in colour ({found}); expected a grey radiograph; export the film itself, not a screenshot or photo"
    )]
    Colour { found: String },
    #[error(
        "the file holds {frames} frames; expected a single film; export the one standing film you want to read"
    )]
    ManyFrames { frames: u64 },
    #[error(
        "the picture has one bit for each pixel (a segmentation or mask); expected a grey radiograph of 8 to 16 bits; pick the film itself"
    )]
    OneBit,
    #[error(
        "the picture has {found}; expected a grey radiograph of 8 to 16 bits (dose maps and computed maps are not films); pick the film itself"
    )]
    Depth { found: String },
    #[error(
        "the film is packed as {found}, which this program does not unpack; expected uncompressed, deflated, RLE, JPEG, JPEG-LS or JPEG 2000; export it uncompressed"
    )]
    Packing { found: String },
    #[error(
        "the film's {attribute} says {found}; expected {expected}; export the film again or ask its sender"
    )]
    Contradiction {
        attribute: &'static str,
        found: String,
        expected: String,
    },
    #[error(
        "the picture data are damaged ({found}); expected a complete {expected} picture; copy or export it again"
    )]
    Damaged {
        found: String,
        expected: &'static str,
    },
}

/// Foreign text for a message: one line, short, printable.
pub(crate) fn quote(text: &str) -> String {
    let mut out: String = text
        .chars()
        .filter(|c| !c.is_control())
        .take(60)
        .collect::<String>()
        .trim()
        .to_owned();
    if text.chars().count() > 60 {
        out.push('…');
    }
    format!("'{out}'")
}
