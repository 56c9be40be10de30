//! A film as a DICOM object: Digital X-Ray Image Storage – For Presentation.
//!
//! DICOM PS3.3 A.26 (DX IOD) and the modules it names. Ids, dates and times come from the caller: the
//! same input gives the same bytes.

mod codes;
mod values;

use crate::scale::{Calibration, Spacing};
use codes::Code;
use dicom_core::value::{DataSetSequence, PrimitiveValue};
use dicom_core::{DataElement, Tag, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::{FileMetaTableBuilder, InMemDicomObject};
use terms::{Sex, Side, Stance, View};
use time::{Date, PrimitiveDateTime};
use values::{checked_text, checked_uid, date_text, decimal, time_text};

/// A film that could not be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    #[error(
        "found {found} pixels for a film of {width} × {height}; expected one value for each pixel and at most 65535 of them along a side"
    )]
    Size {
        found: usize,
        width: u32,
        height: u32,
    },
    #[error("found {found} bits stored; expected 8 to 16")]
    Bits { found: u16 },
    #[error("found the value {found} in a film of {bits} bits; expected at most {most}")]
    Value { found: u16, bits: u16, most: u16 },
    #[error(
        "{attribute} does not fit: found {found} characters; expected at most {most}, none of them a backslash or a line end"
    )]
    Text {
        attribute: &'static str,
        found: usize,
        most: usize,
    },
    #[error(
        "{attribute} is no identifier; expected 1 to 64 digits and dots, as in 2.25 followed by a number"
    )]
    Uid { attribute: &'static str },
    #[error("{attribute} is {found}; expected a positive number")]
    Number {
        attribute: &'static str,
        found: String,
    },
    #[error("the DICOM object could not be written ({found})")]
    Encoder { found: String },
}

/// Who is on the film. Everything may be absent.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PersonOnFilm {
    pub id: String,
    /// Family^Given.
    pub name: String,
    pub birth_date: Option<Date>,
    pub sex: Option<Sex>,
}

/// Spacing in the plane of the bones.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibratedSpacing {
    pub spacing: Spacing,
    pub calibration: Calibration,
    /// How, in a few words.
    pub words: String,
}

/// Everything that goes into the object. Rows and columns as stored: no turn is applied.
#[derive(Debug, Clone, PartialEq)]
pub struct DicomFilm {
    pub width: u32,
    pub height: u32,
    /// Bright bone (MONOCHROME2).
    pub pixels: Vec<u16>,
    /// 8 to 16.
    pub bits_stored: u16,
    pub view: View,
    pub side: Side,
    pub stance: Stance,
    pub person: PersonOnFilm,
    /// See [`uid_from_number`].
    pub study_uid: String,
    pub series_uid: String,
    pub instance_uid: String,
    pub taken_at: PrimitiveDateTime,
    pub accession: String,
    pub study_id: String,
    pub series_number: u32,
    pub instance_number: u32,
    /// For lists and for readers of the film: "left foot lateral standing".
    pub description: String,
    /// Free words, for instance that a film is invented.
    pub comments: String,
    pub manufacturer: String,
    pub device: String,
    /// At the detector.
    pub detector_spacing: Spacing,
    pub calibrated: Option<CalibratedSpacing>,
    pub magnification: Option<f64>,
    pub source_to_detector_mm: Option<f64>,
    pub source_to_patient_mm: Option<f64>,
    /// Centre and width, in stored values.
    pub window: (f64, f64),
    /// Where rows and columns lead on the person, in DICOM's letters (A, P, R, L, H, F).
    pub rows_towards: String,
    pub columns_towards: String,
}

/// A DICOM identifier from a number, usually a UUID's (PS3.5 annex B.2).
pub fn uid_from_number(number: u128) -> String {
    format!("2.25.{number}")
}

