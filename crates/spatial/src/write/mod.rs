//! Plan → files.
//!
//! Every table is made from one list of columns ([`columns`]), and every file goes through one door
//! ([`StagedFolder`]): the folder appears whole or not at all. The GeoJSON, CSV and JSON of one plan are
//! the same bytes each time; no time of day and no path of the machine goes into them.

mod about;
mod blob;
mod cards;
pub mod columns;
mod described;
mod dictionary;
mod disk;
mod finite;
mod folder;
mod gdal_problem;
mod geojson;
mod geopackage;
mod geopackage_check;
mod html;
mod json;
mod layer;
mod layer_styles;
mod layer_table;
mod lon_lat;
mod one_file;
mod overviews;
mod paper;
mod plan_about;
mod plan_looks;
mod plants;
mod plots;
mod points;
mod project;
mod raster;
mod raster_windows;
mod schedule;
mod spatial_index;
mod sql;
mod stage;
mod table;
mod value;
mod workbook;

#[cfg(test)]
pub(crate) mod fixture;
#[cfg(test)]
mod globe_tests;
#[cfg(test)]
mod tests;

use std::path::Path;

pub(crate) use about::About;
pub use cards::{CARDS_CSV, cards_csv};
pub use dictionary::dictionary_markdown;
pub use folder::{StagedFolder, Written};
pub(crate) use gdal_problem::gdal_problem;
pub(crate) use geojson::collection;
pub use geopackage::write_geopackage;
pub(crate) use geopackage::{field_type, write_tables};
pub(crate) use html::{PAGE_END, UPRIGHT, page_head, put};
pub(crate) use json::pretty_json;
pub use json::{PLAN_JSON, SCHEMA, plan_json};
pub(crate) use layer::Layer;
pub use lon_lat::ToLonLat;
pub(crate) use lon_lat::{all_on_globe, bounds, rounded_degrees};
pub use one_file::{beside, write_text};
pub use paper::Paper;
pub(crate) use plants::{PLANTS_CSV, PLANTS_GPX};
pub(crate) use plots::{COUNTING_CSV, PLOTS_CSV, PLOTS_GPX};
pub(crate) use points::{Points, WayPoint};
pub use raster::{Cell, write_raster};
pub use raster_windows::RasterWindows;
pub(crate) use schedule::{ORDERS_CSV, disarmed, orders_csv};
pub use schedule::{SCHEDULE_CSV, schedule_csv};
pub use stage::{Stage, break_off};
pub(crate) use table::joined;
pub use value::{Kind, Value};
pub(crate) use workbook::SCHEDULE_XLSX;

use crate::plan::{Plan, Reach};
use crate::problem::Problem;

/// Name of the GeoPackage.
pub const PLAN_GPKG: &str = "plan.gpkg";
/// Name of the project that opens the GeoPackage with its styles.
pub const PLAN_QGS: &str = "plan.qgs";
/// Name of the zones' GeoJSON.
pub const ZONES_GEOJSON: &str = "zones.geojson";
/// The page of a report.
pub const REPORT_HTML: &str = "report.html";
/// A report to print.
pub const REPORT_PDF: &str = "report.pdf";
/// The record of a report.
pub const REPORT_JSON: &str = "report.json";
/// Name of the blocks' GeoJSON.
pub const BLOCKS_GEOJSON: &str = "blocks.geojson";

/// What may be written beside `plan.json`, which is always written: it marks the folder as a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Output {
    /// `plan.gpkg`, and `plan.qgs` that opens it.
    GeoPackage,
    /// `zones.geojson`.
    Zones,
    /// `blocks.geojson`.
    Blocks,
    /// `schedule.csv` and `orders.csv`.
    Schedule,
    /// `schedule.xlsx`.
    Workbook,
    /// `cards.csv`.
    Cards,
    /// `plants.csv` and `plants.gpx`, where plants have places.
    Plants,
    /// `plots.csv`, `plots.gpx` and `counting.csv`, where plots are laid out.
    Plots,
}

