//! Letters and sheets: a plain document of blocks, set by Typst as a tagged PDF.
//!
//! Every sentence comes from recorded facts; nothing unrecorded is asserted.
//!
//! * [`compose`]: facts of a visit to a document
//! * [`document`]: the plain, storable form of a letter
//! * [`words`]: the languages that papers speak, one file for each
//! * [`render`]: that form to PDF/UA-1 and PDF/A-2a bytes, the same bytes every time
//! * [`reading_sheet`], [`referrer_letter`], [`patient_letter`], [`order_sheet`], [`break_in_sheet`]:
//!   both steps in one

pub mod compose;
pub mod document;
pub mod render;
pub mod words;

mod day;
mod glyphs;
mod paper;

pub use compose::{
    BreakInFacts, BreakInKind, Composed, Film, Foot, Further, LetterFacts, OrderFacts, PatientLine,
    Picture, SheetFacts,
};
pub use document::{Block, Document, Notice, Pictures, ReadingRow};
pub use paper::{break_in_sheet, order_sheet, patient_letter, reading_sheet, referrer_letter};
pub use render::{LetterError, Pdf, render};
pub use words::{Language, Words};
