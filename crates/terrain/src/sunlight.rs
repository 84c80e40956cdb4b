//! Clear-sky direct sun on a slope beside level ground.

use rayon::prelude::*;

use crate::{GridError, Raster};

/// Day of the year that stands for each month.
///
/// Source: Klein 1977, Solar Energy 19:325–329 (recommended average days).
const MEAN_DAYS: [u16; 12] = [17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344];

/// Share of the beam that a clear sky lets through from overhead. From memory: 0.6 hazy to 0.75
/// very clear; the ratio to level ground hardly depends on it.
const TRANSMITTANCE: f64 = 0.7;

/// Hours between positions of the sun.
const STEP_H: f64 = 0.25;

/// Sun's declination on a day of the year (1 = 1 January), radians.
///
/// Source: Cooper 1969, Solar Energy 12:333–346: 23.45° sin(360° (284 + n) / 365).
///
/// ```
/// let degrees = terrain::declination(172).to_degrees();
/// assert!((degrees - 23.45).abs() < 0.01);
/// ```
#[must_use]
pub fn declination(day: u16) -> f64 {
    23.45_f64.to_radians() * (std::f64::consts::TAU * (284.0 + f64::from(day)) / 365.0).sin()
}

/// The beam from one position of the sun: east, north and up parts, scaled by its strength.
type Beam = [f32; 3];

/// Direct beam received over chosen months, divided by what level ground receives: 1 on level
/// ground, more on slopes that face the sun, 0 where it never shines.
///
/// # Units
/// Slope and aspect in degrees as from [`crate::slope_aspect`]; `latitude_deg` negative in the
/// south; `months` 1 to 12, others are left out. A cell of known slope and no aspect is level.
/// Where level ground gets no sun in those months, every ratio is 1.
///
/// The sun is placed every 15 minutes of each month's average day. The shadow of other ground is
/// not counted. Cost: cells × positions (about 40 a month), on all cores.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids.
///
/// Sources: solar geometry as in Duffie & Beckman, Solar Engineering of Thermal Processes; air mass
/// after Kasten & Young 1989, Applied Optics 28:4735–4738.
pub fn sun_ratio(
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    latitude_deg: f64,
    months: &[u8],
) -> Result<Raster<f32>, GridError> {
    slope_deg.same_grid(aspect_deg)?;
    let beams = beams(latitude_deg, months);
    let level: f32 = beams.iter().map(|beam| beam[2]).sum();
    let ratio = |(slope, aspect): (&f32, &f32)| {
        if slope.is_nan() || level <= 0.0 {
            return if slope.is_nan() { f32::NAN } else { 1.0 };
        }
        let face = facing(*slope, *aspect);
        let lit =
            |beam: &Beam| (face[0] * beam[0] + face[1] * beam[1] + face[2] * beam[2]).max(0.0);
        beams.iter().map(lit).sum::<f32>() / level
    };
    let cells = slope_deg.cells().par_iter().zip(aspect_deg.cells()).map(ratio).collect();
    Raster::new(*slope_deg.grid(), cells)
}

/// The direction in which a slope faces: east, north and up parts of its normal.
fn facing(slope_deg: f32, aspect_deg: f32) -> [f32; 3] {
    let (sin, cos) = slope_deg.to_radians().sin_cos();
    let aspect = if aspect_deg.is_nan() { 0.0 } else { aspect_deg.to_radians() };
    let tilt = if aspect_deg.is_nan() { 0.0 } else { sin };
    [tilt * aspect.sin(), tilt * aspect.cos(), if aspect_deg.is_nan() { 1.0 } else { cos }]
}

/// Every position of the sun above the horizon in the months.
fn beams(latitude_deg: f64, months: &[u8]) -> Vec<Beam> {
    let days = months.iter().filter_map(|month| MEAN_DAYS.get(usize::from(*month).wrapping_sub(1)));
    let hours = (0..(24.0 / STEP_H) as usize).map(|step| (step as f64 + 0.5) * STEP_H - 12.0);
    let positions = days.flat_map(|day| hours.clone().map(|hour| (*day, hour)));
    positions
        .filter_map(|(day, hour)| beam(latitude_deg.to_radians(), declination(day), hour))
        .collect()
}

/// The beam at an hour from solar noon; `None` below the horizon.
fn beam(latitude: f64, declination: f64, hour: f64) -> Option<Beam> {
    let turn = (15.0 * hour).to_radians();
    let (sin_lat, cos_lat) = latitude.sin_cos();
    let (sin_dec, cos_dec) = declination.sin_cos();
    let up = sin_lat * sin_dec + cos_lat * cos_dec * turn.cos();
    let north = cos_lat * sin_dec - sin_lat * cos_dec * turn.cos();
    let east = -cos_dec * turn.sin();
    let strength = TRANSMITTANCE.powf(air_mass(up));
    (up > 0.0).then(|| [east, north, up].map(|part| (part * strength) as f32))
}

/// Relative air mass at a sine of the sun's height.
fn air_mass(up: f64) -> f64 {
    let height = up.clamp(0.0, 1.0).asin().to_degrees();
    1.0 / (up.max(0.0) + 0.50572 * (height + 6.07995).powf(-1.6364))
}
