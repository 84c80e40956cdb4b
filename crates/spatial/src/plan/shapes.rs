//! The polygons of an earlier plan, read back from its GeoPackage.

use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use geo::{Geometry, MultiPolygon};

use super::plan_file;
use crate::problem::Problem;
use crate::write::PLAN_GPKG;

/// Polygons of a plan with their names, in the plan's coordinate system.
#[derive(Debug, Clone, Default)]
pub struct Shapes {
    /// Planting zones.
    pub zones: Vec<(String, MultiPolygon<f64>)>,
    /// Ground kept clear.
    pub keep_clear: Vec<(String, MultiPolygon<f64>)>,
    /// Kept stands.
    pub stands: Vec<(String, MultiPolygon<f64>)>,
}

/// Reads the polygons of the plan in a folder, or beside its record.
///
/// # Errors
/// When the GeoPackage is not there, or is not one that `hillweave plan` wrote.
pub fn shapes(plan: &Path) -> Result<Shapes, Problem> {
    let file = plan_file(plan).with_file_name(PLAN_GPKG);
    let unlike = |item: &str, found: String| {
        Problem::error(item)
            .file(&file)
            .found(found)
            .expected("the GeoPackage that `hillweave plan` wrote beside plan.json")
            .remedy("make the plan again with `hillweave plan`")
    };
    let dataset = Dataset::open(&file).map_err(|error| unlike("plan", error.to_string()))?;
    let read = |name: &str, id: &str| {
        let refused = |error: gdal::errors::GdalError| unlike(name, error.to_string());
        let mut layer = dataset.layer_by_name(name).map_err(refused)?;
        let mut shapes = Vec::new();
        for row in layer.features() {
            let at = row.field_index(id).map_err(refused)?;
            let id = row.field_as_string(at).map_err(refused)?.unwrap_or_default();
            let shape = row.geometry().map(gdal::vector::Geometry::to_geo).transpose();
            match shape.map_err(refused)? {
                Some(Geometry::MultiPolygon(shape)) => shapes.push((id, shape)),
                _ => return Err(unlike(name, format!("`{id}` without polygons"))),
            }
        }
        Ok(shapes)
    };
    Ok(Shapes {
        zones: read("zones", "zone_id")?,
        keep_clear: read("keep_clear", "keep_clear_id")?,
        stands: read("stands", "stand_id")?,
    })
}
