//! Results go out: readings as a report, the film with its lines as a picture and as a drawing, a signed letter as a
//! document; to another system or as files.
//!
//! | file | question |
//! |---|---|
//! | [`made`] | which objects does a film, or a letter, give? |
//! | [`post`] | how do they go out, again and again until they arrive or are given up? |
//! | [`page`] | what does the page of sending show? |

pub mod made;
pub mod page;
pub mod post;

use crate::AppState;
use axum::{Router, routing::get};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/film/{id}/send", get(page::film).post(page::send_film))
        .route("/film/{id}/object/{name}", get(page::film_object))
        .route(
            "/letter/{id}/send",
            get(page::letter).post(page::send_letter),
        )
        .route("/letter/{id}/object/{name}", get(page::letter_object))
}
