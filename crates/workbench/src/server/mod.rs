//! The server: this machine alone, one sitting, one bench.

mod accept;
mod answers;
mod begin;
mod door;
mod laid;

use std::net::Ipv4Addr;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};
use std::time::Duration;

use axum::Router;
use axum::http::Uri;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{get, post, put};
use spatial::problem::Problem;
use spatial::site::SITE_FILE;
use tokio::net::TcpListener;

use crate::assets::asset;
use crate::bench::Bench;
use crate::guard::Guard;
use laid::Laid;

/// Largest change that is heard, bytes: a drawing of some ten thousand corners.
const LARGEST_CHANGE: usize = 1 << 20;

/// Longest that a request may take to arrive: a change in one piece, or the next piece of a file.
const LONGEST_REQUEST: Duration = Duration::from_secs(20);

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
    /// The folder of the site.
    folder: Arc<PathBuf>,
    /// The files of the folder as they were looked at last, while there is no site.
    files: begin::Found,
    /// The bench; none before there is a site.
    laid: Arc<OnceLock<Laid>>,
}

impl Open {
    /// Plans the site, where there is one, and takes the port; nothing is served before [`Sitting::serve`].
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
        let laid = OnceLock::new();
        let folder = if self.is_to_begin() {
            self.site.clone()
        } else {
            let bench = Laid::new(Bench::open(&self.site)?);
            let folder = bench.folder();
            laid.get_or_init(|| bench);
            folder
        };
        Ok(Sitting {
            listener,
            shared: Shared {
                guard: Arc::new(guard),
                folder: Arc::new(folder),
                files: begin::Found::default(),
                laid: Arc::new(laid),
            },
        })
    }

    /// Whether a folder without a site is named, from whose files one is to be made.
    #[must_use]
    pub fn is_to_begin(&self) -> bool {
        self.site.is_dir() && !self.site.join(SITE_FILE).exists()
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
        let served = runtime.block_on(async {
            self.listener.set_nonblocking(true)?;
            let listener = TcpListener::from_std(self.listener)?;
            let stop = async { drop(tokio::signal::ctrl_c().await) };
            accept::serve(listener, router(self.shared), stop).await;
            Ok(())
        });
        // A plan in the making is let go: it has written nothing.
        runtime.shutdown_background();
        served.map_err(refused)
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
        .route("/api/property", get(answers::property))
        .route("/api/scene", get(answers::present))
        .route("/api/opened", get(answers::as_opened))
        .route("/api/zone/{id}", get(answers::one_zone))
        .route("/api/rules", get(answers::all_rules))
        .route("/api/stock", get(answers::all_stock))
        .route("/api/change", post(answers::change))
        .route("/api/undo", post(answers::undo))
        .route("/api/redo", post(answers::redo))
        .route("/api/save", post(answers::save))
        .route("/api/raster/{name}", get(answers::raster))
        .route("/api/cover", get(answers::cover))
        .route("/api/cover/change", get(answers::cover_change))
        .route("/api/cover/{name}", get(answers::cover_picture))
        .route("/api/trees", get(answers::mother_trees))
        .route("/api/terrain", get(answers::terrain))
        .route("/api/terrain.bin", get(answers::terrain_heights))
        .route("/api/report", post(answers::report))
        .route("/api/export", post(answers::export))
        .route("/files/{folder}/{name}", get(answers::file))
        .fallback(async |address: Uri| asset(address.path().trim_start_matches('/')))
        .route("/api/begin", get(begin::state))
        .route("/api/begin/system", post(begin::system))
        .route("/api/begin/look", post(begin::looked))
        .route("/api/begin/plan", post(begin::plan))
        .layer(from_fn(door::whole))
        .route("/api/begin/files/{name}", put(begin::take_in))
        .layer(from_fn_with_state(shared.clone(), door::admitted));
    Router::new()
        .route("/", get(door::front))
        .merge(inside)
        .layer(from_fn(door::sealed))
        .with_state(shared)
}
