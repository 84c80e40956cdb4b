//! What commands that write a folder have in common: refused before the work, told after it.

use std::path::Path;

use serde::Serialize;
use spatial::problem::Problem;
use spatial::write::{StagedFolder, Written};

use crate::outcome::Stop;
use crate::screen::{Ink, Screen};

/// Refuses an output folder now rather than after the work: one that may not be replaced, or the folder of the
/// plan that is read.
///
/// # Errors
/// When the folder is refused.
pub(crate) fn begin(plan: Option<&Path>, output: &Path, overwrite: bool) -> Result<(), Problem> {
    refuse_same(plan, output)?;
    drop(StagedFolder::begin(output, overwrite)?);
    Ok(())
}

/// A plan that is written over is lost.
fn refuse_same(plan: Option<&Path>, output: &Path) -> Result<(), Problem> {
    let Some(plan) = plan else { return Ok(()) };
    let plan = if plan.is_file() { plan.parent().unwrap_or(plan) } else { plan };
    match (plan.canonicalize(), output.canonicalize()) {
        (Ok(plan), Ok(target)) if plan == target => {}
        _ => return Ok(()),
    }
    let problem = Problem::error("--output").file(output).found("the folder of the plan");
    Err(problem.expected("another folder: the plan would be lost").remedy("name another folder"))
}

/// What a script is told.
#[derive(Serialize)]
struct Told<'a, Record> {
    #[serde(flatten)]
    record: &'a Record,
    files: &'a [Written],
}

/// Tells a record, as JSON or in words, and that `what` was written to a folder.
///
/// # Errors
/// When the screen refuses.
pub(crate) fn tell(
    screen: &Screen,
    record: &impl Serialize,
    words: &str,
    (what, folder): (&str, &Path),
    files: &[Written],
) -> Result<(), Stop> {
    screen.json(&Told { record, files })?;
    screen.words(words)?;
    let place = screen.ink(Ink::Hint, &folder.display().to_string());
    screen.words(&format!("{what} written to {place}: {}\n", names(files)))?;
    Ok(())
}

/// The names of the files written, in a sentence.
pub(crate) fn names(written: &[Written]) -> String {
    let names: Vec<String> = written.iter().map(|file| file.file.display().to_string()).collect();
    names.join(", ")
}
