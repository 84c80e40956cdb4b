//! What a file holds, before anything is asked of it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use gdal::GdalOpenFlags;
use gdal::vector::{LayerAccess, geometry_type_to_name};
use serde::Serialize;

use super::chatter;
use super::crs::Crs;
use super::raster_file::{Header, RasterFile, exists, open_dataset};
use crate::problem::Problem;

/// Most features that are looked at for what their fields say.
const MOST_FEATURES: usize = 5_000;

/// Most different values of a field, or codes of a raster, that are told.
const MOST_VALUES: usize = 60;

/// A layer, as its file tells it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundLayer {
    /// The file.
    pub file: PathBuf,
    /// Its name inside a vector file; `None`: a raster.
    pub layer: Option<String>,
    /// What it is made of.
    pub made_of: MadeOf,
    /// Its coordinate system in full words; `None`: the file names none.
    pub crs: Option<String>,
    /// What stands for that system in `site.crs`: a code, or well-known text.
    pub crs_code: Option<String>,
    /// Whether that system counts in metres of map, as a plan does.
    pub is_metric: bool,
    /// West, south, east, north in its own system.
    pub extent: Option<[f64; 4]>,
    /// The same in degrees of longitude and latitude; `None` where the system is not known.
    pub on_globe: Option<[f64; 4]>,
    /// Features of a vector layer.
    pub features: Option<u64>,
    /// Fields of a vector layer.
    pub fields: Vec<FoundField>,
    /// Columns and rows of a raster.
    pub size: Option<[usize; 2]>,
    /// Sides of a raster's cell, in the unit of its system.
    pub cell: Option<[f64; 2]>,
    /// Least and greatest of the cells that were looked at.
    pub range: Option<[f64; 2]>,
    /// Unit of a raster's values, where it says.
    pub unit: Option<String>,
}

/// What a layer is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MadeOf {
    /// Points.
    Points,
    /// Lines.
    Lines,
    /// Polygons.
    Polygons,
    /// Shapes of several kinds.
    Shapes,
    /// Rows without shapes.
    Rows,
    /// Cells with few different whole numbers.
    Codes,
    /// Cells with measurements.
    Measurements,
}

/// A field of a vector layer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FoundField {
    /// Its name.
    pub name: String,
    /// Its values in order, where they are few; empty where they are many.
    pub values: Vec<String>,
}

/// The layers of a file. Of large files a part is looked at: some thousand features, the middle of a raster.
///
/// # Errors
/// When it is not there, or nothing that GDAL reads.
pub fn found(file: &Path) -> Result<Vec<FoundLayer>, Problem> {
    exists("layer", file)?;
    let layers = vector_layers(file)?;
    if !layers.is_empty() {
        return Ok(layers);
    }
    Ok(vec![raster_layer(file)?])
}

impl FoundLayer {
    fn of(file: &Path, made_of: MadeOf, crs: Option<&Crs>, extent: Option<[f64; 4]>) -> Self {
        Self {
            file: file.to_path_buf(),
            layer: None,
            made_of,
            crs: crs.map(Crs::describe_fully),
            crs_code: crs.map(Crs::definition),
            is_metric: crs.is_some_and(Crs::is_metric),
            extent,
            on_globe: crs.zip(extent).and_then(|(crs, extent)| on_globe(crs, extent)),
            features: None,
            fields: Vec::new(),
            size: None,
            cell: None,
            range: None,
            unit: None,
        }
    }
}

/// West, south, east, north in degrees; `None` where they have no place on the globe.
pub(crate) fn on_globe(crs: &Crs, extent: [f64; 4]) -> Option<[f64; 4]> {
    let degrees = Crs::longitude_latitude().ok()?;
    let found = crs.transform_bounds(&degrees, extent).ok()?;
    found.iter().all(|side| side.is_finite()).then_some(found)
}

/// None where the file is no vector file.
fn vector_layers(file: &Path) -> Result<Vec<FoundLayer>, Problem> {
    let Ok(dataset) = open_dataset(file, GdalOpenFlags::GDAL_OF_VECTOR) else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    for mut layer in dataset.layers() {
        let crs = layer.spatial_ref().map(|one| Crs::from_spatial_ref(&one)).transpose();
        let crs = crs.map_err(|reason| Problem::error("layer").file(file).found(reason))?;
        let extent = layer.get_extent().ok().map(|at| [at.MinX, at.MinY, at.MaxX, at.MaxY]);
        let extent = extent.filter(|sides| sides.iter().all(|side| side.is_finite()));
        let declared = geometry_type_to_name(layer.defn().geometry_type());
        let count = layer.feature_count();
        let (fields, first) = fields(&mut layer);
        let made_of = made_of(&declared).or_else(|| made_of(&first?)).unwrap_or(MadeOf::Shapes);
        found.push(FoundLayer {
            layer: Some(layer.name()),
            features: Some(count),
            fields,
            ..FoundLayer::of(file, made_of, crs.as_ref(), extent)
        });
    }
    chatter::take();
    Ok(found)
}

/// What shapes of a name are; `None`: of any kind.
fn made_of(name: &str) -> Option<MadeOf> {
    let has = |part: &str| name.contains(part);
    Some(if has("Polygon") || has("Surface") || has("TIN") || has("Triangle") {
        MadeOf::Polygons
    } else if has("Line") || has("Curve") || has("Circular") {
        MadeOf::Lines
    } else if has("Point") {
        MadeOf::Points
    } else if has("None") {
        MadeOf::Rows
    } else if has("Collection") {
        MadeOf::Shapes
    } else {
        return None;
    })
}

