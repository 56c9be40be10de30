//! The film desk: one film, its points, its readings; the page, the picture and the live answers.
//!
//! | file | question |
//! |---|---|
//! | [`page`] | what does the desk show, with and without script? |
//! | [`live`] | what is answered while the hand moves? |
//! | [`answer`] | how do points become rows and a drawing? |
//! | [`facts`] | what is known of the film: scale, stance, size? |
//! | [`cache`] | which films are open? |

pub mod answer;
pub mod cache;
pub mod facts;
pub mod live;
pub mod page;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

/// All addresses of the desk.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/film/{id}", get(page::show).post(page::save_typed))
        .route("/film/{id}/facts", post(page::save_facts))
        .route("/film/{id}/picture.png", get(page::picture))
        .route("/film/{id}/annotated.png", get(page::annotated))
        .route("/film/{id}/meta", get(live::meta))
        .route("/film/{id}/grey16", get(live::grey16))
        .route("/film/{id}/overlay", post(live::overlay))
        .route("/film/{id}/points", post(live::save_points))
        .route("/film/{id}/snap", post(live::snap))
        .route("/film/{id}/circle", post(live::circle))
        .route("/film/{id}/axis", post(live::axis))
        .route("/film/{id}/turn", post(live::turn))
        .route("/film/{id}/scale", post(live::scale))
}
