//! A value for each cell of a grid; the grid travels with it.

use crate::{Grid, GridError};

/// One value a cell, row by row from the north-west.
///
/// In a raster of `f32` a hole (ground that is not known) is kept as NaN and read as `None` by
/// [`Raster::get`]; every function of this crate keeps holes as holes.
///
/// ```
/// use terrain::{Grid, Raster};
/// let grid = Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0)?;
/// let raster = Raster::new(grid, vec![12.5, f32::NAN])?;
/// assert_eq!(raster.get(0, 0), Some(12.5));
/// assert_eq!(raster.get(0, 1), None);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Raster<T> {
    grid: Grid,
    cells: Vec<T>,
}

impl<T> Raster<T> {
    /// Cells in row-major order on a grid.
    ///
    /// # Errors
    /// [`GridError::Cells`] when their number is not the grid's.
    pub fn new(grid: Grid, cells: Vec<T>) -> Result<Self, GridError> {
        if cells.len() == grid.len() {
            Ok(Self { grid, cells })
        } else {
            Err(GridError::Cells { found: cells.len(), expected: grid.len() })
        }
    }

    /// Cells that are known to be as many as the grid's.
    pub(crate) fn from_cells(grid: Grid, cells: Vec<T>) -> Self {
        debug_assert_eq!(cells.len(), grid.len());
        Self { grid, cells }
    }

    /// A raster computed cell by cell from row and column.
    pub fn from_fn(grid: Grid, mut value: impl FnMut(usize, usize) -> T) -> Self {
        let mut cells = Vec::with_capacity(grid.len());
        for row in 0..grid.rows() {
            for col in 0..grid.cols() {
                cells.push(value(row, col));
            }
        }
        Self { grid, cells }
    }

    /// Where the cells lie.
    #[must_use]
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// The values, row by row from the north-west.
    #[must_use]
    pub fn cells(&self) -> &[T] {
        &self.cells
    }

    /// The values, to be changed in place.
    pub fn cells_mut(&mut self) -> &mut [T] {
        &mut self.cells
    }

    /// The values without their grid.
    #[must_use]
    pub fn into_cells(self) -> Vec<T> {
        self.cells
    }

    /// One row of values.
    #[must_use]
    pub fn row(&self, row: usize) -> &[T] {
        let cols = self.grid.cols();
        &self.cells[row * cols..(row + 1) * cols]
    }

    /// A raster on the same grid, each value from the one here.
    pub fn map<U>(&self, value: impl FnMut(&T) -> U) -> Raster<U> {
        Raster { grid: self.grid, cells: self.cells.iter().map(value).collect() }
    }

    /// A raster on the same grid, each value from the two that share its cell.
    ///
    /// # Errors
    /// [`GridError::Mismatch`] when the grids differ.
    pub fn zip_with<U, V>(
        &self,
        other: &Raster<U>,
        mut value: impl FnMut(&T, &U) -> V,
    ) -> Result<Raster<V>, GridError> {
        self.same_grid(other)?;
        let cells = self.cells.iter().zip(&other.cells).map(|(a, b)| value(a, b)).collect();
        Ok(Raster { grid: self.grid, cells })
    }

    /// Checks that another raster lies on this one's grid.
    ///
    /// # Errors
    /// [`GridError::Mismatch`] when it does not.
    pub fn same_grid<U>(&self, other: &Raster<U>) -> Result<(), GridError> {
        self.grid.same(&other.grid)
    }
}

impl<T: Copy> Raster<T> {
    /// The same value in every cell.
    pub fn filled(grid: Grid, value: T) -> Self {
        Self { grid, cells: vec![value; grid.len()] }
    }

    /// The value of a cell.
    ///
    /// # Panics
    /// When the cell is outside the grid.
    #[must_use]
    pub fn at(&self, row: usize, col: usize) -> T {
        self.cells[self.grid.index(row, col)]
    }
}

impl Raster<f32> {
    /// The value of a cell, `None` where it is a hole or outside the grid.
    #[must_use]
    pub fn get(&self, row: usize, col: usize) -> Option<f32> {
        if row >= self.grid.rows() || col >= self.grid.cols() {
            return None;
        }
        let value = self.cells[self.grid.index(row, col)];
        (!value.is_nan()).then_some(value)
    }
}