/// Fields with their values, and of what kind the first shape is.
fn fields(layer: &mut gdal::vector::Layer<'_>) -> (Vec<FoundField>, Option<String>) {
    let names: Vec<String> = layer.defn().fields().map(|field| field.name()).collect();
    let mut values = vec![Some(BTreeSet::<String>::new()); names.len()];
    let mut first = None;
    for feature in layer.features().take(MOST_FEATURES) {
        if first.is_none() {
            first = feature.geometry().map(|shape| geometry_type_to_name(shape.geometry_type()));
        }
        for (at, seen) in values.iter_mut().enumerate() {
            let Some(known) = seen else { continue };
            if let Ok(Some(text)) = feature.field_as_string(at) {
                let text = text.trim();
                if !text.is_empty() {
                    known.insert(text.to_owned());
                }
            }
            if known.len() > MOST_VALUES {
                *seen = None;
            }
        }
    }
    chatter::take();
    let told = names.into_iter().zip(values).map(|(name, seen)| FoundField {
        name,
        values: seen.map(|known| known.into_iter().collect()).unwrap_or_default(),
    });
    (told.collect(), first)
}

fn raster_layer(file: &Path) -> Result<FoundLayer, Problem> {
    let raster = RasterFile::open("layer", file)?;
    let values = raster.some_values()?;
    let range = values.iter().fold(None, |range: Option<[f64; 2]>, value| {
        let [least, most] = range.unwrap_or([*value; 2]);
        Some([least.min(*value), most.max(*value)])
    });
    let made_of = if are_codes(&values) { MadeOf::Codes } else { MadeOf::Measurements };
    let Header { cols, rows, crs, unit, .. } = &raster.header;
    let (width, height) = raster.cell_sides();
    Ok(FoundLayer {
        size: Some([*cols, *rows]),
        cell: Some([width, height]),
        range,
        unit: Some(unit.clone()).filter(|unit| !unit.is_empty()),
        ..FoundLayer::of(file, made_of, crs.as_ref(), Some(raster.extent()))
    })
}

/// Whether values look like codes of classes: whole, and few.
fn are_codes(values: &[f64]) -> bool {
    let mut different = BTreeSet::new();
    for value in values {
        if value.fract() != 0.0 || value.abs() > 9e15 {
            return false;
        }
        different.insert(*value as i64);
        if different.len() > MOST_VALUES {
            return false;
        }
    }
    !different.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif, feature, rectangle};

    #[test]
    fn a_raster_tells_whether_it_holds_codes() {
        let folder = Folder::new();
        let codes = Tif::new(10, 10, 10.0).fill(|col, _| if col < 4 { 3.0 } else { 12.0 });
        let heights = Tif::new(10, 10, 10.0).fill(|col, row| 100.5 + (col * 10 + row) as f64);
        let one = &found(&codes.write(&folder, "c.tif")).unwrap()[0];
        assert_eq!((one.made_of, one.range), (MadeOf::Codes, Some([3.0, 12.0])));
        assert_eq!((one.size, one.cell), (Some([10, 10]), Some([10.0, 10.0])));
        let two = &found(&heights.unit("m").write(&folder, "h.tif")).unwrap()[0];
        assert_eq!((two.made_of, two.unit.as_deref()), (MadeOf::Measurements, Some("m")));
        assert!(two.is_metric && two.crs.as_deref().unwrap().contains("EPSG:2193"));
    }

    #[test]
    fn a_vector_layer_tells_its_fields_and_its_place() {
        let folder = Folder::new();
        let ring = rectangle(1_600_000.0, 5_400_000.0, 1_600_100.0, 5_400_100.0);
        let shapes = [
            feature("Polygon", &ring, r#""drain":"well","n":1"#),
            feature("Polygon", &ring, r#""drain":" ","n":2"#),
            feature("Polygon", &ring, r#""drain":"poor","n":2"#),
        ];
        let shapes: Vec<&str> = shapes.iter().map(String::as_str).collect();
        let path = folder.geojson("soil.geojson", Some("EPSG:2193"), &shapes);
        let layers = found(&path).unwrap();
        assert_eq!(layers.len(), 1);
        let one = &layers[0];
        assert_eq!((one.made_of, one.features), (MadeOf::Polygons, Some(3)));
        assert_eq!(one.fields[0].values, ["poor", "well"]);
        assert_eq!(one.fields[1].values, ["1", "2"]);
        // EPSG:2193 has its central meridian at 173° E, where easting is 1,600,000 (LINZ standard LINZS25002).
        let [west, south, east, north] = one.on_globe.unwrap();
        assert!((west - 173.0).abs() < 1e-6 && east > west && north > south && north < -40.0);
    }

    #[test]
    fn what_is_no_layer_is_a_problem_and_not_a_layer() {
        let folder = Folder::new();
        std::fs::write(folder.path("notes.txt"), "a fine day").unwrap();
        let problem = found(&folder.path("notes.txt")).unwrap_err();
        assert!(problem.found.contains("not recognized"), "{problem}");
        assert!(found(&folder.path("none.tif")).unwrap_err().found.contains("no such file"));
    }
}
