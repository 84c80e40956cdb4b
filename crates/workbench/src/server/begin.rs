//! What is answered while there is no site yet: from the files of a folder to a first plan.

use std::sync::{Arc, Mutex, PoisonError};

use axum::Json;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequestParts, Path, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use http_body_util::BodyExt as _;
use serde::Deserialize;
use serde_json::json;
use spatial::problem::Problem;
use spatial::start::{self, Answers, FoundFile};
use tokio::time::timeout;

use super::answers::{Answer, Refused, apart, heard};
use super::laid::Laid;
use super::{LONGEST_REQUEST, Shared};
use crate::begin::{self, Arriving, told};
use crate::bench::Bench;

/// The files of a folder as they were looked at last: looking into each takes longer than hearing an answer about them.
#[derive(Clone, Default)]
pub(super) struct Found(Arc<Mutex<Option<Arc<Vec<FoundFile>>>>>);

impl Found {
    /// Looks at the folder.
    fn anew(&self, folder: &std::path::Path) -> Result<Arc<Vec<FoundFile>>, Problem> {
        let files = Arc::new(start::folder(folder)?);
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::clone(&files));
        Ok(files)
    }

    /// What was seen last; the folder is looked at where nobody has yet.
    fn last(&self, folder: &std::path::Path) -> Result<Arc<Vec<FoundFile>>, Problem> {
        let last = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        last.map_or_else(|| self.anew(folder), Ok)
    }
}

/// A folder without a site. There is none any more once a bench is laid.
pub(super) struct Bare(std::path::PathBuf);

impl FromRequestParts<Shared> for Bare {
    type Rejection = StatusCode;

    async fn from_request_parts(_: &mut Parts, shared: &Shared) -> Result<Self, StatusCode> {
        let is_laid = shared.laid.get().is_some();
        if is_laid { Err(StatusCode::NOT_FOUND) } else { Ok(Self(shared.folder.to_path_buf())) }
    }
}

/// What the folder holds, and what its layers may be for.
pub(super) async fn state(Bare(folder): Bare, State(shared): State<Shared>) -> Answer {
    apart(move || Ok(Json(told(&folder, &shared.files.anew(&folder)?)))).await?
}

/// A file on its way into the folder, whole or not at all.
pub(super) async fn take_in(
    Bare(folder): Bare,
    Path(name): Path<String>,
    mut body: Body,
) -> Answer {
    let mut arriving = Arriving::new(&folder, &name)?;
    loop {
        let Ok(next) = timeout(LONGEST_REQUEST, body.frame()).await else {
            return Err(arriving.cut_short("nothing came for a while").into());
        };
        let Some(frame) = next else { break };
        let frame = frame.map_err(|error| arriving.cut_short(&error.to_string()))?;
        if let Ok(bytes) = frame.into_data() {
            arriving.write(&bytes)?;
        }
    }
    apart(move || Ok(Json(json!({ "file": arriving.arrived()? })))).await?
}

/// A file and the coordinate system that it is in.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct System {
    file: String,
    crs: String,
}

/// Tells a file which coordinate system it is in.
pub(super) async fn system(Bare(folder): Bare, headers: HeaderMap, body: Bytes) -> Answer {
    let System { file, crs } = heard(&headers, &body)?;
    apart(move || {
        let written = start::tell_system(&folder, &file, &crs)?;
        Ok(Json(json!({ "written": written })))
    })
    .await?
}

/// What `check` says of answers.
pub(super) async fn looked(
    Bare(folder): Bare,
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Bytes,
) -> Answer {
    let answers: Answers = heard(&headers, &body)?;
    apart(move || {
        let files = shared.files.last(&folder)?;
        Ok(Json(begin::looked(&folder, &files, &answers)))
    })
    .await?
}

/// Writes the site that answers make, and lays it on the bench.
pub(super) async fn plan(
    Bare(folder): Bare,
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Bytes,
) -> Answer {
    let answers: Answers = heard(&headers, &body)?;
    apart(move || {
        let bench = Bench::begin(&folder, &answers).map_err(|problems| {
            problems.into_iter().map(|one| one.named_from(&folder)).collect::<Vec<Problem>>()
        })?;
        if shared.laid.set(Laid::new(bench)).is_err() {
            return Err(Refused::from(
                Problem::error("bench")
                    .found("a plan that is on the bench already")
                    .expected("one plan a sitting")
                    .remedy("load the page again"),
            ));
        }
        Ok(Json(json!({ "planned": true })))
    })
    .await?
}
