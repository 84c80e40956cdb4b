//! Folders that a command reads must not be those it writes.

use std::path::Path;

use spatial::problem::Problem;

/// Refuses an output folder that is the folder of the plan, if one is read: a plan that is written over is lost.
///
/// # Errors
/// When both are the same folder, by whatever name.
pub(crate) fn refuse_same(plan: Option<&Path>, output: &Path) -> Result<(), Problem> {
    let Some(plan) = plan else { return Ok(()) };
    match (plan.canonicalize(), output.canonicalize()) {
        (Ok(plan), Ok(target)) if plan == target => {}
        _ => return Ok(()),
    }
    let problem = Problem::error("--output").file(output).found("the folder of the plan");
    Err(problem.expected("another folder: the plan would be lost").remedy("name another folder"))
}
