//! Where cold air pools on still, clear nights.

use crate::{GridError, Raster};

/// How readily cold air pools, 0 (not at all) to 1.
///
/// `exp(−height above drainage ÷ thins out over) × visible share of the sky`: cold air runs down and
/// lies along drainage lines, thinning with height above them, and ground gives off its heat to the
/// open sky. The form is ours; the two factors are those of frost maps. A screen, not a forecast:
/// no wind, no dam of cold air behind a wood or a bank, no soil. Look at where frosts lie.
///
/// # Units
/// `height_above_drainage_m` as [`height_above_drainage`](crate::height_above_drainage) gives it;
/// `sky_view_share` 0 to 1; `thins_out_over_m` in metres, where 37 % is left. 10 m is a usual choice
/// (common practice, no source).
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids; [`GridError::Setting`] when the
/// height is not above 0.
///
/// # Holes
/// A hole where either layer has one.
///
/// ```
/// use terrain::{Grid, Raster, frost_index};
/// let grid = Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0)?;
/// let height = Raster::new(grid, vec![0.0, 30.0])?;
/// let sky = Raster::filled(grid, 0.9);
/// let index = frost_index(&height, &sky, 10.0)?;
/// assert!((index.at(0, 0) - 0.9).abs() < 1e-6 && index.at(0, 1) < 0.05);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Geiger, Aron & Todhunter, The Climate Near the Ground (cold air and open sky; from memory).
pub fn frost_index(
    height_above_drainage_m: &Raster<f32>,
    sky_view_share: &Raster<f32>,
    thins_out_over_m: f64,
) -> Result<Raster<f32>, GridError> {
    if !(thins_out_over_m.is_finite() && thins_out_over_m > 0.0) {
        return Err(GridError::Setting {
            what: "height over which cold air thins out",
            value: thins_out_over_m,
            expected: "metres above 0",
        });
    }
    height_above_drainage_m.zip_with(sky_view_share, |height, sky| {
        let height = f64::from(*height);
        let above = if height < 0.0 { 0.0 } else { height }; // a hole stays one
        ((-above / thins_out_over_m).exp() * f64::from(*sky)) as f32
    })
}
