//! Which attributes of a film go into a copy without names, and in which form? Whatever is not listed here is left
//! out: private attributes, overlays, curves, free text, and everything that a later edition may add.
//!
//! The list is narrower than PS3.15 asks. What the table of the Basic Profile (`profile.tsv`) replaces or empties is
//! replaced or emptied; what it leaves alone is kept only where a film is unreadable without it, and only as far as
//! its value has the form of one: a known term, a number, a known code. A test holds the two against each other.

use dicom_core::Tag;
use dicom_dictionary_std::tags;

/// What becomes of an attribute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// Kept as far as each value is one of these terms.
    Terms(&'static [&'static str]),
    /// Kept if it is this many decimal numbers (at most; 0 for any).
    Numbers(usize),
    /// Kept if it is this many 16-bit numbers.
    Shorts(usize),
    /// A date, moved.
    Date,
    /// Date and time, moved to a bare date.
    DateTime,
    /// There, but empty.
    Empty,
    /// A time of day, emptied.
    Time,
    /// An identifier, replaced.
    Uid,
    /// One of the classes that are taken.
    Class,
    /// Items of codes, kept where the code is known, in our words.
    Codes,
    /// A table of grey values, kept where it rises or falls throughout.
    Table,
    /// A sequence, emptied.
    NoItems,
}

use Rule::*;

const SIDES: Rule = Terms(&["L", "R", "U", "B"]);
const YES_NO: Rule = Terms(&["YES", "NO"]);

