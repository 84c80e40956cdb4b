//! A grid in square pieces, so that work fits the processor's caches, its cores and its memory.

use crate::padded::{DIRECTIONS, STEPS};
use crate::{Grid, Raster};

/// A rectangle of cells within a grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Window {
    /// First row, from the north.
    pub row: usize,
    /// First column, from the west.
    pub col: usize,
    /// Number of rows.
    pub rows: usize,
    /// Number of columns.
    pub cols: usize,
}

impl Window {
    /// Number of cells.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows * self.cols
    }

    /// Whether it has no cell.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The window widened by `reach` cells on each side, as far as the grid goes.
    #[must_use]
    pub fn widened(&self, reach: usize, grid: &Grid) -> Self {
        let (row, col) = (self.row.saturating_sub(reach), self.col.saturating_sub(reach));
        let last_row = (self.row + self.rows + reach).min(grid.rows());
        let last_col = (self.col + self.cols + reach).min(grid.cols());
        Self { row, col, rows: last_row - row, cols: last_col - col }
    }
}

/// A grid cut into tiles of `side` × `side` cells, numbered row by row; those at the southern and
/// eastern edge may be smaller.
///
/// ```
/// use terrain::{Grid, Tiling};
/// let tiling = Tiling::new(&Grid::new(5, 3, 0.0, 0.0, 1.0, 1.0)?, 2);
/// assert_eq!((tiling.count(), tiling.across()), (6, 3));
/// assert_eq!(tiling.window(5).len(), 1);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tiling {
    rows: usize,
    cols: usize,
    side: usize,
}

impl Tiling {
    /// Cuts a grid; a `side` of 0 counts as 1.
    #[must_use]
    pub fn new(grid: &Grid, side: usize) -> Self {
        Self::of(grid.rows(), grid.cols(), side)
    }

    /// Cuts rows and columns that may be no grid.
    pub(crate) fn of(rows: usize, cols: usize, side: usize) -> Self {
        Self { rows, cols, side: side.max(1) }
    }

    /// Tiles that touch a tile in the directions whose bits are set (see [`crate::padded`]).
    pub(crate) fn beside(self, tile: usize, directions: u8) -> impl Iterator<Item = usize> {
        let (down, right) = (tile / self.across(), tile % self.across());
        let set = (0..DIRECTIONS).filter(move |direction| directions >> direction & 1 == 1);
        set.filter_map(move |direction| {
            let [south, east] = STEPS[direction];
            let (down, right) = (down.checked_add_signed(south)?, right.checked_add_signed(east)?);
            (down < self.down() && right < self.across()).then(|| down * self.across() + right)
        })
    }

    /// Tiles in a row of tiles.
    #[must_use]
    pub fn across(&self) -> usize {
        self.cols.div_ceil(self.side)
    }

    /// Rows of tiles.
    #[must_use]
    pub fn down(&self) -> usize {
        self.rows.div_ceil(self.side)
    }

    /// Number of tiles.
    #[must_use]
    pub fn count(&self) -> usize {
        self.across() * self.down()
    }

    /// The cells of a tile.
    #[must_use]
    pub fn window(&self, tile: usize) -> Window {
        let (row, col) = (tile / self.across() * self.side, tile % self.across() * self.side);
        let (rows, cols) = (self.side.min(self.rows - row), self.side.min(self.cols - col));
        Window { row, col, rows, cols }
    }

    /// The tile that holds a cell.
    #[must_use]
    pub fn tile_of(&self, row: usize, col: usize) -> usize {
        row / self.side * self.across() + col / self.side
    }
}

/// Cells that are read a window at a time, from memory or from a file.
pub trait Source: Sync {
    /// Why a window could not be read.
    type Error: Send;

    /// Where the cells lie.
    fn grid(&self) -> &Grid;

    /// Copies a window's cells, row by row, into `cells`, which has room for exactly as many.
    /// A hole is NaN.
    ///
    /// # Errors
    /// When the place where the cells are kept cannot be read.
    fn read(&self, window: Window, cells: &mut [f32]) -> Result<(), Self::Error>;
}

/// A place to which results are written a window at a time.
pub trait Sink: Sync {
    /// Why a window could not be written.
    type Error: Send;

    /// Takes a window's cells, row by row.
    ///
    /// # Errors
    /// When the place where the cells are kept cannot be written.
    fn write(&self, window: Window, cells: &[f32]) -> Result<(), Self::Error>;
}

/// A place where bytes are put away and taken back, such as a file with a slot for each key.
pub trait Scratch: Sync {
    /// Why bytes could not be put away or taken back.
    type Error: Send;

    /// Keeps bytes under a key, in the place of what was there. Keys count from 0; bytes of one
    /// key may differ in number from time to time.
    ///
    /// # Errors
    /// When the place cannot be written.
    fn put(&self, key: usize, bytes: &[u8]) -> Result<(), Self::Error>;

    /// Adds to `bytes` what was put away last under a key. It is taken once, then no longer needed.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn take(&self, key: usize, bytes: &mut Vec<u8>) -> Result<(), Self::Error>;
}

impl Source for Raster<f32> {
    type Error = std::convert::Infallible;

    fn grid(&self) -> &Grid {
        Raster::grid(self)
    }

    fn read(&self, window: Window, cells: &mut [f32]) -> Result<(), Self::Error> {
        for (row, to) in (window.row..).zip(cells.chunks_mut(window.cols)) {
            to.copy_from_slice(&self.row(row)[window.col..window.col + window.cols]);
        }
        Ok(())
    }
}
