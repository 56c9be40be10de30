//! An invented film and its bytes, for every test of this crate.

// Every test file takes what it needs of it.
#[allow(dead_code)]
pub mod invented;

use film::scale::{Calibration, Spacing};
use film::write::{CalibratedSpacing, DicomFilm, PersonOnFilm, dicom, uid_from_number};
use terms::{Sex, Side, Stance, View};
use time::macros::{date, datetime};

/// A small invented film: a bright bar on a slope, 12 bits.
pub fn example() -> DicomFilm {
    let (width, height) = (96_u32, 64_u32);
    let pixels = (0..height)
        .flat_map(|y| (0..width).map(move |x| (x, y)))
        .map(|(x, y)| {
            let bar = if (20..40).contains(&y) { 1500 } else { 0 };
            (200 + 7 * x + 3 * y + bar) as u16
        })
        .collect();
    DicomFilm {
        width,
        height,
        pixels,
        bits_stored: 12,
        view: View::Lateral,
        side: Side::Left,
        stance: Stance::Standing,
        person: PersonOnFilm {
            id: "INVENTED-1".to_owned(),
            name: "Übung^Erfunden".to_owned(),
            birth_date: Some(date!(1961 - 04 - 09)),
            sex: Some(Sex::Female),
        },
        study_uid: uid_from_number(1_001),
        series_uid: uid_from_number(1_002),
        instance_uid: uid_from_number(1_003),
        taken_at: datetime!(2026-03-02 10:11:12),
        accession: "A1".to_owned(),
        study_id: "1".to_owned(),
        series_number: 1,
        instance_number: 1,
        description: "left foot lateral standing".to_owned(),
        comments: "Invented for tests; no real person.".to_owned(),
        manufacturer: "none".to_owned(),
        device: "phantom".to_owned(),
        detector_spacing: Spacing {
            across_mm: 0.15,
            down_mm: 0.15,
        },
        calibrated: Some(CalibratedSpacing {
            spacing: Spacing {
                across_mm: 0.1428,
                down_mm: 0.1428,
            },
            calibration: Calibration::Geometry,
            words: "distances known".to_owned(),
        }),
        magnification: Some(1.05),
        source_to_detector_mm: Some(1050.0),
        source_to_patient_mm: Some(1000.0),
        window: (1200.0, 2400.0),
        rows_towards: "A".to_owned(),
        columns_towards: "F".to_owned(),
    }
}

#[allow(dead_code)]
pub fn example_bytes() -> Vec<u8> {
    dicom(&example()).expect("the example fits the standard")
}

/// The example with attributes changed, in a transfer syntax.
#[allow(dead_code)]
pub fn altered(syntax: &str, change: impl FnOnce(&mut dicom_object::InMemDicomObject)) -> Vec<u8> {
    use dicom_dictionary_std::uids;
    let file = dicom_object::from_reader(&example_bytes()[..]).expect("the example parses");
    let mut object = file.into_inner();
    change(&mut object);
    let meta = dicom_object::FileMetaTableBuilder::new()
        .transfer_syntax(syntax)
        .media_storage_sop_class_uid(uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION)
        .media_storage_sop_instance_uid("2.25.1003");
    let file = object.with_meta(meta).expect("the meta group is complete");
    let mut out = Vec::new();
    file.write_all(&mut out)
        .expect("the altered example can be written");
    out
}

/// Sets a text attribute.
#[allow(dead_code)]
pub fn set(
    object: &mut dicom_object::InMemDicomObject,
    tag: dicom_core::Tag,
    vr: dicom_core::VR,
    value: impl Into<dicom_core::PrimitiveValue>,
) {
    object.put(dicom_core::DataElement::new(tag, vr, value.into()));
}
