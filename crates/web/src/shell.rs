//! What guards every request, whatever page it is for?
//!
//! From the outside in: security headers, the page for an error, panics caught, the host name
//! checked, requests from other sites refused, size and time limited.
//!
//! Then [`crate::access::gate`] asks who it is and whether they may.
//!
//! The content security policy allows no inline script, no inline style and no other host. The
//! program listens on the loopback address; the host name is checked all the same, because a page
//! elsewhere can make a browser resolve its own name to 127.0.0.1.

use crate::{
    AppState,
    context::{theme, wants_json},
    error::{Told, told_of},
    layout::error_page,
    machines,
};
use axum::{
    Json, Router,
    extract::{DefaultBodyLimit, Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header},
    middleware::{self, Next},
    response::{IntoResponse, Response},
};
use std::time::Duration;
use tower_http::{catch_panic::CatchPanicLayer, csrf::CsrfLayer, timeout::TimeoutLayer};

const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
     font-src 'self'; connect-src 'self'; media-src blob:; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 7] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), microphone=(), geolocation=()",
    ),
];

/// Marks a response with an error status whose body already says what is wrong, beside the form.
#[derive(Debug, Clone, Copy)]
pub struct OwnPage;

/// Forms and JSON; films have their own limit at their route.
const SMALL_BODY: usize = 1024 * 1024;
/// A film: the loader's own limit of 256 MiB and some room for the form around it.
pub const FILM_BODY: usize = 257 * 1024 * 1024;
const LONGEST: Duration = Duration::from_secs(60);

pub fn guard(routes: Router<AppState>, state: AppState) -> Router {
    routes
        .layer(DefaultBodyLimit::max(SMALL_BODY))
        .layer(TimeoutLayer::with_status_code(
            StatusCode::GATEWAY_TIMEOUT,
            LONGEST,
        ))
        .layer(CsrfLayer::new())
        .layer(middleware::from_fn(keys_are_of_no_site))
        .layer(middleware::from_fn_with_state(state.clone(), own_host_only))
        .layer(CatchPanicLayer::custom(after_panic))
        .layer(middleware::from_fn_with_state(state.clone(), tell_errors))
        .layer(middleware::from_fn_with_state(state.clone(), add_headers))
        .with_state(state)
}

async fn add_headers(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    if state.doors.reached.secure {
        response.headers_mut().insert(
            header::STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=31536000"),
        );
    }
    for (name, value) in HEADERS {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
    response
}

async fn own_host_only(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let host = request
        .uri()
        .authority()
        .map(|a| a.as_str().to_owned())
        .or_else(|| {
            request
                .headers()
                .get(header::HOST)?
                .to_str()
                .ok()
                .map(str::to_owned)
        });
    let ours = |host: &str| is_loopback(host) || is_named(host, &state.doors.reached.names);
    if host.as_deref().is_some_and(ours) {
        next.run(request).await
    } else {
        StatusCode::MISDIRECTED_REQUEST.into_response()
    }
}

fn without_port(host: &str) -> &str {
    let is_port = |port: &str| {
        port.is_empty() || port.bytes().all(|b| b.is_ascii_digit()) && port.parse::<u16>().is_ok()
    };
    match host.rsplit_once(':') {
        Some((name, port)) if is_port(port) => name,
        _ => host,
    }
}

/// One of the names the program was started with.
fn is_named(host: &str, names: &[String]) -> bool {
    let name = without_port(host);
    names.iter().any(|n| n.eq_ignore_ascii_case(name))
}

fn is_loopback(host: &str) -> bool {
    matches!(without_port(host), "127.0.0.1" | "localhost" | "[::1]")
}

fn after_panic(_: Box<dyn std::any::Any + Send + 'static>) -> Response {
    // The panic's own message may hold data; the place was printed by the panic hook.
    tracing::error!("a handler panicked");
    StatusCode::INTERNAL_SERVER_ERROR.into_response()
}

/// Turns every error status into a page, or into JSON where the script asked.
async fn tell_errors(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let headers: HeaderMap = request.headers().clone();
    let path = request.uri().path().to_owned();
    let response = next.run(request).await;
    let status = response.status();
    let is_error = status.is_client_error() || status.is_server_error();
    if !is_error || response.extensions().get::<OwnPage>().is_some() {
        return response;
    }
    let told = response
        .extensions()
        .get::<Told>()
        .cloned()
        .unwrap_or_else(|| told_of(status));
    let machines = machines::is_machines(&path);
    let mut page = if machines && path.starts_with("/fhir") {
        machines::fhir::told_as(status, &told.happened)
    } else if machines || wants_json(&headers) {
        let said = serde_json::json!({ "error": told.happened, "todo": told.todo });
        (status, Json(said)).into_response()
    } else {
        error_page(status, told, theme(&headers), state.assets.clone())
    };
    for name in [header::RETRY_AFTER, header::WWW_AUTHENTICATE, header::ALLOW] {
        if let Some(value) = response.headers().get(&name) {
            page.headers_mut().insert(name, value.clone());
        }
    }
    page
}

/// A key is sent by its holder alone, never by a browser on its own: where one comes without a cookie, which site the
/// request comes from says nothing.
async fn keys_are_of_no_site(mut request: Request, next: Next) -> Response {
    let headers = request.headers();
    if machines::is_machines(request.uri().path())
        && !headers.contains_key(header::COOKIE)
        && machines::key::bearer(headers).is_some()
    {
        let headers = request.headers_mut();
        headers.remove(header::ORIGIN);
        headers.remove("sec-fetch-site");
    }
    next.run(request).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_loopback_names_are_our_own() {
        for own in ["127.0.0.1:8080", "localhost", "[::1]:80", "localhost:3"] {
            assert!(is_loopback(own), "{own}");
        }
        for foreign in [
            "evil.example",
            "127.0.0.1.evil.example:80",
            "localhost.evil:80",
            "localhost:+80",
            // Beyond the last port: no origin can be made of it.
            "localhost:65536",
            "",
        ] {
            assert!(!is_loopback(foreign), "{foreign}");
        }
    }
}
