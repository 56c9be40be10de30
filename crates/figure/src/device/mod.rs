//! How does a device look on a workshop drawing?
//!
//! Four views of a [`shell::Device`] as it stands on the bench: from above, from the inner side, from behind,
//! and cut across; one after the other for a page ([`views`]), or together on one sheet of paper, as large as
//! the device where that fits and half as large where it does not ([`sheet`]).
//!
//! A drawing's units are millimetres of paper. Every dimension is measured on the solid that is drawn; where
//! the file was measured again, those figures are written instead, so that paper and table agree. Left and
//! right are as for somebody who stands where the view is taken from: a right foot's inner side is on the
//! left in the plan.

mod bench;
mod board;
mod cut;
mod level;
mod parts;
mod plan;
mod posts;
mod profile;
mod rear;
mod ruler;
mod section;
mod sheet;
mod silhouette;
mod words;

#[cfg(test)]
mod tests;

pub use sheet::{KEY, Scale, section_view, sheets, views};

use shell::measured::Dimension;
use shell::{Device, Prescription};

/// In which language a drawing speaks.
pub trait Speaks: std::fmt::Debug {
    /// Words of a drawing, which it has in English.
    fn said(&self, english: &str) -> String;
    /// A figure with its unit, in the way of the language.
    fn figures(&self, text: &str) -> String;
}

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct DeviceModel<'a> {
    pub device: &'a Device,
    pub wanted: &'a Prescription,
    /// What was measured on the written file; empty where none was written yet.
    pub found: &'a [Dimension],
    /// Where the section is taken, from the rearmost edge forward, mm; `None` takes the navicular.
    pub section_mm: Option<f64>,
    /// The language of the drawing's words; English without one.
    pub spoken: Option<&'a dyn Speaks>,
}

/// A drawing whose units are millimetres of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub svg: String,
    pub width_mm: f64,
    pub height_mm: f64,
    pub scale: Scale,
    /// The drawing in words.
    pub alt: String,
}

/// The views of a device, each a drawing of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    pub plan: Drawing,
    pub inner: Drawing,
    pub behind: Drawing,
    pub section: Drawing,
}

/// `12.3 mm`
pub(crate) fn mm(value: f64) -> String {
    format!("{} mm", quantity::written_short(value, 1))
}

/// `4°`
pub(crate) fn degrees(value: f64) -> String {
    format!("{}°", quantity::written_short(value, 1))
}
