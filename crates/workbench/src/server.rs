//! The server: this machine alone, one sitting, one bench.

use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Path, Query, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::Deserialize;
use serde_json::{Value, json};
use spatial::problem::Problem;
use tokio::net::TcpListener;

use crate::assets::asset;
use crate::bench::Bench;
use crate::change::Change;
use crate::cover::CoverChecks;
use crate::guard::Guard;
use crate::hand_over::{ReportAsked, export_of, file_of, report_of};
use crate::pictures::{extent, heights, pictures, png_of};
use crate::plan_now::PlanNow;
use crate::scene::{coordinates, opened, scene, zone};
use crate::{rules, scene as scenes};

/// Largest change that is heard, bytes: a drawing of some ten thousand corners.
const LARGEST_CHANGE: usize = 1 << 20;

/// What to open, and where.
#[derive(Debug, Clone)]
pub struct Open {
    /// The site file or its folder.
    pub site: PathBuf,
    /// The port to listen on; 0: one that is free.
    pub port: u16,
}

/// A bench that listens.
pub struct Sitting {
    listener: std::net::TcpListener,
    shared: Shared,
}

/// What every request may need.
#[derive(Clone)]
struct Shared {
    guard: Arc<Guard>,
    bench: Arc<Mutex<Bench>>,
    cover: Arc<CoverChecks>,
}

impl Open {
    /// Plans the site and takes the port; nothing is served before [`Sitting::serve`].
    ///
    /// # Errors
    /// Every problem that stops the plan; a port that is taken.
    pub fn begin(&self) -> Result<Sitting, Vec<Problem>> {
        let listener = std::net::TcpListener::bind((Ipv4Addr::LOCALHOST, self.port))
            .map_err(|error| no_port(self.port, &error))?;
        let port = listener.local_addr().map_err(|error| no_port(self.port, &error))?.port();
        let guard = Guard::new(port).map_err(|error| {
            Problem::error("random bits")
                .found(error.to_string())
                .expected("a system that gives them")
                .remedy("without them the page cannot be kept to yourself")
        })?;
        let bench = Bench::open(&self.site)?;
        Ok(Sitting {
            listener,
            shared: Shared {
                guard: Arc::new(guard),
                bench: Arc::new(Mutex::new(bench)),
                cover: Arc::default(),
            },
        })
    }
}

impl Sitting {
    /// The address to open, good once.
    #[must_use]
    pub fn link(&self) -> String {
        self.shared.guard.link()
    }

    /// Serves until Ctrl-C.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn serve(self) -> Result<(), Problem> {
        let refused = |error: std::io::Error| {
            Problem::error("bench").found(error.to_string()).expected("a system that listens")
        };
        let runtime =
            tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(refused)?;
        runtime
            .block_on(async {
                self.listener.set_nonblocking(true)?;
                let listener = TcpListener::from_std(self.listener)?;
                let stop = async { drop(tokio::signal::ctrl_c().await) };
                axum::serve(listener, router(self.shared)).with_graceful_shutdown(stop).await
            })
            .map_err(refused)
    }
}

fn no_port(port: u16, error: &std::io::Error) -> Problem {
    Problem::error("--port")
        .found(format!("{port}: {error}"))
        .expected("a port that is free")
        .remedy("leave --port out, and one is found")
}

fn router(shared: Shared) -> Router {
    let inside = Router::new()
        .route("/api/property", get(property))
        .route("/api/scene", get(present))
        .route("/api/opened", get(as_opened))
        .route("/api/zone/{id}", get(one_zone))
        .route("/api/rules", get(all_rules))
        .route("/api/stock", get(all_stock))
        .route("/api/change", post(change))
        .route("/api/undo", post(undo))
        .route("/api/redo", post(redo))
        .route("/api/save", post(save))
        .route("/api/raster/{name}", get(raster))
        .route("/api/cover", get(cover))
        .route("/api/cover/{name}", get(cover_picture))
        .route("/api/terrain", get(terrain))
        .route("/api/terrain.bin", get(terrain_heights))
        .route("/api/report", post(report))
        .route("/api/export", post(export))
        .route("/files/{folder}/{name}", get(file))
        .fallback(async |address: Uri| asset(address.path().trim_start_matches('/')))
        .layer(DefaultBodyLimit::max(LARGEST_CHANGE))
        .layer(from_fn_with_state(shared.clone(), admitted));
    Router::new().route("/", get(front)).merge(inside).layer(from_fn(sealed)).with_state(shared)
}

