//! Why a file did not become a picture: what was found, what was expected, what to do.

/// Every message is one sentence for the person at the desk and names nothing about the patient.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    #[error("the file is empty; expected a PNG, JPEG or TIFF picture; export or copy it again")]
    Empty,
    #[error(
        "this is not a picture: found {found}, expected a PNG, JPEG or TIFF file; choose the picture itself and try again"
    )]
    NotAPicture { found: String },
    #[error(
        "the picture is packed as HEIC, which this program does not unpack; expected PNG, JPEG or TIFF; set the phone's camera to the most compatible format, or share the picture as JPEG"
    )]
    Heic,
    #[error(
        "this is a film clip and not a picture; expected PNG, JPEG or TIFF; save one frame of it as a picture"
    )]
    Clip,
    #[error(
        "the file has {bytes} bytes and at most {limit} are taken; save the picture smaller and try again"
    )]
    FileTooLarge { bytes: u64, limit: u64 },
    #[error(
        "the picture has {width} × {height} pixels and at most {limit} pixels are taken; save it smaller and try again"
    )]
    TooManyPixels { width: u64, height: u64, limit: u64 },
    #[error(
        "the picture has {width} × {height} pixels; expected at least {least} each way; take it again at full size"
    )]
    TooSmall { width: u32, height: u32, least: u32 },
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
    let clean = text.chars().filter(|c| !c.is_control());
    let mut out: String = clean.take(60).collect::<String>().trim().to_owned();
    if text.chars().count() > 60 {
        out.push('…');
    }
    format!("'{out}'")
}
