//! A station's temperatures moved up and down the hill.

use thiserror::Error;

use crate::Raster;

/// Cooling with height that is usual where no other is known, °C per 100 m (0.5 to 0.65; from
/// memory). The standard atmosphere has 0.65 (ICAO; from memory).
pub const USUAL_LAPSE_C_PER_100M: f64 = 0.6;

/// Monthly normals of one station, January first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationNormals {
    /// Mean temperature of each month, °C.
    pub mean_c: [f64; 12],
    /// Mean daily minimum of each month, °C.
    pub minimum_c: [f64; 12],
    /// Height of the station above sea level, metres.
    pub elevation_m: f64,
    /// Cooling with height, °C per 100 m: [`USUAL_LAPSE_C_PER_100M`] where no other is known.
    pub lapse_c_per_100m: f64,
}

/// A month that the calendar does not have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("month {0}: expected 1 (January) to 12 (December)")]
pub struct MonthError(pub u8);

/// Days in each month, leap years spread evenly.
const MONTH_DAYS: [f64; 12] =
    [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// Each result is the station's moved in a straight line by the lapse rate to the cell's height, °C;
/// a hole where elevation is one. Cold air that pools in hollows at night is not in it: see
/// [`frost_index`](crate::frost_index).
///
/// ```
/// use terrain::{Grid, Raster, StationNormals, USUAL_LAPSE_C_PER_100M};
/// let station = StationNormals {
///     mean_c: [12.0; 12],
///     minimum_c: [4.0; 12],
///     elevation_m: 50.0,
///     lapse_c_per_100m: USUAL_LAPSE_C_PER_100M,
/// };
/// let hill = Raster::filled(Grid::new(1, 1, 0.0, 0.0, 5.0, 5.0)?, 350.0);
/// let mean = station.annual_mean_c(&hill);
/// assert!((mean.at(0, 0) - (12.0 - 1.8)).abs() < 1e-6);
/// # Ok::<(), terrain::GridError>(())
/// ```
impl StationNormals {
    /// Mean temperature of a month, 1 to 12.
    ///
    /// # Errors
    /// For a month that the calendar does not have.
    pub fn month_mean_c(
        &self,
        elevation: &Raster<f32>,
        month: u8,
    ) -> Result<Raster<f32>, MonthError> {
        Ok(self.moved(of_month(&self.mean_c, month)?, elevation))
    }

    /// Mean daily minimum of a month, 1 to 12.
    ///
    /// # Errors
    /// For a month that the calendar does not have.
    pub fn month_minimum_c(
        &self,
        elevation: &Raster<f32>,
        month: u8,
    ) -> Result<Raster<f32>, MonthError> {
        Ok(self.moved(of_month(&self.minimum_c, month)?, elevation))
    }

    /// Mean temperature of the year, each month by its length.
    #[must_use]
    pub fn annual_mean_c(&self, elevation: &Raster<f32>) -> Raster<f32> {
        let days: f64 = MONTH_DAYS.iter().sum();
        let sum: f64 = self.mean_c.iter().zip(MONTH_DAYS).map(|(mean, days)| mean * days).sum();
        self.moved(sum / days, elevation)
    }

    /// Mean daily minimum of the coldest month.
    #[must_use]
    pub fn coldest_month_min_c(&self, elevation: &Raster<f32>) -> Raster<f32> {
        let coldest = self.minimum_c.iter().copied().fold(f64::INFINITY, f64::min);
        self.moved(coldest, elevation)
    }

    fn moved(&self, at_station_c: f64, elevation: &Raster<f32>) -> Raster<f32> {
        let per_metre = self.lapse_c_per_100m / 100.0;
        elevation.map(|z| (at_station_c - per_metre * (f64::from(*z) - self.elevation_m)) as f32)
    }
}

fn of_month(normals: &[f64; 12], month: u8) -> Result<f64, MonthError> {
    let place = usize::from(month).wrapping_sub(1);
    normals.get(place).copied().ok_or(MonthError(month))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Grid;

    fn station() -> StationNormals {
        let mean_c = std::array::from_fn(|month| month as f64);
        let minimum_c = std::array::from_fn(|month| month as f64 - 6.0);
        StationNormals { mean_c, minimum_c, elevation_m: 100.0, lapse_c_per_100m: 0.6 }
    }

    fn hill(elevation_m: f32) -> Raster<f32> {
        Raster::filled(Grid::new(1, 1, 0.0, 0.0, 1.0, 1.0).unwrap(), elevation_m)
    }

    /// Worked by hand: 300 m higher is 1.8 °C colder; the lapse of the standard atmosphere (6.5 K a
    /// kilometre, ICAO; from memory) takes 15 °C at sea level to 8.5 °C at 1,000 m.
    #[test]
    fn it_gets_colder_uphill() {
        let july = station().month_mean_c(&hill(400.0), 7).unwrap();
        assert!((july.at(0, 0) - (6.0 - 1.8)).abs() < 1e-5);
        let lowest = station().coldest_month_min_c(&hill(0.0));
        assert!((lowest.at(0, 0) - (-6.0 + 0.6)).abs() < 1e-5);
        let sea = StationNormals {
            mean_c: [15.0; 12],
            elevation_m: 0.0,
            lapse_c_per_100m: 0.65,
            ..station()
        };
        assert!((sea.annual_mean_c(&hill(1000.0)).at(0, 0) - 8.5).abs() < 1e-5);
    }

    #[test]
    fn the_year_weighs_months_by_their_days_and_knows_no_thirteenth() {
        let mean = station().annual_mean_c(&hill(100.0)).at(0, 0);
        let by_hand =
            (31.0 * (0. + 2. + 4. + 6. + 7. + 9. + 11.) + 28.25 + 30.0 * (3. + 5. + 8. + 10.))
                / 365.25;
        assert!((f64::from(mean) - by_hand).abs() < 1e-5);
        assert_eq!(station().month_minimum_c(&hill(0.0), 13), Err(MonthError(13)));
        assert_eq!(station().month_mean_c(&hill(0.0), 0), Err(MonthError(0)));
        assert!(station().annual_mean_c(&hill(f32::NAN)).at(0, 0).is_nan());
    }
}
