//! How much of the sky each cell sees.

use crate::horizon::{Tally, check_distance};
use crate::{GridError, Raster};

/// Directions that are enough for ground without narrow clefts (common practice, no source).
pub const SKY_DIRECTIONS: usize = 16;

/// Share of the sky that ground all around leaves open, weighed as level ground receives it.
///
/// The mean over the directions of the squared cosine of the horizon's angle: the share of an
/// evenly bright sky's light (or of the ground's own heat that goes out to a cold sky) on a level
/// surface. The horizon is never below level: 1 on a plain or a summit, near 0 in a shaft.
///
/// # Units
/// A share, 0 to 1. `distance_m` in metres, above 0, infinite for all ground; `directions` 4 to 360,
/// evenly around from north.
///
/// # Holes
/// A hole where elevation is; ground that is not known hides nothing.
///
/// # Errors
/// [`GridError::Setting`] for a distance that is not above 0 or too few or many directions.
///
/// # Cost
/// `directions` times [`horizon_deg`](crate::horizon_deg), one at a time; one raster beside the ground.
///
/// ```
/// use terrain::{Grid, Raster, SKY_DIRECTIONS, sky_view_share};
/// let grid = Grid::new(9, 9, 0.0, 0.0, 10.0, 10.0)?;
/// let plain = Raster::filled(grid, 120.0);
/// assert_eq!(sky_view_share(&plain, 1000.0, SKY_DIRECTIONS)?.get(4, 4), Some(1.0));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Dozier & Frew 1990, Rapid calculation of terrain parameters for radiation modeling from digital
/// elevation data (level surface, even sky). Zakšek, Oštir & Kokalj 2011, Sky-view factor as a
/// relief visualization technique, counts solid angle instead: 1 less the mean sine.
pub fn sky_view_share(
    elevation: &Raster<f32>,
    distance_m: f64,
    directions: usize,
) -> Result<Raster<f32>, GridError> {
    check_distance(distance_m)?;
    if !(4..=360).contains(&directions) {
        let (what, value) = ("number of directions of the sky", directions as f64);
        return Err(GridError::Setting { what, value, expected: "4 to 360" });
    }
    let mut open = Tally::new(*elevation.grid());
    let share = 1.0 / directions as f32;
    for direction in 0..directions {
        let azimuth_deg = 360.0 * direction as f64 / directions as f64;
        open.add_horizon(elevation, azimuth_deg, distance_m, |open, tangent| {
            let hidden = if tangent < 0.0 { 0.0 } else { tangent };
            open + share / (1.0 + hidden * hidden)
        });
    }
    Ok(open.into_raster())
}
