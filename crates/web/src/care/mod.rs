//! Care given: what was worn, injected, trained, done, from when until when, and what wants a look.
//!
//! | file | question |
//! |---|---|
//! | [`log`] | what is on record for a patient, and what do the rules say of it? |
//! | [`page`] | what does the page of care show? |
//! | [`form`] | how is an entry written down, changed, taken back or taken away? |
//! | [`paper`] | which paper goes with a device? |
//! | [`leg`] | how is a leg measured for a brace? |

pub mod form;
pub mod leg;
pub mod log;
pub mod page;
pub mod paper;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

/// All addresses of care given.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/patient/{id}/care", get(page::show).post(form::add))
        .route("/patient/{id}/care/new", get(form::fresh))
        .route("/care/{id}", get(form::edit).post(form::save))
        .route("/care/{id}/undo", post(form::take_back))
        .route("/care/{id}/gone", post(form::take_away))
        .route("/care/{id}/break-in.pdf", get(paper::break_in))
        .route("/visit/{id}/leg/{side}", get(leg::show))
}
