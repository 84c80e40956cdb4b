//! How open ground is to wind.

use crate::horizon::{Tally, angle_deg, check_distance};
use crate::{GridError, Raster};

/// Directions of a wind rose: north, north-east, east … north-west.
const DIRECTIONS: usize = 8;

/// How much wind comes from each of the eight directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindRose {
    /// Weights that sum to 8.
    weights: [f64; DIRECTIONS],
}

impl WindRose {
    /// As much wind from everywhere.
    pub const EVEN: Self = Self { weights: [1.0; DIRECTIONS] };

    /// Shares of time (or of anything that weighs) with wind *from* north, north-east, east,
    /// south-east, south, south-west, west and north-west. They need not sum to 1.
    ///
    /// # Errors
    /// [`GridError::Setting`] when one is negative or not finite, or all are 0.
    ///
    /// ```
    /// use terrain::WindRose;
    /// assert_eq!(WindRose::new([0.125; 8])?, WindRose::EVEN);
    /// assert!(WindRose::new([0.0; 8]).is_err());
    /// # Ok::<(), terrain::GridError>(())
    /// ```
    pub fn new(shares: [f64; DIRECTIONS]) -> Result<Self, GridError> {
        for value in shares {
            if !(value.is_finite() && value >= 0.0) {
                let what = "share of wind from a direction";
                return Err(GridError::Setting { what, value, expected: "0 or more" });
            }
        }
        let value: f64 = shares.iter().sum();
        if !(value.is_finite() && value > 0.0) {
            let what = "sum of the shares of wind";
            return Err(GridError::Setting { what, value, expected: "above 0" });
        }
        Ok(Self { weights: shares.map(|share| share * DIRECTIONS as f64 / value) })
    }
}

/// What counts as shelter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExposureSettings {
    /// Ground farther away does not count, metres. 1000 by default: 1 to 2 km are usual in
    /// forestry (common practice, no source).
    pub distance_m: f64,
    /// Whether ground that falls away counts against shelter, as in the distance-limited measure of
    /// Quine & White 1998. False by default: shelter alone is summed.
    pub signed: bool,
    /// Where the wind comes from; even by default.
    pub wind: WindRose,
}

impl Default for ExposureSettings {
    fn default() -> Self {
        Self { distance_m: 1000.0, signed: false, wind: WindRose::EVEN }
    }
}

/// Shelter by the ground around: the sum of the horizon's angles in the eight compass directions.
///
/// The forester's "topex" (topographic exposure), within a distance: the smaller, the more exposed.
/// By default angles above level alone are summed, so that a summit and an open plain are alike at
/// 0; `signed` tells them apart. With a wind rose each angle counts by
/// how much wind comes from there, and the sum is scaled so that an even rose gives the plain
/// sum.
///
/// # Units
/// Degrees, −720 to 720 (0 to 720 unless `signed`). Elevation and distance in metres.
///
/// # Holes
/// A hole where elevation is. Directions in which no ground is known count 0: near the edge of the
/// grid ground looks more exposed, or less, than it is.
///
/// # Errors
/// [`GridError::Setting`] for a distance that is not above 0.
///
/// # Cost
/// Eight times [`horizon_deg`](crate::horizon_deg), one direction at a time; one raster beside the ground.
///
/// ```
/// use terrain::{ExposureSettings, Grid, Raster, exposure_deg};
/// let grid = Grid::new(5, 5, 0.0, 0.0, 10.0, 10.0)?;
/// let pit = Raster::from_fn(grid, |row, col| if (row, col) == (2, 2) { 0.0 } else { 10.0 });
/// let sum = exposure_deg(&pit, &ExposureSettings::default())?;
/// assert!((sum.at(2, 2) - (4.0 * 45.0 + 4.0 * 35.264_39)).abs() < 1e-3);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// `signed`: Quine & White 1998, The potential of distance-limited topex in the prediction of site
/// windiness. Angles above level alone: common practice of foresters. Both from memory.
pub fn exposure_deg(
    elevation: &Raster<f32>,
    settings: &ExposureSettings,
) -> Result<Raster<f32>, GridError> {
    check_distance(settings.distance_m)?;
    let mut sum = Tally::new(*elevation.grid());
    for (direction, weight) in settings.wind.weights.into_iter().enumerate() {
        let azimuth_deg = 45.0 * direction as f64;
        sum.add_horizon(elevation, azimuth_deg, settings.distance_m, |sum, tangent| {
            let angle = angle_deg(tangent);
            let counts = if angle < 0.0 && !settings.signed { 0.0 } else { angle };
            sum + counts * weight as f32
        });
    }
    Ok(sum.into_raster())
}
