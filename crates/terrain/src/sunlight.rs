//! How much sun a slope catches, against level ground and in megajoules.

mod beams;
mod clear_sky;
mod light;
mod position;
mod shadows;

use std::collections::BTreeSet;

use rayon::prelude::*;
use thiserror::Error;

use crate::horizon::check_distance;
use crate::{GridError, Raster};
use beams::{Beam, beams_of_month};
pub use clear_sky::{ClearSky, SOLAR_CONSTANT_W_M2};
use light::{Shade, caught, on_level};
pub use position::{SunPosition, declination_deg, sun_position};
pub use shadows::Shadows;

/// Why sunlight cannot be reckoned.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SunlightError {
    /// Slope and aspect do not belong together.
    #[error(transparent)]
    Grid(#[from] GridError),
    /// A month that the calendar does not have.
    #[error("month {0}: expected 1 (January) to 12 (December)")]
    Month(u8),
    /// Nothing to reckon for.
    #[error("no months: expected at least one of 1 (January) to 12 (December)")]
    NoMonths,
    /// A latitude that is not on the globe.
    #[error("latitude {0}°: expected −90 (south) to 90 (north)")]
    Latitude(f64),
    /// Level ground sees no sun to compare with.
    #[error("the sun does not rise at latitude {latitude_deg}° in the months {months:?}")]
    NeverRises {
        /// The latitude asked for.
        latitude_deg: f64,
        /// The months asked for.
        months: Vec<u8>,
    },
}

/// Where, when and through what air the sun shines.
#[derive(Debug, Clone, PartialEq)]
pub struct SunSettings {
    /// Degrees, negative in the southern hemisphere.
    pub latitude_deg: f64,
    /// 1 to 12; a month named twice counts once. The whole year by default.
    pub months: Vec<u8>,
    /// Ground as far as this hides the sun, metres; `None` for no shade but a slope's own. 1000 by
    /// default (our choice): a ridge 100 m higher hides a sun of 5.7° from there.
    pub shade_within_m: Option<f64>,
    /// The air; each beam is as strong over the whole grid.
    pub sky: ClearSky,
    /// Suns to an hour, at the middle of equal steps, 1 to 60. 2 by default.
    pub steps_an_hour: u8,
}

impl SunSettings {
    /// The defaults at a latitude.
    #[must_use]
    pub fn new(latitude_deg: f64) -> Self {
        Self {
            latitude_deg,
            months: (1..=12).collect(),
            shade_within_m: Some(1000.0),
            sky: ClearSky::default(),
            steps_an_hour: 2,
        }
    }

    /// Whether the sun is seen at all in these months; a polar night has no ratio to level ground.
    #[must_use]
    pub fn rises(&self) -> bool {
        !matches!(self.season(), Err(SunlightError::NeverRises { .. }))
    }

    fn check(&self) -> Result<(), SunlightError> {
        if !(-90.0..=90.0).contains(&self.latitude_deg) {
            return Err(SunlightError::Latitude(self.latitude_deg));
        }
        if let Some(distance_m) = self.shade_within_m {
            check_distance(distance_m)?;
        }
        self.sky.check()?;
        if !(1..=60).contains(&self.steps_an_hour) {
            let (what, value) = ("number of suns to an hour", f64::from(self.steps_an_hour));
            return Err(GridError::Setting { what, value, expected: "1 to 60" }.into());
        }
        Ok(())
    }

    fn shade<'a>(&self, elevation: &'a Raster<f32>) -> Shade<'a> {
        self.shade_within_m.map(|distance_m| (elevation, distance_m))
    }

    /// The suns of a month's mean day, none in a polar night.
    fn day(&self, month: u8) -> Result<Vec<Beam>, SunlightError> {
        if !(1..=12).contains(&month) {
            return Err(SunlightError::Month(month));
        }
        Ok(beams_of_month(self.latitude_deg, month, self.steps_an_hour, &self.sky))
    }

    /// The suns of all days of all months.
    fn season(&self) -> Result<Vec<Beam>, SunlightError> {
        self.check()?;
        let months: BTreeSet<u8> = self.months.iter().copied().collect();
        if months.is_empty() {
            return Err(SunlightError::NoMonths);
        }
        let mut season = Vec::new();
        for &month in &months {
            let day = self.day(month)?;
            let days = beams::days(month);
            season.extend(day.into_iter().map(|beam| beam.for_days(days)));
        }
        if season.is_empty() {
            let latitude_deg = self.latitude_deg;
            let months = months.into_iter().collect();
            return Err(SunlightError::NeverRises { latitude_deg, months });
        }
        Ok(season)
    }
}

