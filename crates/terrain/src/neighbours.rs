//! The eight cells around a cell.

use crate::{Grid, Raster};

/// Row and column steps, from east clockwise.
const STEPS: [(isize, isize); 8] =
    [(0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1)];

/// The cells around a cell that are on the grid, with their distance in metres; from east
/// clockwise, always in this order.
pub(crate) fn neighbours(grid: &Grid, at: usize) -> impl Iterator<Item = (usize, f64)> + use<> {
    let (cols, rows) = (grid.cols(), grid.rows());
    let (row, col) = (at / cols, at % cols);
    let (width, height) = (grid.cell_width(), grid.cell_height());
    let diagonal = width.hypot(height);
    STEPS.into_iter().filter_map(move |(down, right)| {
        let (row, col) = (row.checked_add_signed(down)?, col.checked_add_signed(right)?);
        let distance = match (down, right) {
            (0, _) => width,
            (_, 0) => height,
            _ => diagonal,
        };
        (row < rows && col < cols).then_some((row * cols + col, distance))
    })
}

/// Whether a cell lies at the edge of the grid or beside a hole.
pub(crate) fn touches_outside(raster: &Raster<f32>, at: usize) -> bool {
    let mut around = 0;
    let holes = neighbours(raster.grid(), at)
        .inspect(|_| around += 1)
        .filter(|(next, _)| raster.cells()[*next].is_nan())
        .count();
    around < 8 || holes > 0
}
