//! What was written, read back and compared with the plan.
//!
//! GDAL before 3.7 reports no error when a file cannot be closed, so the file itself is asked.

use std::io::Read;
use std::path::Path;

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::vector::{Feature, FieldValue, LayerAccess};
use geo::{Area, Geometry, MultiPolygon};

use super::gdal_problem::gdal_problem;
use super::geopackage::{LayerMade, polygons, values};
use super::layer::Layer;
use super::sql::{first_row, one_text, whole_number};
use super::value::Value;
use crate::problem::Problem;
use crate::units::PlanHectares;

/// Largest difference between a polygon's area and the column that states it, as a part of it.
const AREA_TOLERANCE: f64 = 1e-6;

/// Holds a file to its format and to what was put in: header, journal, soundness, and for each layer the
/// number of its features, its spatial index, its extent in the catalogue and its columns in words.
///
/// Source: OGC 12-128r17, GeoPackage Encoding Standard 1.3, requirements 2 (application id and version),
/// 7 (`integrity_check`), 13 to 15 (contents), 75 to 77 (R-tree), 93 to 100 (metadata), 103 to 106 (schema).
pub(super) fn check_file(path: &Path, layers: &[LayerMade]) -> Result<(), Problem> {
    check_header(path)?;
    let dataset =
        Dataset::open(path).map_err(|error| gdal_problem(path, "reading back", &error))?;
    let unread = |error: GdalError| gdal_problem(path, "reading back", &error);
    let sound = one_text(&dataset, "PRAGMA integrity_check").map_err(unread)?;
    if sound.as_deref() != Some("ok") {
        let found = sound.unwrap_or_else(|| "no answer".to_owned());
        return Err(differs(path, "integrity_check", found, "ok".to_owned()));
    }
    for layer in layers {
        check_table(&dataset, layer, path)?;
    }
    let columns: usize = layers.iter().map(|layer| layer.columns.len()).sum();
    for (what, query, expected) in [
        ("columns in words", "SELECT count(*) FROM gpkg_data_columns", columns as u64),
        ("metadata documents", "SELECT count(*) FROM gpkg_metadata_reference", 1),
    ] {
        check_count(&dataset, path, (path_name(path).as_str(), what), query, expected)?;
    }
    drop(dataset);
    no_side_files(path)
}

fn path_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// Bytes of the file by themselves: what `SQLite` is told that this is, and which journal it keeps.
fn check_header(path: &Path) -> Result<(), Problem> {
    let mut header = [0_u8; 100];
    let read = std::fs::File::open(path).and_then(|mut file| file.read_exact(&mut header));
    read.map_err(|error| differs(path, "header", error.to_string(), "100 bytes".to_owned()))?;
    // SQLite file format: application id at byte 68, user version at byte 60, journal at bytes 18 and 19.
    let parts = [
        ("application id", &header[68..72], &b"GPKG"[..]),
        ("version", &header[60..64], &10_300_u32.to_be_bytes()[..]),
        ("journal", &header[18..20], &[1, 1][..]),
    ];
    match parts.into_iter().find(|(_, found, expected)| found != expected) {
        None => Ok(()),
        Some((what, found, expected)) => {
            Err(differs(path, what, format!("{found:?}"), format!("{expected:?}")))
        }
    }
}

/// A file that was left beside it would have to travel with it.
fn no_side_files(path: &Path) -> Result<(), Problem> {
    for end in ["-wal", "-shm", "-journal"] {
        let mut beside = path.as_os_str().to_owned();
        beside.push(end);
        if Path::new(&beside).exists() {
            let found = format!("a file `{}{end}`", path_name(path));
            return Err(differs(path, "journal", found, "a closed file".to_owned()));
        }
    }
    Ok(())
}

fn check_table(dataset: &Dataset, layer: &LayerMade, path: &Path) -> Result<(), Problem> {
    let name = layer.name;
    let counts = [
        ("features", format!("SELECT count(*) FROM {name}"), layer.features),
        (
            "rows in the spatial index",
            format!("SELECT count(*) FROM rtree_{name}_geom"),
            layer.features,
        ),
        (
            "registrations of the spatial index",
            format!(
                "SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index' \
                 AND table_name = '{name}' AND column_name = 'geom'"
            ),
            1,
        ),
        (
            "rows in the catalogue with the coordinate system of its geometry",
            format!(
                "SELECT count(*) FROM gpkg_contents JOIN gpkg_geometry_columns USING (table_name, srs_id) \
                 JOIN gpkg_spatial_ref_sys USING (srs_id) WHERE table_name = '{name}'"
            ),
            1,
        ),
    ];
    for (what, query, expected) in counts {
        check_count(dataset, path, (name, what), &query, expected)?;
    }
    check_extent(dataset, layer, path)
}

fn check_count(
    dataset: &Dataset,
    path: &Path,
    (item, what): (&str, &str),
    query: &str,
    expected: u64,
) -> Result<(), Problem> {
    let found = whole_number(dataset, query).map_err(|error| gdal_problem(path, item, &error))?;
    if found.and_then(|count| u64::try_from(count).ok()) == Some(expected) {
        return Ok(());
    }
    let found = found.map_or_else(|| "no count".to_owned(), |count| count.to_string());
    Err(differs(path, item, format!("{found} {what}"), format!("{expected} {what}")))
}

/// The extent in the catalogue, to which a mapping package zooms.
fn check_extent(dataset: &Dataset, layer: &LayerMade, path: &Path) -> Result<(), Problem> {
    let Some(expected) = layer.extent else { return Ok(()) };
    let query = format!(
        "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = '{}'",
        layer.name
    );
    let found =
        first_row(dataset, &query).map_err(|error| gdal_problem(path, layer.name, &error))?;
    let found: Vec<f64> = found.into_iter().flatten().filter_map(FieldValue::into_real).collect();
    let (low, high) = (expected.min(), expected.max());
    let expected = [low.x, low.y, high.x, high.y];
    let same = |found: &f64, expected: &f64| (found - expected).abs() <= ROUNDING * expected.abs();
    if found.len() == 4
        && found.iter().zip(&expected).all(|(found, expected)| same(found, expected))
    {
        Ok(())
    } else {
        let shown = |sides: &[f64]| format!("extent {sides:?}");
        Err(differs(path, layer.name, shown(&found), shown(&expected)))
    }
}

/// What `SQLite` may make of a number on its way from text, as a part of it: less than a millionth of a millimetre.
const ROUNDING: f64 = 4.0 * f64::EPSILON;

/// Compares every feature of a layer with the plan.
pub(crate) fn check_layer<Row, Whole>(
    dataset: &Dataset,
    layer: &Layer<'_, Row, Whole>,
    path: &Path,
) -> Result<(), Problem> {
    let mut table = dataset
        .layer_by_name(layer.name)
        .map_err(|error| gdal_problem(path, layer.name, &error))?;
    for (row, feature) in layer.rows.iter().zip(table.features()) {
        check_feature(&feature, layer, row).map_err(|problem| problem.file(path))?;
    }
    Ok(())
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
