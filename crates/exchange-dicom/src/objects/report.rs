//! The readings of one film as a structured report: Comprehensive SR, TID 1500 of PS3.16.
//!
//! One measurement group for the film's site and side, tied to the film; in it each reading as a number with its
//! unit, its standard error, both half-widths of its 95 % interval and the version of its construction. What was
//! refused and warned about stands in the report too: a reader elsewhere must see what is missing.

use super::about::{About, SourceFilm};
use super::build::{Build, decimal, reader_as_name};
use super::codes::{self, Code};
use super::{Made, MakeError};
use crate::uids::Uids;
use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use quantity::{Estimate, Z_975};
use reading::{Reading, ReadingSheet};
use record::PointsRecord;
use terms::{MeasureKey, sentence};

/// Format and newest version of the sheets that are understood.
const SHEET_FORMATS: [&str; 2] = ["tiebeam-reading-sheet", "reading-sheet"];
const SHEET_VERSION: u32 = 1;
/// Far more readings than a film has.
const MOST_READINGS: usize = 500;

/// What a report is made of.
pub struct ReportOf<'a> {
    pub about: &'a About,
    /// The film, where it is a DICOM object.
    pub film: Option<&'a SourceFilm>,
    pub sheet: &'a ReadingSheet,
    /// The reader, as on the day the points were placed.
    pub reader_name: &'a str,
    /// The time the points were placed.
    pub placed_at: time::OffsetDateTime,
    /// Of the placing, kept over all exports of it.
    pub tracking_uid: &'a str,
    /// The name of a measure, in words.
    pub name_of: &'a dyn Fn(&MeasureKey) -> Option<String>,
}

/// The sheet of a placing.
///
/// # Errors
/// When it was kept in a format that this program does not read.
pub fn sheet_of(points: &PointsRecord) -> Result<ReadingSheet, MakeError> {
    let format = SHEET_FORMATS
        .into_iter()
        .find(|f| *f == points.sheet.format)
        .unwrap_or(SHEET_FORMATS[0]);
    points
        .sheet
        .read(format, SHEET_VERSION)
        .map_err(|e| MakeError::Sheet { why: e.to_string() })
}

/// # Errors
/// An identifier without form, a number that is none, or a sheet without end.
pub fn report(of: &ReportOf<'_>, uids: &mut dyn Uids) -> Result<Made, MakeError> {
    let sheet = of.sheet;
    if sheet.readings.len() > MOST_READINGS {
        return Err(MakeError::TooMuch { what: "readings" });
    }
    if !crate::uids::is_uid(of.tracking_uid) {
        return Err(MakeError::Uid {
            what: "the placing",
        });
    }
    let (series, instance) = (uids.uid(), uids.uid());
    let description = format!("Readings, {}", sheet.view.words());
    let mut b = of.about.start("SR", &series, &description, None)?;
    b.items(
        tags::REFERENCED_PERFORMED_PROCEDURE_STEP_SEQUENCE,
        Vec::new(),
    );
    b.items(tags::PERFORMED_PROCEDURE_CODE_SEQUENCE, Vec::new());
    b.words(tags::COMPLETION_FLAG, VR::CS, "COMPLETE");
    b.words(tags::VERIFICATION_FLAG, VR::CS, "UNVERIFIED");
    b.date(tags::CONTENT_DATE, Some(of.placed_at.date()));
    b.time(tags::CONTENT_TIME, Some(of.placed_at.time()));
    if let Some(film) = of.film {
        let mut of_series = Build::default();
        of_series.uid(tags::SERIES_INSTANCE_UID, &film.series_uid);
        of_series.items(
            tags::REFERENCED_SOP_SEQUENCE,
            vec![Build::reference(&film.class_uid, &film.instance_uid)],
        );
        let mut of_study = Build::default();
        of_study.uid(tags::STUDY_INSTANCE_UID, &film.study.uid);
        of_study.items(tags::REFERENCED_SERIES_SEQUENCE, vec![of_series]);
        b.items(
            tags::CURRENT_REQUESTED_PROCEDURE_EVIDENCE_SEQUENCE,
            vec![of_study],
        );
    }
    b.words(tags::VALUE_TYPE, VR::CS, "CONTAINER");
    b.code(tags::CONCEPT_NAME_CODE_SEQUENCE, &codes::REPORT);
    b.words(tags::CONTINUITY_OF_CONTENT, VR::CS, "SEPARATE");
    let mut template = Build::default();
    template.words(tags::MAPPING_RESOURCE, VR::CS, "DCMR");
    template.words(tags::TEMPLATE_IDENTIFIER, VR::CS, "1500");
    b.items(tags::CONTENT_TEMPLATE_SEQUENCE, vec![template]);
    b.items(tags::CONTENT_SEQUENCE, content(of)?);
    b.items(
        tags::CODING_SCHEME_IDENTIFICATION_SEQUENCE,
        vec![our_scheme()],
    );
    Ok(Made::of(
        b,
        uids::COMPREHENSIVE_SR_STORAGE,
        instance,
        series,
    ))
}

