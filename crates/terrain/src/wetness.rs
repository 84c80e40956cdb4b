//! Where the ground stays wet.

use std::f32::consts::LN_2;

use rayon::prelude::*;

use crate::series::{log2, log2_tan_deg};
use crate::{GridError, Raster};

/// Cells that one thread takes at a time.
const CHUNK: usize = 1 << 14;

/// The gentlest slope that [`wetness_index`] usually reckons with, in degrees.
///
/// On level ground the index has no bound; a fall of about one metre in 570 stands in for it.
/// Common practice, no source: published floors lie between 0.0001 and 0.01 of fall a metre.
pub const GENTLEST_SLOPE_DEG: f64 = 0.1;

/// The topographic wetness index, ln(a ÷ tan β): high where much ground drains to a gentle slope.
///
/// `a` is the flow area divided by the contour length that it crosses, taken as the side of a
/// square of the cell's area (√(width × height)) whatever the way the ground faces; β is the slope,
/// raised to `gentlest_slope_deg` where it is less.
///
/// # Units
/// Square metres and degrees in; the result is the natural logarithm of metres.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids; [`GridError::Setting`] when the
/// gentlest slope is not between 0 and 90 degrees, both left out.
///
/// # Holes
/// A hole where either layer has one (so the outer ring, where slope is not known), or where the
/// area is not above 0.
///
/// ```
/// use terrain::{GENTLEST_SLOPE_DEG, Grid, Raster, wetness_index};
/// let grid = Grid::new(1, 1, 0.0, 0.0, 10.0, 10.0)?;
/// let (area, slope) = (Raster::filled(grid, 1000.0), Raster::filled(grid, 45.0));
/// let index = wetness_index(&area, &slope, GENTLEST_SLOPE_DEG)?;
/// assert!((index.at(0, 0) - 100.0_f32.ln()).abs() < 1e-5);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Beven & Kirkby 1979, A physically based, variable contributing area model of basin hydrology.
pub fn wetness_index(
    flow_area_m2: &Raster<f32>,
    slope_deg: &Raster<f32>,
    gentlest_slope_deg: f64,
) -> Result<Raster<f32>, GridError> {
    flow_area_m2.same_grid(slope_deg)?;
    if !(gentlest_slope_deg > 0.0 && gentlest_slope_deg < 90.0) {
        let expected = "degrees above 0 and below 90";
        return Err(GridError::Setting {
            what: "gentlest slope",
            value: gentlest_slope_deg,
            expected,
        });
    }
    let grid = *slope_deg.grid();
    let per_contour_m = (1.0 / grid.cell_area().sqrt()) as f32;
    let gentlest = gentlest_slope_deg as f32;
    let mut index = Raster::filled(grid, 0.0_f32);
    index
        .cells_mut()
        .par_chunks_mut(CHUNK)
        .zip(flow_area_m2.cells().par_chunks(CHUNK))
        .zip(slope_deg.cells().par_chunks(CHUNK))
        .for_each(|((index, area), slope)| {
            for ((index, area), slope) in index.iter_mut().zip(area).zip(slope) {
                // Written so that a hole stays one: `max` would put the floor in its place.
                let held = if *slope < gentlest { gentlest } else { *slope };
                let log = log2(area * per_contour_m) - log2_tan_deg(held);
                let known = *area > 0.0 && !slope.is_nan();
                *index = if known { log * LN_2 } else { f32::NAN };
            }
        });
    Ok(index)
}
