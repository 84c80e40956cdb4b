//! `plan.gpkg`: the layers of the plan in a GeoPackage, read back before it counts as written.
//!
//! Source: Open Geospatial Consortium, "GeoPackage Encoding Standard", version 1.3: one `SQLite` file,
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
use gdal::vector::{Defn, Feature, FieldDefn, Layer as OgrLayer, LayerOptions, ToGdal};
use gdal::{Dataset, DriverManager};
use gdal_sys::{OGRFieldType, OGRwkbGeometryType};
use geo::orient::Direction;
use geo::{CoordsIter, MultiPolygon, Orient};

use super::columns::Column;
use super::gdal_problem::{crs_problem, gdal_problem};
use super::geopackage_check::check_layer;
use super::layer::{Layer, blocks, keep_clear, stands, zones};
use super::points::{Points, plants, plots};
use super::value::{Kind, Value};
use crate::plan::{Plan, Reach};
use crate::problem::Problem;

/// Settings for the time of writing, this thread only.
///
/// The date in the catalogue is fixed, so that equal plans are equal files. `SQLite` need not wait for
/// the disk at each step: the file is flushed as a whole before it takes its place.
const SETTINGS: [(&str, &str); 3] = [
    ("OGR_CURRENT_DATE", "2000-01-01T00:00:00.000Z"),
    ("OGR_SQLITE_JOURNAL", "DELETE"),
    ("OGR_SQLITE_SYNCHRONOUS", "OFF"),
];

/// Writes the plan's layers `zones`, `blocks` (unless it goes no farther than zones), `keep_clear`,
/// `stands`, `plants` (where plants have places) and `plots` (where some are laid out) into a new GeoPackage, then
/// reads every feature back and compares it with the plan.
///
/// `crs_wkt` is the coordinate system of the polygons, as WKT or `EPSG:code`; easting comes first.
///
/// # Errors
/// When the coordinate system is not understood, the disk refuses, or what is read back differs.
pub fn write_geopackage(path: &Path, plan: &Plan, crs_wkt: &str) -> Result<(), Problem> {
    new_geopackage(path, crs_wkt, |dataset, crs| {
        write_layer(dataset, &zones(plan), crs, path)?;
        if plan.reach == Reach::Orders {
            write_layer(dataset, &blocks(plan), crs, path)?;
        }
        write_layer(dataset, &keep_clear(plan), crs, path)?;
        write_layer(dataset, &stands(plan), crs, path)?;
        plants(plan).write(dataset, crs, path)?;
        plots(plan).write(dataset, crs, path)
    })?;
    check(path, plan)
}

/// Writes points alone into a new GeoPackage, then reads every one back and compares its place.
///
/// # Errors
/// As [`write_geopackage`].
pub(crate) fn write_points<Row, Whole>(
    path: &Path,
    points: &Points<'_, Row, Whole>,
    crs_wkt: &str,
) -> Result<(), Problem> {
    new_geopackage(path, crs_wkt, |dataset, crs| points.write(dataset, crs, path))?;
    let dataset =
        Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))?;
    points.check(&dataset, path)
}

/// Writes one layer of polygons into a new GeoPackage, then reads every one back and compares it.
///
/// # Errors
/// As [`write_geopackage`].
pub(crate) fn write_polygons<Row, Whole>(
    path: &Path,
    layer: &Layer<'_, Row, Whole>,
    crs_wkt: &str,
) -> Result<(), Problem> {
    new_geopackage(path, crs_wkt, |dataset, crs| write_layer(dataset, layer, crs, path))?;
    let dataset =
        Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))?;
    check_layer(&dataset, layer, path)
}

/// A new GeoPackage whose layers are written in one transaction.
fn new_geopackage(
    path: &Path,
    crs_wkt: &str,
    fill: impl FnOnce(&mut Dataset, &SpatialRef) -> Result<(), Problem>,
) -> Result<(), Problem> {
    let refused = |step: &'static str| move |error: GdalError| gdal_problem(path, step, &error);
    let mut crs =
        SpatialRef::from_definition(crs_wkt).map_err(|error| crs_problem(path, crs_wkt, &error))?;
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    let _settings = Settings::begin().map_err(refused("settings"))?;
    let mut dataset = create(path).map_err(refused("new GeoPackage"))?;
    let mut transaction = dataset.start_transaction().map_err(refused("transaction"))?;
    fill(&mut transaction, &crs)?;
    transaction.commit().map_err(refused("commit"))?;
    dataset.close().map_err(refused("close"))
}

