//! The shadows of a season, kept for slopes that are taken in another way.

use super::beams::Beam;
use super::light::{all_marked, caught_in};
use super::{SunSettings, SunlightError, over_level};
use crate::{Grid, Raster};

/// Which suns of a season other ground hides from each cell.
///
/// They depend on elevation alone, and are by far the most of the work of
/// [`shaded_sun_ratio`](crate::shaded_sun_ratio): who asks for sunlight on the same ground again, on slopes at another
/// scale, keeps them.
///
/// # Cost
/// A bit for each sun and cell: 4 bytes a cell for every 32 suns (some 24 a month).
///
/// ```
/// use terrain::{Grid, Raster, Shadows, SunSettings, shaded_sun_ratio};
/// let grid = Grid::new(3, 60, 0.0, 0.0, 5.0, 5.0)?;
/// let wall_to_the_north = Raster::from_fn(grid, |row, _| if row < 5 { 60.0 } else { 0.0 });
/// let winter = SunSettings { months: vec![6], ..SunSettings::new(-40.0) };
/// let shadows = Shadows::of(&wall_to_the_north, &winter)?;
/// let level = Raster::filled(grid, 0.0);
/// let kept = shadows.sun_ratio(&level, &level)?;
/// assert_eq!(kept, shaded_sun_ratio(&wall_to_the_north, &level, &level, &winter)?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone)]
pub struct Shadows {
    grid: Grid,
    season: Vec<Beam>,
    /// For each 32 suns a word for each cell; none without shade.
    hidden: Vec<Vec<u32>>,
}

impl Shadows {
    /// The shadows that ground throws.
    ///
    /// # Errors
    /// As [`shaded_sun_ratio`](crate::shaded_sun_ratio).
    pub fn of(elevation: &Raster<f32>, settings: &SunSettings) -> Result<Self, SunlightError> {
        let season = settings.season()?;
        let hidden = all_marked(&season, settings.shade(elevation));
        Ok(Self { grid: *elevation.grid(), season, hidden })
    }

    /// What [`shaded_sun_ratio`](crate::shaded_sun_ratio) gives on these slopes, to the bit. Units and holes are those of it.
    ///
    /// # Errors
    /// When slope and aspect are not on the grid of the ground.
    pub fn sun_ratio(
        &self,
        slope_deg: &Raster<f32>,
        aspect_deg: &Raster<f32>,
    ) -> Result<Raster<f32>, SunlightError> {
        self.grid.same(slope_deg.grid())?;
        let light = caught_in(&self.hidden, &self.season, slope_deg, aspect_deg)?;
        Ok(over_level(light, &self.season))
    }
}
