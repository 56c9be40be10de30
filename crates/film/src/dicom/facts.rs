//! Person, day and spacing out of the header.

use super::pixels::Shape;
use super::syntax::Packing;
use super::{told, value};
use crate::Header;
use crate::scale::{Calibration, Spacing, SpacingFacts};
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;
use terms::{Sex, Stance};
use time::{Date, Month};

pub(super) fn header(
    object: &InMemDicomObject,
    packing: Packing,
    shape: &Shape,
    notes: &mut Vec<String>,
) -> Header {
    let (view, view_told) = told::view(object).unzip();
    let (side, side_told) = told::side(object, notes).unzip();
    let (stance, stance_told) = told::stance(object, notes).unzip();
    let text = |tag| value::text(object, tag);
    Header {
        view,
        view_told,
        side,
        side_told,
        stance: stance.unwrap_or(Stance::Unknown),
        stance_told,
        taken_on: [tags::ACQUISITION_DATE, tags::CONTENT_DATE, tags::STUDY_DATE]
            .into_iter()
            .find_map(|tag| date(object, tag)),
        patient_id: text(tags::PATIENT_ID),
        patient_name: text(tags::PATIENT_NAME),
        birth_date: date(object, tags::PATIENT_BIRTH_DATE),
        sex: match text(tags::PATIENT_SEX).as_deref() {
            Some("F") => Some(Sex::Female),
            Some("M") => Some(Sex::Male),
            _ => None,
        },
        study_uid: text(tags::STUDY_INSTANCE_UID),
        series_uid: text(tags::SERIES_INSTANCE_UID),
        instance_uid: text(tags::SOP_INSTANCE_UID),
        accession: text(tags::ACCESSION_NUMBER),
        modality: text(tags::MODALITY),
        body_part: text(tags::BODY_PART_EXAMINED),
        description: text(tags::SERIES_DESCRIPTION)
            .or_else(|| text(tags::PROTOCOL_NAME))
            .or_else(|| text(tags::STUDY_DESCRIPTION)),
        packing: packing.words().to_owned(),
        bits_stored: shape.bits_stored,
    }
}

/// `YYYYMMDD`, and the dotted form of old files.
fn date(object: &InMemDicomObject, tag: Tag) -> Option<Date> {
    let digits: String = value::first_text(object, tag)?
        .chars()
        .filter(|c| *c != '.')
        .collect();
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<u16>().ok();
    if digits.len() != 8 {
        return None;
    }
    let month = Month::try_from(u8::try_from(part(4, 6)?).ok()?).ok()?;
    Date::from_calendar_date(
        i32::from(part(0, 4)?),
        month,
        u8::try_from(part(6, 8)?).ok()?,
    )
    .ok()
}

pub(super) fn spacing(object: &InMemDicomObject) -> SpacingFacts {
    let mut refused = Vec::new();
    let pixel_spacing = pair(object, tags::PIXEL_SPACING, "PixelSpacing", &mut refused);
    let imager_pixel_spacing = pair(
        object,
        tags::IMAGER_PIXEL_SPACING,
        "ImagerPixelSpacing",
        &mut refused,
    );
    let mut positive = |tag, name: &str| match value::number(object, tag) {
        Some(n) if n.is_finite() && n > 0.0 => Some(n),
        // Zero is what many devices write for 'not measured'.
        Some(n) => {
            if n != 0.0 {
                refused.push(format!("{name} is {n}, not a positive number"));
            }
            None
        }
        None => None,
    };
    let magnification = positive(
        tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
        "EstimatedRadiographicMagnificationFactor",
    );
    let source_to_detector_mm = positive(
        tags::DISTANCE_SOURCE_TO_DETECTOR,
        "DistanceSourceToDetector",
    );
    let source_to_patient_mm =
        positive(tags::DISTANCE_SOURCE_TO_PATIENT, "DistanceSourceToPatient");
    let calibration = match value::text(object, tags::PIXEL_SPACING_CALIBRATION_TYPE).as_deref() {
        Some("GEOMETRY") => Some(Calibration::Geometry),
        Some("FIDUCIAL") => Some(Calibration::Fiducial),
        _ => None,
    };
    let pixel_aspect = match value::integers(object, tags::PIXEL_ASPECT_RATIO).as_slice() {
        [vertical, horizontal] if *vertical > 0 && *horizontal > 0 => {
            Some(*vertical as f64 / *horizontal as f64)
        }
        _ => None,
    };
    SpacingFacts {
        pixel_spacing,
        calibration,
        imager_pixel_spacing,
        magnification,
        source_to_detector_mm,
        source_to_patient_mm,
        pixel_aspect,
        refused,
    }
}

/// Row spacing first, then column spacing (PS3.3 10.7.1.3): down, then across.
fn pair(
    object: &InMemDicomObject,
    tag: Tag,
    name: &str,
    refused: &mut Vec<String>,
) -> Option<Spacing> {
    object.get(tag)?;
    let values = value::numbers(object, tag);
    let shown: Vec<String> = values.iter().map(f64::to_string).collect();
    match values.as_slice() {
        [] => None,
        [down, across] => match Spacing::new(*across, *down) {
            Ok(spacing) => Some(spacing),
            Err(why) => {
                refused.push(format!("{name} is {} ({why})", shown.join(" by ")));
                None
            }
        },
        _ => {
            refused.push(format!(
                "{name} has {} numbers instead of two",
                values.len()
            ));
            None
        }
    }
}