/// The film as the bytes of a DICOM file (Explicit VR Little Endian).
///
/// # Errors
/// When size, depth, a text or a number does not fit the standard.
pub fn dicom(film: &DicomFilm) -> Result<Vec<u8>, WriteError> {
    check(film)?;
    let mut object = Object(InMemDicomObject::new_empty());
    person_and_study(&mut object, film)?;
    series_and_equipment(&mut object, film)?;
    picture(&mut object, film)?;
    anatomy_and_position(&mut object, film)?;
    geometry(&mut object, film)?;
    let meta = FileMetaTableBuilder::new()
        .transfer_syntax(uids::EXPLICIT_VR_LITTLE_ENDIAN)
        .media_storage_sop_class_uid(uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION)
        .media_storage_sop_instance_uid(&film.instance_uid);
    let failed = |error: &dyn std::error::Error| WriteError::Encoder {
        found: error.to_string(),
    };
    let file = object.0.with_meta(meta).map_err(|e| failed(&e))?;
    let mut out = Vec::with_capacity(film.pixels.len() * 2 + 8192);
    file.write_all(&mut out).map_err(|e| failed(&e))?;
    Ok(out)
}

fn check(film: &DicomFilm) -> Result<(), WriteError> {
    let DicomFilm {
        width,
        height,
        bits_stored,
        ..
    } = *film;
    let found = film.pixels.len();
    let side = 1..=65_535;
    let good = side.contains(&width)
        && side.contains(&height)
        && u64::from(width) * u64::from(height) == found as u64;
    if !good {
        return Err(WriteError::Size {
            found,
            width,
            height,
        });
    }
    if !(8..=16).contains(&bits_stored) {
        return Err(WriteError::Bits { found: bits_stored });
    }
    let most = u16::MAX >> (16 - bits_stored);
    match film.pixels.iter().find(|p| **p > most) {
        Some(found) => Err(WriteError::Value {
            found: *found,
            bits: bits_stored,
            most,
        }),
        None => Ok(()),
    }
}

/// A data set under construction.
struct Object(InMemDicomObject);

impl Object {
    fn put(&mut self, tag: Tag, vr: VR, value: impl Into<PrimitiveValue>) {
        self.0.put(DataElement::new(tag, vr, value.into()));
    }

    fn text(
        &mut self,
        tag: Tag,
        vr: VR,
        name: &'static str,
        value: &str,
    ) -> Result<(), WriteError> {
        self.put(tag, vr, checked_text(name, vr, value)?);
        Ok(())
    }

    fn number(&mut self, tag: Tag, name: &'static str, value: f64) -> Result<(), WriteError> {
        if !(value.is_finite() && value > 0.0) {
            return Err(WriteError::Number {
                attribute: name,
                found: value.to_string(),
            });
        }
        self.put(tag, VR::DS, decimal(value));
        Ok(())
    }

    fn sequence(&mut self, tag: Tag, items: Vec<InMemDicomObject>) {
        self.0
            .put(DataElement::new(tag, VR::SQ, DataSetSequence::from(items)));
    }

    fn code(&mut self, tag: Tag, code: &Code) {
        self.sequence(tag, vec![code.item()]);
    }
}

fn person_and_study(object: &mut Object, film: &DicomFilm) -> Result<(), WriteError> {
    let person = &film.person;
    object.put(tags::SPECIFIC_CHARACTER_SET, VR::CS, "ISO_IR 192");
    object.text(tags::PATIENT_NAME, VR::PN, "the name", &person.name)?;
    object.text(tags::PATIENT_ID, VR::LO, "the person's number", &person.id)?;
    object.put(
        tags::PATIENT_BIRTH_DATE,
        VR::DA,
        person.birth_date.map(date_text).unwrap_or_default(),
    );
    let sex = match person.sex {
        Some(Sex::Female) => "F",
        Some(Sex::Male) => "M",
        None => "",
    };
    object.put(tags::PATIENT_SEX, VR::CS, sex);
    object.put(
        tags::STUDY_INSTANCE_UID,
        VR::UI,
        checked_uid("the study", &film.study_uid)?,
    );
    object.text(tags::STUDY_ID, VR::SH, "the study's number", &film.study_id)?;
    object.text(
        tags::ACCESSION_NUMBER,
        VR::SH,
        "the accession number",
        &film.accession,
    )?;
    object.put(tags::REFERRING_PHYSICIAN_NAME, VR::PN, "");
    for tag in [
        tags::STUDY_DATE,
        tags::SERIES_DATE,
        tags::ACQUISITION_DATE,
        tags::CONTENT_DATE,
    ] {
        object.put(tag, VR::DA, date_text(film.taken_at.date()));
    }
    for tag in [
        tags::STUDY_TIME,
        tags::SERIES_TIME,
        tags::ACQUISITION_TIME,
        tags::CONTENT_TIME,
    ] {
        object.put(tag, VR::TM, time_text(film.taken_at.time()));
    }
    Ok(())
}

