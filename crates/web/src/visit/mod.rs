//! The visit: one long page from the story to the plan, with what is known, missing and alarming beside it.
//!
//! | file | question |
//! |---|---|
//! | [`gather`] | what belongs to a visit, and what follows from it? |
//! | [`inputs`] | which inputs does the examination form need? |
//! | [`nothing`] | where may 'nothing found' be said of a whole section? |
//! | [`page`] | what does the page show? |
//! | [`standing`] | what stands beside it: alarms, stage, plan, what is missing |
//! | [`reasons`] | what does the report say of a foot, and why? |
//! | [`rungs`] | which steps could come first, and what stands against them? |
//! | [`answers`] | how is an answer kept, taken back, refused? |
//! | [`undo`] | what would an undo take back? |
//! | [`films`] | how does a film come in? |
//! | [`devices`] | which device, and why? |
//! | [`decide`] | what did the clinician decide and agree? |

pub mod answers;
pub mod decide;
pub mod devices;
pub mod films;
pub mod gather;
pub mod inputs;
pub mod nothing;
pub mod page;
pub mod reasons;
pub mod rungs;
pub mod standing;
pub mod undo;

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
        .route("/visit/{id}/standing", get(standing::show))
        .route("/visit/{id}/exam/{of}", post(answers::save))
        .route("/visit/{id}/exam/{of}/undo", post(answers::take_back))
        .route("/visit/{id}/decision/{side}", post(decide::decision))
        .route("/visit/{id}/plan", post(decide::plan))
        .route("/visit/{id}/state", post(decide::state))
        .route(
            "/visit/{id}/films",
            post(films::take_in).layer(DefaultBodyLimit::max(FILM_BODY)),
        )
}
