//! Formats that keep the plan's coordinate system: shapefiles and FlatGeobuf, written by GDAL.

use std::path::Path;

use gdal::DriverManager;
use gdal::errors::GdalError;
use gdal::spatial_ref::SpatialRef;
use gdal::vector::{Defn, Feature, FieldDefn, Geometry, LayerOptions, ToGdal};
use gdal_sys::OGRwkbGeometryType;
use geo::Area;

use super::cut::{LONGEST_BYTES, cut};
use super::names::shapefile_name;
use super::read_back::{Held, Read, differs, read_file};
use super::record::FileRecord;
use super::{Out, SHAPEFILE_NAMES_CSV, layer_record, shapefile_set, sum_of};
use crate::plan::{LayerRow, PlanLayer, PlanLayers, Shape};
use crate::problem::Problem;
use crate::units::PlanHectares;
use crate::write::{Kind, Value, field_type, gdal_problem};

/// Largest difference of areas that were read back, as a part of them.
const AREA_TOLERANCE: f64 = 1e-9;

/// A format of one layer a file.
struct OneLayer {
    format: &'static str,
    driver: &'static str,
    ending: &'static str,
    options: &'static [&'static str],
    held: Held,
}

/// The date in the table is fixed, so that equal plans are equal files.
const SHAPEFILE: OneLayer = OneLayer {
    format: "shapefile",
    driver: "ESRI Shapefile",
    ending: "shp",
    options: &["ENCODING=UTF-8", "DBF_DATE_LAST_UPDATE=2000-01-01"],
    held: Held::InTable,
};

const FLATGEOBUF: OneLayer = OneLayer {
    format: "flatgeobuf",
    driver: "FlatGeobuf",
    ending: "fgb",
    options: &["SPATIAL_INDEX=YES"],
    held: Held::LeftOut,
};

/// A shapefile set for each layer, and the table of names.
///
/// # Errors
/// When a column has no short name, the disk refuses, or what is read back differs.
pub(super) fn shapefiles(read: &PlanLayers, out: &mut Out) -> Result<(), Problem> {
    let mut names = csv::Writer::from_writer(Vec::new());
    let refused = |error: &csv::Error| {
        let problem = Problem::error("table").file(SHAPEFILE_NAMES_CSV).found(error.to_string());
        problem
            .expected("a table of names")
            .remedy("this is a fault of the program: please report it with the site folder")
    };
    names.write_record(["layer", "column", "shapefile_name"]).map_err(|error| refused(&error))?;
    for layer in &read.layers {
        let (short, cuts) = shortened(layer)?;
        for ((column, _), (name, _)) in layer.fields.iter().zip(&short.fields) {
            names.write_record([layer.name, column, name]).map_err(|error| refused(&error))?;
        }
        out.warnings.extend(cuts);
        write_layer(&SHAPEFILE, &short, read, out)?;
    }
    let bytes =
        names.into_inner().map_err(|error| refused(&csv::Error::from(error.into_error())))?;
    out.folder.write(SHAPEFILE_NAMES_CSV, &bytes)
}

/// A FlatGeobuf file for each layer.
///
/// # Errors
/// When the disk refuses, or what is read back differs.
pub(super) fn flatgeobufs(read: &PlanLayers, out: &mut Out) -> Result<(), Problem> {
    read.layers.iter().try_for_each(|layer| write_layer(&FLATGEOBUF, layer, read, out))
}

