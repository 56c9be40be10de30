//! Which kinds of objects, and written how, are taken in and given out?
//!
//! The tables of `docs/dicom-conformance.md`; a test holds the page against them.

use dicom_dictionary_std::uids;

/// A class of objects or a way of writing them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Named {
    pub uid: &'static str,
    /// As PS3.6 annex A names it.
    pub name: &'static str,
}

const fn named(uid: &'static str, name: &'static str) -> Named {
    Named { uid, name }
}

/// C-ECHO.
pub const VERIFICATION: Named = named(uids::VERIFICATION, "Verification SOP Class");

/// What is taken in over the network and out of the watched folder.
pub const TAKEN: &[Named] = &[
    named(
        uids::COMPUTED_RADIOGRAPHY_IMAGE_STORAGE,
        "Computed Radiography Image Storage",
    ),
    named(
        uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION,
        "Digital X-Ray Image Storage - For Presentation",
    ),
    named(
        uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PROCESSING,
        "Digital X-Ray Image Storage - For Processing",
    ),
    named(
        uids::X_RAY_ANGIOGRAPHIC_IMAGE_STORAGE,
        "X-Ray Angiographic Image Storage",
    ),
    named(
        uids::X_RAY_RADIOFLUOROSCOPIC_IMAGE_STORAGE,
        "X-Ray Radiofluoroscopic Image Storage",
    ),
    named(
        uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Secondary Capture Image Storage",
    ),
    named(
        uids::MULTI_FRAME_GRAYSCALE_BYTE_SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Multi-frame Grayscale Byte Secondary Capture Image Storage",
    ),
    named(
        uids::MULTI_FRAME_GRAYSCALE_WORD_SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Multi-frame Grayscale Word Secondary Capture Image Storage",
    ),
    named(
        uids::MULTI_FRAME_TRUE_COLOR_SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Multi-frame True Color Secondary Capture Image Storage",
    ),
];

/// What is made here and sent out, besides films as they came.
pub const MADE: &[Named] = &[
    named(uids::COMPREHENSIVE_SR_STORAGE, "Comprehensive SR Storage"),
    named(
        uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Secondary Capture Image Storage",
    ),
    named(
        uids::GRAYSCALE_SOFTCOPY_PRESENTATION_STATE_STORAGE,
        "Grayscale Softcopy Presentation State Storage",
    ),
    named(uids::ENCAPSULATED_PDF_STORAGE, "Encapsulated PDF Storage"),
];

/// What crate `film` unpacks, in the order in which it is preferred.
pub const SYNTAXES: &[Named] = &[
    named("1.2.840.10008.1.2.1", "Explicit VR Little Endian"),
    named("1.2.840.10008.1.2", "Implicit VR Little Endian"),
    named(
        "1.2.840.10008.1.2.1.99",
        "Deflated Explicit VR Little Endian",
    ),
    named("1.2.840.10008.1.2.2", "Explicit VR Big Endian"),
    named("1.2.840.10008.1.2.5", "RLE Lossless"),
    named(
        "1.2.840.10008.1.2.4.70",
        "JPEG Lossless, Non-Hierarchical, First-Order Prediction",
    ),
    named("1.2.840.10008.1.2.4.57", "JPEG Lossless, Non-Hierarchical"),
    named("1.2.840.10008.1.2.4.80", "JPEG-LS Lossless"),
    named("1.2.840.10008.1.2.4.90", "JPEG 2000 Lossless"),
    named("1.2.840.10008.1.2.4.50", "JPEG Baseline"),
    named("1.2.840.10008.1.2.4.51", "JPEG Extended"),
    named("1.2.840.10008.1.2.4.81", "JPEG-LS Near-Lossless"),
    named("1.2.840.10008.1.2.4.91", "JPEG 2000"),
];

/// How objects made here are written.
pub const WRITTEN: Named = named("1.2.840.10008.1.2.1", "Explicit VR Little Endian");

pub fn is_taken(sop_class: &str) -> bool {
    TAKEN.iter().any(|c| c.uid == sop_class)
}

pub fn is_read(transfer_syntax: &str) -> bool {
    SYNTAXES.iter().any(|s| s.uid == transfer_syntax)
}
