//! The page, inside the program.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::RustEmbed;

use crate::classes::{CLASSES_JS, classes_js};

#[derive(RustEmbed)]
#[folder = "assets/"]
struct Assets;

/// A file of the page; 404 where there is none.
pub(crate) fn asset(name: &str) -> Response {
    if name == CLASSES_JS {
        return ([(header::CONTENT_TYPE, "text/javascript")], classes_js()).into_response();
    }
    let Some(file) = Assets::get(name) else { return StatusCode::NOT_FOUND.into_response() };
    let kind = HeaderValue::from_str(file.metadata.mimetype())
        .unwrap_or(HeaderValue::from_static("application/octet-stream"));
    ([(header::CONTENT_TYPE, kind)], file.data.into_owned()).into_response()
}
