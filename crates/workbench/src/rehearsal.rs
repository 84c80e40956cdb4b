//! A bench without a server: what requests of any bytes come to, for those who test it with many.

use std::path::Path;

use spatial::pipeline::hear;
use spatial::plan::Reach;
use spatial::problem::Problem;

use crate::change::Change;
use crate::edit::edited;
use crate::files::{Files, Places};
use crate::plan_now::PlanNow;

/// A site with its plan, and its files as texts; nothing of it changes.
pub struct Rehearsal {
    places: Places,
    files: Files,
    now: PlanNow,
}

impl Rehearsal {
    /// Plans a site.
    ///
    /// # Errors
    /// Every problem that stops its plan.
    pub fn open(site: &Path) -> Result<Self, Vec<Problem>> {
        let heard = hear(site, Reach::Orders)?;
        let places = Places::of(&heard.site);
        let files = places.read()?;
        Ok(Self { places, files, now: PlanNow::of(heard, None)? })
    }

    /// What a request of a change would come to: whether the files would then be sound. Bytes that are no change come to
    /// nothing.
    ///
    /// # Errors
    /// When the change cannot be written, or the files would then not be sound.
    pub fn hears(&self, request: &[u8]) -> Result<bool, Vec<Problem>> {
        let Ok(change) = serde_json::from_slice::<Change>(request) else { return Ok(false) };
        let (files, _) = edited(&self.files, &self.places, &self.now, &change)?;
        self.places.hear(&files)?;
        Ok(true)
    }
}
