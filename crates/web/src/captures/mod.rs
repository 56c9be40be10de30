//! Prints and pressures: from a picture of the sole to indices that the examination takes over.
//!
//! | file | question |
//! |---|---|
//! | [`take_in`] | how does a file come in, and what is asked that no file says? |
//! | [`hand`] | which sheets are in hand, and what was read from them? |
//! | [`fields`] | how are the steps written as texts, and read back? |
//! | [`steps`] | how do the steps change, go back, and get found anew? |
//! | [`page`] | the page, and everything that works without script |
//! | [`rows`] | how does a reading lie against what is published? |
//! | [`picture`] | what is shown under the drawing? |
//! | [`examine`] | how do readings get into the examination? |
//! | [`section`] | what does the visit show of them? |
//!
//! The page computes no index: texts go out, the drawing and the readings come back.

pub mod examine;
pub mod fields;
pub mod hand;
pub mod page;
pub mod picture;
pub mod rows;
pub mod section;
pub mod steps;
pub mod take_in;

use crate::AppState;
use axum::{
    Router,
    extract::DefaultBodyLimit,
    routing::{get, post},
};

/// A picture of 128 MB and some room for the form around it.
const PICTURE_BODY: usize = 129 * 1024 * 1024;

/// All addresses of prints.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route(
            "/visit/{id}/captures",
            post(take_in::take_in).layer(DefaultBodyLimit::max(PICTURE_BODY)),
        )
        .route("/capture/{id}", get(page::show).post(page::save))
        .route("/capture/{id}/picture.png", get(picture::show))
        .route("/capture/{id}/steps", post(steps::save))
        .route("/capture/{id}/undo", post(steps::undo))
        .route("/capture/{id}/examine", post(examine::take_over))
}
