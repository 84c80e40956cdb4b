//! The draws as files.

use std::path::Path;

use super::columns::{FIGURES, LINES, ZONES};
use super::rows::Chances;
use crate::problem::Problem;
use crate::write::{StagedFolder, Written, csv_of, pretty_json};

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
    folder.write(CHANCES_JSON, &pretty_json(chances).map_err(|p| p.file(CHANCES_JSON))?)?;
    let rows = chances.figures.iter().map(|row| (row, []));
    folder.write(CHANCES_CSV, &csv_of(&FIGURES, rows, chances, CHANCES_CSV, [])?)?;
    let rows = chances.lines.iter().map(|row| (row, []));
    folder.write(CHANCE_LINES_CSV, &csv_of(&LINES, rows, chances, CHANCE_LINES_CSV, [])?)?;
    let rows = chances.zones.iter().map(|row| (row, []));
    folder.write(CHANCE_ZONES_CSV, &csv_of(&ZONES, rows, chances, CHANCE_ZONES_CSV, [])?)?;
    folder.commit()
}
