//! Ground with a ring of holes around it, so that every cell has eight neighbours.

use rayon::prelude::*;

use crate::{Grid, Raster, Source, Window};

/// Neighbours of a cell, numbered in the order in which ties are settled: east, south, west, north,
/// then south-east, south-west, north-west, north-east.
pub(crate) const DIRECTIONS: usize = 8;

/// The direction that leads back.
pub(crate) const OPPOSITE: [usize; DIRECTIONS] = [2, 3, 0, 1, 6, 7, 4, 5];

/// Rows down and columns right of a step in each direction.
pub(crate) const STEPS: [[isize; 2]; DIRECTIONS] =
    [[0, 1], [1, 0], [0, -1], [-1, 0], [1, 1], [1, -1], [-1, -1], [-1, 1]];

/// Elevations with a ring of holes; a hole is NaN, infinite values are holes too.
pub(crate) struct Padded {
    /// Cells in a padded row.
    pub(crate) width: usize,
    /// Elevations, metres.
    pub(crate) cells: Vec<f32>,
    /// What to add (wrapping) to a cell's position to reach each neighbour.
    pub(crate) offsets: [usize; DIRECTIONS],
}

impl Padded {
    pub(crate) fn new(elevation: &Raster<f32>) -> Self {
        let (rows, cols) = (elevation.grid().rows(), elevation.grid().cols());
        let width = cols + 2;
        let mut cells = vec![0.0; width * (rows + 2)];
        cells.par_chunks_mut(width).enumerate().for_each(|(row, padded)| {
            if row == 0 || row == rows + 1 {
                padded.fill(f32::NAN);
                return;
            }
            padded[0] = f32::NAN;
            padded[cols + 1] = f32::NAN;
            for (to, from) in padded[1..=cols].iter_mut().zip(elevation.row(row - 1)) {
                *to = if from.is_finite() { *from } else { f32::NAN };
            }
        });
        Self { width, cells, offsets: offsets(width) }
    }

    /// A window of a source; its ring is the cells around it, holes beyond the grid.
    pub(crate) fn of_window<S: Source>(source: &S, window: Window) -> Result<Self, S::Error> {
        let wide = window.widened(1, source.grid());
        let mut read = vec![0.0; wide.len()];
        source.read(wide, &mut read)?;
        let width = window.cols + 2;
        let mut cells = vec![f32::NAN; width * (window.rows + 2)];
        let (top, left) = (1 - (window.row - wide.row), 1 - (window.col - wide.col));
        for (row, line) in (top..).zip(read.chunks(wide.cols)) {
            let from = row * width + left;
            for (to, from) in cells[from..from + wide.cols].iter_mut().zip(line) {
                *to = if from.is_finite() { *from } else { f32::NAN };
            }
        }
        Ok(Self { width, cells, offsets: offsets(width) })
    }

    /// Positions of the eight neighbours of a cell that is not in the ring.
    #[inline]
    pub(crate) fn neighbours(&self, cell: usize) -> [usize; DIRECTIONS] {
        self.offsets.map(|offset| cell.wrapping_add(offset))
    }

    /// Whether water leaves from a cell: it lies at the edge of the grid or beside a hole.
    pub(crate) fn is_outlet(&self, cell: usize) -> bool {
        self.neighbours(cell).into_iter().any(|neighbour| self.cells[neighbour].is_nan())
    }
}

/// What to add (wrapping) to a position in rows of `width` cells to reach each neighbour.
pub(crate) fn offsets(width: usize) -> [usize; DIRECTIONS] {
    let back = |step: usize| step.wrapping_neg();
    let (south_east, south_west) = (width + 1, width - 1);
    [1, width, back(1), back(width), south_east, south_west, back(south_east), back(south_west)]
}

/// A raster from padded cells, the ring left off.
pub(crate) fn unpad<T: Sync>(
    grid: Grid,
    cells: &[T],
    value: impl Fn(&T) -> f32 + Sync,
) -> Raster<f32> {
    let (cols, width) = (grid.cols(), grid.cols() + 2);
    let mut raster = Raster::filled(grid, 0.0_f32);
    raster.cells_mut().par_chunks_mut(cols).zip(cells[width..].par_chunks(width)).for_each(
        |(row, padded)| {
            for (to, from) in row.iter_mut().zip(&padded[1..=cols]) {
                *to = value(from);
            }
        },
    );
    raster
}
