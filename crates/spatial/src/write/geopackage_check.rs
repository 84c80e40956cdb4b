//! What was written, read back and compared with the plan.
//!
//! GDAL before 3.7 reports no error when a file cannot be closed, so the file itself is asked.

use std::path::Path;

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::vector::sql::Dialect;
use gdal::vector::{Feature, FieldValue, Layer as OgrLayer, LayerAccess};
use geo::{Area, BoundingRect, Geometry, MultiPolygon, Rect};

use super::gdal_problem::gdal_problem;
use super::geopackage::{polygons, values};
use super::layer::Layer;
use super::value::Value;
use crate::problem::Problem;
use crate::units::PlanHectares;

/// Largest difference between a polygon's area and the column that states it, as a part of it.
const AREA_TOLERANCE: f64 = 1e-6;

/// Compares a layer with the plan: its features one by one, its index and its extent.
pub(crate) fn check_layer<Row, Whole>(
    dataset: &Dataset,
    layer: &Layer<'_, Row, Whole>,
    path: &Path,
) -> Result<(), Problem> {
    let unread = |error: GdalError| gdal_problem(path, layer.name, &error);
    let mut table = dataset.layer_by_name(layer.name).map_err(unread)?;
    let index = format!("rtree_{}_geom", layer.name);
    for (what, found) in [
        ("features", table.feature_count()),
        ("rows in the spatial index", rows_in(dataset, &index).map_err(unread)?),
    ] {
        if found != layer.rows.len() as u64 {
            let found = format!("{found} {what}");
            return Err(differs(path, layer.name, found, format!("{} {what}", layer.rows.len())));
        }
    }
    check_extent(&table, layer, path)?;
    for (row, feature) in layer.rows.iter().zip(table.features()) {
        check_feature(&feature, layer, row).map_err(|problem| problem.file(path))?;
    }
    Ok(())
}

fn rows_in(dataset: &Dataset, table: &str) -> Result<u64, GdalError> {
    let query = format!("SELECT count(*) FROM {table}");
    let Some(mut answer) = dataset.execute_sql(query, None, Dialect::DEFAULT)? else {
        return Ok(0);
    };
    let count = answer.features().next().map(|row| row.field_as_integer64(0)).transpose()?;
    Ok(count.flatten().map_or(0, i64::unsigned_abs))
}

/// The extent in the catalogue, to which a mapping package zooms.
fn check_extent<Row, Whole>(
    table: &OgrLayer<'_>,
    layer: &Layer<'_, Row, Whole>,
    path: &Path,
) -> Result<(), Problem> {
    let boxes = layer.rows.iter().filter_map(|row| (layer.geometry)(row).bounding_rect());
    let joined = |a: Rect<f64>, b: Rect<f64>| {
        let (low, high) = (a.min(), a.max());
        Rect::new(
            (low.x.min(b.min().x), low.y.min(b.min().y)),
            (high.x.max(b.max().x), high.y.max(b.max().y)),
        )
    };
    let Some(expected) = boxes.reduce(joined) else { return Ok(()) };
    let found = table.get_extent().map_err(|error| gdal_problem(path, layer.name, &error))?;
    let found = Rect::new((found.MinX, found.MinY), (found.MaxX, found.MaxY));
    if found == expected {
        Ok(())
    } else {
        let shown =
            |rect: Rect<f64>| format!("extent {:?} to {:?}", rect.min().x_y(), rect.max().x_y());
        Err(differs(path, layer.name, shown(found), shown(expected)))
    }
}

fn check_feature<Row, Whole>(
    feature: &Feature<'_>,
    layer: &Layer<'_, Row, Whole>,
    row: &Row,
) -> Result<(), Problem> {
    for (field, (column, expected)) in layer.columns.iter().zip(values(layer, row)?).enumerate() {
        let found = feature.field(field).ok().and_then(read_value);
        if found.as_ref() != Some(&expected) {
            let found = format!("{} read back as {found:?}", column.name);
            return Err(layer.fault(row, found, &format!("{expected:?}")));
        }
    }
    let expected = polygons(layer, row)?;
    if read_polygons(feature).as_ref() != Some(&expected) {
        return Err(layer.fault(
            row,
            "a polygon that came back changed",
            "the polygon of the plan",
        ));
    }
    check_area(&expected, layer, row)
}

/// The polygon's area is the one that its row states.
fn check_area<Row, Whole>(
    polygons: &MultiPolygon<f64>,
    layer: &Layer<'_, Row, Whole>,
    row: &Row,
) -> Result<(), Problem> {
    let found = PlanHectares::from_m2(polygons.unsigned_area()).0;
    let expected = (layer.polygon_ha)(row);
    if (found - expected).abs() <= AREA_TOLERANCE * found {
        Ok(())
    } else {
        let expected = format!("{expected} ha, as the row says");
        Err(layer.fault(row, format!("a polygon of {found} ha"), &expected))
    }
}

fn read_value(field: Option<FieldValue>) -> Option<Value> {
    match field {
        None => Some(Value::Null),
        Some(FieldValue::StringValue(text)) => Some(Value::Text(text)),
        Some(FieldValue::Integer64Value(count)) => u64::try_from(count).ok().map(Value::Integer),
        Some(FieldValue::RealValue(number)) => Some(Value::Real(number)),
        Some(_) => None,
    }
}

fn read_polygons(feature: &Feature<'_>) -> Option<MultiPolygon<f64>> {
    match feature.geometry()?.to_geo() {
        Ok(Geometry::MultiPolygon(polygons)) => Some(polygons),
        _ => None,
    }
}

/// What was read back is not what was written.
pub(super) fn differs(path: &Path, item: &str, found: String, expected: String) -> Problem {
    Problem::error(item)
        .file(path)
        .found(found)
        .expected(expected)
        .remedy("see that there is room on the disk, and run again")
}
