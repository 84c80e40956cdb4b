//! Surfaces for the tests.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part")]

use proptest::prelude::*;
use terrain::{Grid, Raster};

/// A square-celled grid.
pub fn grid(cols: usize, rows: usize, cell: f64) -> Grid {
    Grid::new(cols, rows, 0.0, rows as f64 * cell, cell, cell).unwrap()
}

/// A surface from a function of metres east and north of the south-west corner.
pub fn surface(grid: Grid, height: impl Fn(f64, f64) -> f64) -> Raster<f32> {
    Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        height(x - grid.west(), y - grid.south()) as f32
    })
}

/// Random rough ground with holes, few heights so that there are ties and flats.
pub fn rough() -> impl Strategy<Value = Raster<f32>> {
    (2_usize..12, 2_usize..12, 0.5_f64..20.0).prop_flat_map(|(cols, rows, cell)| {
        let cell_value = prop_oneof![8 => (0_i16..12).prop_map(f32::from), 1 => Just(f32::NAN)];
        prop::collection::vec(cell_value, cols * rows)
            .prop_map(move |cells| Raster::new(grid(cols, rows, cell), cells).unwrap())
    })
}

/// The cells around a cell that are on the grid, with their distance.
pub fn around(raster: &Raster<f32>, row: usize, col: usize) -> Vec<(usize, usize, f64)> {
    let grid = raster.grid();
    let steps = [(0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1)];
    let mut cells = Vec::new();
    for (down, right) in steps {
        let (r, c) = (row as isize + down, col as isize + right);
        if r >= 0 && c >= 0 && (r as usize) < grid.rows() && (c as usize) < grid.cols() {
            let metres = (down as f64 * grid.cell_height()).hypot(right as f64 * grid.cell_width());
            cells.push((r as usize, c as usize, metres));
        }
    }
    cells
}

/// Every row and column of a raster.
pub fn places(raster: &Raster<f32>) -> impl Iterator<Item = (usize, usize)> + use<> {
    let (cols, rows) = (raster.grid().cols(), raster.grid().rows());
    (0..rows).flat_map(move |row| (0..cols).map(move |col| (row, col)))
}
