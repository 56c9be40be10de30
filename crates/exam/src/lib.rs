//! The examination of a collapsing flatfoot: every question, every answer, and nothing assumed.
//!
//! * [`form`] lists the questions with their words, choices, units, ranges and how to test.
//! * [`Examination`] holds the answers of one foot, [`Story`] those of the person, [`RedFlags`] the alarm
//!   questions, [`Leg`] a leg measured for a brace and [`Given`] one thing given or done. Each is filled by `set(key, text)`, emptied by `clear(key)`, read by
//!   `get(key)`, and goes to and from JSON.
//! * [`Finding`] is what everybody else reads: *not looked at*, *seen* or *measured*.
//! * [`Measured`] is what a print, a photograph or a clip gave for a question, beside the answer.
//! * [`function`] scores the foot function index from its sums.
//! * [`score`] adds up what may be added up, with bounds where an item is missing.
//!
//! A question that nobody answered is absent from the sheet. It is never zero and never 'no'.

mod answer;
mod form;
pub mod function;
mod measured;
mod questions;
pub mod score;
mod sheet;

pub use answer::{Answer, ExamError, Finding};
pub use form::{Choice, Kind, Question, Sheet, Who, form, question, sections};
pub use measured::{Found, Measured};
pub use sheet::{Examination, Given, Leg, RedFlags, Story};
