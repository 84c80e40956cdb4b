//! The plan that a check is made of: an earlier one, or one that is made now.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::{Plan, Reach, plan_file, read_plan};
use crate::pipeline::{self, Stage};
use crate::problem::Problem;

/// Seed of the plan that is made where none is given: the one that `hillweave plan` takes.
pub const USUAL_SEED: u64 = 1;

/// What to do about a plan that plants nothing.
pub(crate) const WHY_NOTHING: &str = "a plan of zones alone (`--only zones`) has no blocks; in another, `left_reason` \
    of its zones tells why nothing stands there: mend that, and plan again";

/// What a check asks of a plan, from `folder`, or of a plan of the site that is made now; the
/// same words either way. `enter` is told of each stage of a plan that is made.
///
/// # Errors
/// When the earlier plan cannot be read, or every problem that stops a new one.
pub(crate) fn given_or_made<T: DeserializeOwned>(
    site_file: &Path,
    folder: Option<&Path>,
    enter: &mut dyn FnMut(Stage),
) -> Result<T, Vec<Problem>> {
    match folder {
        Some(folder) => Ok(read_plan(folder)?),
        None => Ok(told(&pipeline::plan(site_file, Reach::Orders, USUAL_SEED, enter)?.plan)?),
    }
}

/// What a check asks of a plan, as its record tells it.
///
/// # Errors
/// When the plan cannot be put into words, a fault of the program.
pub(crate) fn told<T: DeserializeOwned>(plan: &Plan) -> Result<T, Problem> {
    let words = serde_json::to_vec(plan).and_then(|bytes| serde_json::from_slice(&bytes));
    words.map_err(|error| {
        let problem = Problem::error("plan").found(error.to_string());
        let problem = problem.expected("a plan that can be written");
        problem.remedy("this is a fault of the program: please report it with the site folder")
    })
}

/// Layers that were changed since an earlier plan was made, told in one warning. The site file is left
/// out: what a check is asked for stands in it too.
///
/// # Errors
/// When there is no plan, or it is of another version or shape.
pub(crate) fn changed_since(
    folder: &Path,
    inputs: &[super::InputRecord],
) -> Result<Option<Problem>, Problem> {
    #[derive(Deserialize)]
    struct Inputs {
        inputs: Vec<Input>,
    }
    #[derive(Deserialize)]
    struct Input {
        file: PathBuf,
        sha256: String,
    }
    let earlier: Inputs = read_plan(folder)?;
    let earlier: BTreeMap<&Path, &str> =
        earlier.inputs.iter().map(|one| (one.file.as_path(), one.sha256.as_str())).collect();
    let is_changed = |one: &&super::InputRecord| {
        let known = earlier.get(one.file.as_path());
        one.role != "site" && known.is_some_and(|sum| *sum != one.sha256)
    };
    let changed: Vec<String> =
        inputs.iter().filter(is_changed).map(|one| one.file.display().to_string()).collect();
    Ok((!changed.is_empty()).then(|| {
        Problem::warning("plan")
            .file(plan_file(folder))
            .found(format!("made before {} changed", changed.join(", ")))
            .expected("a plan of these layers")
            .remedy("make the plan again with `hillweave plan`")
    }))
}
