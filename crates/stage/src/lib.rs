//! Findings and readings to stages, with reasons, chances and what is missing.
//!
//! * [`stage`] takes one foot's examination, the person's story, the alarm questions and the readings
//!   of standing films, and gives a [`StageReport`].
//! * Every criterion is true, false or unknown ([`Truth`]); a scheme's stages are sentences over
//!   criteria ([`rule`]); what nobody looked at stays unknown all the way up.
//! * Where a criterion rests on a reading, [`chance`] carries the reading's error to the stage.
//! * [`missing`] tries both answers of every open criterion and says what each would change.
//! * [`red_flags`] outrank everything: while one is raised, no stage may carry a plan.
//!
//! This crate never sees a pixel and decides nothing for the clinician.

pub mod chance;
mod criteria;
mod evidence;
mod facts;
pub mod missing;
pub mod red_flags;
mod report;
pub mod rule;
mod scheme;
mod text;
mod thresholds;
mod truth;

pub use facts::{Facts, FilmReading};
pub use report::{
    Candidate, Chance, Cite, Criterion, Missing, Outcome, RaisedFlag, SchemeReport, StageReport,
};
pub use scheme::Scheme;
pub use scheme::consensus::{ClassFound, Consensus};
pub use thresholds::{Direction, Threshold};
pub use truth::Truth;

/// Stages one foot from plain facts.
pub fn stage_from(facts: &Facts<'_>) -> StageReport {
    report::build(facts)
}
