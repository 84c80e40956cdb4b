//! Where cold air settles on still, clear nights.

use rayon::prelude::*;

use crate::{GridError, Raster};

/// How far above the drainage cold air pools, metres. Common practice, no source: set it by where
/// frost has been seen to stop.
pub const FROST_SCALE_M: f64 = 10.0;

/// Frost hollow index from 0 (cold air drains away) to 1 (it settles, under an open sky).
///
/// The product of two shares: pooling, exp(−height above drainage ÷ `scale_m`), because cold air
/// runs down like water and lies deepest in the lowest ground; and the share of the sky that is
/// seen, because open ground loses its heat to the sky and sheltered ground does not.
///
/// A way to rank ground for a closer look, no forecast: wind, cloud, the strength of the cold air
/// flow, dams of forest or embankments, and the soil's own warmth are left out, and so is
/// how cold the place is to begin with ([`StationNormals`] has that). A narrow valley that traps
/// cold air also sees less sky, so its index is held down. Check with frost seen on the ground.
///
/// # Units
/// Metres; the sky view a share from 0 to 1 (beyond it is taken as 0 or 1); a height below 0 as 0.
///
/// # Holes
/// A hole where either layer has one or is infinite.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids; [`GridError::Setting`] when the
/// scale is not above 0 and finite.
///
/// ```
/// use terrain::{FROST_SCALE_M, Grid, Raster, frost_index};
/// let grid = Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0)?;
/// let height = Raster::new(grid, vec![0.0, 10.0])?;
/// let index = frost_index(&height, &Raster::filled(grid, 0.9), FROST_SCALE_M)?;
/// assert!((index.at(0, 0) - 0.9).abs() < 1e-6);
/// assert!((index.at(0, 1) - 0.9 / 2.718_281_8).abs() < 1e-6);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// [`StationNormals`]: crate::StationNormals
pub fn frost_index(
    height_above_drainage_m: &Raster<f32>,
    sky_view_share: &Raster<f32>,
    scale_m: f64,
) -> Result<Raster<f32>, GridError> {
    height_above_drainage_m.same_grid(sky_view_share)?;
    if !(scale_m > 0.0 && scale_m.is_finite()) {
        let expected = "metres above 0";
        return Err(GridError::Setting { what: "frost scale", value: scale_m, expected });
    }
    let mut index = Raster::filled(*sky_view_share.grid(), f32::NAN);
    let layers = height_above_drainage_m.cells().par_iter().zip(sky_view_share.cells());
    index.cells_mut().par_iter_mut().zip(layers).with_min_len(4096).for_each(
        |(index, (&height, &sky))| {
            if height.is_finite() && sky.is_finite() {
                let pooling = (-f64::from(height.max(0.0)) / scale_m).exp();
                *index = (pooling * f64::from(sky.clamp(0.0, 1.0))) as f32;
            }
        },
    );
    Ok(index)
}
