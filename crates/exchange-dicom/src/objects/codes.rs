//! The coded terms of what is made here.
//!
//! Open codes where they exist: DCM, SNOMED CT as PS3.16 prints it, and UCUM; each was looked up in pydicom 3.0.2
//! (`pydicom.sr`, generated from PS3.16) or highdicom 0.28.2 unless it is marked `unconfirmed`. For measures of the
//! foot no published code was found there, so they carry this program's own scheme with the measure's key.

use super::build::Build;
use dicom_core::VR;
use dicom_dictionary_std::tags;
use quantity::Unit;
use std::borrow::Cow;
use terms::{Side, View};

/// The private scheme; entries of its own are the keys of `knowledge/measures` and the few below.
pub const OURS: &str = "99TIEBEAM";

/// A coded term.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    pub value: Cow<'static, str>,
    pub scheme: &'static str,
    pub meaning: Cow<'static, str>,
}

pub(super) const fn code(value: &'static str, scheme: &'static str, meaning: &'static str) -> Code {
    Code {
        value: Cow::Borrowed(value),
        scheme,
        meaning: Cow::Borrowed(meaning),
    }
}

impl Code {
    pub fn ours(value: &str, meaning: &str) -> Code {
        Code {
            value: Cow::Owned(value.to_owned()),
            scheme: OURS,
            meaning: Cow::Owned(meaning.to_owned()),
        }
    }

    pub(super) fn item(&self) -> Build {
        let mut item = Build::default();
        if self.value.chars().count() <= 16 {
            item.text(tags::CODE_VALUE, VR::SH, &self.value);
        } else {
            item.text(tags::LONG_CODE_VALUE, VR::UC, &self.value);
        }
        item.text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, self.scheme);
        item.text(tags::CODE_MEANING, VR::LO, &self.meaning);
        item
    }
}

// Frame of the report (TID 1500, 1001 to 1004, 1204).
pub(super) const REPORT: Code = code("126000", "DCM", "Imaging Measurement Report");
pub(super) const MEASUREMENTS: Code = code("126010", "DCM", "Imaging Measurements");
pub(super) const GROUP: Code = code("125007", "DCM", "Measurement Group");
pub(super) const LANGUAGE: Code = code("121049", "DCM", "Language of Content Item and Descendants");
/// RFC 5646 as in highdicom's LanguageOfContentItemAndDescendants.
pub(super) const ENGLISH: Code = code("en", "RFC5646", "English");
pub(super) const OBSERVER_TYPE: Code = code("121005", "DCM", "Observer Type");
pub(super) const PERSON: Code = code("121006", "DCM", "Person");
pub(super) const PERSON_NAME: Code = code("121008", "DCM", "Person Observer Name");
pub(super) const PERSON_ORGANISATION: Code =
    code("121009", "DCM", "Person Observer's Organization Name");
pub(super) const DEVICE: Code = code("121007", "DCM", "Device");
pub(super) const DEVICE_UID: Code = code("121012", "DCM", "Device Observer UID");
pub(super) const DEVICE_NAME: Code = code("121013", "DCM", "Device Observer Name");
pub(super) const PROCEDURE: Code = code("121058", "DCM", "Procedure reported");
/// CID 100 has no film of the foot; this is its plain radiograph.
pub(super) const XRAY: Code = code("43468-8", "LN", "XR unspecified body region");

// Of a group and a measurement (TID 1501, 300, 310, 4019).
pub(super) const TRACKING: Code = code("112039", "DCM", "Tracking Identifier");
pub(super) const TRACKING_UID: Code = code("112040", "DCM", "Tracking Unique Identifier");
pub(super) const FINDING_SITE: Code = code("363698007", "SCT", "Finding Site");
pub(super) const LATERALITY: Code = code("272741003", "SCT", "Laterality");
/// As highdicom's SourceImageForMeasurementGroup.
pub(super) const SOURCE: Code = code("260753009", "SCT", "Source");
pub(super) const ALGORITHM_NAME: Code = code("111001", "DCM", "Algorithm Name");
pub(super) const ALGORITHM_VERSION: Code = code("111003", "DCM", "Algorithm Version");
pub(super) const UPPER_RANGE: Code = code(
    "371886008",
    "SCT",
    "+, range of upper measurement uncertainty",
);
pub(super) const LOWER_RANGE: Code = code(
    "371885007",
    "SCT",
    "-, range of lower measurement uncertainty",
);

/// PS3.16 as read has a standard deviation of a population and of values, none of a single value's error.
pub(super) const STANDARD_ERROR: Code = code("standard_error", OURS, "Standard error");
pub(super) const STANCE: Code = code("stance", OURS, "Stance");
pub(super) const VIEW: Code = code("view", OURS, "View");
pub(super) const NOTE: Code = code("note", OURS, "Note on the reading");
pub(super) const NOT_READ: Code = code("not_read", OURS, "Not read");
pub(super) const WARNING: Code = code("warning", OURS, "Warning");

const LEFT: Code = code("7771000", "SCT", "Left");
const RIGHT: Code = code("24028007", "SCT", "Right");

pub(super) fn side(side: Side) -> Code {
    match side {
        Side::Left => LEFT,
        Side::Right => RIGHT,
    }
}

const FOOT: Code = code("56459004", "SCT", "Foot");
const ANKLE: Code = code("70258002", "SCT", "Ankle joint");
const CALCANEUS: Code = code("80144004", "SCT", "Calcaneus");

/// CID 4009, as crate `film` writes the region of a film.
pub(super) fn site(view: View) -> Code {
    match view {
        View::Lateral | View::Dorsoplantar => FOOT,
        View::HindfootAlignment => CALCANEUS,
        View::AnkleFront => ANKLE,
    }
}

/// UCUM. `deg`, `%`, `{ratio}` and `1` stand in CID 7181 to 7183; `mm`, `cm2` and `kPa` are UCUM's own spellings.
pub fn unit(unit: Unit) -> Code {
    match unit {
        Unit::Degree => code("deg", "UCUM", "degree"),
        Unit::Millimetre => code("mm", "UCUM", "millimeter"),
        Unit::Percent => code("%", "UCUM", "percent"),
        Unit::Ratio => code("{ratio}", "UCUM", "ratio"),
        Unit::Points => code("{points}", "UCUM", "points"),
        Unit::Count => code("{count}", "UCUM", "count"),
        Unit::SquareCentimetre => code("cm2", "UCUM", "square centimeter"),
        Unit::Kilopascal => code("kPa", "UCUM", "kilopascal"),
    }
}
