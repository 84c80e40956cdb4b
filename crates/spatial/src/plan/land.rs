//! A property with the plan that stands on it.

use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;
use stock::Library;

use super::{Reach, USUAL_SEED, changed_since, plan_file, read_plan, told};
use crate::ground::Ground;
use crate::pipeline::{self, Fitted, Stage, Zoned};
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::Site;
use crate::stock_file;
use crate::zones::Zones;

/// A property with what is asked of the plan that stands on it: an earlier one, or one that is made now.
pub(crate) struct Land<T> {
    pub(crate) site: Site,
    pub(crate) library: Library,
    pub(crate) ready: Ready,
    pub(crate) ground: Ground,
    pub(crate) zones: Zones,
    /// What is asked of the plan.
    pub(crate) plan: T,
    /// Layers that were changed since an earlier plan was made.
    pub(crate) changed: Option<Problem>,
    /// The record of an earlier plan.
    pub(crate) plan_file: Option<PathBuf>,
}

impl<T: DeserializeOwned> Land<T> {
    /// Reads a property and the plan in a folder, or makes the plan. `enter` is told of each stage.
    ///
    /// # Errors
    /// Every problem of the site and its stock; a plan that cannot be read or made.
    pub(crate) fn read(
        site_file: &Path,
        folder: Option<&Path>,
        enter: &mut dyn FnMut(Stage),
    ) -> Result<Self, Vec<Problem>> {
        let Some(folder) = folder else {
            let fitted = pipeline::fitted(site_file, Reach::Orders, enter)?;
            let plan = pipeline::plan_of(&fitted, Reach::Orders, USUAL_SEED, enter)?;
            let Fitted { site, library, ready, ground, zones, .. } = fitted;
            let plan = told(&plan)?;
            return Ok(Self {
                site,
                library,
                ready,
                ground,
                zones,
                plan,
                changed: None,
                plan_file: None,
            });
        };
        let plan: T = read_plan(folder)?;
        let Zoned { site, ready, ground, zones, .. } = pipeline::zoned(site_file, enter)?;
        let library = stock_file::read(&site.stock)?;
        let changed = changed_since(folder, &ready.inputs)?;
        let plan_file = Some(plan_file(folder));
        Ok(Self { site, library, ready, ground, zones, plan, changed, plan_file })
    }
}

impl<T> Land<T> {
    /// A fault of the plan, naming the record of an earlier one.
    pub(crate) fn in_plan(&self, problem: Problem) -> Problem {
        match &self.plan_file {
            Some(file) => problem.file(file),
            None => problem,
        }
    }
}