/// Direct sun on each slope in the chosen months, as a ratio to that on level open ground, in the
/// shade of no other ground.
///
/// As [`shaded_sun_ratio`] with the defaults of [`SunSettings`], but only the slope itself shades.
///
/// # Errors
/// [`SunlightError`]: grids that differ, no or unknown months, a latitude off the globe, or months
/// in which the sun never rises there.
///
/// # Cost
/// About two dozen products a cell for each month; all cores.
///
/// ```
/// use terrain::{Grid, Raster, sun_ratio};
/// let grid = Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0)?;
/// let slope = Raster::filled(grid, 30.0);
/// let facing_north_then_south = Raster::new(grid, vec![0.0, 180.0])?;
/// let june = sun_ratio(&slope, &facing_north_then_south, -40.0, &[6])?;
/// assert!(june.at(0, 0) > 1.5 && june.at(0, 1) < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sun_ratio(
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    latitude_deg: f64,
    months: &[u8],
) -> Result<Raster<f32>, SunlightError> {
    let settings = SunSettings { months: months.to_vec(), ..SunSettings::new(latitude_deg) };
    against_level(&settings.season()?, slope_deg, aspect_deg, None)
}

/// Direct sun on each slope in the chosen months, as a ratio to that on level ground with an open
/// horizon.
///
/// The sun of each month's mean day is followed through a clear sky; each step's beam counts by the
/// cosine of its angle to the slope and by the length of the month, unless other ground hides the
/// sun: unless, in the sun's very direction, the horizon of
/// [`horizon_deg`](crate::horizon_deg) within `shade_within_m` stands higher than the sun. 1 is as
/// much as open level ground; 0 is no direct sun.
///
/// # Limits
/// No diffuse light, no cloud, no shade of trees. The sun is a point, as high as refraction lifts it.
/// Each month is one day, of 2025; time is the sun's own, so that noon is when it stands highest.
///
/// # Units
/// Elevation in metres; `slope_deg` and `aspect_deg` as [`slope_aspect`] gives them. The result is
/// per square metre of sloping ground against per square metre of level ground.
///
/// # Holes
/// A hole where slope is one. Where only aspect is, the ground is level. A hole in elevation hides
/// nothing and is not hidden.
///
/// # Errors
/// [`SunlightError`]: grids that differ, no or unknown months, a latitude off the globe, months
/// in which the sun never rises there, or settings that cannot be used.
///
/// # Cost
/// For each sun (some 24 a month) a running maximum and half a dozen products a cell; all cores.
/// One raster beside the result.
///
/// ```
/// use terrain::{Grid, Raster, SunSettings, shaded_sun_ratio};
/// let grid = Grid::new(3, 60, 0.0, 0.0, 5.0, 5.0)?;
/// let wall_to_the_north = Raster::from_fn(grid, |row, _| if row < 5 { 60.0 } else { 0.0 });
/// let level = Raster::filled(grid, 0.0);
/// let winter = SunSettings { months: vec![6], ..SunSettings::new(-40.0) };
/// let sun = shaded_sun_ratio(&wall_to_the_north, &level, &level, &winter)?;
/// assert!(sun.at(6, 1) < 0.3 && sun.at(59, 1) > 0.9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # References
/// [`sun_position`] (angles), [`ClearSky::beam_w_m2`] (strength); Klein 1977, Calculation of
/// monthly average insolation on tilted surfaces (mean days).
///
/// [`slope_aspect`]: crate::slope_aspect
pub fn shaded_sun_ratio(
    elevation: &Raster<f32>,
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    settings: &SunSettings,
) -> Result<Raster<f32>, SunlightError> {
    against_level(&settings.season()?, slope_deg, aspect_deg, settings.shade(elevation))
}

/// Direct sun that each slope catches on the mean day of one month under a clear sky.
///
/// As [`shaded_sun_ratio`], but not against level ground; `settings.months` does not matter. A
/// month without sun brings 0 everywhere. A year is twelve calls, so that no more than one month
/// need be held in memory.
///
/// # Units
/// Megajoules a square metre of sloping ground a day (÷ 3.6 is kilowatt-hours).
///
/// # Errors
/// [`SunlightError`], but never that the sun does not rise.
///
/// ```
/// use terrain::{Grid, Raster, SunSettings, sun_mj_m2_day};
/// let level = Raster::filled(Grid::new(1, 1, 0.0, 0.0, 5.0, 5.0)?, 0.0);
/// let sun = |month| sun_mj_m2_day(&level, &level, &level, &SunSettings::new(-40.0), month);
/// assert!((20.0..35.0).contains(&sun(12)?.at(0, 0)) && (3.0..8.0).contains(&sun(6)?.at(0, 0)));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sun_mj_m2_day(
    elevation: &Raster<f32>,
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    settings: &SunSettings,
    month: u8,
) -> Result<Raster<f32>, SunlightError> {
    settings.check()?;
    Ok(caught(&settings.day(month)?, slope_deg, aspect_deg, settings.shade(elevation))?)
}

fn against_level(
    beams: &[Beam],
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    shade: Shade<'_>,
) -> Result<Raster<f32>, SunlightError> {
    Ok(over_level(caught(beams, slope_deg, aspect_deg, shade)?, beams))
}

/// Light over that on open level ground.
fn over_level(mut light: Raster<f32>, beams: &[Beam]) -> Raster<f32> {
    let level = on_level(beams);
    light.cells_mut().par_iter_mut().with_min_len(1 << 14).for_each(|light| *light /= level);
    light
}
