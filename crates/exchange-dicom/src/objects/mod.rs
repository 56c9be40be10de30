//! What is made here for others to read?
//!
//! | file | question |
//! |---|---|
//! | `about` | what does every object say about person, study and film? |
//! | `report` | how do readings become a structured report? |
//! | `presentation` | how does a drawing lie over a film elsewhere? |
//! | `picture` | how does an annotated film become a picture? |
//! | `document` | how does a letter join a study? |
//! | `codes` | which published codes stand for what? |
//!
//! Identifiers come from a [`crate::uids::Uids`], the time from [`About`]; the same input gives the same bytes.

mod about;
mod build;
mod codes;
mod document;
mod picture;
mod presentation;
mod report;

pub use about::{About, SourceFilm, Study, Subject};
pub use codes::{Code, OURS, unit};
pub use document::document;
pub use picture::{PictureOf, Rgb, picture, picture_head};
pub use presentation::{Drawn, PresentationOf, presentation};
pub use report::{ReportOf, report, sheet_of};

pub(crate) use build::Build;

/// A file of ours.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    pub file: Vec<u8>,
    pub class_uid: String,
    pub instance_uid: String,
    pub series_uid: String,
}

impl Made {
    fn of(build: Build, class: &str, instance: String, series: String) -> Made {
        Made {
            file: build.file(class, &instance),
            class_uid: class.to_owned(),
            instance_uid: instance,
            series_uid: series,
        }
    }
}

/// An object that could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MakeError {
    #[error("{what} has no identifier of digits and dots; expected one as in 2.25 and a number")]
    Uid { what: &'static str },
    #[error("the reading {measure} has a value or error that is no number; read the film again")]
    Number { measure: String },
    #[error("a line or label lies at no number; draw it again")]
    Position,
    #[error("found more {what} than one film has; send fewer")]
    TooMuch { what: &'static str },
    #[error("found no picture of three bytes for each pixel; draw it again")]
    Picture,
    #[error("found no PDF of at most 64 MiB; set the letter again")]
    Paper,
    #[error("the sheet of readings could not be used: {why}")]
    Sheet { why: String },
}
