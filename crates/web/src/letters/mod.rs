//! Letters: drafted from what a visit recorded, read and changed as words, signed and frozen.
//!
//! | file | question |
//! |---|---|
//! | [`list`] | which drafts wait, what was signed last, what was taken away? |
//! | [`begin`] | to whom, and in which language? |
//! | [`asked`] | what is told that the visit does not hold? |
//! | [`beside`] | what does the record hold beside the visit? |
//! | [`draft`] | which sentences does a visit give? |
//! | [`films`] | which films go on paper, with which picture? |
//! | [`kept`] | how is a letter kept, so that it can be set again? |
//! | [`edit`] | which words may be changed before signing? |
//! | [`preview`] | how will the letter read? |
//! | [`page`] | one letter: shown, changed, signed, added to, taken away |
//! | [`spoken`] | in which language is a paper asked for by its address? |
//! | [`paper`] | the PDF of a letter, and the reading sheet of a film |
//!
//! Tables, readings, films, cautions and alarm signs of a letter come from the record and are changed
//! there; the rest is the clinician's own to write. Addresses and file names hold no personal data.

pub mod asked;
pub mod begin;
pub mod beside;
pub mod draft;
pub mod edit;
pub mod films;
pub mod kept;
pub mod list;
pub mod page;
pub mod paper;
pub mod preview;
pub mod spoken;

mod base64;
#[cfg(test)]
mod tests;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

/// All addresses of letters and sheets.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/letters", get(list::show))
        .route("/visit/{id}/letters", post(draft::begin))
        .route("/visit/{id}/letters/new", get(begin::show))
        .route("/letter/{id}", get(page::show).post(page::save))
        .route("/letter/{id}/again", post(draft::again))
        .route("/letter/{id}/away", post(page::take_away))
        .route("/letter/{id}/back", post(page::put_back))
        .route("/letter/{id}/addendum", post(page::addendum))
        .route("/letter/{id}/pdf", get(paper::pdf))
        .route("/letter/{id}/picture/{name}", get(paper::picture))
        .route("/film/{id}/sheet.pdf", get(paper::sheet))
}
