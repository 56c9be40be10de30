//! What every object of ours says about person, study and where it was made.

use super::MakeError;
use super::build::{Build, person_name};
use crate::facts::HeaderFacts;
use crate::tree::{self, Limits, Set};
use crate::uids::{Uids, is_uid};
use dicom_core::VR;
use dicom_dictionary_std::tags;
use record::{Patient, Practice};
use terms::{Sex, Side};
use time::{Date, OffsetDateTime, Time};

/// Who is in the picture.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Subject {
    pub number: String,
    /// Who gave the number.
    pub issuer: Option<String>,
    pub family_name: String,
    pub given_name: String,
    pub born_on: Option<Date>,
    pub sex: Option<Sex>,
}

impl From<&Patient> for Subject {
    fn from(patient: &Patient) -> Self {
        Self {
            number: patient.chart_number.clone(),
            issuer: None,
            family_name: patient.family_name.clone(),
            given_name: patient.given_name.clone(),
            born_on: patient.born_on,
            sex: patient.sex,
        }
    }
}

/// The study that an object joins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Study {
    pub uid: String,
    pub date: Option<Date>,
    pub time: Option<Time>,
    pub accession: String,
    pub id: String,
    pub referrer: String,
}

impl Study {
    /// A study of our own, for a film that had none.
    pub fn new(uids: &mut dyn Uids, date: Option<Date>) -> Self {
        Self {
            uid: uids.uid(),
            date,
            time: None,
            accession: String::new(),
            id: String::new(),
            referrer: String::new(),
        }
    }
}

/// A film as an object that others can be tied to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceFilm {
    pub study: Study,
    pub series_uid: String,
    pub class_uid: String,
    pub instance_uid: String,
    pub width: u16,
    pub height: u16,
    /// Dark bone: shown inverted.
    pub inverted: bool,
    /// Slope, intercept and kind, as the film writes them.
    pub rescale: Option<(String, String, String)>,
    /// Row and column spacing, as the film writes them.
    pub spacing: Option<String>,
}

impl SourceFilm {
    /// What a DICOM film says about itself; `None` where it names no study, series or object that could be tied to.
    ///
    /// # Errors
    /// When the bytes are no whole DICOM file.
    pub fn of_file(file: &[u8]) -> Result<Option<Self>, tree::TreeError> {
        let mut inflated = Vec::new();
        let object = tree::file(file, &mut inflated, &Limits::default())?;
        Ok(Self::of(&object.set))
    }

    fn of(set: &Set<'_>) -> Option<Self> {
        let facts = HeaderFacts::of(set);
        let text = |tag| set.text(tag).unwrap_or_default();
        let rescale = set
            .text(tags::RESCALE_SLOPE)
            .zip(set.text(tags::RESCALE_INTERCEPT))
            .map(|(slope, intercept)| {
                let kind = set.text(tags::RESCALE_TYPE).unwrap_or_else(|| "US".into());
                (slope, intercept, kind)
            });
        Some(Self {
            study: Study {
                uid: facts.study_uid?,
                date: facts.study_date,
                time: set.text(tags::STUDY_TIME).and_then(|t| time_of(&t)),
                accession: facts.accession.unwrap_or_default(),
                id: text(tags::STUDY_ID),
                referrer: text(tags::REFERRING_PHYSICIAN_NAME),
            },
            series_uid: facts.series_uid?,
            class_uid: facts.class_uid?,
            instance_uid: facts.instance_uid?,
            width: set.u16(tags::COLUMNS)?,
            height: set.u16(tags::ROWS)?,
            inverted: text(tags::PHOTOMETRIC_INTERPRETATION) == "MONOCHROME1",
            rescale,
            spacing: set
                .whole_text(tags::PIXEL_SPACING)
                .or_else(|| set.whole_text(tags::IMAGER_PIXEL_SPACING))
                .filter(|s| s.split('\\').count() == 2),
        })
    }
}