/// Turns away who is not of this sitting.
async fn admitted(State(shared): State<Shared>, request: Request, next: Next) -> Response {
    match shared.guard.admit(request.method(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err(_) => StatusCode::FORBIDDEN.into_response(),
    }
}

/// What browsers are told of every answer: nothing from elsewhere, nothing kept, no frame around it.
async fn sealed(request: Request, next: Next) -> Response {
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

#[derive(Deserialize)]
struct Key {
    key: Option<String>,
}

/// The page, for who has the cookie; or the cookie, for who has the link.
async fn front(
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
        Ok(()) => asset(""),
        Err(_) => (StatusCode::FORBIDDEN, USED).into_response(),
    }
}

const USED: &str =
    "This link has been used, or is not of this sitting. Run `hillweave open` again for a new one.";

/// Problems as an answer.
struct Refused(Vec<Problem>);

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

type Answer = Result<Json<Value>, Refused>;

impl Shared {
    fn bench(&self) -> MutexGuard<'_, Bench> {
        // A step that panicked has changed nothing: states take their place when they are whole.
        self.bench.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The present plan with its revision.
    fn now(&self) -> (Arc<PlanNow>, u64) {
        let bench = self.bench();
        (Arc::clone(bench.now()), bench.revision())
    }
}

/// Work of some length, off the threads that listen.
async fn apart<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refused> {
    tokio::task::spawn_blocking(work).await.map_err(|error| {
        let problem = Problem::error("bench").found(error.to_string()).expected("an answer");
        problem.remedy("this is a fault of the program: please report it with what you did").into()
    })
}

async fn property(State(shared): State<Shared>) -> Answer {
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

#[derive(Deserialize)]
struct Known {
    known: Option<u64>,
}

async fn present(State(shared): State<Shared>, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || Ok(Json(scene(&shared.bench(), known)?))).await?
}

async fn as_opened(State(shared): State<Shared>) -> Answer {
    apart(move || Ok(Json(opened(&shared.bench())?))).await?
}

async fn one_zone(State(shared): State<Shared>, Path(id): Path<String>) -> Response {
    let (now, _) = shared.now();
    zone(&now, &id)
        .map_or_else(|| StatusCode::NOT_FOUND.into_response(), |told| Json(told).into_response())
}

async fn all_rules(State(shared): State<Shared>) -> Answer {
    Ok(Json(rules::rules(&shared.bench())?))
}

async fn all_stock(State(shared): State<Shared>) -> Answer {
    Ok(Json(rules::stock(&shared.bench())))
}

async fn change(
    State(shared): State<Shared>,
    Query(Known { known }): Query<Known>,
    headers: HeaderMap,
    body: Bytes,
) -> Answer {
    let change: Change = heard(&headers, &body)?;
    apart(move || {
        let mut bench = shared.bench();
        bench.change(&change)?;
        Ok(Json(scene(&bench, known)?))
    })
    .await?
}

async fn undo(State(shared): State<Shared>, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || {
        let mut bench = shared.bench();
        bench.undo()?;
        Ok(Json(scene(&bench, known)?))
    })
    .await?
}

async fn redo(State(shared): State<Shared>, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || {
        let mut bench = shared.bench();
        bench.redo()?;
        Ok(Json(scene(&bench, known)?))
    })
    .await?
}

async fn save(State(shared): State<Shared>, Query(Known { known }): Query<Known>) -> Answer {
    apart(move || {
        let mut bench = shared.bench();
        let saved = bench.save()?;
        let names: Vec<String> = saved
            .iter()
            .filter_map(|file| file.file_name())
            .map(|name| name.to_string_lossy().into_owned())
            .collect();
        Ok(Json(json!({ "saved": names, "scene": scenes::scene(&bench, known)? })))
    })
    .await?
}

/// A body of JSON.
fn heard<T: for<'de> Deserialize<'de>>(headers: &HeaderMap, body: &[u8]) -> Result<T, Refused> {
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

async fn raster(
    State(shared): State<Shared>,
    Path(name): Path<String>,
) -> Result<Response, Refused> {
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

async fn cover(State(shared): State<Shared>) -> Answer {
    apart(move || {
        let (now, revision) = shared.now();
        Ok(Json(shared.cover.told(&now, revision)?))
    })
    .await?
}

/// `today.png`, or years after the first planting winter.
async fn cover_picture(
    State(shared): State<Shared>,
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

async fn terrain(State(shared): State<Shared>) -> Answer {
    let (now, _) = shared.now();
    apart(move || {
        let heights = heights(&now);
        let known = heights.cells().iter().filter(|cell| cell.is_finite());
        let ends = known.fold([f32::INFINITY, f32::NEG_INFINITY], |[least, most], cell| {
            [least.min(*cell), most.max(*cell)]
        });
        let grid = heights.grid();
        Ok(Json(json!({
            "columns": grid.cols(),
            "rows": grid.rows(),
            "extent": extent(grid),
            "least_m": ends[0],
            "most_m": ends[1],
        })))
    })
    .await?
}

/// Heights, metres, as 32-bit numbers with the low byte first, row by row from the north; holes are NaN.
async fn terrain_heights(State(shared): State<Shared>) -> Result<Response, Refused> {
    let (now, _) = shared.now();
    let bytes: Vec<u8> =
        apart(move || heights(&now).cells().iter().flat_map(|cell| cell.to_le_bytes()).collect())
            .await?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], bytes).into_response())
}

async fn report(State(shared): State<Shared>, headers: HeaderMap, body: Bytes) -> Answer {
    let asked: ReportAsked = heard(&headers, &body)?;
    apart(move || Ok(Json(report_of(&*saved_plan(&shared)?, &asked)?))).await?
}

async fn export(State(shared): State<Shared>) -> Answer {
    apart(move || Ok(Json(export_of(&*saved_plan(&shared)?)?))).await?
}

/// The plan, when its files are saved: what is handed over must be what the files make.
fn saved_plan(shared: &Shared) -> Result<Arc<PlanNow>, Problem> {
    let bench = shared.bench();
    let problem = Problem::error("hand over");
    if !bench.unsaved().is_empty() {
        let found = format!("changes in {} that are not saved", bench.unsaved().join(", "));
        return Err(problem
            .found(found)
            .expected("the files that the plan is made of")
            .remedy("save first"));
    }
    if !bench.stopped().is_empty() {
        return Err(problem
            .found("files that no plan can be made of")
            .expected("a plan")
            .remedy("mend what the page names, or take the last step back"));
    }
    Ok(Arc::clone(bench.now()))
}

async fn file(
    State(shared): State<Shared>,
    Path((folder, name)): Path<(String, String)>,
) -> Response {
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
