//! Rasters of measurements given instead of derived ones: slope, aspect, wetness index.

use std::path::Path;

use terrain::{Grid, Raster};

use super::category::Ground;
use super::crs::Crs;
use super::elevation::{apart, old_datum, range_of};
use super::facts::{LayerFacts, percent};
use super::foreign::Resampling;
use super::raster_file::RasterFile;
use super::warp::{Patch, lay_measurements, window_for};
use crate::problem::Problem;

/// What a raster of measurements holds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measure {
    /// Its role.
    pub(super) role: &'static str,
    /// What its values are, for a person.
    pub(super) values: &'static str,
    /// Least and greatest value that makes sense.
    pub(super) range: [f64; 2],
    /// Whether values go round, so that means of neighbours make no sense and negative ones stand
    /// for flat ground.
    pub(super) circular: bool,
}

impl Measure {
    /// What can be done, or the layer left out.
    fn without(&self, mended: &str) -> String {
        if self.role == SHARE.role {
            format!("{mended}, or leave it out: nothing is then taken to be protected")
        } else {
            format!("{mended}, or leave it out: it is then derived from elevation")
        }
    }
}

/// Slope in degrees.
pub(super) const SLOPE: Measure = Measure {
    role: "slope",
    values: "slope in degrees from 0 to 90",
    range: [0.0, 90.0],
    circular: false,
};

/// Aspect in degrees clockwise from north.
pub(super) const ASPECT: Measure = Measure {
    role: "aspect",
    values: "aspect in degrees clockwise from north, from 0 to 360",
    range: [0.0, 360.0],
    circular: true,
};

/// ln(a / tan β), Beven & Kirkby 1979.
pub(super) const WETNESS: Measure = Measure {
    role: "wetness",
    values: "a wetness index, ln(a / tan β), within ±50",
    range: [-50.0, 50.0],
    circular: false,
};

/// Share of a cell's ground.
const SHARE: Measure =
    Measure { role: "protected", values: "shares from 0 to 1", range: [0.0, 1.0], circular: false };

/// Reads a raster of shares from 0 to 1 on a grid, with what should be looked at; holes are NaN.
///
/// # Errors
/// When it cannot be read, does not reach the grid, or holds other values.
pub(crate) fn read_share(
    path: &Path,
    grid: &Grid,
    crs: &Crs,
) -> Result<(Raster<f32>, Vec<Problem>), Vec<Problem>> {
    let property = vec![true; grid.cols() * grid.rows()];
    let ground = Ground { grid, crs, property: &property };
    let read = read(&SHARE, path, &ground)?;
    Ok((read.raster, read.warnings))
}

/// A raster of measurements on the plan's grid.
pub(super) struct Read {
    pub(super) raster: Raster<f32>,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Reads a raster of measurements.
///
/// # Errors
/// When it cannot be read, does not reach the property, or holds values that are not what they
/// should be.
pub(super) fn read(
    measure: &Measure,
    path: &Path,
    ground: &Ground<'_>,
) -> Result<Read, Vec<Problem>> {
    let file = RasterFile::open(measure.role, path)?;
    let window = window_for(&file, ground.grid, ground.crs)?
        .ok_or_else(|| apart(&file, ground.grid, ground.crs))?;
    let mut cells = file.values(window, None)?;
    if measure.circular {
        cells.iter_mut().filter(|cell| **cell < 0.0).for_each(|cell| *cell = f32::NAN);
    }
    let how = if measure.circular { Resampling::Nearest } else { Resampling::Bilinear };
    let patch = Patch { window, cells, hole: f32::NAN };
    let raster = lay_measurements(&file, &patch, ground.grid, ground.crs, how)?;
    let range = range_of(on_property(&raster, ground));
    if let Some([low, high]) = range
        && (low < measure.range[0] || high > measure.range[1])
    {
        return Err(file
            .fault()
            .found(format!("values from {low} to {high}"))
            .expected(measure.values)
            .remedy(measure.without("convert the layer"))
            .into());
    }
    let all = ground.property.iter().filter(|inside| **inside).count().max(1);
    // Flat ground has no aspect: only the others must cover the property.
    let known = on_property(&raster, ground).filter(|value| !value.is_nan()).count();
    let share = known as f64 / all as f64;
    if known == 0 {
        return Err(apart(&file, ground.grid, ground.crs).into());
    }
    let mut warnings: Vec<Problem> = old_datum(&file, ground.crs).into_iter().collect();
    if share < 1.0 && !measure.circular {
        warnings.push(
            file.remark()
                .found(format!("no value on {} of the property", percent(1.0 - share)))
                .expected("a value everywhere on the property")
                .remedy(measure.without("extend the layer")),
        );
    }
    let used = format!("used instead of the {} derived from elevation", measure.role);
    let mut facts = LayerFacts::of_raster(&file, &used);
    facts.range = range;
    facts.covered_share = Some(share);
    Ok(Read { raster, facts, warnings })
}

/// Values of the cells whose centre is on the property.
pub(super) fn on_property<'a>(
    raster: &'a Raster<f32>,
    ground: &'a Ground<'_>,
) -> impl Iterator<Item = f32> + 'a {
    raster.cells().iter().zip(ground.property).filter(|(_, inside)| **inside).map(|(cell, _)| *cell)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    fn read_tif(measure: &Measure, tif: Tif) -> Result<Read, Vec<Problem>> {
        let folder = Folder::new();
        let grid = Grid::new(8, 8, 1_600_010.0, 5_399_990.0, 10.0, 10.0).unwrap();
        let crs = Crs::from_user("EPSG:2193").unwrap();
        let ground = Ground { grid: &grid, crs: &crs, property: &[true; 64] };
        read(measure, &tif.write(&folder, "layer.tif"), &ground)
    }

    #[test]
    fn slope_in_per_cent_is_found_out() {
        assert!(read_tif(&SLOPE, Tif::new(10, 10, 10.0).fill(|_, _| 25.0)).is_ok());
        let problems = read_tif(&SLOPE, Tif::new(10, 10, 10.0).fill(|_, _| 120.0)).err().unwrap();
        assert!(problems[0].expected.contains("degrees"), "{}", problems[0]);
    }

    #[test]
    fn aspects_are_never_averaged_and_flat_ground_has_none() {
        // North, written as 350° and 10° by turns: a mean would be south.
        let tif = Tif::new(30, 30, 7.0).fill(|col, _| match col % 3 {
            0 => 350.0,
            1 => 10.0,
            _ => -1.0,
        });
        let read = read_tif(&ASPECT, tif).unwrap();
        let known = read.raster.cells().iter().filter(|cell| !cell.is_nan());
        assert!(known.clone().count() > 20);
        assert!(known.into_iter().all(|aspect| [350.0, 10.0].contains(aspect)));
    }

    #[test]
    fn a_layer_that_misses_part_of_the_property_is_warned_of() {
        let read = read_tif(&WETNESS, Tif::new(5, 10, 10.0).fill(|_, _| 7.0)).unwrap();
        assert!(read.warnings[0].found.contains("50.0 %"), "{}", read.warnings[0]);
    }
}
