//! The shell bench: from a foot scan to an order for a device that can be made.
//!
//! | file | question |
//! |---|---|
//! | [`scans`] | how does a scan come in, and what does the visit show of scans and orders? |
//! | [`hand`] | which feet and devices are in hand? |
//! | [`fields`], [`values`], [`points`] | which values has an order, how are they written and read? |
//! | [`facts`] | what does `care` propose, and what stands against it? |
//! | [`order`] | how does an order begin, change, go back, go to the other foot? |
//! | [`page`] | the page, and everything that works without script |
//! | [`preview`], [`picture`] | what does a moving hand get back? |
//! | [`section`] | the workshop drawings |
//! | [`finish`], [`files`] | how are the files made, checked, measured, given out? |
//! | [`strength`] | how far does it bend, and does it last? |
//! | [`thinnest`] | which is the thinnest wall that does what is asked of it? |
//! | [`sizes`] | how large is a scanned foot, and how was it set into its frame? |
//! | [`paper`] | the order sheet, and the one for whoever wears it |
//! | [`send`] | how does an order leave the bench for good? |
//!
//! Feet, sheets, files and papers are made by `workshop`, as for the command line.
//! The page computes no shape: texts and points go out, triangles, lines and sentences come back.

pub mod facts;
pub mod fields;
pub mod files;
pub mod finish;
pub mod hand;
pub mod order;
pub mod page;
pub mod paper;
pub mod picture;
pub mod points;
pub mod preview;
pub mod scans;
pub mod section;
pub mod send;
pub mod sizes;
pub mod strength;
pub mod thinnest;
pub mod values;

use crate::AppState;
use axum::{
    Router,
    extract::DefaultBodyLimit,
    routing::{get, post},
};

/// A scan of 64 MB and some room for the form around it.
const SCAN_BODY: usize = 65 * 1024 * 1024;

/// All addresses of the bench.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route(
            "/visit/{id}/scans",
            post(scans::take_in).layer(DefaultBodyLimit::max(SCAN_BODY)),
        )
        .route("/scan/{id}", get(scans::show).post(scans::save))
        .route("/visit/{id}/orders", post(order::begin))
        .route("/order/{id}", get(page::show))
        .route("/order/{id}/save", post(order::save))
        .route("/order/{id}/undo", post(order::undo))
        .route("/order/{id}/mirror", post(order::mirror))
        .route("/order/{id}/foot", get(preview::foot))
        .route("/order/{id}/preview", post(preview::preview))
        .route("/order/{id}/section", post(section::live))
        .route("/order/{id}/drawn/{view}", get(section::saved))
        .route("/order/{id}/strength", post(strength::live))
        .route(
            "/order/{id}/thinnest",
            get(thinnest::state).post(thinnest::find),
        )
        .route("/order/{id}/thinnest/stop", post(thinnest::stop))
        .route("/order/{id}/sheet.pdf", get(paper::draft))
        .route("/order/{id}/break-in.pdf", get(paper::break_in))
        .route("/order/{id}/final", get(finish::state).post(finish::begin))
        .route("/order/{id}/final/stop", post(finish::stop))
        .route("/order/{id}/files/{name}", get(files::give))
        .route("/order/{id}/send", post(send::send))
        .route("/order/{id}/sent/{name}", get(send::give))
}
