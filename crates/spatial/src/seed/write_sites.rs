//! A round of sampling as files.

use std::path::Path;

use super::field_columns::FIELD_SHEET;
use super::rows::{SeedSites, TreeRow};
use super::sheet::field_sheet_html;
use crate::pipeline::on_globe;
use crate::problem::Problem;
use crate::read::Crs;
use crate::write::{About, Points, StagedFolder, WayPoint, Written, write_tables};

/// Name of the table to fill in.
pub const FIELD_SHEET_CSV: &str = "field_sheet.csv";
/// Name of the way points.
pub const FIELD_SHEET_GPX: &str = "field_sheet.gpx";
/// Name of the GeoPackage.
pub const FIELD_SHEET_GPKG: &str = "field_sheet.gpkg";
/// Name of the page to print.
pub const FIELD_SHEET_HTML: &str = "field_sheet.html";
/// Name of the record.
pub const SEED_SITES_JSON: &str = "seed_sites.json";
/// Schema of the record, its first member.
pub const SEED_SITES_SCHEMA: &str = "hillweave.seed_sites/1";
/// The layer of the GeoPackage.
pub const MOTHER_TREES: &str = "mother_trees";

/// Writes every file of a round into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, holds a sheet that was filled in, or the disk or a file
/// format refuses. Nothing new is left then, and what was there stays.
pub fn write_sites(
    round: &SeedSites,
    crs: &Crs,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(SEED_SITES_JSON, round)?;
    folder.table(FIELD_SHEET_CSV, &FIELD_SHEET, &round.trees, round)?;
    let points = points(round);
    let to_lon_lat = |places: &mut [(f64, f64)]| on_globe(crs, places, FIELD_SHEET_GPX);
    let way_point = |tree: &TreeRow| WayPoint {
        name: tree.tree_id.clone(),
        height_m: Some(tree.elevation_m as f32),
        about: tree.caution.clone(),
    };
    folder.write(FIELD_SHEET_GPX, &points.gpx(&to_lon_lat, way_point)?)?;
    folder.write(FIELD_SHEET_HTML, field_sheet_html(round).as_bytes())?;
    folder.make(FIELD_SHEET_GPKG, |path| {
        write_tables(path, &[&points], &crs.definition(), &about(round))
    })?;
    folder.commit()
}

fn about(round: &SeedSites) -> About<'_> {
    About {
        title: format!("Places where mother trees are looked for: {}", round.site),
        summary: "Places drawn at random and spread evenly over local stands; blank fields are filled in there.",
        inputs: &round.inputs,
        steps: &[
            "Ground of the stands too steep to work on left out.",
            "Places drawn from the rest, spread evenly, with the seed of the site's random draws.",
        ],
        looks: Vec::new(),
    }
}

fn points(round: &SeedSites) -> Points<'_, TreeRow, SeedSites> {
    Points {
        name: MOTHER_TREES,
        description: "Places where mother trees are looked for; blank fields are filled in there",
        columns: &FIELD_SHEET,
        rows: &round.trees,
        whole: round,
        at: |tree| [tree.easting_m, tree.northing_m],
    }
}
