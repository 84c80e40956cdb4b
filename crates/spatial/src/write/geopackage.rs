//! `plan.gpkg`: the layers of the plan in a GeoPackage, read back before it counts as written.
//!
//! Source: Open Geospatial Consortium 12-128r17, "GeoPackage Encoding Standard", version 1.3: one `SQLite` file,
//! MULTIPOLYGON columns, an R-tree a layer. Version 1.3 is what readers of all ages take without a
//! warning.

use std::path::Path;

use gdal::config::{
    clear_thread_local_config_option, get_thread_local_config_option,
    set_thread_local_config_option,
};
use gdal::cpl::CslStringList;
use gdal::errors::GdalError;
use gdal::spatial_ref::{AxisMappingStrategy, SpatialRef};
use gdal::vector::{FieldDefn, LayerOptions};
use gdal::{Dataset, DriverManager};
use gdal_sys::{OGRFieldType, OGRwkbGeometryType};
use rusqlite::{Connection, OpenFlags, Transaction, params};

use super::about::{About, FIXED_TIME};
use super::described::describe;
use super::gdal_problem::{crs_problem, gdal_problem};
use super::geopackage_check::check_file;
use super::layer::{blocks, keep_clear, stands, zones};
use super::layer_styles::write_styles;
use super::plan_about::plan_about;
use super::plan_looks::project_layers;
use super::points::{plants, plots};
use super::project::project;
use super::spatial_index::{self, Asleep};
use super::sql::{self, sql_problem};
use super::table::{Geometry, Outline, Table, extent_of, joined};
use super::value::{Kind, Value};
use super::{PLAN_GPKG, PLAN_QGS};
use crate::plan::{Plan, Reach};
use crate::problem::Problem;

/// Settings of GDAL for the time of writing, this thread only.
///
/// The date in the catalogue is fixed, so that equal plans are equal files. `SQLite` need not wait for
/// the disk at each step: the file is flushed as a whole before it takes its place.
const SETTINGS: [(&str, &str); 3] = [
    ("OGR_CURRENT_DATE", FIXED_TIME),
    ("OGR_SQLITE_JOURNAL", "DELETE"),
    ("OGR_SQLITE_SYNCHRONOUS", "OFF"),
];

/// Writes the plan's layers `zones`, `blocks` (unless it goes no farther than zones), `keep_clear`,
/// `stands`, `plants` (where plants have places) and `plots` (where some are laid out) into a new GeoPackage, then
/// reads every feature back and compares it with the plan.
///
/// `crs_wkt` is the coordinate system of the polygons, as WKT or `EPSG:code`; easting comes first.
///
/// Cost: in order of the features; half a million plants take some seconds.
///
/// # Errors
/// When the coordinate system is not understood, the disk refuses, or what is read back differs.
pub fn write_geopackage(path: &Path, plan: &Plan, crs_wkt: &str) -> Result<(), Problem> {
    let (zones, blocks, keep_clear) = (zones(plan), blocks(plan), keep_clear(plan));
    let (stands, plants, plots) = (stands(plan), plants(plan), plots(plan));
    let mut tables: Vec<&dyn Table> = vec![&zones];
    if plan.reach == Reach::Orders {
        tables.push(&blocks);
    }
    tables.extend([&keep_clear as &dyn Table, &stands]);
    if !plants.rows.is_empty() {
        tables.push(&plants);
    }
    if !plots.rows.is_empty() {
        tables.push(&plots);
    }
    write_tables(path, &tables, crs_wkt, &plan_about(plan))
}

/// The one door: writes tables into a new GeoPackage, with what each column and the whole file say, then
/// reads every row back and compares it.
///
/// # Errors
/// As [`write_geopackage`].
pub(crate) fn write_tables(
    path: &Path,
    tables: &[&dyn Table],
    crs_wkt: &str,
    about: &About<'_>,
) -> Result<(), Problem> {
    let outlines: Vec<Outline> = tables.iter().map(|table| table.outline()).collect();
    new_geopackage(path, tables, &outlines, crs_wkt, about)?;
    check_file(path, &outlines)?;
    let dataset =
        Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))?;
    tables.iter().try_for_each(|table| table.check(&dataset, path))
}

