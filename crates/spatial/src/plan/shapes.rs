//! The polygons of an earlier plan, of those of its layers that tile the property.

use std::path::Path;

use geo::{BoundingRect, MultiPolygon, Rect};

use super::layers::{PlanLayers, Shape, read_layers};
use crate::problem::Problem;
use crate::write::joined;

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

impl Shapes {
    /// The least rectangle around all of them; `None` where there are none.
    #[must_use]
    pub fn extent(&self) -> Option<Rect<f64>> {
        let all = self.zones.iter().chain(&self.keep_clear).chain(&self.stands);
        all.filter_map(|(_, shape)| shape.bounding_rect()).reduce(joined)
    }
}

/// Reads the polygons of the plan in a folder, or beside its record.
///
/// # Errors
/// When there is no GeoPackage, it cannot be read, or it is not of the plan whose record lies beside it.
pub fn shapes(plan: &Path) -> Result<Shapes, Problem> {
    let read = read_layers(plan)?;
    let of = |name: &str| named(&read, name);
    Ok(Shapes { zones: of("zones"), keep_clear: of("keep_clear"), stands: of("stands") })
}

/// Names and polygons of a layer; none where the plan has it not.
fn named(read: &PlanLayers, name: &str) -> Vec<(String, MultiPolygon<f64>)> {
    let Some(layer) = read.find(name) else { return Vec::new() };
    let rows = layer.rows.iter().filter_map(|row| match &row.shape {
        Shape::Area(area) => Some((layer.text(row, layer.id).to_owned(), area.clone())),
        Shape::Place(_) => None,
    });
    rows.collect()
}