/// Whose scheme 99TIEBEAM is (PS3.3 C.12.1.1.7).
fn our_scheme() -> Build {
    let mut item = Build::default();
    item.words(tags::CODING_SCHEME_DESIGNATOR, VR::SH, codes::OURS);
    item.words(
        tags::CODING_SCHEME_NAME,
        VR::ST,
        "Keys of the measures of Tiebeam",
    );
    item
}

fn content(of: &ReportOf<'_>) -> Result<Vec<Build>, MakeError> {
    let mut reader = vec![coded(
        "HAS OBS CONTEXT",
        &codes::OBSERVER_TYPE,
        &codes::PERSON,
    )];
    let mut name = item("HAS OBS CONTEXT", "PNAME", &codes::PERSON_NAME);
    name.text(tags::PERSON_NAME, VR::PN, &reader_as_name(of.reader_name));
    reader.push(name);
    if !of.about.practice.name.trim().is_empty() {
        reader.push(text(
            "HAS OBS CONTEXT",
            &codes::PERSON_ORGANISATION,
            &of.about.practice.name,
        ));
    }
    let mut device = vec![coded(
        "HAS OBS CONTEXT",
        &codes::OBSERVER_TYPE,
        &codes::DEVICE,
    )];
    let mut uid = item("HAS OBS CONTEXT", "UIDREF", &codes::DEVICE_UID);
    uid.uid(tags::UID, crate::IMPLEMENTATION_UID);
    device.push(uid);
    device.push(text("HAS OBS CONTEXT", &codes::DEVICE_NAME, "Tiebeam"));

    let mut all = vec![coded("HAS CONCEPT MOD", &codes::LANGUAGE, &codes::ENGLISH)];
    all.extend(reader);
    all.extend(device);
    all.push(coded("HAS CONCEPT MOD", &codes::PROCEDURE, &codes::XRAY));
    let mut measurements = container("CONTAINS", &codes::MEASUREMENTS);
    measurements.items(tags::CONTENT_SEQUENCE, vec![group(of)?]);
    all.push(measurements);
    Ok(all)
}

fn group(of: &ReportOf<'_>) -> Result<Build, MakeError> {
    let sheet = of.sheet;
    let mut items = vec![text(
        "HAS OBS CONTEXT",
        &codes::TRACKING,
        &format!("{} by {}", sheet.view.words(), of.reader_name),
    )];
    let mut tracking = item("HAS OBS CONTEXT", "UIDREF", &codes::TRACKING_UID);
    tracking.uid(tags::UID, of.tracking_uid);
    items.push(tracking);
    let mut site = coded(
        "HAS CONCEPT MOD",
        &codes::FINDING_SITE,
        &codes::site(sheet.view),
    );
    if let Some(side) = sheet.side {
        site.items(
            tags::CONTENT_SEQUENCE,
            vec![coded(
                "HAS CONCEPT MOD",
                &codes::LATERALITY,
                &codes::side(side),
            )],
        );
    }
    items.push(site);
    if let Some(film) = of.film {
        let mut image = item("CONTAINS", "IMAGE", &codes::SOURCE);
        image.items(
            tags::REFERENCED_SOP_SEQUENCE,
            vec![Build::reference(&film.class_uid, &film.instance_uid)],
        );
        items.push(image);
    }
    for reading in &sheet.readings {
        items.push(measurement(reading, of)?);
    }
    items.push(text("CONTAINS", &codes::VIEW, sheet.view.words()));
    items.push(text("CONTAINS", &codes::STANCE, sheet.stance.words()));
    for refused in &sheet.refused {
        let name = (of.name_of)(&refused.measure).unwrap_or_else(|| refused.measure.to_string());
        let words = format!("{name}: {}", refused.sentence);
        items.push(text("CONTAINS", &codes::NOT_READ, &words));
    }
    for warning in &sheet.warnings {
        items.push(text(
            "CONTAINS",
            &codes::WARNING,
            &sentence(&warning.sentence),
        ));
    }
    let mut group = container("CONTAINS", &codes::GROUP);
    let mut template = Build::default();
    template.words(tags::MAPPING_RESOURCE, VR::CS, "DCMR");
    template.words(tags::TEMPLATE_IDENTIFIER, VR::CS, "1501");
    group.items(tags::CONTENT_TEMPLATE_SEQUENCE, vec![template]);
    group.items(tags::CONTENT_SEQUENCE, items);
    Ok(group)
}