fn series_and_equipment(object: &mut Object, film: &DicomFilm) -> Result<(), WriteError> {
    object.put(tags::MODALITY, VR::CS, "DX");
    object.put(tags::PRESENTATION_INTENT_TYPE, VR::CS, "FOR PRESENTATION");
    object.put(
        tags::SERIES_INSTANCE_UID,
        VR::UI,
        checked_uid("the series", &film.series_uid)?,
    );
    object.put(tags::SERIES_NUMBER, VR::IS, film.series_number.to_string());
    object.text(
        tags::SERIES_DESCRIPTION,
        VR::LO,
        "the description",
        &film.description,
    )?;
    object.text(tags::MANUFACTURER, VR::LO, "the maker", &film.manufacturer)?;
    object.text(
        tags::MANUFACTURER_MODEL_NAME,
        VR::LO,
        "the device",
        &film.device,
    )?;
    object.put(
        tags::SOP_CLASS_UID,
        VR::UI,
        uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION,
    );
    object.put(
        tags::SOP_INSTANCE_UID,
        VR::UI,
        checked_uid("the film", &film.instance_uid)?,
    );
    object.put(
        tags::INSTANCE_NUMBER,
        VR::IS,
        film.instance_number.to_string(),
    );
    if !film.comments.is_empty() {
        object.text(tags::IMAGE_COMMENTS, VR::LT, "the comments", &film.comments)?;
    }
    Ok(())
}

fn picture(object: &mut Object, film: &DicomFilm) -> Result<(), WriteError> {
    object.put(tags::IMAGE_TYPE, VR::CS, "ORIGINAL\\PRIMARY\\");
    object.put(tags::SAMPLES_PER_PIXEL, VR::US, 1_u16);
    object.put(tags::PHOTOMETRIC_INTERPRETATION, VR::CS, "MONOCHROME2");
    object.put(tags::ROWS, VR::US, film.height as u16);
    object.put(tags::COLUMNS, VR::US, film.width as u16);
    object.put(tags::BITS_ALLOCATED, VR::US, 16_u16);
    object.put(tags::BITS_STORED, VR::US, film.bits_stored);
    object.put(tags::HIGH_BIT, VR::US, film.bits_stored - 1);
    object.put(tags::PIXEL_REPRESENTATION, VR::US, 0_u16);
    object.put(tags::PIXEL_INTENSITY_RELATIONSHIP, VR::CS, "LOG");
    // Brighter where less radiation came through.
    object.put(tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN, VR::SS, -1_i16);
    object.put(tags::RESCALE_INTERCEPT, VR::DS, "0");
    object.put(tags::RESCALE_SLOPE, VR::DS, "1");
    object.put(tags::RESCALE_TYPE, VR::LO, "US");
    object.put(tags::PRESENTATION_LUT_SHAPE, VR::CS, "IDENTITY");
    object.put(tags::LOSSY_IMAGE_COMPRESSION, VR::CS, "00");
    object.put(tags::BURNED_IN_ANNOTATION, VR::CS, "NO");
    let (centre, width) = film.window;
    if !(centre.is_finite() && width.is_finite() && width >= 1.0) {
        return Err(WriteError::Number {
            attribute: "the window's width",
            found: width.to_string(),
        });
    }
    object.put(tags::WINDOW_CENTER, VR::DS, decimal(centre));
    object.put(tags::WINDOW_WIDTH, VR::DS, decimal(width));
    object.put(tags::VOILUT_FUNCTION, VR::CS, "LINEAR");
    object.put(
        tags::PIXEL_DATA,
        VR::OW,
        PrimitiveValue::U16(film.pixels.as_slice().into()),
    );
    Ok(())
}

