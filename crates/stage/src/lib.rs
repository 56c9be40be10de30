//! Findings and readings to stages, with reasons, chances and what is missing.
//!
//! * [`stage`] takes one foot's examination, the person's story, the alarm questions and the readings
//!   of standing films, and gives a [`StageReport`].
//! * Every criterion is true, false or unknown ([`Truth`]); what nobody looked at stays unknown all the way
//!   up. Which answers and cuts count, and how criteria add up to a stage ([`rule`]), is read from the
//!   knowledge folder; `signs` holds what it has no words for.
//! * Where a criterion rests on a reading, [`chance`] carries the reading's error to the stage.
//! * [`missing`] tries both answers of every open criterion and says what each would change.
//! * [`red_flags`] outrank everything: while one is raised, no stage may carry a plan.
//!
//! This crate never sees a pixel and decides nothing for the clinician.

mod alarm_criteria;
mod book;
pub mod chance;
mod evidence;
mod facts;
mod items;
pub mod missing;
mod place;
pub mod red_flags;
mod report;
pub mod rule;
mod scheme;
mod signs;
mod text;
mod thresholds;
mod truth;
mod witness;

pub use book::{never_speaking, read_by_nothing};
pub use facts::{Facts, FilmReading};
pub use report::{
    Candidate, Chance, Cite, Criterion, Missing, Outcome, RaisedFlag, SchemeReport, StageReport,
};
pub use scheme::Scheme;
pub use scheme::consensus::{ClassFound, Consensus};
pub use thresholds::{Direction, Threshold};
pub use truth::Truth;

use exam::{Examination, RedFlags, Story};
use knowledge::Knowledge;
use reading::ReadingSheet;
use terms::Side;

/// Everything that staging one foot takes. Nothing in it may be made up: what was not looked at is not there.
#[derive(Debug, Clone, Copy)]
pub struct StageInput<'a> {
    pub knowledge: &'a Knowledge,
    pub person: &'a Story,
    pub side: Side,
    pub exam: &'a Examination,
    /// Sheets of this visit. Those of the other foot are left out; so are those that do not say which foot
    /// they show, and a note says so.
    pub sheets: &'a [ReadingSheet],
    pub flags: &'a RedFlags,
}

/// Stages one foot.
pub fn stage(input: &StageInput<'_>) -> StageReport {
    let mut facts = Facts::new(input.side, input.person, input.exam, input.flags)
        .with_knowledge(input.knowledge);
    for reading in input
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.readings)
        .filter(|r| r.side == Some(input.side))
    {
        let taken = FilmReading {
            estimate: reading.estimate,
            stance: reading.stance,
        };
        facts.add_reading(reading.measure.as_str(), taken);
    }
    let mut report = stage_from(&facts);
    if input.sheets.iter().any(|sheet| sheet.side.is_none()) {
        report.notes.push(
            "A film does not say which foot it shows and is left out: say left or right on it."
                .to_owned(),
        );
    }
    report
}

/// Stages one foot from plain facts.
pub fn stage_from(facts: &Facts<'_>) -> StageReport {
    report::build(facts)
}
