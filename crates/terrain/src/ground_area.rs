//! Ground on the slope against ground on the map.

use rayon::prelude::*;

use crate::Raster;

/// Hectares of ground on the slope in each hectare of plan: 1 ÷ cos(slope).
///
/// # Units
/// Degrees in, a ratio of at least 1 out: 1.221 at 35°, 1.414 at 45°. A hole stays a hole.
///
/// ```
/// use terrain::{Grid, Raster, ground_area_ratio};
/// let slope_deg = Raster::filled(Grid::new(1, 1, 0.0, 0.0, 5.0, 5.0)?, 60.0);
/// assert!((ground_area_ratio(&slope_deg).at(0, 0) - 2.0).abs() < 1e-5);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn ground_area_ratio(slope_deg: &Raster<f32>) -> Raster<f32> {
    let mut ratio = Raster::filled(*slope_deg.grid(), 0.0_f32);
    let cells = ratio.cells_mut().par_iter_mut().zip(slope_deg.cells()).with_min_len(4096);
    cells.for_each(|(ratio, slope)| *ratio = 1.0 / slope.to_radians().cos());
    ratio
}
