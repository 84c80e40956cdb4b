//! What was written, read back by GDAL.

use std::path::Path;

use gdal::errors::GdalError;
use gdal::vector::LayerAccess;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};

use crate::plan::{LayerRow, shape, value};
use crate::problem::Problem;
use crate::write::{Value, gdal_problem};

/// A layer as it was read back.
pub(super) struct Read {
    /// Its name in the file.
    pub(super) name: String,
    /// Names of its columns.
    pub(super) fields: Vec<String>,
    /// How many values of each column are not known.
    pub(super) unknown: Vec<u64>,
    /// Its rows. A value that a format leaves out may read as an empty text or as 0 here.
    pub(super) rows: Vec<LayerRow>,
}

/// Reads every layer of polygons or points of a file; by one of GDAL's drivers alone where it is named.
///
/// # Errors
/// When the file cannot be opened, or a feature is neither of polygons nor a point.
pub(super) fn read_file(path: &Path, driver: Option<&str>) -> Result<Vec<Read>, Problem> {
    let refused = |error: GdalError| gdal_problem(path, "reading back", &error);
    let dataset = open(path, driver).map_err(refused)?;
    let mut layers = Vec::new();
    for mut layer in dataset.layers() {
        let name = layer.name();
        let fields: Vec<String> = layer.defn().fields().map(|field| field.name()).collect();
        let mut rows = Vec::new();
        for feature in layer.features() {
            let Some(shape) = shape(&feature) else {
                return Err(differs(
                    path,
                    &name,
                    "a feature without polygons and without a point",
                    "one with either",
                ));
            };
            let values = (0..fields.len()).map(|at| value(&feature, at).unwrap_or(Value::Null));
            rows.push(LayerRow { values: values.collect(), shape });
        }
        let unknown = |field: &String| {
            layer.set_attribute_filter(&format!("\"{field}\" IS NULL")).map_err(refused)?;
            Ok(layer.feature_count())
        };
        let unknown = fields.iter().map(unknown).collect::<Result<_, _>>()?;
        layers.push(Read { name, fields, unknown, rows });
    }
    Ok(layers)
}

/// Opens a file to read vectors from it.
pub(super) fn open(path: &Path, driver: Option<&str>) -> Result<Dataset, GdalError> {
    let drivers = driver.map(|driver| [driver]);
    Dataset::open_ex(
        path,
        DatasetOptions {
            open_flags: GdalOpenFlags::GDAL_OF_VECTOR | GdalOpenFlags::GDAL_OF_READONLY,
            allowed_drivers: drivers.as_ref().map(|drivers| &drivers[..]),
            open_options: None,
            sibling_files: None,
        },
    )
}

/// How a format tells values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Held {
    /// In a table of a shapefile: with 15 decimals, without the blanks that a text begins or ends with, an empty text as one
    /// that is not known.
    InTable,
    /// As they are; what is not known is left out, which is counted apart.
    LeftOut,
}

impl Held {
    /// Whether a value is the one that was written.
    pub(super) fn is_same(self, found: &Value, wanted: &Value) -> bool {
        match (self, found, wanted) {
            (Self::InTable, Value::Null, Value::Text(text)) => text.trim_matches(' ').is_empty(),
            (Self::InTable, Value::Text(found), Value::Text(wanted)) => {
                found == wanted.trim_matches(' ')
            }
            (Self::InTable, Value::Real(found), Value::Real(wanted)) => {
                (found - wanted).abs() <= 1e-15 + 1e-12 * wanted.abs()
            }
            (Self::LeftOut, Value::Text(text), Value::Null) => text.is_empty(),
            (Self::LeftOut, Value::Integer(count), Value::Null) => *count == 0,
            (Self::LeftOut, Value::Real(number), Value::Null) => *number == 0.0,
            (_, found, wanted) => found == wanted,
        }
    }

    /// Values of a column that are not known, as the format tells them.
    pub(super) fn unknown<'a>(self, values: impl Iterator<Item = &'a Value>) -> u64 {
        let is_unknown = |value: &&Value| match value {
            Value::Null => true,
            Value::Text(text) => self == Self::InTable && text.trim_matches(' ').is_empty(),
            Value::Integer(_) | Value::Real(_) => false,
        };
        values.filter(is_unknown).count() as u64
    }
}

/// What was read back is not what was written.
pub(super) fn differs(path: &Path, item: &str, found: &str, expected: &str) -> Problem {
    Problem::error(item)
        .file(path)
        .found(format!("{found}, read back"))
        .expected(expected)
        .remedy("see that there is room on the disk, and run again")
}
