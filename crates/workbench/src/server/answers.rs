//! What is answered to each request.

use std::sync::PoisonError;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, Query};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};
use spatial::plan::Plan;
use spatial::problem::Problem;

use super::Laid;
use crate::bench::Bench;
use crate::change::Change;
use crate::hand_over::{ReportAsked, export_of, file_of, report_of};
use crate::pictures::{extent, heights, pictures, png_of, range};
use crate::plan_now::PlanNow;
use crate::rules;
use crate::scene::{coordinates, opened, scene, zone};
use crate::trees::trees;

/// Problems as an answer.
pub(super) struct Refused(Vec<Problem>);

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        Self(vec![problem])
    }
}

impl From<Vec<Problem>> for Refused {
    fn from(problems: Vec<Problem>) -> Self {
        Self(problems)
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        (StatusCode::UNPROCESSABLE_ENTITY, Json(json!({ "problems": self.0 }))).into_response()
    }
}

pub(super) type Answer = Result<Json<Value>, Refused>;

/// Work of some length, off the threads that listen.
pub(super) async fn apart<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Refused> {
    tokio::task::spawn_blocking(work).await.map_err(|error| {
        let problem = Problem::error("bench").found(error.to_string()).expected("an answer");
        problem.remedy("this is a fault of the program: please report it with what you did").into()
    })
}

pub(super) async fn property(shared: Laid) -> Answer {
    let (now, _) = shared.now();
    let site = &now.fitted.site;
    let ready = &now.fitted.ready;
    let frame = geo::BoundingRect::bounding_rect(&ready.boundary);
    let frame = frame.map(|frame| [frame.min().x, frame.min().y, frame.max().x, frame.max().y]);
    Ok(Json(json!({
        "name": site.name,
        "crs": ready.crs.describe(),
        "crs_name": ready.crs.describe_fully(),
        "folder": site.folder().display().to_string(),
        "version": env!("CARGO_PKG_VERSION"),
        "extent": frame,
        "cell_m": ready.grid.cell_width(),
        "boundary": coordinates(&ready.boundary),
        "rasters": pictures(&now),
    })))
}

/// The geometry that the reader has.
#[derive(Deserialize)]
pub(super) struct Known {
    known: Option<u64>,
}

pub(super) async fn present(shared: Laid, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || Ok(Json(scene(&shared.bench(), known)?))).await?
}

pub(super) async fn as_opened(shared: Laid) -> Answer {
    apart(move || Ok(Json(opened(&shared.bench())?))).await?
}

pub(super) async fn one_zone(shared: Laid, Path(id): Path<String>) -> Result<Response, Refused> {
    let told = apart(move || zone(&shared.bench(), &id)).await?;
    Ok(told
        .map_or_else(|| StatusCode::NOT_FOUND.into_response(), |told| Json(told).into_response()))
}

pub(super) async fn all_rules(shared: Laid) -> Answer {
    apart(move || Ok(Json(rules::rules(&shared.bench())?))).await?
}

pub(super) async fn all_stock(shared: Laid) -> Answer {
    apart(move || Ok(Json(rules::stock(&shared.bench())))).await?
}

/// Works on the bench, and answers with the scene that comes of it.
async fn stepped(
    shared: Laid,
    known: Option<u64>,
    work: impl FnOnce(&mut Bench) -> Result<(), Vec<Problem>> + Send + 'static,
) -> Answer {
    apart(move || {
        shared.work(|bench| {
            work(bench)?;
            Ok(Json(scene(bench, known)?))
        })
    })
    .await?
}

pub(super) async fn change(
    shared: Laid,
    Query(Known { known }): Query<Known>,
    headers: HeaderMap,
    body: Bytes,
) -> Answer {
    let change: Change = heard(&headers, &body)?;
    stepped(shared, known, move |bench| bench.change(&change)).await
}

pub(super) async fn undo(shared: Laid, Query(Known { known }): Query<Known>) -> Answer {
    stepped(shared, known, Bench::undo).await
}

pub(super) async fn redo(shared: Laid, Query(Known { known }): Query<Known>) -> Answer {
    stepped(shared, known, Bench::redo).await
}

pub(super) async fn save(shared: Laid, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || {
        let mut bench = shared.bench();
        let saved = bench.save()?;
        let names = saved.iter().filter_map(|file| file.file_name());
        let names: Vec<_> = names.map(|name| name.to_string_lossy()).collect();
        Ok(Json(json!({ "saved": names, "scene": scene(&bench, known)? })))
    })
    .await?
}

