//! A season as files.

use std::path::Path;

use super::columns::{BLOOM_BLOCKS, BLOOM_WEEKS, HIVE_SITES};
use super::page::page;
use super::rows::{HiveRow, Season};
use crate::pipeline::on_globe;
use crate::problem::Problem;
use crate::read::Crs;
use crate::write::{About, Points, StagedFolder, WayPoint, Written, write_tables};

/// One row for each line in each zone.
pub const BLOOM_BLOCKS_CSV: &str = "bloom_blocks.csv";
/// One row for each of those and each week in which it flowers.
pub const BLOOM_WEEKS_CSV: &str = "bloom_weeks.csv";
/// Hive sites, the best first.
pub const HIVE_SITES_CSV: &str = "hive_sites.csv";
/// Hive sites as way points.
pub const HIVE_SITES_GPX: &str = "hive_sites.gpx";
/// Hive sites as a layer.
pub const HIVE_SITES_GPKG: &str = "hive_sites.gpkg";
/// The page to read and print.
pub const SEASON_HTML: &str = "season.html";
/// The record.
pub const SEASON_JSON: &str = "season.json";
/// Schema of the record, its first member.
pub const SEASON_SCHEMA: &str = "hillweave.season/1";

/// Writes every file of a season into a folder, whole or not at all, and says which. Hive sites are left out
/// where there is none.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk or a file format refuses. Nothing new is left
/// then, and what was there stays.
pub fn write_season(
    season: &Season,
    crs: &Crs,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(SEASON_JSON, season)?;
    folder.table(BLOOM_BLOCKS_CSV, &BLOOM_BLOCKS, &season.blocks, season)?;
    folder.table(BLOOM_WEEKS_CSV, &BLOOM_WEEKS, &season.weeks, season)?;
    if !season.hives.is_empty() {
        folder.table(HIVE_SITES_CSV, &HIVE_SITES, &season.hives, season)?;
        let points = points(season);
        let to_lon_lat = |places: &mut [(f64, f64)]| on_globe(crs, places, HIVE_SITES_GPX);
        let way_point = |hive: &HiveRow| WayPoint {
            name: hive.site_id.clone(),
            height_m: Some(hive.elevation_m as f32),
            about: format!("{}; look at the way in on foot first", hive.reason),
        };
        folder.write(HIVE_SITES_GPX, &points.gpx(&to_lon_lat, way_point)?)?;
        folder.make(HIVE_SITES_GPKG, |path| {
            write_tables(path, &[&points], &crs.definition(), &about(season))
        })?;
    }
    folder.write(SEASON_HTML, page(season).as_bytes())?;
    folder.commit()
}

fn about(season: &Season) -> About<'_> {
    About {
        title: format!("Hive sites: {}", season.site),
        summary: "Places beside tracks where hives may stand, the best first, to be looked at on site first.",
        inputs: &season.inputs,
        steps: &[
            "Places along tracks held against slope, water, lines and other rules of the site.",
            "Forage within flying distance of each added up, and the best taken one after another.",
        ],
        looks: Vec::new(),
    }
}

fn points(season: &Season) -> Points<'_, HiveRow, Season> {
    Points {
        name: "hive_sites",
        description: "Places where hives may stand, to be looked at on site first",
        columns: &HIVE_SITES,
        rows: &season.hives,
        whole: season,
        at: |hive| [hive.easting_m, hive.northing_m],
    }
}
