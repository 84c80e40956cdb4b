//! The door: who is let in, and what browsers are told with every answer.

use axum::extract::{Query, Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::Shared;
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
    if let Some(cookie) = key.and_then(|key| guard.exchange(&key)) {
        let told = [(header::SET_COOKIE, cookie), (header::LOCATION, "/".to_owned())];
        return (StatusCode::SEE_OTHER, told).into_response();
    }
    match guard.admit(request.method(), request.headers()) {
        Ok(()) => asset(if shared.laid.get().is_some() { "index.html" } else { "begin.html" }),
        Err(_) => (StatusCode::FORBIDDEN, USED).into_response(),
    }
}

const USED: &str =
    "This link has been used, or is not of this sitting. Run `hillweave open` again for a new one.";
