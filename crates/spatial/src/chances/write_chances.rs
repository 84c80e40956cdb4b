//! The draws as files.

use std::path::Path;

use super::columns::{FIGURES, LINES, ZONES};
use super::rows::Chances;
use crate::problem::Problem;
use crate::write::{StagedFolder, Written};

/// Whole-plan figures.
pub(crate) const CHANCES_CSV: &str = "chances.csv";
/// Lines that are planted.
pub(crate) const CHANCE_LINES_CSV: &str = "chance_lines.csv";
/// Zones.
pub(crate) const CHANCE_ZONES_CSV: &str = "chance_zones.csv";
/// The record.
pub(crate) const CHANCES_JSON: &str = "chances.json";
/// Schema of the record, its first member.
pub(crate) const CHANCES_SCHEMA: &str = "hillweave.chances/1";

/// Writes every file into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk refuses. Nothing new is left then, and what was
/// there stays.
pub fn write_chances(
    chances: &Chances,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(CHANCES_JSON, chances)?;
    folder.table(CHANCES_CSV, &FIGURES, &chances.figures, chances)?;
    folder.table(CHANCE_LINES_CSV, &LINES, &chances.lines, chances)?;
    folder.table(CHANCE_ZONES_CSV, &ZONES, &chances.zones, chances)?;
    folder.commit()
}