impl Output {
    /// Everything.
    pub const ALL: [Self; 8] = [
        Self::GeoPackage,
        Self::Zones,
        Self::Blocks,
        Self::Schedule,
        Self::Workbook,
        Self::Cards,
        Self::Plants,
        Self::Plots,
    ];

    /// All that there is to write of a plan that goes so far.
    #[must_use]
    pub fn of(reach: Reach) -> &'static [Self] {
        match reach {
            Reach::Zones => &[Self::GeoPackage, Self::Zones],
            Reach::Orders => &Self::ALL,
        }
    }
}

/// Writes a plan into a new folder, or in place of an earlier plan when `overwrite` is set, and says
/// which files it wrote.
///
/// - `crs_wkt`: the plan's coordinate system, as WKT or `EPSG:code`;
/// - `to_lon_lat`: from easting and northing in it to longitude and latitude on WGS 84.
///
/// # Errors
/// When the folder may not be made or replaced, when the disk refuses, or when the plan cannot be
/// held by a file. Nothing new is left then, and an earlier plan stays as it was.
pub fn write_plan(
    plan: &Plan,
    crs_wkt: &str,
    to_lon_lat: ToLonLat<'_>,
    target: &Path,
    overwrite: bool,
    outputs: &[Output],
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.write(PLAN_JSON, &plan_json(plan)?)?;
    if outputs.contains(&Output::Schedule) {
        folder.write(SCHEDULE_CSV, &schedule_csv(plan)?)?;
        folder.write(ORDERS_CSV, &orders_csv(plan)?)?;
    }
    if outputs.contains(&Output::Workbook) {
        folder.write(SCHEDULE_XLSX, &workbook::schedule_xlsx(plan, to_lon_lat)?)?;
    }
    if outputs.contains(&Output::Cards) {
        folder.write(CARDS_CSV, &cards_csv(plan, to_lon_lat)?)?;
    }
    if outputs.contains(&Output::Zones) {
        folder.write(ZONES_GEOJSON, &zones_geojson(plan, to_lon_lat)?)?;
    }
    if outputs.contains(&Output::Blocks) {
        folder.write(BLOCKS_GEOJSON, &blocks_geojson(plan, to_lon_lat)?)?;
    }
    if outputs.contains(&Output::Plants) && !plan.plants.is_empty() {
        folder.write(PLANTS_CSV, &plants::plants_csv(plan, to_lon_lat)?)?;
        folder.write(PLANTS_GPX, &plants::plants_gpx(plan, to_lon_lat)?)?;
    }
    if outputs.contains(&Output::Plots) && !plan.plots.is_empty() {
        folder.write(PLOTS_CSV, &plots::plots_csv(plan, to_lon_lat)?)?;
        folder.write(PLOTS_GPX, &plots::plots_gpx(plan, to_lon_lat)?)?;
        folder.write(COUNTING_CSV, &plots::counting_csv(plan)?)?;
    }
    if outputs.contains(&Output::GeoPackage) {
        folder.make(PLAN_GPKG, |path| write_geopackage(path, plan, crs_wkt))?;
        folder.write(PLAN_QGS, &geopackage::plan_project(plan, crs_wkt)?)?;
    }
    folder.commit()
}

/// The files of `styles/` one after another, each after a line `==> NAME <==`.
#[must_use]
pub fn styles_in_one() -> String {
    let one = |(name, text): (String, String)| format!("==> {name} <==\n{text}");
    palette::published().into_iter().map(one).collect()
}

/// `zones.geojson`: see [`ToLonLat`] for the transform.
///
/// # Errors
/// When a polygon cannot be moved to the globe or nothing is left of it there, or a number is not
/// finite.
pub fn zones_geojson(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    geojson::layer_geojson(&layer::zones(plan), to_lon_lat)
        .map_err(|problem| problem.file(ZONES_GEOJSON))
}

/// `blocks.geojson`: see [`ToLonLat`] for the transform.
///
/// # Errors
/// When a polygon cannot be moved to the globe or nothing is left of it there, or a number is not
/// finite.
pub fn blocks_geojson(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    geojson::layer_geojson(&layer::blocks(plan), to_lon_lat)
        .map_err(|problem| problem.file(BLOCKS_GEOJSON))
}
