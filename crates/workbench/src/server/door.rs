//! The door: who is let in, and what browsers are told with every answer.

use axum::body::{Body, to_bytes};
use axum::extract::{Query, Request, State};
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use tokio::time::timeout;

use super::{LARGEST_CHANGE, LONGEST_REQUEST, Shared};
use crate::assets::asset;

/// Turns away who is not of this sitting.
pub(super) async fn admitted(
    State(shared): State<Shared>,
    request: Request,
    next: Next,
) -> Response {
    match shared.guard.admit(request.method(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err(_) => StatusCode::FORBIDDEN.into_response(),
    }
}

/// Takes in the whole of a request before anything comes of it, within a time and a size: an answer is lost where a body is
/// left unread, and one that never ends would keep the sitting from ending.
pub(super) async fn whole(request: Request, next: Next) -> Response {
    let (head, body) = request.into_parts();
    match timeout(LONGEST_REQUEST, to_bytes(body, LARGEST_CHANGE)).await {
        Ok(Ok(bytes)) => next.run(Request::from_parts(head, Body::from(bytes))).await,
        Ok(Err(_)) => StatusCode::PAYLOAD_TOO_LARGE.into_response(),
        Err(_) => StatusCode::REQUEST_TIMEOUT.into_response(),
    }
}

/// What browsers are told of every answer: nothing from elsewhere, nothing kept, no frame around it.
pub(super) async fn sealed(request: Request, next: Next) -> Response {
    const TOLD: [(HeaderName, &str); 6] = [
        (
            header::CONTENT_SECURITY_POLICY,
            "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
             connect-src 'self'; font-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
        ),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    let mut answer = next.run(request).await;
    for (name, value) in TOLD {
        answer.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// What the link carries.
#[derive(Deserialize)]
pub(super) struct Key {
    key: Option<String>,
}

/// The page, for who has the cookie; or the cookie, for who has the link.
pub(super) async fn front(
    State(shared): State<Shared>,
    Query(Key { key }): Query<Key>,
    request: Request,
) -> Response {
    let guard = &shared.guard;
    if guard.admit_host(request.headers()).is_err() {
        return StatusCode::FORBIDDEN.into_response();
    }
    // A look at the head alone, as a preview takes it, does not use the link up.
    let is_visit = request.method() == Method::GET;
    if let Some((cookie, place)) = key.filter(|_| is_visit).and_then(|key| guard.exchange(&key)) {
        let told = [(header::SET_COOKIE, cookie), (header::LOCATION, place)];
        return (StatusCode::SEE_OTHER, told).into_response();
    }
    match guard.admit(request.method(), request.headers()) {
        Ok(()) => asset(if shared.laid.get().is_some() { "index.html" } else { "begin.html" }),
        Err(_) => (StatusCode::FORBIDDEN, USED).into_response(),
    }
}

const USED: &str =
    "This link has been used, or is not of this sitting. Run `hillweave open` again for a new one.";
