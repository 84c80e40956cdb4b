//! Light and shade of the land, for maps.

use rayon::prelude::*;

use crate::{Raster, SlopeAspect};

/// How bright each cell is when a light stands at an azimuth (degrees clockwise from north) and an altitude
/// (degrees above the horizon): 1 where ground faces it, 0 where it lies in its own shade. For the eye of a reader
/// of maps, who takes light from the upper left; where the sun stands is another matter.
///
/// # Holes
/// Where slope is one. Level ground faces nowhere and is lit all the same.
///
/// # Cost
/// One pass on all cores.
///
/// Source: Horn 1981, Hill shading and the reflectance map (Lambert's law).
///
/// ```
/// use terrain::{Grid, Raster, SlopeMethod, hillshade, slope_aspect};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 10.0, 10.0)?;
/// let level = slope_aspect(&Raster::filled(grid, 5.0_f32), SlopeMethod::Horn);
/// let lit = hillshade(&level, 315.0, 45.0).get(1, 1);
/// assert!(lit.is_some_and(|lit| (lit - 45.0_f32.to_radians().sin()).abs() < 1e-6));
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn hillshade(ground: &SlopeAspect, azimuth_deg: f64, altitude_deg: f64) -> Raster<f32> {
    let (sin_up, cos_up) = altitude_deg.to_radians().sin_cos();
    let lit = |slope_deg: f32, aspect_deg: f32| {
        let (sin_slope, cos_slope) = f64::from(slope_deg).to_radians().sin_cos();
        let towards = if aspect_deg.is_nan() {
            0.0
        } else {
            (azimuth_deg - f64::from(aspect_deg)).to_radians().cos()
        };
        // A hole in slope stays one: NaN goes through `clamp`.
        (sin_up * cos_slope + cos_up * sin_slope * towards).clamp(0.0, 1.0) as f32
    };
    let (slope, aspect) = (&ground.slope_deg, &ground.aspect_deg);
    let mut shade = Raster::filled(*slope.grid(), 0.0_f32);
    shade
        .cells_mut()
        .par_iter_mut()
        .zip(slope.cells().par_iter().zip(aspect.cells()))
        .for_each(|(cell, (slope, aspect))| *cell = lit(*slope, *aspect));
    shade
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Grid, SlopeMethod, slope_aspect};

    fn plane(east: f32, south: f32) -> Option<f32> {
        let grid = Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0).unwrap();
        let ground = Raster::from_fn(grid, |row, col| col as f32 * east + row as f32 * south);
        hillshade(&slope_aspect(&ground, SlopeMethod::Horn), 315.0, 45.0).get(1, 1)
    }

    /// A plane that falls to the north-west at 45° faces a light there at 45°; one that falls to the south-east lies
    /// in its own shade.
    #[test]
    fn ground_that_faces_the_light_is_bright() {
        let side = 0.5_f32.sqrt();
        assert!((plane(side, side).unwrap() - 1.0).abs() < 1e-5);
        assert!(plane(-side, -side).unwrap().abs() < 1e-5);
    }

    #[test]
    fn holes_stay_holes() {
        let grid = Grid::new(4, 3, 0.0, 0.0, 1.0, 1.0).unwrap();
        let ground = Raster::from_fn(grid, |_, col| if col == 3 { f32::NAN } else { col as f32 });
        let shade = hillshade(&slope_aspect(&ground, SlopeMethod::Horn), 315.0, 45.0);
        assert!(shade.get(1, 1).is_some());
        assert_eq!(shade.get(1, 2), None);
        assert_eq!(shade.get(0, 0), None);
    }
}
