//! A check against rule sets as files.

use std::path::Path;

use super::CheckedEligible;
use super::columns::{PIECES, RESULTS};
use super::rows::{EligibleCheck, PieceRow};
use crate::problem::Problem;
use crate::write::{About, Layer, StagedFolder, Written, write_tables};

/// The record.
pub(crate) const ELIGIBLE_JSON: &str = "eligible.json";
/// Each test on each piece.
pub(crate) const ELIGIBLE_CSV: &str = "eligible.csv";
/// Pieces of planted ground.
pub(crate) const ELIGIBLE_GPKG: &str = "eligible.gpkg";
/// Schema of the record, its first member.
pub(super) const ELIGIBLE_SCHEMA: &str = "hillweave.eligible/1";

/// Writes every file of a check into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk or a file format refuses. Nothing new is left
/// then, and what was there stays.
pub fn write_eligible(
    checked: &CheckedEligible,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    let check = &checked.check;
    folder.record(ELIGIBLE_JSON, check)?;
    folder.table(ELIGIBLE_CSV, &RESULTS, &check.results, check)?;
    let crs = checked.crs.definition();
    folder.make(ELIGIBLE_GPKG, |path| write_tables(path, &[&layer(check)], &crs, &about(check)))?;
    folder.commit()
}

fn about(check: &EligibleCheck) -> About<'_> {
    About {
        title: format!("Planted ground held against rule sets: {}", check.site),
        summary: "Planted ground that hangs together, with the figures that rule sets ask for. Check with the scheme.",
        inputs: &check.inputs,
        steps: &[
            "Planted zones of the plan joined where they hang together.",
            "Area, width and cover of crowns of each piece measured, and held against each test.",
        ],
        looks: Vec::new(),
    }
}

fn layer(check: &EligibleCheck) -> Layer<'_, PieceRow, EligibleCheck> {
    Layer {
        name: "planted_pieces",
        description: "Planted ground that hangs together, held against rule sets: check with the scheme",
        id: "piece_id",
        columns: &PIECES,
        rows: &check.pieces,
        whole: check,
        geometry: |piece| &piece.geometry,
        row_id: |piece| &piece.piece_id,
        polygon_ha: |piece| piece.plan_area_ha,
    }
}
