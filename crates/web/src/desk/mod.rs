//! The film desk: the film large, its points, its readings.
//!
//! | file | question |
//! |---|---|
//! | [`page`] | the page around the film, and everything that works without script |
//! | [`live`] | what the desk's script asks and gets, as JSON |
//! | [`picture`] | the film's pixels and the small pictures |
//! | [`drawing`] | the lines over a film |
//! | [`cache`] | which films are in hand, decoded and ready? |
//! | [`own_error`] | how far does this clinician miss a point? |
//!
//! Points are kept in the pixels of the stored picture whatever the turn of the display.

pub mod cache;
pub mod drawing;
pub mod live;
pub mod own_error;
pub mod page;
pub mod picture;
pub mod pictures;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

/// All addresses of the desk.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/film/{id}", get(page::show))
        .route("/film/{id}/facts", post(page::save_facts))
        .route("/film/{id}/points-table", post(page::save_table))
        .route("/film/{id}/scale-form", post(page::save_scale))
        .route("/film/{id}/turn-form", post(page::save_turn))
        .route("/film/{id}/wear", post(page::save_wear))
        .route("/film/{id}/meta", get(live::meta))
        .route("/film/{id}/grey16", get(picture::grey16))
        .route("/film/{id}/picture.png", get(picture::picture))
        .route("/film/{id}/annotated.png", get(picture::annotated))
        .route("/film/{id}/overlay", post(live::overlay))
        .route("/film/{id}/points", post(live::save))
        .route("/film/{id}/snap", post(live::snap))
        .route("/film/{id}/circle", post(live::circle))
        .route("/film/{id}/axis", post(live::axis))
        .route("/film/{id}/turn", post(live::turn))
        .route("/film/{id}/scale", post(live::scale))
}
