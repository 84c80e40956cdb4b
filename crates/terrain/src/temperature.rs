//! Station temperatures moved to the height of the ground.

use rayon::prelude::*;

use crate::{GridError, Raster};

/// Cooling with height, °C per 100 m: within 0.5–0.65, from memory; the standard atmosphere of the
/// International Civil Aviation Organization has 0.65 (from memory). Nights with cold air in the
/// valleys turn it round, see [`frost_index`].
///
/// [`frost_index`]: crate::frost_index
pub const LAPSE_C_PER_100M: f64 = 0.6;

/// Monthly temperature normals of one station, January first.
///
/// All ground gets the station's temperature less the lapse rate times the height above the
/// station: no sea breeze, shade, frost hollow or inversion. The farther from the station and its
/// height, the rougher.
///
/// # Units
/// °C and metres. Infinite elevations, like holes, have no temperature.
///
/// ```
/// use terrain::{Grid, LAPSE_C_PER_100M, Raster, StationNormals};
/// let normals = StationNormals::new([12.0; 12], [7.5; 12], 80.0, LAPSE_C_PER_100M)?;
/// let hill = Raster::filled(Grid::new(1, 1, 0.0, 0.0, 5.0, 5.0)?, 380.0);
/// assert_eq!(normals.annual_mean_c(&hill).at(0, 0), 10.2); // 300 m up: 1.8 °C less
/// assert_eq!(normals.coldest_month_minimum_c(&hill).at(0, 0), 5.7);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct StationNormals {
    mean_c: [f64; 12],
    minimum_c: [f64; 12],
    elevation_m: f64,
    lapse_c_per_100m: f64,
}

impl StationNormals {
    /// Monthly means, monthly means of the daily minima, the station's elevation in metres and the
    /// cooling with height in °C per 100 m (below 0 where it grows warmer upward).
    ///
    /// # Errors
    /// [`GridError::Setting`] when a number is not finite, or a minimum is above its month's mean.
    pub fn new(
        mean_c: [f64; 12],
        minimum_c: [f64; 12],
        elevation_m: f64,
        lapse_c_per_100m: f64,
    ) -> Result<Self, GridError> {
        let finite = |what, value: f64| {
            let expected = "a finite number";
            if value.is_finite() {
                Ok(())
            } else {
                Err(GridError::Setting { what, value, expected })
            }
        };
        finite("station elevation", elevation_m)?;
        finite("lapse rate", lapse_c_per_100m)?;
        for (mean, minimum) in mean_c.into_iter().zip(minimum_c) {
            finite("monthly mean", mean)?;
            finite("monthly minimum", minimum)?;
            if minimum > mean {
                let expected = "at most the month's mean";
                return Err(GridError::Setting {
                    what: "monthly minimum",
                    value: minimum,
                    expected,
                });
            }
        }
        Ok(Self { mean_c, minimum_c, elevation_m, lapse_c_per_100m })
    }

    /// Mean temperature of a month (1 for January), °C.
    ///
    /// # Errors
    /// [`GridError::Setting`] when there is no such month.
    pub fn month_mean_c(
        &self,
        elevation: &Raster<f32>,
        month: u8,
    ) -> Result<Raster<f32>, GridError> {
        Ok(self.moved(elevation, of_month(&self.mean_c, month)?))
    }

    /// Mean daily minimum of a month (1 for January), °C.
    ///
    /// # Errors
    /// [`GridError::Setting`] when there is no such month.
    pub fn month_minimum_c(
        &self,
        elevation: &Raster<f32>,
        month: u8,
    ) -> Result<Raster<f32>, GridError> {
        Ok(self.moved(elevation, of_month(&self.minimum_c, month)?))
    }

    /// Mean of the twelve monthly means, each alike, °C.
    #[must_use]
    pub fn annual_mean_c(&self, elevation: &Raster<f32>) -> Raster<f32> {
        self.moved(elevation, self.mean_c.iter().sum::<f64>() / 12.0)
    }

    /// The lowest of the twelve monthly minima, °C.
    #[must_use]
    pub fn coldest_month_minimum_c(&self, elevation: &Raster<f32>) -> Raster<f32> {
        self.moved(elevation, self.minimum_c.iter().copied().fold(f64::INFINITY, f64::min))
    }

    /// A temperature at the station, moved to each cell.
    fn moved(&self, elevation: &Raster<f32>, at_station: f64) -> Raster<f32> {
        let per_metre = self.lapse_c_per_100m / 100.0;
        let mut temperature = Raster::filled(*elevation.grid(), f32::NAN);
        let cells = temperature.cells_mut().par_iter_mut().zip(elevation.cells());
        cells.with_min_len(4096).for_each(|(temperature, metres)| {
            if metres.is_finite() {
                let above = f64::from(*metres) - self.elevation_m;
                *temperature = (at_station - per_metre * above) as f32;
            }
        });
        temperature
    }
}

fn of_month(normals: &[f64; 12], month: u8) -> Result<f64, GridError> {
    let value = f64::from(month);
    let expected = "a month from 1 to 12";
    let position = usize::from(month).wrapping_sub(1);
    normals.get(position).copied().ok_or(GridError::Setting { what: "month", value, expected })
}