/// A layer with names and texts that a shapefile holds, and a warning for each column in which texts were cut.
fn shortened(layer: &PlanLayer) -> Result<(PlanLayer, Vec<Problem>), Problem> {
    let mut short = layer.clone();
    let mut cuts = Vec::new();
    for (at, (column, kind)) in layer.fields.iter().enumerate() {
        let Some(name) = shapefile_name(column) else {
            return Err(Problem::error(format!("{}.{column}", layer.name))
                .found("a column that this version has no short name for")
                .expected("the columns that this version writes")
                .remedy("make the plan again with `hillweave plan`, or leave shapefiles out"));
        };
        name.clone_into(&mut short.fields[at].0);
        if *kind != Kind::Text {
            continue;
        }
        let (mut number, mut longest) = (0, 0);
        for row in &mut short.rows {
            if let Value::Text(text) = &mut row.values[at] {
                if text.len() > LONGEST_BYTES {
                    (number, longest) = (number + 1, longest.max(text.len()));
                }
                *text = cut(text).to_owned();
            }
        }
        if number > 0 {
            cuts.push(
                Problem::warning(format!("{}.{column}", layer.name))
                    .file(format!("{}.shp", layer.name))
                    .found(format!("{number} of {} texts too long, the longest {longest} bytes", layer.rows.len()))
                    .expected(format!("{LONGEST_BYTES} bytes, the most that the format holds"))
                    .remedy("they were cut at a whole letter: whole texts are in plan.gpkg, flatgeobuf and geojson"),
            );
        }
    }
    Ok((short, cuts))
}

/// Writes a layer as a file of its own, reads it back, and notes it.
fn write_layer(
    of: &OneLayer,
    layer: &PlanLayer,
    read: &PlanLayers,
    out: &mut Out,
) -> Result<(), Problem> {
    let name = format!("{}.{}", layer.name, of.ending);
    let mut record = None;
    out.folder.make(&name, |path| {
        let refused = |error: GdalError| gdal_problem(path, layer.name, &error);
        let crs = read.crs.spatial_ref().map_err(refused)?;
        new_file(of, layer, &crs, path).map_err(refused)?;
        let found = read_file(path, Some(of.driver))?;
        record = Some(check(of, layer, found, path)?);
        if of.ending == "shp" {
            shapefile_set::check(path, layer.name, layer.rows.len())?;
        }
        Ok(())
    })?;
    out.files.extend(record);
    Ok(())
}

fn new_file(
    of: &OneLayer,
    layer: &PlanLayer,
    crs: &SpatialRef,
    path: &Path,
) -> Result<(), GdalError> {
    let mut dataset = DriverManager::get_driver_by_name(of.driver)?.create_vector_only(path)?;
    let is_area = layer.rows.first().is_some_and(|row| matches!(row.shape, Shape::Area(_)));
    let is_points = matches!(layer.name, "plants" | "plots") && !is_area;
    let ty = match (is_points, of.ending) {
        (true, _) => OGRwkbGeometryType::wkbPoint,
        (false, "shp") => OGRwkbGeometryType::wkbPolygon, // a shapefile of polygons holds several parts to a row
        (false, _) => OGRwkbGeometryType::wkbMultiPolygon,
    };
    let options = Some(of.options);
    let table =
        dataset.create_layer(LayerOptions { name: layer.name, srs: Some(crs), ty, options })?;
    for (at, (name, kind)) in layer.fields.iter().enumerate() {
        let field = FieldDefn::new(name, field_type(*kind))?;
        if *kind == Kind::Text && of.ending == "shp" {
            field.set_width(width(layer, at) as i32);
        }
        field.add_to_layer(&table)?;
    }
    let shape = Defn::from_layer(&table);
    for row in &layer.rows {
        feature(&shape, row)?.create(&table)?;
    }
    dataset.close()
}

/// Bytes of the longest text of a column, 1 at least.
fn width(layer: &PlanLayer, at: usize) -> usize {
    let bytes =
        |row: &LayerRow| if let Value::Text(text) = &row.values[at] { text.len() } else { 0 };
    layer.rows.iter().map(bytes).max().unwrap_or(0).clamp(1, LONGEST_BYTES)
}

fn feature<'a>(shape: &'a Defn, row: &LayerRow) -> Result<Feature<'a>, GdalError> {
    let mut feature = Feature::new(shape)?;
    set_fields(&mut feature, &row.values)?;
    match &row.shape {
        Shape::Area(polygons) => feature.set_geometry(polygons.to_gdal()?)?,
        Shape::Place(at) => feature.set_geometry(point(*at)?)?,
    }
    Ok(feature)
}

