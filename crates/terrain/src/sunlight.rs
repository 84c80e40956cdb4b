//! How much sun a slope catches, against level ground.

mod sky;

use std::collections::BTreeSet;

use rayon::prelude::*;
use thiserror::Error;

use crate::{GridError, Raster};
use sky::Beam;
pub use sky::declination_deg;

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

/// Direct sun on each slope in the chosen months, as a ratio to that on level ground.
///
/// The sun of each month's mean day is followed in hour steps through a clear sky; each hour's beam
/// counts by the cosine of its angle to the slope and by the length of the month. 1 is as much as
/// level ground; 0 is no direct sun.
///
/// # Limits
/// No shade from other ground yet (only from the slope itself), no diffuse light, no cloud: a
/// shaded valley floor gets less than this says.
///
/// # Units
/// `slope_deg` and `aspect_deg` as [`slope_aspect`] gives them; `latitude_deg` is negative in the
/// southern hemisphere; `months` 1–12, a month named twice counts once. The result is per square
/// metre of sloping ground against per square metre of level ground.
///
/// # Holes
/// A hole where slope is one. Where only aspect is, the ground is level and the ratio 1.
///
/// # Errors
/// [`SunlightError`]: grids that differ, no or unknown months, a latitude off the globe, or months
/// in which the sun never rises there.
///
/// # Cost
/// About a dozen products a cell for each month; all cores.
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
///
/// # References
/// Duffie & Beckman, Solar Engineering of Thermal Processes (angles); Klein 1977, Calculation of
/// monthly average insolation on tilted surfaces (mean days); Cooper 1969, The absorption of
/// radiation in solar stills (declination); Kasten & Young 1989, Revised optical air mass tables;
/// Meinel & Meinel 1976, Applied Solar Energy (clear-sky beam).
///
/// [`slope_aspect`]: crate::slope_aspect
pub fn sun_ratio(
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    latitude_deg: f64,
    months: &[u8],
) -> Result<Raster<f32>, SunlightError> {
    slope_deg.same_grid(aspect_deg)?;
    let beams = beams(latitude_deg, months)?;
    let level: f32 = beams.iter().map(|beam| beam.up).sum();
    let mut ratio = Raster::filled(*slope_deg.grid(), 0.0_f32);
    ratio
        .cells_mut()
        .par_chunks_mut(RUN)
        .zip(slope_deg.cells().par_chunks(RUN))
        .zip(aspect_deg.cells().par_chunks(RUN))
        .with_min_len(16)
        .for_each(|((ratio, slope), aspect)| light_run(&beams, level, slope, aspect, ratio));
    Ok(ratio)
}

/// Cells reckoned together, few enough to stay at hand for every beam.
const RUN: usize = 256;

fn beams(latitude_deg: f64, months: &[u8]) -> Result<Vec<Beam>, SunlightError> {
    if !(-90.0..=90.0).contains(&latitude_deg) {
        return Err(SunlightError::Latitude(latitude_deg));
    }
    let months: BTreeSet<u8> = months.iter().copied().collect();
    if months.is_empty() {
        return Err(SunlightError::NoMonths);
    }
    if let Some(&month) = months.iter().find(|month| !(1..=12).contains(*month)) {
        return Err(SunlightError::Month(month));
    }
    let beams: Vec<Beam> =
        months.iter().flat_map(|&month| sky::beams_of_month(latitude_deg, month)).collect();
    if beams.is_empty() {
        return Err(SunlightError::NeverRises {
            latitude_deg,
            months: months.into_iter().collect(),
        });
    }
    Ok(beams)
}

fn light_run(beams: &[Beam], level: f32, slope: &[f32], aspect: &[f32], ratio: &mut [f32]) {
    let mut normals = [[0.0_f32; RUN]; 3];
    for (cell, (slope, aspect)) in slope.iter().zip(aspect).enumerate() {
        let (steep, flat) = slope.to_radians().sin_cos();
        let (east, north) = aspect.to_radians().sin_cos();
        normals[0][cell] = steep * east;
        normals[1][cell] = steep * north;
        normals[2][cell] = flat;
    }
    let mut light = [0.0_f32; RUN];
    for beam in beams {
        for cell in 0..RUN {
            let [east, north, up] = [0, 1, 2].map(|axis| normals[axis][cell]);
            let caught = east * beam.east + north * beam.north + up * beam.up;
            light[cell] += if caught > 0.0 { caught } else { 0.0 };
        }
    }
    for (cell, ratio) in ratio.iter_mut().enumerate() {
        *ratio = match (slope[cell].is_nan(), aspect[cell].is_nan()) {
            (true, _) => f32::NAN,
            (false, true) => 1.0,
            (false, false) => light[cell] / level,
        };
    }
}
