//! A property with the plan that stands on it.

use std::ops::Deref;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::de::DeserializeOwned;

use super::{Plan, Reach, USUAL_SEED, changed_since, plan_file, read_plan, told};
use crate::pipeline::{self, Property, Stage, Zoned};
use crate::problem::Problem;
use crate::stock_file;

/// A property with what is asked of the plan that stands on it: an earlier one, or one that is made now.
pub(crate) struct Land<T> {
    property: Arc<Property>,
    /// What is asked of the plan.
    pub(crate) plan: T,
    /// Layers that were changed since an earlier plan was made.
    pub(crate) changed: Option<Problem>,
    /// The record of an earlier plan.
    pub(crate) plan_file: Option<PathBuf>,
}

impl<T> Deref for Land<T> {
    type Target = Property;

    fn deref(&self) -> &Property {
        &self.property
    }
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
            let plan = told(&plan)?;
            return Ok(Self { property: fitted.property, plan, changed: None, plan_file: None });
        };
        let plan: T = read_plan(folder)?;
        let Zoned { site, ready, ground, zones, .. } = pipeline::zoned(site_file, enter)?;
        let library = stock_file::read(&site.stock)?;
        let changed = changed_since(folder, &ready.inputs)?;
        let plan_file = Some(plan_file(folder));
        let property = Arc::new(Property { site, library, ready, ground, zones });
        Ok(Self { property, plan, changed, plan_file })
    }

    /// A plan that was just made, on its property.
    ///
    /// # Errors
    /// When the plan cannot be put into words, a fault of the program.
    pub(crate) fn under(property: &Arc<Property>, plan: &Plan) -> Result<Self, Problem> {
        let property = Arc::clone(property);
        Ok(Self { property, plan: told(plan)?, changed: None, plan_file: None })
    }

    /// The plan in a folder on a property that was read before.
    ///
    /// # Errors
    /// When the plan cannot be read.
    pub(crate) fn of(property: &Arc<Property>, folder: &Path) -> Result<Self, Vec<Problem>> {
        let plan: T = read_plan(folder)?;
        let changed = changed_since(folder, &property.ready.inputs)?;
        let (property, plan_file) = (Arc::clone(property), Some(plan_file(folder)));
        Ok(Self { property, plan, changed, plan_file })
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
