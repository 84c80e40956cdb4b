//! Ground for tests: random, with holes, and small enough for slow methods.
#![allow(dead_code, reason = "each test file uses a part")]

use proptest::prelude::*;
use terrain::{Grid, Raster, Source, Window};

/// Up to 12 × 12 cells of unequal sides; whole metres, so that levels, ties and hollows abound;
/// about one cell in ten a hole.
pub(crate) fn stepped_ground() -> impl Strategy<Value = Raster<f32>> {
    ground(prop_oneof![9 => (0..12_i32).prop_map(|z| z as f32), 1 => Just(f32::NAN)])
}

/// The same with elevations that are hardly ever equal, and now and then an infinite one.
pub(crate) fn rough_ground() -> impl Strategy<Value = Raster<f32>> {
    ground(prop_oneof![
        18 => -30.0..300.0_f32,
        1 => Just(f32::NAN),
        1 => Just(f32::INFINITY),
    ])
}

/// Zeros of either sign among lower and higher ground.
pub(crate) fn signed_zeros() -> impl Strategy<Value = Raster<f32>> {
    ground(prop_oneof![Just(0.0_f32), Just(-0.0_f32), Just(-1.0_f32), Just(1.0_f32)])
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn ground(cell: impl Strategy<Value = f32> + Clone) -> impl Strategy<Value = Raster<f32>> {
    let sides = (1..=12_usize, 1..=12_usize, 1..8_u32, 1..8_u32);
    sides.prop_flat_map(move |(cols, rows, width, height)| {
        let grid = Grid::new(cols, rows, 500.0, 900.0, f64::from(width), f64::from(height));
        proptest::collection::vec(cell.clone(), cols * rows)
            .prop_map(move |cells| Raster::new(grid.clone().unwrap(), cells).unwrap())
    })
}

/// The eight neighbours of a cell in the order in which ties are settled, `None` off the grid.
pub(crate) fn neighbours(grid: &Grid, row: usize, col: usize) -> [Option<(usize, usize)>; 8] {
    const STEPS: [(isize, isize); 8] =
        [(0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, -1), (-1, 1)];
    STEPS.map(|(down, right)| {
        let (row, col) = (row.checked_add_signed(down)?, col.checked_add_signed(right)?);
        (row < grid.rows() && col < grid.cols()).then_some((row, col))
    })
}

/// Elevation of a cell; `None` for a hole, an infinite value or off the grid.
pub(crate) fn known(ground: &Raster<f32>, cell: Option<(usize, usize)>) -> Option<f32> {
    cell.map(|(row, col)| ground.at(row, col)).filter(|level| level.is_finite())
}

/// Every row and column of a grid.
pub(crate) fn cells(grid: Grid) -> impl Iterator<Item = (usize, usize)> {
    (0..grid.rows()).flat_map(move |row| (0..grid.cols()).map(move |col| (row, col)))
}

/// Ground turned clockwise by a quarter: the western column becomes the northern row.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
pub(crate) fn turned(ground: &Raster<f32>) -> Raster<f32> {
    let grid = *ground.grid();
    let (cols, rows) = (grid.rows(), grid.cols());
    let turned = Grid::new(cols, rows, 0.0, 0.0, grid.cell_height(), grid.cell_width()).unwrap();
    Raster::from_fn(turned, |row, col| ground.at(grid.rows() - 1 - col, row))
}

/// Planchon & Darboux 2002, A fast, simple and versatile algorithm to fill the depressions of
/// digital elevation models: flood all of it, then let the water off until nothing moves.
pub(crate) fn slow_fill(elevation: &Raster<f32>) -> Raster<f32> {
    let grid = *elevation.grid();
    let mut water = elevation.map(|z| if z.is_finite() { f32::INFINITY } else { f32::NAN });
    let mut moved = true;
    let mut order: Vec<_> = cells(grid).collect();
    while moved {
        moved = false;
        order.reverse(); // water runs off either way
        for &(row, col) in &order {
            let Some(level) = known(elevation, Some((row, col))) else { continue };
            let outlet = |cell: Option<(usize, usize)>| match cell {
                Some((row, col)) if elevation.at(row, col).is_finite() => water.at(row, col),
                _ => f32::NEG_INFINITY,
            };
            let lowest =
                neighbours(&grid, row, col).map(outlet).into_iter().fold(f32::INFINITY, f32::min);
            let drained = level.max(lowest);
            if drained < water.at(row, col) {
                water.cells_mut()[row * grid.cols() + col] = drained;
                moved = true;
            }
        }
    }
    water
}

/// The 6 × 6 grid of Jenson & Domingue 1988, Extracting topographic structure from digital
/// elevation data for geographic information system analysis (from memory).
#[rustfmt::skip]
pub(crate) const TEXTBOOK: [u8; 36] = [
    78, 72, 69, 71, 58, 49,
    74, 67, 56, 49, 46, 50,
    69, 53, 44, 37, 38, 48,
    64, 58, 55, 22, 31, 24,
    68, 61, 47, 21, 16, 19,
    74, 53, 34, 12, 11, 12,
];

/// Ground that cannot be read.
pub(crate) struct Torn(pub(crate) Grid);

impl Source for Torn {
    type Error = &'static str;

    fn grid(&self) -> &Grid {
        &self.0
    }

    fn read(&self, _: Window, _: &mut [f32]) -> Result<(), Self::Error> {
        Err("torn")
    }
}
