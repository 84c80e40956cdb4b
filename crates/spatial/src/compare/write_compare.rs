//! A comparison as files.

use std::path::Path;

use super::columns::{CHANGES, GROUND, LINES, ORDERS, ZONES};
use super::rows::{Comparison, PieceRow};
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::read::Crs;
use crate::write::{About, Layer, PLAN_JSON, StagedFolder, Written, write_tables};

/// The record.
pub const COMPARE_JSON: &str = "compare.json";
/// Schema of the record, its first member.
pub const COMPARE_SCHEMA: &str = "hillweave.compare/1";
/// Lines in both plans.
pub const COMPARE_LINES_CSV: &str = "compare_lines.csv";
/// Orders by line and winter in both plans.
pub const COMPARE_ORDERS_CSV: &str = "compare_orders.csv";
/// Ground from what to what.
pub const COMPARE_GROUND_CSV: &str = "compare_ground.csv";
/// Zones that are not the same polygon in both.
pub const COMPARE_ZONES_CSV: &str = "compare_zones.csv";
/// The ground piece by piece, as a map layer.
pub const COMPARE_GPKG: &str = "compare.gpkg";

/// Whether a file is one that a comparison writes.
pub(crate) fn is_compare_file(name: &str) -> bool {
    [
        COMPARE_JSON,
        COMPARE_LINES_CSV,
        COMPARE_ORDERS_CSV,
        COMPARE_GROUND_CSV,
        COMPARE_ZONES_CSV,
        COMPARE_GPKG,
    ]
    .contains(&name)
}

/// Writes every file of a comparison into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk or a file format refuses. Nothing new is left then, and what
/// was there stays.
pub fn write_compare(
    comparison: &Comparison,
    crs: &Crs,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(COMPARE_JSON, comparison)?;
    folder.table(COMPARE_LINES_CSV, &LINES, &comparison.lines, comparison)?;
    folder.table(COMPARE_ORDERS_CSV, &ORDERS, &comparison.orders, comparison)?;
    folder.table(COMPARE_GROUND_CSV, &GROUND, &comparison.ground, comparison)?;
    folder.table(COMPARE_ZONES_CSV, &ZONES, &comparison.zone_changes, comparison)?;
    let pieces = layer(comparison);
    let [first, second] = &comparison.plans;
    let inputs = [("first plan", first), ("second plan", second)].map(|(role, plan)| InputRecord {
        role: role.to_owned(),
        file: PLAN_JSON.into(),
        sha256: plan.plan_sha256.clone(),
    });
    let about = About {
        title: format!("What two plans differ in: {}", comparison.site),
        summary: "Ground of two plans of one property, in pieces by what stands on it in the first and in the second.",
        inputs: &inputs,
        steps: &[
            "Zones, stands and ground kept clear of both plans read from their GeoPackages.",
            "Equal polygons paired; the others laid over each other and cut.",
        ],
        looks: Vec::new(),
    };
    let crs = crs.definition();
    folder.make(COMPARE_GPKG, |path| write_tables(path, &[&pieces], &crs, &about))?;
    folder.commit()
}

fn layer(comparison: &Comparison) -> Layer<'_, PieceRow, Comparison> {
    Layer {
        name: "changes",
        description: "Ground of two plans: what stands on it in the first and in the second",
        id: "piece_id",
        columns: &CHANGES,
        rows: &comparison.pieces,
        whole: comparison,
        geometry: |piece| &piece.geometry,
        row_id: |piece| &piece.piece_id,
        polygon_ha: |piece| piece.plan_area_ha.0,
    }
}