/// A body of JSON.
pub(super) fn heard<T: for<'de> Deserialize<'de>>(
    headers: &HeaderMap,
    body: &[u8],
) -> Result<T, Refused> {
    let is_json = headers
        .get(header::CONTENT_TYPE)
        .and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| kind.starts_with("application/json"));
    let problem = |found: String| {
        let problem = Problem::error("request").found(found).expected("a change as JSON");
        Refused::from(problem.remedy("reload the page"))
    };
    if !is_json {
        return Err(problem("another kind of body".to_owned()));
    }
    serde_json::from_slice(body).map_err(|error| problem(error.to_string()))
}

pub(super) async fn raster(shared: Laid, Path(name): Path<String>) -> Result<Response, Refused> {
    let (now, _) = shared.now();
    let picture = apart(move || png_of(&now, name.strip_suffix(".png")?)).await?;
    Ok(picture_or_none(picture))
}

fn picture_or_none(picture: Option<Vec<u8>>) -> Response {
    match picture {
        Some(png) => ([(header::CONTENT_TYPE, "image/png")], png).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

pub(super) async fn cover(shared: Laid) -> Answer {
    apart(move || {
        let (now, revision) = shared.now();
        let mut told = shared.cover.told(&now, revision)?;
        if let Value::Object(told) = &mut told {
            told.insert("revision".to_owned(), revision.into());
        }
        Ok(Json(told))
    })
    .await?
}

/// What the last change of the plan did to cover, before and after.
pub(super) async fn cover_change(shared: Laid) -> Answer {
    apart(move || {
        let Some([(before, was), (now, revision)]) = shared.last_two() else {
            return Ok(Json(json!({ "revision": shared.now().1, "figures": [] })));
        };
        let figures = shared.cover.change((&before, was), (&now, revision))?;
        Ok(Json(json!({ "revision": revision, "figures": figures })))
    })
    .await?
}

/// `today.png`, or years after the first planting winter.
pub(super) async fn cover_picture(
    shared: Laid,
    Path(name): Path<String>,
) -> Result<Response, Refused> {
    let year = match name.strip_suffix(".png") {
        Some("today" | "null") => None,
        Some(year) => match year.parse() {
            Ok(year) => Some(year),
            Err(_) => return Ok(StatusCode::NOT_FOUND.into_response()),
        },
        None => return Ok(StatusCode::NOT_FOUND.into_response()),
    };
    apart(move || {
        let (now, revision) = shared.now();
        Ok(picture_or_none(shared.cover.png(&now, revision, year)?))
    })
    .await?
}

pub(super) async fn mother_trees(shared: Laid) -> Answer {
    apart(move || Ok(Json(trees(&shared.now().0)?))).await?
}

pub(super) async fn terrain(shared: Laid) -> Answer {
    let (now, _) = shared.now();
    apart(move || {
        let heights = heights(&now);
        let [least, most] = range(&heights);
        let grid = heights.grid();
        Ok(Json(json!({
            "columns": grid.cols(),
            "rows": grid.rows(),
            "extent": extent(grid),
            "least_m": least,
            "most_m": most,
        })))
    })
    .await?
}

/// Heights, metres, as 32-bit numbers with the low byte first, row by row from the north; holes are NaN.
pub(super) async fn terrain_heights(shared: Laid) -> Result<Response, Refused> {
    let (now, _) = shared.now();
    let bytes: Vec<u8> =
        apart(move || heights(&now).cells().iter().flat_map(|cell| cell.to_le_bytes()).collect())
            .await?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], bytes).into_response())
}

pub(super) async fn report(shared: Laid, headers: HeaderMap, body: Bytes) -> Answer {
    let asked: ReportAsked = heard(&headers, &body)?;
    handed_over(shared, move |now, plan| report_of(now, plan, &asked)).await
}

pub(super) async fn export(shared: Laid) -> Answer {
    handed_over(shared, export_of).await
}

/// Writes what is handed over, one at a time; it is of the saved files.
async fn handed_over(
    shared: Laid,
    write: impl FnOnce(&PlanNow, &Plan) -> Result<Value, Vec<Problem>> + Send + 'static,
) -> Answer {
    apart(move || {
        let _alone = shared.handing.lock().unwrap_or_else(PoisonError::into_inner);
        let (now, plan) = shared.bench().handed_over()?;
        Ok(Json(write(&now, &plan)?))
    })
    .await?
}

pub(super) async fn file(shared: Laid, Path((folder, name)): Path<(String, String)>) -> Response {
    let (now, _) = shared.now();
    let Some(file) = file_of(&now, &folder, &name) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    match tokio::fs::read(&file).await {
        // Never shown inside the page's own origin: a report is a page of its own.
        Ok(bytes) => {
            let told = [
                (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
                (header::CONTENT_DISPOSITION, "attachment".to_owned()),
            ];
            (told, bytes).into_response()
        }
        Err(_) => StatusCode::NOT_FOUND.into_response(),
    }
}
