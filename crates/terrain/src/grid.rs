//! Where a raster's cells lie on the map.

use thiserror::Error;

use crate::Window;

/// A north-up grid of cells in a metric coordinate system.
///
/// # Units
/// Metres throughout: `west` and `north` are the outer corner of the first cell; `cell_width` and
/// `cell_height` are both positive and need not be equal. Row 0 is the northernmost.
///
/// ```
/// use terrain::Grid;
/// let grid = Grid::new(4, 3, 1000.0, 5000.0, 2.0, 2.0)?;
/// assert_eq!(grid.centre(0, 0), (1001.0, 4999.0));
/// assert_eq!(grid.cell_at(1007.9, 4994.1), Some((2, 3)));
/// # Ok::<(), terrain::GridError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    cols: usize,
    rows: usize,
    west: f64,
    north: f64,
    cell_width: f64,
    cell_height: f64,
}

/// Why a grid cannot exist, or two cannot be used together.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum GridError {
    /// No cells, or more than can be numbered.
    #[error(
        "a grid of {cols} × {rows} cells: expected at least 1, and at most 4,294,967,295 with a \
         ring of cells around them"
    )]
    Size {
        /// Columns asked for.
        cols: usize,
        /// Rows asked for.
        rows: usize,
    },
    /// A corner or a cell side that is not a usable number.
    #[error("a grid with {what} = {value}: expected {expected}")]
    Number {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// What it should have been.
        expected: &'static str,
    },
    /// The cells given do not fill the grid.
    #[error("{found} cell values for a grid of {expected} cells")]
    Cells {
        /// Values given.
        found: usize,
        /// Cells in the grid.
        expected: usize,
    },
    /// A number that a function was given and cannot work with.
    #[error("{what} is {value}: expected {expected}")]
    Setting {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// What it should have been.
        expected: &'static str,
    },
    /// Two layers that were to be combined lie on different grids.
    #[error("layers are on different grids: {left} and {right}")]
    Mismatch {
        /// One grid.
        left: Grid,
        /// The other.
        right: Grid,
    },
}

impl Grid {
    /// Checks that another grid is this one.
    pub(crate) fn same(&self, other: &Self) -> Result<(), GridError> {
        if self == other { Ok(()) } else { Err(GridError::Mismatch { left: *self, right: *other }) }
    }

    /// A grid of `cols` × `rows` cells whose north-west corner is (`west`, `north`), in metres.
    ///
    /// # Errors
    /// When there is no cell, or there are more than 2³² − 1 with a ring of cells around the grid
    /// (methods that look at neighbours number that ring too), or when a number is not finite or a
    /// cell side is not positive.
    pub fn new(
        cols: usize,
        rows: usize,
        west: f64,
        north: f64,
        cell_width: f64,
        cell_height: f64,
    ) -> Result<Self, GridError> {
        let with_ring = cols.saturating_add(2).saturating_mul(rows.saturating_add(2));
        if cols == 0 || rows == 0 || with_ring > u32::MAX as usize {
            return Err(GridError::Size { cols, rows });
        }
        for (what, value) in [("west", west), ("north", north)] {
            if !value.is_finite() {
                return Err(GridError::Number { what, value, expected: "a finite coordinate" });
            }
        }
        for (what, value) in [("cell width", cell_width), ("cell height", cell_height)] {
            if !(value.is_finite() && value > 0.0) {
                return Err(GridError::Number { what, value, expected: "metres above zero" });
            }
        }
        Ok(Self { cols, rows, west, north, cell_width, cell_height })
    }

    /// Number of columns.
    #[must_use]
    pub fn cols(&self) -> usize {
        self.cols
    }

    /// Number of rows.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of cells.
    #[must_use]
    pub fn len(&self) -> usize {
        self.cols * self.rows
    }

    /// Never true: a grid has at least one cell.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        false
    }

    /// Easting of the western edge, metres.
    #[must_use]
    pub fn west(&self) -> f64 {
        self.west
    }

    /// Northing of the northern edge, metres.
    #[must_use]
    pub fn north(&self) -> f64 {
        self.north
    }

    /// Easting of the eastern edge, metres.
    #[must_use]
    pub fn east(&self) -> f64 {
        self.west + self.cols as f64 * self.cell_width
    }

    /// Northing of the southern edge, metres.
    #[must_use]
    pub fn south(&self) -> f64 {
        self.north - self.rows as f64 * self.cell_height
    }

    /// West–east side of a cell, metres.
    #[must_use]
    pub fn cell_width(&self) -> f64 {
        self.cell_width
    }

    /// North–south side of a cell, metres.
    #[must_use]
    pub fn cell_height(&self) -> f64 {
        self.cell_height
    }

    /// Map area of a cell, square metres.
    #[must_use]
    pub fn cell_area(&self) -> f64 {
        self.cell_width * self.cell_height
    }

    /// The grid of a window's cells.
    #[must_use]
    pub fn part(&self, window: Window) -> Self {
        Self {
            cols: window.cols,
            rows: window.rows,
            west: self.west + window.col as f64 * self.cell_width,
            north: self.north - window.row as f64 * self.cell_height,
            ..*self
        }
    }

    /// Position of a cell in row-major order.
    #[must_use]
    pub fn index(&self, row: usize, col: usize) -> usize {
        debug_assert!(row < self.rows && col < self.cols);
        row * self.cols + col
    }

    /// Easting and northing of a cell's centre, metres.
    #[must_use]
    pub fn centre(&self, row: usize, col: usize) -> (f64, f64) {
        (
            self.west + (col as f64 + 0.5) * self.cell_width,
            self.north - (row as f64 + 0.5) * self.cell_height,
        )
    }

    /// Row and column of the cell that holds a point; `None` outside the grid.
    #[must_use]
    pub fn cell_at(&self, x: f64, y: f64) -> Option<(usize, usize)> {
        let col = ((x - self.west) / self.cell_width).floor();
        let row = ((self.north - y) / self.cell_height).floor();
        let inside = col >= 0.0 && row >= 0.0 && col < self.cols as f64 && row < self.rows as f64;
        inside.then_some((row as usize, col as usize))
    }
}

impl std::fmt::Display for Grid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} × {} cells of {} × {} m from ({}, {})",
            self.cols, self.rows, self.cell_width, self.cell_height, self.west, self.north
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cells are numbered in 32 bits with a ring around the grid: (cols + 2) × (rows + 2) of them.
    /// The cells of a window lie in its part where they lie in the whole.
    #[test]
    fn the_cells_of_a_part_lie_where_they_did() {
        let whole = Grid::new(9, 7, 100.0, 50.0, 2.0, 3.0).unwrap();
        let window = Window { row: 2, col: 4, rows: 3, cols: 5 };
        let part = whole.part(window);
        assert_eq!((part.rows(), part.cols()), (3, 5));
        for row in 0..3 {
            for col in 0..5 {
                assert_eq!(part.centre(row, col), whole.centre(row + 2, col + 4));
            }
        }
    }

    #[test]
    fn as_many_cells_as_can_be_numbered_with_a_ring() {
        let grid = |cols, rows| Grid::new(cols, rows, 0.0, 0.0, 1.0, 1.0);
        assert!(grid(65_533, 65_533).is_ok(), "65,535² with the ring");
        assert!(grid(65_534, 65_534).is_err(), "65,536² with the ring: one too many");
        assert!(grid(u32::MAX as usize, 1).is_err());
        assert!(grid(usize::MAX, usize::MAX).is_err());
        assert!(grid(0, 5).is_err());
        assert!(grid((u32::MAX / 3) as usize - 2, 1).is_ok());
    }
}