/// GDAL makes the file and its empty tables; `SQLite` then fills them in one transaction.
fn new_geopackage(
    path: &Path,
    tables: &[&dyn Table],
    outlines: &[Outline],
    crs_wkt: &str,
    about: &About<'_>,
) -> Result<(), Problem> {
    let mut crs =
        SpatialRef::from_definition(crs_wkt).map_err(|error| crs_problem(path, crs_wkt, &error))?;
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    make_empty(path, &crs, outlines)
        .map_err(|error| gdal_problem(path, "new GeoPackage", &error))?;
    let refused = |step: &'static str| move |error| sql_problem(path, step, &error);
    let mut file =
        sql::open(path, OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(refused("new GeoPackage"))?;
    file.pragma_update(None, "synchronous", "OFF").map_err(refused("settings"))?;
    let transaction = file.transaction().map_err(refused("transaction"))?;
    for (table, outline) in tables.iter().zip(outlines) {
        fill(&transaction, *table, outline, path)?;
    }
    transaction.execute_batch(EXTENSIONS).map_err(refused("extensions"))?;
    describe(&transaction, outlines).map_err(refused("columns in words"))?;
    let extent = outlines.iter().filter_map(Outline::extent).reduce(joined);
    about.write(&transaction, &crs, extent).map_err(refused("metadata"))?;
    write_styles(&transaction, &about.looks).map_err(refused("styles"))?;
    transaction.commit().map_err(refused("commit"))?;
    file.close().map_err(|(_, error)| sql_problem(path, "close", &error))
}

/// A file with a table for each outline: its columns, its empty index, its rows in the catalogue.
fn make_empty(path: &Path, crs: &SpatialRef, outlines: &[Outline]) -> Result<(), GdalError> {
    let _settings = Settings::begin()?;
    let mut options = CslStringList::new();
    options.set_name_value("VERSION", "1.3")?;
    let mut dataset = DriverManager::get_driver_by_name("GPKG")?
        .create_with_band_type_with_options::<u8, _>(path, 0, 0, 0, &options)?;
    for outline in outlines {
        let description = format!("DESCRIPTION={}", outline.description);
        let table = dataset.create_layer(LayerOptions {
            name: outline.name,
            srs: Some(crs),
            ty: match outline.geometry {
                Geometry::Point => OGRwkbGeometryType::wkbPoint,
                Geometry::Polygons => OGRwkbGeometryType::wkbMultiPolygon,
            },
            options: Some(&["GEOMETRY_NAME=geom", "FID=fid", "SPATIAL_INDEX=YES", &description]),
        })?;
        for (name, kind) in &outline.fields {
            FieldDefn::new(name, field_type(*kind))?.add_to_layer(&table)?;
        }
    }
    dataset.close()
}

/// Fills a table, its index, and what the catalogue says of it. Its triggers, which would do that row by row,
/// sleep meanwhile.
fn fill(
    file: &Transaction<'_>,
    table: &dyn Table,
    outline: &Outline,
    path: &Path,
) -> Result<(), Problem> {
    let refused = |error| sql_problem(path, outline.name, &error);
    let asleep = Asleep::put(file, outline.name).map_err(refused)?;
    put_rows(file, table, outline, path)?;
    spatial_index::fill(file, outline.name, &outline.sides).map_err(refused)?;
    tell_catalogue(file, outline).map_err(refused)?;
    asleep.wake(file).map_err(refused)
}

fn put_rows(
    file: &Connection,
    table: &dyn Table,
    outline: &Outline,
    path: &Path,
) -> Result<(), Problem> {
    let refused = |error| sql_problem(path, outline.name, &error);
    let query =
        format!("SELECT srs_id FROM gpkg_geometry_columns WHERE table_name = '{}'", outline.name);
    let srs_id = sql::one(file, &query).map_err(refused)?.unwrap_or(0);
    let mut statement = file.prepare(&insertion(outline)).map_err(refused)?;
    let mut row_number = 0_i64;
    let mut put = |values: &[Value], blob: &[u8]| {
        row_number += 1;
        let mut put = || {
            statement.raw_bind_parameter(1, row_number)?;
            statement.raw_bind_parameter(2, blob)?;
            for (at, value) in values.iter().enumerate() {
                statement.raw_bind_parameter(at + 3, value)?;
            }
            statement.raw_execute()
        };
        put().map(drop).map_err(refused)
    };
    table.put_rows(srs_id, &mut put).map_err(|problem| problem.file(path))
}

fn insertion(outline: &Outline) -> String {
    let names: Vec<&str> =
        ["fid", "geom"].into_iter().chain(outline.fields.iter().map(|(name, _)| *name)).collect();
    let places = vec!["?"; names.len()].join(", ");
    format!("INSERT INTO {} (\"{}\") VALUES ({places})", outline.name, names.join("\", \""))
}

/// How many rows there are, and what they lie within.
fn tell_catalogue(file: &Connection, outline: &Outline) -> rusqlite::Result<()> {
    let name = outline.name;
    file.execute(
        "UPDATE gpkg_ogr_contents SET feature_count = ?1 WHERE table_name = ?2",
        params![outline.sides.len() as i64, name],
    )?;
    if let Some(extent) = outline.extent() {
        let (low, high) = (extent.min(), extent.max());
        file.execute(
            "UPDATE gpkg_contents SET min_x = ?1, min_y = ?2, max_x = ?3, max_y = ?4 \
             WHERE table_name = ?5",
            params![low.x, low.y, high.x, high.y, name],
        )?;
    }
    Ok(())
}

/// `plan.qgs`: the project that opens the layers of a plan in the GeoPackage beside it.
///
/// # Errors
/// When the coordinate system is not understood.
pub(super) fn plan_project(plan: &Plan, crs_wkt: &str) -> Result<Vec<u8>, Problem> {
    let crs = SpatialRef::from_definition(crs_wkt)
        .map_err(|error| crs_problem(Path::new(PLAN_QGS), crs_wkt, &error))?;
    let sides = [zones(plan).sides(), keep_clear(plan).sides(), stands(plan).sides()];
    let extent = extent_of(&sides.concat());
    let title = plan_about(plan).title;
    Ok(project(&title, PLAN_GPKG, &crs, extent, &project_layers(plan)).into_bytes())
}

/// The table of extensions, as the standard defines it; GDAL makes it only when it needs it.
const EXTENSIONS: &str = "CREATE TABLE IF NOT EXISTS gpkg_extensions (\
    table_name TEXT, \
    column_name TEXT, \
    extension_name TEXT NOT NULL, \
    definition TEXT NOT NULL, \
    scope TEXT NOT NULL, \
    CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name))";

/// The field type whose SQL type is TEXT, INTEGER or REAL.
pub(crate) fn field_type(kind: Kind) -> OGRFieldType::Type {
    match kind {
        Kind::Text => OGRFieldType::OFTString,
        Kind::Integer => OGRFieldType::OFTInteger64,
        Kind::Real => OGRFieldType::OFTReal,
    }
}

#[cfg(test)]
mod tests;

/// The settings as they were, to be put back.
struct Settings {
    before: Vec<(&'static str, String)>,
}

impl Settings {
    fn begin() -> Result<Self, GdalError> {
        let mut settings = Self { before: Vec::new() };
        for (key, value) in SETTINGS {
            settings.before.push((key, get_thread_local_config_option(key, "")?));
            set_thread_local_config_option(key, value)?;
        }
        Ok(settings)
    }
}

impl Drop for Settings {
    fn drop(&mut self) {
        for (key, before) in &self.before {
            // Nothing can be done in a drop; both calls fail only on a name with a zero byte.
            let _ = if before.is_empty() {
                clear_thread_local_config_option(key)
            } else {
                set_thread_local_config_option(key, before)
            };
        }
    }
}
