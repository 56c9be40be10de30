//! The visit: one long page from the story to the plan, with what is known, missing and alarming beside it.
//!
//! | file | question |
//! |---|---|
//! | [`gather`] | what belongs to a visit, and what follows from it? |
//! | [`inputs`] | which inputs does the examination form need? |
//! | [`page`] | what does the page show? |
//! | [`answers`] | how is an answer kept, taken back, refused? |
//! | [`films`] | how does a film come in? |
//! | [`decide`] | what did the clinician decide and agree? |

pub mod answers;
pub mod decide;
pub mod films;
pub mod gather;
pub mod inputs;
pub mod page;

use crate::{AppState, shell::FILM_BODY};
use axum::{
    Router,
    extract::DefaultBodyLimit,
    routing::{get, post},
};

/// All addresses of a visit.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/visit/{id}", get(page::show))
        .route("/visit/{id}/standing", get(page::standing))
        .route("/visit/{id}/exam/{of}", post(answers::save))
        .route("/visit/{id}/exam/{of}/undo", post(answers::undo))
        .route("/visit/{id}/decision/{side}", post(decide::decision))
        .route("/visit/{id}/plan", post(decide::plan))
        .route("/visit/{id}/state", post(decide::state))
        .route(
            "/visit/{id}/films",
            post(films::take_in).layer(DefaultBodyLimit::max(FILM_BODY)),
        )
}