fn measurement(reading: &Reading, of: &ReportOf<'_>) -> Result<Build, MakeError> {
    let key = reading.measure.as_str();
    let name = (of.name_of)(&reading.measure).unwrap_or_else(|| key.to_owned());
    let Estimate {
        value,
        standard_error,
        unit,
    } = reading.estimate;
    if !value.is_finite() || !standard_error.is_finite() || standard_error < 0.0 {
        return Err(MakeError::Number {
            measure: key.chars().take(64).collect(),
        });
    }
    let unit = codes::unit(unit);
    let half = Z_975 * standard_error;
    let mut m = number("CONTAINS", &Code::ours(key, &name), value, &unit);
    let mut parts = vec![
        number(
            "HAS PROPERTIES",
            &codes::STANDARD_ERROR,
            standard_error,
            &unit,
        ),
        number("HAS PROPERTIES", &codes::UPPER_RANGE, half, &unit),
        number("HAS PROPERTIES", &codes::LOWER_RANGE, half, &unit),
        text(
            "HAS CONCEPT MOD",
            &codes::ALGORITHM_NAME,
            &format!("Tiebeam {key}"),
        ),
        text(
            "HAS CONCEPT MOD",
            &codes::ALGORITHM_VERSION,
            &reading.method_version.to_string(),
        ),
    ];
    for note in &reading.notes {
        parts.push(text("HAS PROPERTIES", &codes::NOTE, &sentence(note)));
    }
    m.items(tags::CONTENT_SEQUENCE, parts);
    Ok(m)
}

fn item(relationship: &str, kind: &str, name: &Code) -> Build {
    let mut item = Build::default();
    item.words(tags::RELATIONSHIP_TYPE, VR::CS, relationship);
    item.words(tags::VALUE_TYPE, VR::CS, kind);
    item.code(tags::CONCEPT_NAME_CODE_SEQUENCE, name);
    item
}

fn container(relationship: &str, name: &Code) -> Build {
    let mut item = item(relationship, "CONTAINER", name);
    item.words(tags::CONTINUITY_OF_CONTENT, VR::CS, "SEPARATE");
    item
}

fn coded(relationship: &str, name: &Code, value: &Code) -> Build {
    let mut item = item(relationship, "CODE", name);
    item.code(tags::CONCEPT_CODE_SEQUENCE, value);
    item
}

fn text(relationship: &str, name: &Code, value: &str) -> Build {
    let mut item = item(relationship, "TEXT", name);
    item.text(tags::TEXT_VALUE, VR::UT, value);
    item
}

/// A number in a unit; what does not fit sixteen characters stands beside it in full (PS3.3 C.18.1).
fn number(relationship: &str, name: &Code, value: f64, unit: &Code) -> Build {
    let mut item = item(relationship, "NUM", name);
    let mut measured = Build::default();
    let text = decimal(value);
    measured.words(tags::NUMERIC_VALUE, VR::DS, &text);
    if text.parse::<f64>() != Ok(value) {
        measured.raw(
            tags::FLOATING_POINT_VALUE,
            VR::FD,
            value.to_le_bytes().to_vec(),
        );
    }
    measured.code(tags::MEASUREMENT_UNITS_CODE_SEQUENCE, unit);
    item.items(tags::MEASURED_VALUE_SEQUENCE, vec![measured]);
    item
}
