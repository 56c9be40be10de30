//! Facts to paper in one step.

use crate::compose::{self, BreakInFacts, LetterFacts, OrderFacts, SheetFacts};
use crate::render::{LetterError, Pdf, render};

/// The sheet of one film, on one page wherever its words allow that: the film
/// gives way as far as its values can be read, never a word.
///
/// # Errors
/// What [`render`] refuses.
pub fn reading_sheet(facts: &SheetFacts<'_>) -> Result<Pdf, LetterError> {
    let mut last = None;
    for width in compose::sheet_picture_widths(facts) {
        let composed = compose::sheet_with_picture_width(facts, width);
        let pdf = render(&composed.document, &composed.pictures)?;
        if pdf.pages <= 1 {
            return Ok(pdf);
        }
        last = Some(pdf);
    }
    last.ok_or_else(|| LetterError::NotSet("no width to try".into()))
}

/// The letter to the referring doctor.
///
/// # Errors
/// What [`render`] refuses.
pub fn referrer_letter(facts: &LetterFacts<'_>) -> Result<Pdf, LetterError> {
    let composed = compose::referrer_letter(facts);
    render(&composed.document, &composed.pictures)
}

/// The letter to the patient, or to whoever looks after a child.
///
/// # Errors
/// What [`render`] refuses.
pub fn patient_letter(facts: &LetterFacts<'_>) -> Result<Pdf, LetterError> {
    let composed = compose::patient_letter(facts);
    render(&composed.document, &composed.pictures)
}

/// The order of a device to whoever makes it: one page of values, one with the drawing.
///
/// # Errors
/// What [`render`] refuses.
pub fn order_sheet(facts: &OrderFacts<'_>) -> Result<Pdf, LetterError> {
    let composed = compose::order_sheet(facts);
    render(&composed.document, &composed.pictures)
}

/// How to get used to the device, for whoever wears it; one page.
///
/// # Errors
/// What [`render`] refuses.
pub fn break_in_sheet(facts: &BreakInFacts<'_>) -> Result<Pdf, LetterError> {
    let composed = compose::break_in_sheet(facts);
    render(&composed.document, &composed.pictures)
}