fn anatomy_and_position(object: &mut Object, film: &DicomFilm) -> Result<(), WriteError> {
    let letter = match film.side {
        Side::Left => "L",
        Side::Right => "R",
    };
    object.put(tags::IMAGE_LATERALITY, VR::CS, letter);
    object.put(
        tags::BODY_PART_EXAMINED,
        VR::CS,
        codes::body_part(film.view),
    );
    object.code(tags::ANATOMIC_REGION_SEQUENCE, codes::region(film.view));
    object.put(
        tags::VIEW_POSITION,
        VR::CS,
        codes::view_position(film.view, film.side),
    );
    let mut view = Object(codes::view(film.view).item());
    match film.stance {
        Stance::Standing => {
            view.code(tags::VIEW_MODIFIER_CODE_SEQUENCE, &codes::WEIGHT_BEARING);
            let mut orientation = Object(codes::ERECT.item());
            orientation.code(
                tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE,
                &codes::STANDING,
            );
            object.sequence(tags::PATIENT_ORIENTATION_CODE_SEQUENCE, vec![orientation.0]);
        }
        Stance::NotStanding => {
            view.sequence(tags::VIEW_MODIFIER_CODE_SEQUENCE, Vec::new());
            object.code(tags::PATIENT_ORIENTATION_CODE_SEQUENCE, &codes::RECUMBENT);
        }
        Stance::Unknown => view.sequence(tags::VIEW_MODIFIER_CODE_SEQUENCE, Vec::new()),
    }
    object.sequence(tags::VIEW_CODE_SEQUENCE, vec![view.0]);
    object.sequence(tags::ACQUISITION_CONTEXT_SEQUENCE, Vec::new());
    let towards = [&film.rows_towards, &film.columns_towards];
    for letters in towards {
        checked_text("the orientation", VR::CS, letters)?;
    }
    object.put(
        tags::PATIENT_ORIENTATION,
        VR::CS,
        format!("{}\\{}", towards[0], towards[1]),
    );
    Ok(())
}

fn geometry(object: &mut Object, film: &DicomFilm) -> Result<(), WriteError> {
    object.put(tags::DETECTOR_TYPE, VR::CS, "");
    object.put(tags::DETECTOR_CONFIGURATION, VR::CS, "AREA");
    object.put(tags::POSITIONER_TYPE, VR::CS, "NONE");
    object.put(
        tags::IMAGER_PIXEL_SPACING,
        VR::DS,
        spacing_text(film.detector_spacing),
    );
    if let Some(calibrated) = &film.calibrated {
        object.put(
            tags::PIXEL_SPACING,
            VR::DS,
            spacing_text(calibrated.spacing),
        );
        let kind = match calibrated.calibration {
            Calibration::Geometry => "GEOMETRY",
            Calibration::Fiducial => "FIDUCIAL",
        };
        object.put(tags::PIXEL_SPACING_CALIBRATION_TYPE, VR::CS, kind);
        let words = &calibrated.words;
        object.text(
            tags::PIXEL_SPACING_CALIBRATION_DESCRIPTION,
            VR::LO,
            "the calibration",
            words,
        )?;
    }
    let numbers = [
        (
            tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
            "the magnification",
            film.magnification,
        ),
        (
            tags::DISTANCE_SOURCE_TO_DETECTOR,
            "the source's distance",
            film.source_to_detector_mm,
        ),
        (
            tags::DISTANCE_SOURCE_TO_PATIENT,
            "the person's distance",
            film.source_to_patient_mm,
        ),
    ];
    for (tag, name, value) in numbers {
        if let Some(value) = value {
            object.number(tag, name, value)?;
        }
    }
    Ok(())
}

/// Down first, then across (PS3.3 10.7.1.3).
fn spacing_text(spacing: Spacing) -> String {
    format!(
        "{}\\{}",
        decimal(spacing.down_mm),
        decimal(spacing.across_mm)
    )
}