fn set_fields(feature: &mut Feature<'_>, values: &[Value]) -> Result<(), GdalError> {
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

/// A point, easting and northing.
fn point([x, y]: [f64; 2]) -> Result<Geometry, GdalError> {
    let mut point = Geometry::empty(OGRwkbGeometryType::wkbPoint)?;
    point.set_point_2d(0, (x, y));
    Ok(point)
}

/// Holds what was read back against the layer: names, number, values, areas and places, row by row.
fn check(
    of: &OneLayer,
    layer: &PlanLayer,
    found: Vec<Read>,
    path: &Path,
) -> Result<FileRecord, Problem> {
    let [found] = <[Read; 1]>::try_from(found).map_err(|found| {
        differs(path, layer.name, &format!("{} layers", found.len()), "one layer")
    })?;
    let names: Vec<&str> = found.fields.iter().map(String::as_str).collect();
    let expected: Vec<&str> = layer.fields.iter().map(|(name, _)| name.as_str()).collect();
    if names != expected {
        return Err(differs(path, layer.name, &names.join(", "), &expected.join(", ")));
    }
    if found.rows.len() != layer.rows.len() {
        let [found, expected] =
            [found.rows.len(), layer.rows.len()].map(|rows| format!("{rows} features"));
        return Err(differs(path, layer.name, &found, &expected));
    }
    for (at, name) in expected.iter().enumerate() {
        let wanted = of.held.unknown(layer.rows.iter().filter_map(|row| row.values.get(at)));
        if found.unknown.get(at) != Some(&wanted) {
            let found = format!("{:?} values not known", found.unknown.get(at));
            return Err(differs(
                path,
                &format!("{}.{name}", layer.name),
                &found,
                &wanted.to_string(),
            ));
        }
    }
    let area = check_rows(of, layer, &found, path)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let layers = vec![layer_record(layer.name, layer.rows.len(), (area, None))];
    Ok(FileRecord { file: name, format: of.format, sha256: sum_of(path)?, layers })
}

/// Holds each row against the one that was written, and adds up their hectares; `None` where they are points.
///
/// An index may put rows in another order: they are told apart by their values and places.
fn check_rows(
    of: &OneLayer,
    layer: &PlanLayer,
    found: &Read,
    path: &Path,
) -> Result<Option<f64>, Problem> {
    let wrong = |found: String, wanted: String| Err(differs(path, layer.name, &found, &wanted));
    let mut rows: Vec<&LayerRow> = found.rows.iter().collect();
    let mut wanted: Vec<&LayerRow> = layer.rows.iter().collect();
    rows.sort_by_cached_key(|row| key(row));
    wanted.sort_by_cached_key(|row| key(row));
    let mut area_m2 = None;
    for (row, wanted) in rows.into_iter().zip(wanted) {
        let mut values = row.values.iter().zip(&wanted.values);
        if let Some((found, wanted)) =
            values.find(|(found, wanted)| !of.held.is_same(found, wanted))
        {
            return wrong(format!("{found:?}"), format!("{wanted:?}"));
        }
        match (&row.shape, &wanted.shape) {
            (Shape::Area(found), Shape::Area(wanted)) => {
                let (found, wanted) = (found.unsigned_area(), wanted.unsigned_area());
                if (found - wanted).abs() > AREA_TOLERANCE * wanted {
                    return wrong(format!("a polygon of {found} m²"), format!("{wanted} m²"));
                }
                area_m2 = Some(area_m2.unwrap_or(0.0) + found);
            }
            (Shape::Place(found), Shape::Place(wanted))
                if found.map(f64::to_bits) == wanted.map(f64::to_bits) => {}
            (found, wanted) => return wrong(format!("{found:?}"), format!("{wanted:?}")),
        }
    }
    Ok(area_m2.map(|m2: f64| PlanHectares::from_m2(m2).0))
}

/// What tells a row from others: its texts and whole numbers, and its place if it is a point.
fn key(row: &LayerRow) -> String {
    let plain = |value: &Value| match value {
        Value::Text(text) => text.trim_matches(' ').to_owned(),
        Value::Integer(count) if *count > 0 => count.to_string(),
        Value::Null | Value::Integer(_) | Value::Real(_) => String::new(), // what is not known may read as 0
    };
    let place =
        if let Shape::Place([x, y]) = row.shape { format!("{x} {y}") } else { String::new() };
    row.values.iter().map(plain).chain([place]).collect::<Vec<_>>().join("\u{1f}")
}