/// Reads every feature of a GeoPackage and compares it with the plan.
fn check(path: &Path, plan: &Plan) -> Result<(), Problem> {
    let dataset =
        Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))?;
    check_layer(&dataset, &zones(plan), path)?;
    if plan.reach == Reach::Orders {
        check_layer(&dataset, &blocks(plan), path)?;
    }
    check_layer(&dataset, &keep_clear(plan), path)?;
    check_layer(&dataset, &stands(plan), path)?;
    plants(plan).check(&dataset, path)?;
    plots(plan).check(&dataset, path)
}

fn create(path: &Path) -> Result<Dataset, GdalError> {
    let mut options = CslStringList::new();
    options.set_name_value("VERSION", "1.3")?;
    DriverManager::get_driver_by_name("GPKG")?
        .create_with_band_type_with_options::<u8, _>(path, 0, 0, 0, &options)
}

fn write_layer<Row, Whole>(
    dataset: &mut Dataset,
    layer: &Layer<'_, Row, Whole>,
    crs: &SpatialRef,
    path: &Path,
) -> Result<(), Problem> {
    let refused = |error: GdalError| gdal_problem(path, layer.name, &error);
    let kind = OGRwkbGeometryType::wkbMultiPolygon;
    let named = (layer.name, layer.description);
    let table = create_table(dataset, named, kind, layer.columns, crs).map_err(refused)?;
    let shape = Defn::from_layer(&table);
    for row in layer.rows {
        let values = values(layer, row).map_err(|problem| problem.file(path))?;
        let polygons = polygons(layer, row).map_err(|problem| problem.file(path))?;
        write_feature(&table, &shape, &values, &polygons).map_err(refused)?;
    }
    Ok(())
}

/// A new table for points or polygons, with a column for each of `columns`.
pub(super) fn create_table<'a, Row, Whole>(
    dataset: &'a mut Dataset,
    (name, description): (&str, &str),
    ty: OGRwkbGeometryType::Type,
    columns: &[Column<Row, Whole>],
    crs: &SpatialRef,
) -> Result<OgrLayer<'a>, GdalError> {
    let description = format!("DESCRIPTION={description}");
    let table = dataset.create_layer(LayerOptions {
        name,
        srs: Some(crs),
        ty,
        options: Some(&["GEOMETRY_NAME=geom", "FID=fid", "SPATIAL_INDEX=YES", &description]),
    })?;
    for column in columns {
        FieldDefn::new(column.name, field_type(column.kind))?.add_to_layer(&table)?;
    }
    Ok(table)
}

/// The field type whose SQL type is TEXT, INTEGER or REAL.
fn field_type(kind: Kind) -> OGRFieldType::Type {
    match kind {
        Kind::Text => OGRFieldType::OFTString,
        Kind::Integer => OGRFieldType::OFTInteger64,
        Kind::Real => OGRFieldType::OFTReal,
    }
}

fn write_feature(
    table: &OgrLayer<'_>,
    shape: &Defn,
    values: &[Value],
    polygons: &MultiPolygon<f64>,
) -> Result<(), GdalError> {
    let mut feature = Feature::new(shape)?;
    set_fields(&mut feature, values)?;
    feature.set_geometry(polygons.to_gdal()?)?;
    feature.create(table)
}

pub(crate) fn set_fields(feature: &mut Feature<'_>, values: &[Value]) -> Result<(), GdalError> {
    for (field, value) in values.iter().enumerate() {
        match value {
            Value::Null => feature.set_field_null(field)?,
            Value::Text(text) => feature.set_field_string(field, text)?,
            Value::Integer(count) => feature.set_field_integer64(field, i64::try_from(*count)?)?,
            Value::Real(number) => feature.set_field_double(field, *number)?,
        }
    }
    Ok(())
}

/// A row's values, in the order of the columns.
pub(crate) fn values<Row, Whole>(
    layer: &Layer<'_, Row, Whole>,
    row: &Row,
) -> Result<Vec<Value>, Problem> {
    layer.columns.iter().map(|column| column.value(row, layer.whole)).collect()
}

/// A row's polygons, shells against the clock.
pub(crate) fn polygons<Row, Whole>(
    layer: &Layer<'_, Row, Whole>,
    row: &Row,
) -> Result<MultiPolygon<f64>, Problem> {
    let polygons = (layer.geometry)(row);
    if polygons.coords_iter().next().is_none() {
        return Err(layer.fault(row, "no polygon", "a polygon with area"));
    }
    match polygons.coords_iter().find(|corner| !(corner.x.is_finite() && corner.y.is_finite())) {
        Some(corner) => {
            let found = format!("a corner at ({}, {})", corner.x, corner.y);
            Err(layer.fault(row, found, "finite coordinates"))
        }
        None => Ok(polygons.orient(Direction::Default)),
    }
}

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
