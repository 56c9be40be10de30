//! Many records at once leave the practice, or are read again: asked for on a page or by a machine, done as a job.
//!
//! | file | question |
//! |---|---|
//! | [`asked`] | what is asked for, by whom, and what became of it? |
//! | [`make`] | who does it, and how do files get into an export? |
//! | [`records`] | health records of everybody, as lines of FHIR |
//! | [`study`] | a study without names, as tables |
//! | [`again`] | every film read again by today's program: does it still say the same? |
//! | [`page`] | what does the page show, and how do the files come down? |
//!
//! Whoever asked, and nobody else, is given the files, for a week. They go at once where somebody is erased or a record
//! is closed.

pub mod again;
pub mod asked;
pub mod make;
pub mod page;
pub mod records;
pub mod study;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/exports", get(page::show).post(page::ask))
        .route("/exports/{job}/stop", post(page::stop))
        .route("/exports/{job}/away", post(page::away))
        .route("/exports/{job}/all.zip", get(page::all))
}
