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
    pub(super) cover: Arc<CoverChecks>,
}

impl Laid {
    pub(super) fn new(bench: Bench) -> Self {
        Self { bench: Arc::new(Mutex::new(bench)), cover: Arc::default() }
    }

    pub(super) fn bench(&self) -> MutexGuard<'_, Bench> {
        // A step that panicked has changed nothing: states take their place when they are whole.
        self.bench.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The present plan with its revision.
    pub(super) fn now(&self) -> (Arc<PlanNow>, u64) {
        let bench = self.bench();
        (Arc::clone(bench.now()), bench.revision())
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
