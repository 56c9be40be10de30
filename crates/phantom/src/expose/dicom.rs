//! How is a phantom film written as a DICOM object?
//!
//! Everything on it is invented or computed and says so: in the person's name, the description and the comments.
//! Dates and identifiers come from the caller, so that the same film gives the same bytes.

use super::{MadeOf, PhantomFilm};
use film::scale::{Calibration, Spacing};
use film::write::{CalibratedSpacing, DicomFilm, PersonOnFilm, WriteError, uid_from_number};
use terms::{Side, Stance, View};
use time::PrimitiveDateTime;

/// What goes beside the picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Paper {
    pub person: PersonOnFilm,
    pub taken_at: PrimitiveDateTime,
    /// Identifiers of study, series and film; numbers never used before, a UUID's for instance.
    pub study: u128,
    pub series: u128,
    pub instance: u128,
    pub accession: String,
    pub instance_number: u32,
    /// Is the spacing in the plane of the bones written, or must the reader work it out?
    pub calibrated: bool,
    /// Is the magnification written?
    pub magnification: bool,
}

impl Paper {
    /// An invented person; `number` keeps the identifiers of different films apart.
    pub fn invented(taken_at: PrimitiveDateTime, number: u64) -> Paper {
        let id = |kind: u128| (0x7469_6562_6561_6d00 + kind) << 64 | u128::from(number);
        Paper {
            person: PersonOnFilm {
                id: format!("PHANTOM-{number}"),
                name: "Phantom^Standing".into(),
                birth_date: None,
                sex: None,
            },
            taken_at,
            study: id(1),
            series: id(2),
            instance: id(3),
            accession: String::new(),
            instance_number: 1,
            calibrated: true,
            magnification: true,
        }
    }
}

impl PhantomFilm {
    /// The film as a DICOM object ready to be written; every field can still be changed.
    pub fn dicom_film(&self, paper: &Paper) -> DicomFilm {
        let spacing = |mm: f64| Spacing {
            across_mm: mm,
            down_mm: mm,
        };
        let exposure = &self.exposure;
        let full = f64::from(1u32 << exposure.tone.bits_stored);
        let (rows_towards, columns_towards) = orientation(exposure.view, self.side);
        DicomFilm {
            width: self.width as u32,
            height: self.height as u32,
            pixels: self.pixels.clone(),
            bits_stored: exposure.tone.bits_stored,
            view: exposure.view,
            side: self.side,
            stance: Stance::Standing,
            person: paper.person.clone(),
            study_uid: uid_from_number(paper.study),
            series_uid: uid_from_number(paper.series),
            instance_uid: uid_from_number(paper.instance),
            taken_at: paper.taken_at,
            accession: paper.accession.clone(),
            study_id: "1".into(),
            series_number: 1,
            instance_number: paper.instance_number,
            description: format!(
                "{}: {} {} standing",
                match self.made_of {
                    MadeOf::InventedFoot => "invented",
                    MadeOf::BonesFromFiles => "computed",
                },
                self.side.word(),
                exposure.view.words()
            ),
            comments: format!(
                "Computed film of {}. No person was examined; not for diagnosis.",
                self.made_of.words()
            ),
            manufacturer: "invented".into(),
            device: "phantom".into(),
            detector_spacing: spacing(self.detector_spacing_mm),
            calibrated: paper.calibrated.then(|| CalibratedSpacing {
                spacing: spacing(self.detector_spacing_mm / self.magnification),
                calibration: Calibration::Geometry,
                words: "detector spacing over magnification at mid foot".into(),
            }),
            magnification: paper.magnification.then_some(self.magnification),
            source_to_detector_mm: Some(exposure.source_to_detector_mm),
            source_to_patient_mm: Some(
                exposure.source_to_detector_mm - exposure.object_to_detector_mm,
            ),
            window: (full / 2.0, full),
            rows_towards: rows_towards.into(),
            columns_towards: columns_towards.into(),
        }
    }

    /// The bytes of the DICOM file.
    ///
    /// # Errors
    /// A text on the paper that does not fit the standard.
    pub fn dicom(&self, paper: &Paper) -> Result<Vec<u8>, WriteError> {
        film::write::dicom(&self.dicom_film(paper))
    }
}

/// Where rows and columns lead on the person (PS3.3 C.7.6.1.1.1).
fn orientation(view: View, side: Side) -> (&'static str, &'static str) {
    match (view, side) {
        (View::Lateral, Side::Right) => ("A", "F"),
        (View::Lateral, Side::Left) => ("P", "F"),
        (View::Dorsoplantar, _) => ("R", "P"),
        (View::HindfootAlignment, _) => ("R", "F"),
        (View::AnkleFront, _) => ("L", "F"),
    }
}