pub(super) const RULES: &[(Tag, Rule)] = &[
    (
        tags::IMAGE_TYPE,
        Terms(&[
            "ORIGINAL",
            "DERIVED",
            "PRIMARY",
            "SECONDARY",
            "SINGLE PLANE",
            "",
        ]),
    ),
    (tags::SOP_CLASS_UID, Class),
    (tags::SOP_INSTANCE_UID, Uid),
    (tags::STUDY_DATE, Date),
    (tags::SERIES_DATE, Date),
    (tags::ACQUISITION_DATE, Date),
    (tags::CONTENT_DATE, Date),
    (tags::ACQUISITION_DATE_TIME, DateTime),
    (tags::STUDY_TIME, Time),
    (tags::CONTENT_TIME, Time),
    (tags::ACCESSION_NUMBER, Empty),
    (
        tags::MODALITY,
        Terms(&["CR", "DX", "RG", "RF", "XA", "OT", "SC", "MG", "IO", "PX"]),
    ),
    (
        tags::CONVERSION_TYPE,
        Terms(&["DV", "DI", "DF", "WSD", "SD", "SI", "DRW", "SYN"]),
    ),
    (
        tags::PRESENTATION_INTENT_TYPE,
        Terms(&["FOR PRESENTATION", "FOR PROCESSING"]),
    ),
    (tags::MANUFACTURER, Empty),
    (tags::REFERRING_PHYSICIAN_NAME, Empty),
    (tags::ANATOMIC_REGION_SEQUENCE, Codes),
    (tags::ANATOMIC_REGION_MODIFIER_SEQUENCE, Codes),
    (tags::PATIENT_BIRTH_DATE, Empty),
    (tags::PATIENT_SEX, Empty),
    (
        tags::BODY_PART_EXAMINED,
        Terms(&[
            "FOOT",
            "ANKLE",
            "CALCANEUS",
            "TOE",
            "HEEL",
            "LEG",
            "TIBFIB",
            "TIBIA",
            "FIBULA",
            "KNEE",
            "EXTREMITY",
            "LOWEXM",
            "LOWLEG",
        ]),
    ),
    (tags::KVP, Numbers(1)),
    (tags::DISTANCE_SOURCE_TO_DETECTOR, Numbers(1)),
    (tags::DISTANCE_SOURCE_TO_PATIENT, Numbers(1)),
    (
        tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
        Numbers(1),
    ),
    (tags::EXPOSURE_TIME, Numbers(1)),
    (tags::X_RAY_TUBE_CURRENT, Numbers(1)),
    (tags::EXPOSURE, Numbers(1)),
    (tags::EXPOSURE_INU_AS, Numbers(1)),
    (tags::RADIATION_SETTING, Terms(&["SC", "GR"])),
    (tags::IMAGER_PIXEL_SPACING, Numbers(2)),
    (tags::FOCAL_SPOTS, Numbers(0)),
    (tags::SENSITIVITY, Numbers(1)),
    (tags::RELATIVE_X_RAY_EXPOSURE, Numbers(1)),
    (tags::EXPOSURE_INDEX, Numbers(1)),
    (tags::TARGET_EXPOSURE_INDEX, Numbers(1)),
    (tags::DEVIATION_INDEX, Numbers(1)),
    (
        tags::POSITIONER_TYPE,
        Terms(&[
            "CARM",
            "COLUMN",
            "MAMMOGRAPHIC",
            "PANORAMIC",
            "CEPHALOSTAT",
            "RIGID",
            "NONE",
        ]),
    ),
    (tags::POSITIONER_PRIMARY_ANGLE, Numbers(1)),
    (tags::POSITIONER_SECONDARY_ANGLE, Numbers(1)),
    (
        tags::VIEW_POSITION,
        Terms(&["AP", "PA", "LL", "RL", "RLD", "LLD", "RLO", "LLO"]),
    ),
    (
        tags::DETECTOR_TYPE,
        Terms(&["DIRECT", "SCINTILLATOR", "STORAGE", "FILM"]),
    ),
    (tags::DETECTOR_CONFIGURATION, Terms(&["AREA", "SLOT"])),
    (tags::STUDY_INSTANCE_UID, Uid),
    (tags::SERIES_INSTANCE_UID, Uid),
    (tags::STUDY_ID, Empty),
    (tags::SERIES_NUMBER, Numbers(1)),
    (tags::INSTANCE_NUMBER, Numbers(1)),
    (
        tags::PATIENT_ORIENTATION,
        Terms(&[
            "A", "P", "L", "R", "H", "F", "AL", "AR", "AH", "AF", "PL", "PR", "PH", "PF", "LA",
            "LP", "LH", "LF", "RA", "RP", "RH", "RF", "HA", "HP", "HL", "HR", "FA", "FP", "FL",
            "FR", "",
        ]),
    ),
    (tags::LATERALITY, SIDES),
    (tags::IMAGE_LATERALITY, SIDES),
    (tags::SAMPLES_PER_PIXEL, Shorts(1)),
    (
        tags::PHOTOMETRIC_INTERPRETATION,
        Terms(&["MONOCHROME1", "MONOCHROME2", "RGB"]),
    ),
    (tags::PLANAR_CONFIGURATION, Shorts(1)),
    (tags::ROWS, Shorts(1)),
    (tags::COLUMNS, Shorts(1)),
    (tags::PIXEL_SPACING, Numbers(2)),
    (tags::PIXEL_ASPECT_RATIO, Numbers(2)),
    (tags::BITS_ALLOCATED, Shorts(1)),
    (tags::BITS_STORED, Shorts(1)),
    (tags::HIGH_BIT, Shorts(1)),
    (tags::PIXEL_REPRESENTATION, Shorts(1)),
    (tags::PIXEL_PADDING_VALUE, Shorts(1)),
    (tags::PIXEL_PADDING_RANGE_LIMIT, Shorts(1)),
    (tags::BURNED_IN_ANNOTATION, YES_NO),
    (
        tags::PIXEL_SPACING_CALIBRATION_TYPE,
        Terms(&["GEOMETRY", "FIDUCIAL"]),
    ),
    (
        tags::PIXEL_INTENSITY_RELATIONSHIP,
        Terms(&["LIN", "LOG", "DISP"]),
    ),
    (tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN, Shorts(1)),
    (tags::WINDOW_CENTER, Numbers(0)),
    (tags::WINDOW_WIDTH, Numbers(0)),
    (tags::RESCALE_INTERCEPT, Numbers(1)),
    (tags::RESCALE_SLOPE, Numbers(1)),
    (tags::RESCALE_TYPE, Terms(&["US", "OD", "HU", "MGML"])),
    (
        tags::VOILUT_FUNCTION,
        Terms(&["LINEAR", "LINEAR_EXACT", "SIGMOID"]),
    ),
    (tags::LOSSY_IMAGE_COMPRESSION, Terms(&["00", "01"])),
    (tags::LOSSY_IMAGE_COMPRESSION_RATIO, Numbers(0)),
    (
        tags::LOSSY_IMAGE_COMPRESSION_METHOD,
        Terms(&["ISO_10918_1", "ISO_14495_1", "ISO_15444_1"]),
    ),
    (tags::MODALITY_LUT_SEQUENCE, Table),
    (tags::VOILUT_SEQUENCE, Table),
    (tags::ACQUISITION_CONTEXT_SEQUENCE, NoItems),
    (tags::VIEW_CODE_SEQUENCE, Codes),
    (tags::VIEW_MODIFIER_CODE_SEQUENCE, Codes),
    (tags::PATIENT_ORIENTATION_CODE_SEQUENCE, Codes),
    (tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE, Codes),
    (
        tags::PRESENTATION_LUT_SHAPE,
        Terms(&["IDENTITY", "INVERSE"]),
    ),
];

