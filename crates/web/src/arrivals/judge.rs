//! Into which visit does a film that came in go, or why does it wait?
//!
//! Asked when it comes in, and again whenever the page is shown: a patient or a visit may have been added since.

use crate::{AppState, error::PageError, words};
use exchange_dicom::{
    facts::HeaderFacts,
    who::{Whose, whose},
};
use record::{ArrivalRecord, PatientId, Visit};

#[derive(Debug)]
pub enum Judged {
    /// This visit and no other.
    Into(Visit),
    /// A sentence for a person, and whose number it carries.
    Waits {
        why: String,
        patient: Option<PatientId>,
    },
}

/// # Errors
/// Whatever the store fails with.
pub async fn judge(state: &AppState, arrival: &ArrivalRecord) -> Result<Judged, PageError> {
    let says = &arrival.says;
    let facts = HeaderFacts {
        patient_id: says.chart_number.clone(),
        issuer: says.issuer.clone(),
        name: says.name.clone(),
        birth_date: says.born_on,
        study_date: says.taken_on,
        ..HeaderFacts::default()
    };
    let found = match &says.chart_number {
        Some(number) => state.store.patients_numbered(number.clone()).await?,
        None => Vec::new(),
    };
    let wait = |why: &str, patient| {
        Ok(Judged::Waits {
            why: why.to_owned(),
            patient,
        })
    };
    let patient = match whose(&facts, &state.outside.numbers, |_| found) {
        Whose::Waiting(why) => return wait(&why, None),
        Whose::Contradicts { patient, what } => return wait(&what, Some(patient)),
        Whose::Matched(patient) => patient,
    };
    if arrival.other_bytes {
        return wait(
            "The same picture was here before with other bytes; compare the two and choose by hand.",
            Some(patient),
        );
    }
    let copies = state.store.films_with(arrival.content).await?;
    if !copies.is_empty() && copies.iter().all(|f| f.patient != patient) {
        return wait(
            "This very file is already kept for another patient; check whose film it is.",
            Some(patient),
        );
    }
    let Some(day) = says.taken_on else {
        return wait(
            "The film does not say on which day it was taken; choose the visit by hand.",
            Some(patient),
        );
    };
    let mut visits = state.store.visits_of(patient).await?;
    visits.retain(|v| v.on == day);
    match (visits.pop(), visits.is_empty()) {
        (Some(visit), true) => Ok(Judged::Into(visit)),
        (None, _) => wait(
            &format!(
                "The patient has no visit of {}, the day on which it was taken; choose one or open it here.",
                words::day(day)
            ),
            Some(patient),
        ),
        (Some(_), false) => wait(
            &format!(
                "The patient has more than one visit of {}; choose by hand.",
                words::day(day)
            ),
            Some(patient),
        ),
    }
}
