//! Streams and drains, as the cells that they touch.

use geo::{Geometry, Rect};
use terrain::{Grid, Raster};

use super::crs::Crs;
use super::facts::LayerFacts;
use super::rasterise::touched;
use super::refusal::not_laid;
use super::vector_file::VectorFile;
use crate::problem::Problem;
use crate::site::VectorSource;

/// What came of reading.
pub(super) struct Read {
    /// Whether a stream touches the cell.
    pub(super) cells: Raster<bool>,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Reads the streams within a grid.
///
/// # Errors
/// When the layer cannot be read, or no stream touches the grid: height above drainage would then
/// be above nothing.
pub(super) fn read(source: &VectorSource, grid: &Grid, crs: &Crs) -> Result<Read, Vec<Problem>> {
    let file = VectorFile::open("streams", source)?;
    let reach = Rect::new((grid.west(), grid.south()), (grid.east(), grid.north()));
    let features = file.features(crs, None, Some(reach))?;
    let shapes: Vec<Geometry<f64>> =
        features.iter().filter_map(|feature| feature.geometry.clone()).collect();
    let cells = touched(grid, &shapes).map_err(|reason| not_laid(file.fault(), reason))?;
    if !cells.contains(&1) {
        return Err(vec![
            file.fault()
                .found("no stream on the property or in its halo")
                .expected("lines that the property drains to")
                .remedy(
                    "take [layers.streams] out: drainage lines are then derived from elevation",
                ),
        ]);
    }
    let warnings = file.datum_warning(crs).into_iter().collect();
    let facts = LayerFacts::of_vector(&file, shapes.len(), "the drainage lines, cell by cell");
    let cells = Raster::from_fn(*grid, |row, col| cells[grid.index(row, col)] == 1);
    Ok(Read { cells, facts, warnings })
}
