//! What is on record for a patient as `care` takes it, and what follows from it.

use crate::context::Context;
use crate::error::PageError;
use crate::visit::gather::{Gathered, gather};
use care::log::{self, Due, Entry, Kind};
use exam::Given;
use record::{CareRecord, Patient};
use terms::Side;
use time::Date;

pub const GIVEN_FORMAT: &str = "tiebeam-given";
pub const GIVEN_VERSION: u32 = 1;

/// One entry with the record it was read from.
pub struct Kept {
    pub record: CareRecord,
    pub entry: Entry,
}

/// Everything given to a patient, by the day it began, without what was taken away.
pub struct CareLog {
    pub kept: Vec<Kept>,
    /// Written down in error, to be put back where that was the error.
    pub gone: Vec<Kept>,
    /// Entries that another program wrote in another way: on record, in no list.
    pub unreadable: usize,
}

impl CareLog {
    pub fn entries(&self) -> Vec<Entry> {
        self.kept.iter().map(|k| k.entry.clone()).collect()
    }

    pub fn find(&self, id: &str) -> Option<&Kept> {
        self.kept.iter().find(|k| k.entry.id == id)
    }

    /// Looks that are still to come, and those that are done, by day.
    pub fn due(&self, today: Date) -> Vec<Due> {
        log::due(&self.entries(), today)
    }

    /// Worn on a foot on a day: devices, boots and wraps that have not ended.
    pub fn worn(&self, side: Side, day: Date) -> Vec<&Kept> {
        self.kept
            .iter()
            .filter(|k| k.entry.side == Some(side) && k.record.runs_on(day))
            .filter(|k| matches!(k.entry.kind, Kind::Boot | Kind::Wrap | Kind::Device))
            .collect()
    }
}

/// `None` where another program wrote it in another way.
pub fn entry_of(record: &CareRecord) -> Option<Entry> {
    Some(Entry {
        id: record.id.to_string(),
        about: record.about.map(|a| a.to_string()),
        kind: Kind::from_key(&record.kind)?,
        side: record.side,
        began: record.began_on,
        ended: record.ended_on,
        answers: record
            .answers
            .read::<Given>(GIVEN_FORMAT, GIVEN_VERSION)
            .ok()?,
    })
}

/// # Errors
/// No such patient.
pub async fn of_patient(context: &Context, patient: &Patient) -> Result<CareLog, PageError> {
    let mut log = CareLog {
        kept: Vec::new(),
        gone: Vec::new(),
        unreadable: 0,
    };
    for record in context.state.store.care_of(patient.id).await? {
        match entry_of(&record) {
            None => log.unreadable += 1,
            Some(entry) if record.taken_away => log.gone.push(Kept { record, entry }),
            Some(entry) => log.kept.push(Kept { record, entry }),
        }
    }
    Ok(log)
}

/// The last visit up to a day, on whose examination warnings rest; `None` before the first.
///
/// # Errors
/// No such patient, or an answer that cannot be read back.
pub async fn last_visit(
    context: &Context,
    patient: &Patient,
    on: Date,
) -> Result<Option<Gathered>, PageError> {
    let visits = context.state.store.visits_of(patient.id).await?;
    match visits.iter().find(|v| v.on <= on) {
        Some(visit) => Ok(Some(gather(context, visit.id).await?)),
        None => Ok(None),
    }
}
