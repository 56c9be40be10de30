//! The attributes that are read, and no others: only these reach the parser.
//!
//! A radiograph's header carries hundreds more, private ones among them. Each would be parsed into
//! memory for nothing, and one of unknown representation and open length made the parser ask for
//! 4 GiB (a file of 674 bytes did).

use dicom_core::Tag;
use dicom_dictionary_std::tags;

const VALUES: &[Tag] = &[
    tags::SPECIFIC_CHARACTER_SET,
    // Person, study, series, film.
    tags::PATIENT_NAME,
    tags::PATIENT_ID,
    tags::PATIENT_BIRTH_DATE,
    tags::PATIENT_SEX,
    tags::STUDY_INSTANCE_UID,
    tags::SERIES_INSTANCE_UID,
    tags::SOP_INSTANCE_UID,
    tags::ACCESSION_NUMBER,
    tags::MODALITY,
    tags::BODY_PART_EXAMINED,
    tags::STUDY_DATE,
    tags::ACQUISITION_DATE,
    tags::CONTENT_DATE,
    tags::STUDY_DESCRIPTION,
    tags::SERIES_DESCRIPTION,
    tags::PROTOCOL_NAME,
    tags::ACQUISITION_DEVICE_PROCESSING_DESCRIPTION,
    tags::IMAGE_COMMENTS,
    tags::VIEW_POSITION,
    tags::IMAGE_LATERALITY,
    tags::LATERALITY,
    tags::CODE_VALUE,
    // Spacing.
    tags::PIXEL_SPACING,
    tags::PIXEL_SPACING_CALIBRATION_TYPE,
    tags::IMAGER_PIXEL_SPACING,
    tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
    tags::DISTANCE_SOURCE_TO_DETECTOR,
    tags::DISTANCE_SOURCE_TO_PATIENT,
    tags::PIXEL_ASPECT_RATIO,
    // Picture.
    tags::ROWS,
    tags::COLUMNS,
    tags::SAMPLES_PER_PIXEL,
    tags::PHOTOMETRIC_INTERPRETATION,
    tags::NUMBER_OF_FRAMES,
    tags::BITS_ALLOCATED,
    tags::BITS_STORED,
    tags::HIGH_BIT,
    tags::PIXEL_REPRESENTATION,
    tags::PIXEL_PADDING_VALUE,
    tags::PIXEL_PADDING_RANGE_LIMIT,
    tags::RESCALE_SLOPE,
    tags::RESCALE_INTERCEPT,
    tags::WINDOW_CENTER,
    tags::WINDOW_WIDTH,
    tags::VOILUT_FUNCTION,
    tags::LOSSY_IMAGE_COMPRESSION,
    tags::LUT_DESCRIPTOR,
    tags::LUT_DATA,
];

const SEQUENCES: &[Tag] = &[
    tags::VIEW_CODE_SEQUENCE,
    tags::VIEW_MODIFIER_CODE_SEQUENCE,
    tags::ANATOMIC_REGION_SEQUENCE,
    tags::ANATOMIC_REGION_MODIFIER_SEQUENCE,
    tags::PATIENT_ORIENTATION_CODE_SEQUENCE,
    tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE,
    tags::ACQUISITION_CONTEXT_SEQUENCE,
    tags::CONCEPT_CODE_SEQUENCE,
    tags::CONCEPT_NAME_CODE_SEQUENCE,
    tags::MODALITY_LUT_SEQUENCE,
    tags::VOILUT_SEQUENCE,
];

/// Binary by the dictionary (US, SS, OW), where the file itself does not name a representation.
const NUMBERS: &[Tag] = &[
    tags::ROWS,
    tags::COLUMNS,
    tags::SAMPLES_PER_PIXEL,
    tags::BITS_ALLOCATED,
    tags::BITS_STORED,
    tags::HIGH_BIT,
    tags::PIXEL_REPRESENTATION,
    tags::PIXEL_PADDING_VALUE,
    tags::PIXEL_PADDING_RANGE_LIMIT,
    tags::LUT_DESCRIPTOR,
    tags::LUT_DATA,
];

pub(super) fn number(tag: Tag) -> bool {
    NUMBERS.contains(&tag)
}

pub(super) fn value(tag: Tag) -> bool {
    VALUES.contains(&tag)
}

pub(super) fn sequence(tag: Tag) -> bool {
    SEQUENCES.contains(&tag)
}
