//! The standing and moving foot: prints, pressures, photographs, clips of heel rises and files of markers.
//!
//! | file or folder | question |
//! |---|---|
//! | [`take_in`] | how does a file come in, and what is asked that no file says? |
//! | [`page`] | which page shows it, and where do changed steps go? |
//! | [`print`] | prints and pressures |
//! | [`photo`] | photographs from behind and from the side |
//! | [`clip`] | heel rises on a clip |
//! | [`markers`] | heel rises by markers in space |
//! | [`base`] | what does every page need of a capture, and how does it answer a script? |
//! | [`points`] | how are points over a picture written as fields? |
//! | [`measures`] | how does a reading lie against what is published? |
//! | [`facts`] | how is what was done, the day and a note kept? |
//! | [`picture`] | what is shown under the drawing? |
//! | [`in_hand`] | what stays in memory between two answers? |
//! | [`examine`] | how do readings get into the examination? |
//! | [`section`] | what does the visit show of them? |
//!
//! The pages compute no reading: texts go out, the drawing and the readings come back.

pub mod base;
pub mod clip;
pub mod examine;
pub mod facts;
pub mod in_hand;
pub mod markers;
pub mod measures;
pub mod page;
pub mod photo;
pub mod picture;
pub mod points;
pub mod print;
pub mod section;
pub mod take_in;

use crate::AppState;
use axum::{
    Router,
    extract::DefaultBodyLimit,
    routing::{get, post},
};

/// A minute of frames, and some room for the form around it.
const CAPTURE_BODY: usize = 257 * 1024 * 1024;

/// All addresses of captures.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route(
            "/visit/{id}/captures",
            post(take_in::take_in).layer(DefaultBodyLimit::max(CAPTURE_BODY)),
        )
        .route("/capture/{id}", get(page::show).post(facts::save))
        .route("/capture/{id}/picture.png", get(picture::show))
        .route("/capture/{id}/steps", post(page::save_steps))
        .route("/capture/{id}/undo", post(page::undo))
        .route("/capture/{id}/examine", post(examine::take_over))
        .route("/capture/{id}/frame/{frame}", get(clip::hand::frame))
        .route("/capture/{id}/at/{frame}", get(clip::page::at))
        .route(
            "/capture/{id}/follow",
            get(clip::follow::state).post(clip::follow::begin),
        )
        .route("/capture/{id}/follow/stop", post(clip::follow::stop))
}