fn time_of(text: &str) -> Option<Time> {
    let two = |at: usize| text.get(at..at + 2)?.parse::<u8>().ok();
    Time::from_hms(two(0)?, two(2).unwrap_or(0), two(4).unwrap_or(0)).ok()
}

/// What every object says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    pub subject: Subject,
    pub study: Study,
    /// When it is made, in the practice's own time.
    pub made_at: OffsetDateTime,
    pub practice: Practice,
    /// Version of the program.
    pub version: String,
    pub series_number: u32,
    pub instance_number: u32,
}

impl About {
    pub(super) fn start(
        &self,
        modality: &str,
        series_uid: &str,
        description: &str,
        side: Option<Side>,
    ) -> Result<Build, MakeError> {
        for (what, uid) in [
            ("the study", &self.study.uid),
            ("the series", &series_uid.to_owned()),
        ] {
            if !is_uid(uid) {
                return Err(MakeError::Uid { what });
            }
        }
        let mut b = Build::default();
        let s = &self.subject;
        let name = person_name(&s.family_name, &s.given_name);
        b.text(tags::PATIENT_NAME, VR::PN, &name);
        b.text(tags::PATIENT_ID, VR::LO, &s.number);
        if let Some(issuer) = &s.issuer {
            b.text(tags::ISSUER_OF_PATIENT_ID, VR::LO, issuer);
        }
        b.date(tags::PATIENT_BIRTH_DATE, s.born_on);
        let sex = match s.sex {
            Some(Sex::Female) => "F",
            Some(Sex::Male) => "M",
            None => "",
        };
        b.words(tags::PATIENT_SEX, VR::CS, sex);
        b.uid(tags::STUDY_INSTANCE_UID, &self.study.uid);
        b.date(tags::STUDY_DATE, self.study.date);
        b.time(tags::STUDY_TIME, self.study.time);
        b.text(tags::ACCESSION_NUMBER, VR::SH, &self.study.accession);
        b.text(tags::STUDY_ID, VR::SH, &self.study.id);
        b.text(tags::REFERRING_PHYSICIAN_NAME, VR::PN, &self.study.referrer);
        b.words(tags::MODALITY, VR::CS, modality);
        b.uid(tags::SERIES_INSTANCE_UID, series_uid);
        b.words(tags::SERIES_NUMBER, VR::IS, &self.series_number.to_string());
        b.text(tags::SERIES_DESCRIPTION, VR::LO, description);
        b.date(tags::SERIES_DATE, Some(self.made_at.date()));
        b.time(tags::SERIES_TIME, Some(self.made_at.time()));
        if let Some(side) = side {
            b.words(tags::LATERALITY, VR::CS, letter(side));
        }
        b.words(
            tags::INSTANCE_NUMBER,
            VR::IS,
            &self.instance_number.to_string(),
        );
        b.date(tags::INSTANCE_CREATION_DATE, Some(self.made_at.date()));
        b.time(tags::INSTANCE_CREATION_TIME, Some(self.made_at.time()));
        let (hours, minutes, _) = self.made_at.offset().as_hms();
        let sign = if self.made_at.offset().is_negative() {
            '-'
        } else {
            '+'
        };
        b.words(
            tags::TIMEZONE_OFFSET_FROM_UTC,
            VR::SH,
            &format!("{sign}{:02}{:02}", hours.abs(), minutes.abs()),
        );
        b.words(tags::MANUFACTURER, VR::LO, "Tiebeam");
        b.words(tags::MANUFACTURER_MODEL_NAME, VR::LO, "Tiebeam");
        b.text(tags::SOFTWARE_VERSIONS, VR::LO, &self.version);
        b.text(tags::INSTITUTION_NAME, VR::LO, &self.practice.name);
        Ok(b)
    }
}

pub(super) fn letter(side: Side) -> &'static str {
    match side {
        Side::Left => "L",
        Side::Right => "R",
    }
}
