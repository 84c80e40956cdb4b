//! How wet the ground tends to be, from what drains onto it and how fast it can leave.

use crate::{GridError, Raster};

/// Least tangent of slope that the index reckons with, so that level ground has an index.
pub const LEAST_TANGENT: f32 = 0.001;

/// The topographic wetness index ln(a / tan β).
///
/// # Units
/// `flow_area_m2` as from [`crate::flow_area_m2`]; `slope_deg` in degrees. The specific catchment
/// area a is in metres: flow area over the side of a square cell of the same area. The slope's
/// tangent counts as at least [`LEAST_TANGENT`]. A hole in either layer is a hole.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids.
///
/// Source: Beven & Kirkby 1979, Hydrological Sciences Bulletin 24:43–69.
pub fn wetness_index(
    flow_area_m2: &Raster<f32>,
    slope_deg: &Raster<f32>,
) -> Result<Raster<f32>, GridError> {
    let contour = flow_area_m2.grid().cell_area().sqrt() as f32;
    flow_area_m2.zip_with(slope_deg, |area, slope| {
        if slope.is_nan() {
            return f32::NAN;
        }
        (area / contour / slope.to_radians().tan().max(LEAST_TANGENT)).ln()
    })
}
