//! The course of a foot over time: what changed, how fast, and what became of pain, function and stage.
//!
//! | file | question |
//! |---|---|
//! | [`seen`] | which readings of a patient are on record, and how were they come by? |
//! | [`repeats`] | how far apart do this practice's readers read one film? |
//! | [`lines`] | how is one reading of both feet drawn over the visits, and what is said of it? |
//! | [`scores`] | what became of pain, function and stage? |
//! | [`measured`] | what of it was measured, with which error, and has it changed? |
//! | [`around`] | what was it before and after a device or an operation? |
//! | [`page`] | what does the page show? |
//!
//! Every verdict is made by `change`; nothing is judged here.

pub mod around;
pub mod lines;
pub mod measured;
pub mod page;
pub mod repeats;
pub mod scores;
pub mod seen;

use crate::AppState;
use axum::{Router, routing::get};

/// The address of a patient's course.
pub fn routes() -> Router<AppState> {
    Router::new().route("/patient/{id}/course", get(page::show))
}
