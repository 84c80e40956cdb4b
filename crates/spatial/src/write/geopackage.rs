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
use gdal::vector::{Defn, Feature, FieldDefn, Geometry, Layer as OgrLayer, LayerOptions, ToGdal};
use gdal::{Dataset, DriverManager};
use gdal_sys::{OGRFieldType, OGRwkbGeometryType};
use geo::orient::Direction;
use geo::{BoundingRect, CoordsIter, MultiPolygon, Orient, Rect};

use super::about::{About, FIXED_TIME};
use super::columns::Column;
use super::described::{ColumnWords, describe, words_of};
use super::gdal_problem::{crs_problem, gdal_problem};
use super::geopackage_check::{check_file, check_layer};
use super::layer::{Layer, blocks, keep_clear, stands, zones};
use super::layer_styles::write_styles;
use super::plan_about::plan_about;
use super::plan_looks::project_layers;
use super::points::{Points, plants, plots};
use super::project::project;
use super::spatial_index::{self, Asleep, Sides};
use super::sql;
use super::value::{Kind, Value};
use super::{PLAN_GPKG, PLAN_QGS};
use crate::plan::{Plan, Reach};
use crate::problem::Problem;

/// Settings for the time of writing, this thread only.
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
    let about = plan_about(plan);
    new_geopackage(path, crs_wkt, &about, |package| {
        package.layer(&zones(plan))?;
        if plan.reach == Reach::Orders {
            package.layer(&blocks(plan))?;
        }
        package.layer(&keep_clear(plan))?;
        package.layer(&stands(plan))?;
        plants(plan).write(package)?;
        plots(plan).write(package)
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
    about: &About<'_>,
) -> Result<(), Problem> {
    new_geopackage(path, crs_wkt, about, |package| points.write(package))?;
    points.check(&opened(path)?, path)
}

/// Writes one layer of polygons into a new GeoPackage, then reads every one back and compares it.
///
/// # Errors
/// As [`write_geopackage`].
pub(crate) fn write_polygons<Row, Whole>(
    path: &Path,
    layer: &Layer<'_, Row, Whole>,
    crs_wkt: &str,
    about: &About<'_>,
) -> Result<(), Problem> {
    new_geopackage(path, crs_wkt, about, |package| package.layer(layer))?;
    check_layer(&opened(path)?, layer, path)
}

fn opened(path: &Path) -> Result<Dataset, Problem> {
    Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))
}

