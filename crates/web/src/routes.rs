//! Which address leads where.

use crate::{
    AppState, access, agreement, arrivals, assets, bench, captures, care, course, desk, exports,
    letters, machines, openapi, outgoing, patient, practice, shell, sources, today, visit,
};
use axum::{
    Router,
    http::StatusCode,
    middleware,
    routing::{get, post},
};

/// The whole page as one service; the binary listens, this answers.
pub fn app(state: AppState) -> Router {
    let routes = Router::new()
        .route("/", get(today::show))
        .route("/start", get(practice::start).post(practice::set_up))
        .route("/who", get(practice::who).post(practice::be))
        .route("/light", post(practice::light))
        .route("/practice", get(practice::show).post(practice::save))
        .route("/practice/people", post(practice::save_person))
        .route("/sources", get(sources::show))
        .route("/openapi.json", get(openapi::show))
        .route("/patients/find", post(patient::find))
        .route("/patients/new", get(patient::new_form).post(patient::add))
        .route("/patient/{id}", get(patient::show))
        .route(
            "/patient/{id}/details",
            get(patient::edit).post(patient::save),
        )
        .route("/patient/{id}/visits", post(patient::start_visit))
        .merge(access::routes())
        .merge(agreement::routes())
        .merge(arrivals::routes())
        .merge(bench::routes())
        .merge(captures::routes())
        .merge(care::routes())
        .merge(course::routes())
        .merge(desk::routes())
        .merge(exports::routes())
        .merge(letters::routes())
        .merge(machines::routes())
        .merge(outgoing::routes())
        .merge(visit::routes())
        .route("/assets/{name}", get(assets::serve))
        .route_layer(middleware::from_fn_with_state(
            state.clone(),
            access::gate::pass,
        ))
        .fallback(|| async { StatusCode::NOT_FOUND });
    shell::guard(routes, state)
}
