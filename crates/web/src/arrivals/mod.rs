//! Films that come in by themselves: from the network or a watched folder into the right visit, or onto a list.
//!
//! | file | question |
//! |---|---|
//! | [`inbox`] | how is what came in kept, and taken where it is clear whose it is? |
//! | [`judge`] | into which visit does it go, or why does it wait? |
//! | [`seen`] | who may see what waits, and what does it look like? |
//! | [`page`] | what does the page of waiting films show? |
//! | [`acts`] | how does a person take a film, put it away, put it back? |

pub mod acts;
pub mod inbox;
pub mod judge;
pub mod page;
pub mod seen;

use crate::AppState;
use axum::{
    Router,
    routing::{get, post},
};

pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/arrivals", get(page::show))
        .route("/arrival/{id}/picture.png", get(seen::picture))
        .route("/arrival/{id}/find", post(page::find))
        .route("/arrival/{id}/take", post(acts::take))
        .route("/arrival/{id}/away", post(acts::put_away))
        .route("/arrival/{id}/back", post(acts::put_back))
}