/// The one door: a new GeoPackage whose layers are written in one transaction, with what each column and
/// the whole file say, and whose tables are read back. Returns its layers.
fn new_geopackage(
    path: &Path,
    crs_wkt: &str,
    about: &About<'_>,
    fill: impl FnOnce(&mut Package<'_>) -> Result<(), Problem>,
) -> Result<Vec<LayerMade>, Problem> {
    let refused = |step: &'static str| move |error: GdalError| gdal_problem(path, step, &error);
    let mut crs =
        SpatialRef::from_definition(crs_wkt).map_err(|error| crs_problem(path, crs_wkt, &error))?;
    crs.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
    let _settings = Settings::begin().map_err(refused("settings"))?;
    let mut dataset = create(path).map_err(refused("new GeoPackage"))?;
    let mut transaction = dataset.start_transaction().map_err(refused("transaction"))?;
    sql::run(&transaction, EXTENSIONS).map_err(refused("extensions"))?;
    let mut package = Package { dataset: &mut transaction, crs: &crs, path, layers: Vec::new() };
    fill(&mut package)?;
    let layers = package.layers;
    // GDAL stores its own extents now, so that nothing is left for the end.
    transaction.flush_cache().map_err(refused("layers"))?;
    for layer in &layers {
        finish(&transaction, layer).map_err(|error| gdal_problem(path, layer.name, &error))?;
    }
    store_extents(&transaction, &layers).map_err(refused("extents"))?;
    let columns = layers.iter().map(|layer| (layer.name, &layer.columns[..]));
    describe(&transaction, columns).map_err(refused("columns in words"))?;
    let extent = layers.iter().filter_map(|layer| layer.extent).reduce(joined);
    about.write(&transaction, &crs, extent).map_err(refused("metadata"))?;
    write_styles(&transaction, &about.looks).map_err(refused("styles"))?;
    transaction.commit().map_err(refused("commit"))?;
    dataset.close().map_err(refused("close"))?;
    check_file(path, &layers)?;
    Ok(layers)
}

/// Stores the extents as the shortest numbers that mean the same: GDAL writes 18 digits, of which `SQLite` may
/// make the neighbour of the number that was meant, so that a feature sticks out of its layer.
fn store_extents(dataset: &Dataset, layers: &[LayerMade]) -> Result<(), GdalError> {
    for layer in layers {
        let Some(extent) = layer.extent else { continue };
        let (low, high) = (extent.min(), extent.max());
        sql::run(
            dataset,
            &format!(
                "UPDATE gpkg_contents SET min_x = {:?}, min_y = {:?}, max_x = {:?}, max_y = {:?} \
                 WHERE table_name = '{}'",
                low.x, low.y, high.x, high.y, layer.name
            ),
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
    let sides = [sides_of(&zones(plan)), sides_of(&keep_clear(plan)), sides_of(&stands(plan))];
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

/// A GeoPackage while its layers are written.
pub(super) struct Package<'a> {
    dataset: &'a mut Dataset,
    crs: &'a SpatialRef,
    path: &'a Path,
    layers: Vec<LayerMade>,
}

/// A layer as it must be found in the file.
#[derive(Debug)]
pub(super) struct LayerMade {
    /// Its name.
    pub(super) name: &'static str,
    /// How many features it has.
    pub(super) features: u64,
    /// What they lie within; `None` where there are none.
    pub(super) extent: Option<Rect<f64>>,
    /// What each lies within, in their order.
    sides: Vec<Sides>,
    /// Triggers that sleep while it is filled.
    asleep: Asleep,
    /// Its columns in words.
    pub(super) columns: Vec<ColumnWords>,
}

impl Package<'_> {
    /// Where it is.
    pub(super) fn path(&self) -> &Path {
        self.path
    }

    /// A new table for points or polygons, with a column for each of `columns`, for features that lie within
    /// `sides`, in their order. Its index is filled at the end.
    pub(super) fn table<Row, Whole>(
        &mut self,
        (name, description): (&'static str, &str),
        ty: OGRwkbGeometryType::Type,
        columns: &[Column<Row, Whole>],
        sides: Vec<Sides>,
    ) -> Result<OgrLayer<'_>, GdalError> {
        let geometry =
            if ty == OGRwkbGeometryType::wkbPoint { "Point" } else { "Polygons (MULTIPOLYGON)" };
        let columns_in_words = words_of(columns, geometry);
        let description = format!("DESCRIPTION={description}");
        let table = self.dataset.create_layer(LayerOptions {
            name,
            srs: Some(self.crs),
            ty,
            options: Some(&["GEOMETRY_NAME=geom", "FID=fid", "SPATIAL_INDEX=YES", &description]),
        })?;
        for column in columns {
            FieldDefn::new(column.name, field_type(column.kind))?.add_to_layer(&table)?;
        }
        self.dataset.flush_cache()?; // makes the table, its empty index and their triggers
        self.layers.push(LayerMade {
            name,
            features: sides.len() as u64,
            extent: extent_of(&sides),
            sides,
            asleep: Asleep::put(self.dataset, name)?,
            columns: columns_in_words,
        });
        self.dataset.layer_by_name(name)
    }

    fn layer<Row, Whole>(&mut self, layer: &Layer<'_, Row, Whole>) -> Result<(), Problem> {
        let path = self.path;
        let refused = |error: GdalError| gdal_problem(path, layer.name, &error);
        let kind = OGRwkbGeometryType::wkbMultiPolygon;
        let named = (layer.name, layer.description);
        let table = self.table(named, kind, layer.columns, sides_of(layer)).map_err(refused)?;
        let shape = Defn::from_layer(&table);
        for row in layer.rows {
            let values = values(layer, row).map_err(|problem| problem.file(path))?;
            let polygons = polygons(layer, row).map_err(|problem| problem.file(path))?;
            write_feature(&table, &shape, &values, &polygons).map_err(refused)?;
        }
        Ok(())
    }
}

/// Fills the index of a layer, and wakes its triggers.
fn finish(dataset: &Dataset, layer: &LayerMade) -> Result<(), GdalError> {
    spatial_index::fill(dataset, layer.name, &layer.sides)?;
    layer.asleep.wake(dataset)
}

/// What each polygon of a layer lies within. A polygon without corners is refused when it is written.
fn sides_of<Row, Whole>(layer: &Layer<'_, Row, Whole>) -> Vec<Sides> {
    let sides =
        |around: Rect<f64>| [around.min().x, around.max().x, around.min().y, around.max().y];
    layer.rows.iter().filter_map(|row| (layer.geometry)(row).bounding_rect()).map(sides).collect()
}

/// What all of them lie within.
fn extent_of(sides: &[Sides]) -> Option<Rect<f64>> {
    let around = |[west, east, south, north]: &Sides| Rect::new((*west, *south), (*east, *north));
    sides.iter().map(around).reduce(joined)
}

/// The least rectangle around two.
pub(super) fn joined(a: Rect<f64>, b: Rect<f64>) -> Rect<f64> {
    let (low, high) = (a.min(), a.max());
    Rect::new(
        (low.x.min(b.min().x), low.y.min(b.min().y)),
        (high.x.max(b.max().x), high.y.max(b.max().y)),
    )
}

/// Reads every feature of a GeoPackage and compares it with the plan.
fn check(path: &Path, plan: &Plan) -> Result<(), Problem> {
    let dataset = opened(path)?;
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

/// The field type whose SQL type is TEXT, INTEGER or REAL.
pub(crate) fn field_type(kind: Kind) -> OGRFieldType::Type {
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

/// A point, easting and northing.
pub(crate) fn point([x, y]: [f64; 2]) -> Result<Geometry, GdalError> {
    let mut point = Geometry::empty(OGRwkbGeometryType::wkbPoint)?;
    point.set_point_2d(0, (x, y));
    Ok(point)
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

#[cfg(test)]
#[path = "geopackage_tests.rs"]
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
