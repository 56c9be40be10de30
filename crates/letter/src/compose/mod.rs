//! From the facts of a visit to a document: which sentences stand on the paper, and in which order?
//!
//! Pure functions of what was recorded. What nobody looked at is listed as such and never told as found;
//! what is known from memory only keeps its letter `u`; alarm signs come first on every paper.
//!
//! * [`reading_sheet`]: one film on one page
//! * [`referrer_letter`]: to the referring doctor
//! * [`patient_letter`]: the same visit in plain words
//! * [`parents_letter`]: the same about a child
//! * [`therapist_letter`], [`surgeon_letter`], [`lab_letter`]: to those who treat and make
//! * [`school_note`], [`employer_note`]: what was agreed to be told, and nothing else
//! * [`home_sheet`]: exercises with their drawings
//! * [`order_sheet`]: a device to whoever makes it
//! * [`break_in_sheet`]: the device to whoever wears it

mod alarms;
mod asked;
mod breakin;
mod brief;
mod cites;
mod drawn;
mod elsewhere;
mod film;
mod findings;
mod home;
mod lab;
mod legs;
mod measured;
mod note;
mod order;
mod over_time;
mod patient;
mod plain;
mod plan;
mod programme;
#[cfg(test)]
#[allow(dead_code, reason = "the tests of whole letters use the rest")]
mod reading_age;
mod record;
mod referrer;
mod rows;
mod sheet;
mod staging;
mod steps;
mod story;
mod surgeon;
mod therapist;
mod words;

mod further;
pub use breakin::{BreakInFacts, BreakInKind, break_in_sheet};
pub use drawn::overlay_in;
pub use elsewhere::{texts_between_colleagues, texts_kept_elsewhere};
pub use further::{ChangeLine, ChildFacts, Compared, Further, Legs, Told, Verdict};
pub use home::home_sheet;
pub use lab::lab_letter;
pub use legs::leg_model;
pub use measured::MeasuredOn;
pub use note::{employer_note, school_note};
pub use order::{
    Banded, BodyLine, FileLine, Material, OrderFacts, Product, StrengthRow, StrengthTable,
    Supported, drawing_room_mm, order_sheet,
};
pub use patient::{parents_letter, patient_letter};
pub use referrer::referrer_letter;
pub use sheet::{
    reading_sheet, widths as sheet_picture_widths, with_picture_width as sheet_with_picture_width,
};
pub use surgeon::surgeon_letter;
pub use therapist::therapist_letter;

use crate::document::{Document, Pictures};
use crate::words::Words;
use care::Proposal;
use exam::{Examination, RedFlags, Story};
use knowledge::Knowledge;
use reading::{Comparison, ReadingSheet};
use stage::StageReport;
use terms::Side;

/// A document with the pictures it names.
#[derive(Debug, Clone, PartialEq)]
pub struct Composed {
    pub document: Document,
    pub pictures: Pictures,
}

/// Who the paper is about. What is not recorded is `None` and printed as 'not recorded'.
#[derive(Debug, Clone, Copy, Default)]
pub struct PatientLine<'a> {
    pub name: Option<&'a str>,
    pub born: Option<&'a str>,
    pub chart: Option<&'a str>,
}

/// A picture that goes on the paper: its name within the paper and its PNG or SVG file.
#[derive(Debug, Clone, Copy)]
pub struct Picture<'a> {
    /// Ends in `.png` or `.svg`.
    pub name: &'a str,
    pub bytes: &'a [u8],
}

/// One film with what was read from it.
#[derive(Debug, Clone)]
pub struct Film<'a> {
    /// Such as `Lateral foot, left`.
    pub title: &'a str,
    pub side: Option<Side>,
    /// The day of the film, in words.
    pub taken_on: Option<&'a str>,
    /// Where millimetres come from and how sure they are, or why there are none.
    pub scale: Option<&'a str>,
    pub sheet: &'a ReadingSheet,
    /// One for each reading of the sheet, in its order. A reading without one is printed without a place.
    pub comparisons: Vec<Comparison>,
    /// The film with its points and lines.
    pub picture: Option<Picture<'a>>,
}

impl<'a> Film<'a> {
    /// A film held against the yardsticks of a person; picture, day and scale are added by the caller.
    pub fn held_against(
        knowledge: &Knowledge,
        person: &reading::Person,
        title: &'a str,
        sheet: &'a ReadingSheet,
    ) -> Self {
        let comparisons = sheet
            .readings
            .iter()
            .map(|r| reading::against(knowledge, r, person))
            .collect();
        Self {
            title,
            side: sheet.side,
            taken_on: None,
            scale: None,
            sheet,
            comparisons,
            picture: None,
        }
    }
}

/// What a reading sheet is made from.
#[derive(Debug, Clone)]
pub struct SheetFacts<'a> {
    /// The language of the sheet.
    pub words: &'a Words,
    pub knowledge: &'a Knowledge,
    /// Name of the practice, then its lines.
    pub practice: &'a [String],
    pub patient: PatientLine<'a>,
    /// The day of the sheet, in words.
    pub date: &'a str,
    /// Who placed the points.
    pub reader: Option<&'a str>,
    /// What the yardsticks were chosen by.
    pub person: reading::Person,
    pub film: Film<'a>,
}

/// One foot of a visit.
#[derive(Debug, Clone, Copy)]
pub struct Foot<'a> {
    pub side: Side,
    pub exam: &'a Examination,
    pub stage: Option<&'a StageReport>,
    /// The stage that the clinician decided on, as it is written: `II`, `IIA`.
    pub decided: Option<&'a str>,
    pub proposal: Option<&'a Proposal>,
    /// Keys of the rungs that the clinician chose, in their order.
    pub chosen: &'a [String],
    /// What each measurement of the examination was made on, by the id that it carries; one that is not named
    /// here is told as measured, and not on what.
    pub measured_on: &'a [(String, MeasuredOn)],
}

/// What a letter is made from.
#[derive(Debug, Clone)]
pub struct LetterFacts<'a> {
    /// The language of the letter.
    pub words: &'a Words,
    pub knowledge: &'a Knowledge,
    /// Name of the practice, then its lines.
    pub practice: &'a [String],
    /// Who is written to, line by line.
    pub recipient: &'a [String],
    pub patient: PatientLine<'a>,
    /// The day of the visit, in words.
    pub date: &'a str,
    pub clinician: &'a str,
    /// `None`: a draft. Else when it was signed, in words.
    pub signed: Option<&'a str>,
    pub story: &'a Story,
    pub flags: &'a RedFlags,
    pub feet: Vec<Foot<'a>>,
    pub films: Vec<Film<'a>>,
    /// The clinician's own words on what was decided; empty where none were written.
    pub decision: &'a str,
    /// The next appointment, in words.
    pub next_visit: Option<&'a str>,
    /// What some kinds of letter tell besides; empty where nothing of it was recorded.
    pub further: Further<'a>,
}
