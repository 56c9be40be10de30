//! Points on a view to readings with error; yardsticks; agreement between readers.
//!
//! The way through: a [`PointSet`] and [`FilmFacts`] go into a [`Reader`] (or [`read_all`]), a
//! [`ReadingSheet`] comes out; [`against`] holds a [`Reading`] against the yardsticks of a person.
//!
//! * [`points`]: the points file and the facts of the film;
//! * [`reader`]: all measures of a view, compiled once, read many times;
//! * [`sheet`]: what comes out: readings, refusals, warnings;
//! * [`against`](mod@against): where a reading lies, and how sure that is;
//! * [`placing`]: the reader's own placing error, learnt from repeated placements;
//! * [`agreement`]: do two readings of one film agree;
//! * [`figures`]: coverage, rotation curve and invented point sets for the checks.
//!
//! # Architecture invariant
//! Pixels of a film never come here, only points. Nothing here reads the clock or makes randomness:
//! seeds are arguments. A reading never leaves without unit, error, method version and points.

pub mod against;
pub mod agreement;
pub mod figures;
pub mod placing;
pub mod points;
pub mod reader;
pub mod sheet;

mod drawing;
mod error;
mod frame;
mod gather;
mod plan;
mod side;

pub use against::{Comparison, Place, Summary, YardstickRow, against, held_against};
pub use knowledge::Person;
pub use points::{FilmFacts, PlacedPoint, PointSet, PointsFileError};
pub use reader::{Reader, read_all};
pub use sheet::{
    Arc, Drawing, ErrorParts, FloorFrom, FrameFacts, Reading, ReadingSheet, Refusal, Refused,
    Warning, WarningKind,
};
