//! Rough hill country for timing: value noise in octaves, with the speckle of a laser survey.

mod country;

use country::Country;
use terrain::{Grid, Raster};

/// Invented hill country in cells of 1 m, rounded to centimetres.
#[expect(clippy::unwrap_used, reason = "only benches come here")]
pub(crate) fn hills(cols: usize, rows: usize) -> Raster<f32> {
    let grid = Grid::new(cols, rows, 0.0, 0.0, 1.0, 1.0).unwrap();
    let country = Country::new(1, 1.0, 0.01);
    let mut ground = Raster::filled(grid, 0.0);
    for (row, heights) in ground.cells_mut().chunks_mut(cols).enumerate() {
        country.row(row, heights);
    }
    ground
}
