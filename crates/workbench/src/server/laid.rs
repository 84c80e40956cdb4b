//! The bench as requests reach it.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::extract::FromRequestParts;
use axum::http::StatusCode;
use axum::http::request::Parts;

use super::Shared;
use crate::bench::Bench;
use crate::cover::CoverChecks;
use crate::plan_now::PlanNow;

/// A bench and what was reckoned of it when it was looked at.
#[derive(Clone)]
pub(super) struct Laid {
    bench: Arc<Mutex<Bench>>,
    /// For those who need not wait for the next plan.
    present: Arc<Mutex<Present>>,
    pub(super) cover: Arc<CoverChecks>,
    /// Held while something is handed over: one at a time.
    pub(super) handing: Arc<Mutex<()>>,
}

/// The present plan and the one before it, each with its revision.
#[derive(Clone)]
struct Present {
    now: (Arc<PlanNow>, u64),
    before: Option<(Arc<PlanNow>, u64)>,
}

impl Present {
    fn of(bench: &Bench) -> Self {
        let now = (Arc::clone(bench.now()), bench.revision());
        Self { now, before: bench.before().cloned() }
    }
}

impl Laid {
    pub(super) fn new(bench: Bench) -> Self {
        let present = Present::of(&bench);
        Self {
            bench: Arc::new(Mutex::new(bench)),
            present: Arc::new(Mutex::new(present)),
            cover: Arc::default(),
            handing: Arc::default(),
        }
    }

    /// The bench; whoever works on it, others wait for.
    pub(super) fn bench(&self) -> MutexGuard<'_, Bench> {
        // A step that panicked has changed nothing: a plan is made before the step is taken.
        self.bench.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Works on the bench, and shows what comes of it.
    pub(super) fn work<T>(&self, work: impl FnOnce(&mut Bench) -> T) -> T {
        let mut bench = self.bench();
        let done = work(&mut bench);
        *self.present.lock().unwrap_or_else(PoisonError::into_inner) = Present::of(&bench);
        done
    }

    /// The present plan with its revision; nobody waits for a plan in the making.
    pub(super) fn now(&self) -> (Arc<PlanNow>, u64) {
        self.present().now
    }

    /// The plan before the present one, and the present one.
    pub(super) fn last_two(&self) -> Option<[(Arc<PlanNow>, u64); 2]> {
        let Present { now, before } = self.present();
        Some([before?, now])
    }

    fn present(&self) -> Present {
        self.present.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The folder of the site.
    pub(super) fn folder(&self) -> PathBuf {
        self.now().0.fitted.site.folder().to_path_buf()
    }
}

/// There is no bench before there is a site.
impl FromRequestParts<Shared> for Laid {
    type Rejection = StatusCode;

    async fn from_request_parts(_: &mut Parts, shared: &Shared) -> Result<Self, StatusCode> {
        shared.laid.get().cloned().ok_or(StatusCode::NOT_FOUND)
    }
}
