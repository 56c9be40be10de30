//! What does the head of an object say about person, study and side?

use crate::tree::Set;
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use terms::{Side, View};
use time::{Date, Month};

/// What a header says, each thing only where it says so.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HeaderFacts {
    pub patient_id: Option<String>,
    /// Who gave the number.
    pub issuer: Option<String>,
    /// As written: family^given^middle^prefix^suffix, alphabetic form.
    pub name: Option<String>,
    pub birth_date: Option<Date>,
    pub accession: Option<String>,
    pub study_date: Option<Date>,
    pub side: Option<Side>,
    /// Told by crate `film` where the object is a film; see [`HeaderFacts::told_by`].
    pub view: Option<View>,
    pub modality: Option<String>,
    pub study_uid: Option<String>,
    pub series_uid: Option<String>,
    pub instance_uid: Option<String>,
    pub class_uid: Option<String>,
}

impl HeaderFacts {
    pub fn of(set: &Set<'_>) -> Self {
        let short = |tag: Tag| set.text(tag).map(|t| t.chars().take(128).collect());
        Self {
            patient_id: short(tags::PATIENT_ID),
            issuer: short(tags::ISSUER_OF_PATIENT_ID),
            name: set
                .text(tags::PATIENT_NAME)
                .and_then(|n| n.split('=').next().map(str::to_owned))
                .filter(|n| !n.trim_matches(['^', ' ']).is_empty()),
            birth_date: set.text(tags::PATIENT_BIRTH_DATE).and_then(|t| date(&t)),
            accession: short(tags::ACCESSION_NUMBER),
            study_date: set.text(tags::STUDY_DATE).and_then(|t| date(&t)),
            side: [tags::IMAGE_LATERALITY, tags::LATERALITY]
                .into_iter()
                .find_map(|tag| match set.text(tag).as_deref() {
                    Some("L") => Some(Side::Left),
                    Some("R") => Some(Side::Right),
                    _ => None,
                }),
            view: None,
            modality: short(tags::MODALITY),
            study_uid: set.uid(tags::STUDY_INSTANCE_UID),
            series_uid: set.uid(tags::SERIES_INSTANCE_UID),
            instance_uid: set.uid(tags::SOP_INSTANCE_UID),
            class_uid: set.uid(tags::SOP_CLASS_UID),
        }
    }

    /// Adds view and side as crate `film` understands the same header.
    pub fn told_by(mut self, header: &film::Header) -> Self {
        self.view = header.view;
        self.side = header.side.or(self.side);
        self
    }
}

/// A date as PS3.5 writes it (YYYYMMDD), or in the older form with dots.
pub fn date(text: &str) -> Option<Date> {
    let digits: String = text.trim().chars().filter(|c| *c != '.').collect();
    if digits.len() != 8 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let number = |range: std::ops::Range<usize>| digits.get(range)?.parse::<u16>().ok();
    let month = Month::try_from(u8::try_from(number(4..6)?).ok()?).ok()?;
    Date::from_calendar_date(
        i32::from(number(0..4)?),
        month,
        u8::try_from(number(6..8)?).ok()?,
    )
    .ok()
}

/// YYYYMMDD.
pub fn date_text(date: Date) -> String {
    format!(
        "{:04}{:02}{:02}",
        date.year(),
        u8::from(date.month()),
        date.day()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date as day;

    #[test]
    fn a_date_is_read_in_both_forms_and_rubbish_is_missing() {
        assert_eq!(date("20260517"), Some(day!(2026 - 05 - 17)));
        assert_eq!(date("2026.05.17"), Some(day!(2026 - 05 - 17)));
        for bad in ["", "20261301", "2026051", "2026-05-17", "abcdefgh"] {
            assert_eq!(date(bad), None, "{bad}");
        }
    }
}
