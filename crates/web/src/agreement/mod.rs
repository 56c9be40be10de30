//! Second readings: how far do two placings of points on one film lie apart?
//!
//! | file | question |
//! |---|---|
//! | [`pool`] | which readings may be held against each other, and which stay out? |
//! | [`numbers`] | what do pairs of readings say, and what do too few pairs not say? |
//! | [`film`] | how far apart do the placings on one film lie? |
//! | [`practice`] | how well does the practice agree with itself over all its films? |
//!
//! Only finished placings count. Views, stances and method versions are never mixed; both feet stand
//! together only where the page says so. The statistics are those of [`reading::agreement`].

pub mod film;
pub mod numbers;
pub mod pool;
pub mod practice;

use crate::AppState;
use axum::{Router, routing::get};

/// All addresses of second readings.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/film/{id}/agreement", get(film::show))
        .route("/agreement", get(practice::show))
}

#[cfg(test)]
mod tests;