pub(super) fn rule(tag: Tag) -> Option<Rule> {
    RULES.iter().find(|r| r.0 == tag).map(|r| r.1)
}

/// The action of the Basic Profile for a tag (PS3.15 table E.1-1): X, Z, D, U or several joined by strokes.
pub fn profile_action(tag: Tag) -> Option<&'static str> {
    let key = format!("{:04X}{:04X}", tag.group(), tag.element());
    include_str!("profile.tsv")
        .lines()
        .filter_map(|l| l.split_once('\t'))
        .find(|(t, _)| *t == key)
        .map(|(_, action)| action)
}

/// A known code: scheme, value and meaning as PS3.16 prints them.
pub(super) fn known_code(
    scheme: &str,
    value: &str,
) -> Option<(&'static str, &'static str, &'static str)> {
    include_str!("known.tsv").lines().find_map(|line| {
        let mut cells = line.split('\t');
        let (s, v, meaning) = (cells.next()?, cells.next()?, cells.next()?);
        let older = cells.next().unwrap_or_default();
        let same = s == scheme && v == value;
        let by_older =
            matches!(scheme, "SRT" | "SNM3" | "99SDM") && !older.is_empty() && older == value;
        (same || by_older).then_some((s, v, meaning))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_the_basic_profile_removes_or_replaces_is_kept_as_it_is() {
        for (tag, rule) in RULES {
            let Some(action) = profile_action(*tag) else {
                continue;
            };
            let fits = match rule {
                Uid => action == "U",
                Empty | Time | NoItems => action.contains('Z'),
                // Moved dates: option 'Retain Longitudinal Temporal Information With Modified Dates'.
                Date | DateTime => tag.element() != 0x0030 || tag.group() != 0x0010,
                _ => false,
            };
            assert!(fits, "{tag}: {action} against {rule:?}");
        }
    }

    #[test]
    fn every_identifier_that_a_film_must_carry_is_replaced() {
        for (tag, rule) in RULES {
            if profile_action(*tag) == Some("U") {
                assert_eq!(*rule, Uid, "{tag}");
            }
        }
        assert_eq!(profile_action(tags::PATIENT_NAME), Some("Z"));
        assert_eq!(profile_action(tags::INSTITUTION_NAME), Some("X/Z/D"));
    }

    #[test]
    fn codes_are_known_by_both_their_numbers() {
        let foot = Some(("SCT", "56459004", "Foot"));
        assert_eq!(known_code("SCT", "56459004"), foot);
        assert_eq!(known_code("SRT", "T-D9700"), foot);
        assert_eq!(known_code("SCT", "1"), None);
    }
}
