//! What an export wrote.

use serde::Serialize;

use crate::problem::Problem;

/// Name of the record.
pub const EXPORT_JSON: &str = "export.json";
/// Schema of the record, its first member.
pub const EXPORT_SCHEMA: &str = "hillweave.export/1";

/// A plan in other formats.
#[derive(Debug, Clone, Serialize)]
pub struct Export {
    /// `hillweave.export/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Version of the program that made the plan.
    pub plan_version: String,
    /// SHA-256 of the plan's record, hexadecimal.
    pub plan_sha256: String,
    /// SHA-256 of the plan's GeoPackage, hexadecimal.
    pub plan_gpkg_sha256: String,
    /// Coordinate system of the plan, and of the formats that keep it.
    pub crs: String,
    /// What was written, file by file.
    pub files: Vec<FileRecord>,
    /// What a format could not hold.
    pub warnings: Vec<Problem>,
}

/// A file, or a set of files of one name.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FileRecord {
    /// Its name; of a shapefile set that of the `.shp`.
    pub file: String,
    /// Its format.
    pub format: &'static str,
    /// SHA-256 of it, hexadecimal; of a set that of the `.shp`.
    pub sha256: String,
    /// The layers in it, as they were read back.
    pub layers: Vec<LayerRecord>,
}

/// A layer in a file, as it was read back.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LayerRecord {
    /// The layer of the plan that it comes from.
    pub layer: &'static str,
    /// Features.
    pub features: usize,
    /// Hectares of its polygons in the plan's grid; `None`: it has none, or the format is in degrees. Blocks that share a
    /// zone share its polygon, and each counts it.
    pub plan_area_ha: Option<f64>,
    /// Hectares of its polygons on the ellipsoid (WGS 84); `None`: it has none, or the format keeps the plan's grid.
    pub ellipsoid_area_ha: Option<f64>,
}
