//! Whether a reading has changed, how fast, and how sure that is.
//!
//! This crate answers "is it more than error?": two readings of one foot ([`verdict`]), a row of visits
//! ([`line`], [`rate`]), the days around an event ([`before_after`]), scores ([`important`]) and stages
//! ([`stage_course`]). It knows no record, page, clock or chance: days and readings come in as plain data.
//!
//! What differs in how it was taken is never mixed silently ([`comparable`]); what a change must exceed comes
//! from the reader's own repeats, else from what is published, else it is not known ([`Yards`]).
//!
//! Surprise: where the yard is not known, or two readers have read, the answer is 'cannot tell', and that is
//! an answer. [`mixed`] is general: it knows nothing of feet.

pub mod mixed;

mod around;
mod course;
mod line;
mod rate;
mod score;
mod seen;
mod verdict;
mod words;
mod yard;

pub use around::{Around, Compared, Meaning, before_after};
pub use course::{Course, Step, StepKind, stage_course, tendon_ranks};
pub use line::{Point, Run, line};
pub use rate::{Rate, Residual, rate};
pub use score::{
    Agreement, Better, Importance, ImportantChange, Levels, Voice, important, important_changes,
};
pub use seen::{Reader, Scale, Seen, Taken, Why, WhyKind, Worn, comparable};
pub use verdict::{By, Kind, Towards, Verdict, verdict};
pub use yard::{FEWEST_FILMS, OwnRepeats, PublishedYard, Tier, Yard, Yards};
