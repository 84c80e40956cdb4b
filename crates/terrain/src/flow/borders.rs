//! What the tiles around a tile need to know of it: the outermost cells.

use super::flats::{LENGTHS, UNREACHED};
use crate::padded::STEPS;
use crate::{Grid, Tiling, Window};

/// The outermost cells of a tile: north, south, west and east, corners twice.
#[derive(Default)]
pub(super) struct Border {
    pub(super) levels: Vec<f32>,
    /// Ways to where levels drain.
    pub(super) ways: Vec<u32>,
    pub(super) receivers: Vec<u8>,
}

/// A cell at the outside of a window, as the border of the tile that holds it numbers it.
#[derive(Clone, Copy)]
pub(super) struct Place {
    tile: usize,
    at: usize,
}

/// The borders of all tiles of a grid; those not known yet are empty.
pub(super) struct Borders {
    tiling: Tiling,
    rows: usize,
    cols: usize,
    of_tiles: Vec<Border>,
}

impl Borders {
    pub(super) fn new(grid: &Grid, tiling: Tiling) -> Self {
        let borders = (0..tiling.count()).map(|_| Border::default()).collect();
        Self { tiling, rows: grid.rows(), cols: grid.cols(), of_tiles: borders }
    }

    pub(super) fn of_mut(&mut self, tile: usize) -> &mut Border {
        &mut self.of_tiles[tile]
    }

    pub(super) fn way(&self, place: Place) -> u32 {
        self.of_tiles[place.tile].ways.get(place.at).copied().unwrap_or(UNREACHED)
    }

    pub(super) fn receivers(&self, place: Place) -> u8 {
        self.of_tiles[place.tile].receivers.get(place.at).copied().unwrap_or(0)
    }

    fn level(&self, place: Place) -> f32 {
        self.of_tiles[place.tile].levels.get(place.at).copied().unwrap_or(f32::NAN)
    }

    /// The cells around a window with their position in rows of two cells more, row by row; without
    /// a place beyond the grid.
    pub(super) fn ring(&self, window: Window) -> impl Iterator<Item = (usize, Option<Place>)> {
        let Window { row, col, rows, cols } = window;
        let width = cols + 2;
        let across = (0..width).flat_map(move |right| [(0, right), (rows + 1, right)]);
        let along = (1..=rows).flat_map(move |down| [(down, 0), (down, cols + 1)]);
        across.chain(along).map(move |(down, right)| {
            let cell = (row + down).checked_sub(1).zip((col + right).checked_sub(1));
            (down * width + right, cell.and_then(|(row, col)| self.place(row, col)))
        })
    }

    /// The place of a cell that is at the outside of its tile; `None` beyond the grid.
    fn place(&self, row: usize, col: usize) -> Option<Place> {
        if row >= self.rows || col >= self.cols {
            return None;
        }
        let tile = self.tiling.tile_of(row, col);
        let window = self.tiling.window(tile);
        Some(Place { tile, at: position(window, row - window.row, col - window.col) })
    }

    /// Whether some cell of a tile could get a shorter way from a tile beside it.
    #[expect(clippy::float_cmp, reason = "filling writes the very same number all over a level")]
    pub(super) fn can_shorten(&self, tile: usize) -> bool {
        let (border, window) = (&self.of_tiles[tile], self.tiling.window(tile));
        let mut cells = outermost(window).enumerate();
        cells.any(|(at, (row, col))| {
            let (level, way) = (border.levels[at], border.ways[at]);
            way != 0
                && STEPS.into_iter().zip(LENGTHS).any(|([down, right], length)| {
                    let row = (window.row + row).checked_add_signed(down);
                    let col = (window.col + col).checked_add_signed(right);
                    let place = row.zip(col).and_then(|(row, col)| self.place(row, col));
                    place.is_some_and(|place| {
                        place.tile != tile
                            && self.level(place) == level
                            && self.way(place).saturating_add(length) < way
                    })
                })
        })
    }
}

/// Rows and columns of the outermost cells of a window, counted from its first.
pub(super) fn outermost(window: Window) -> impl Iterator<Item = (usize, usize)> {
    let Window { rows, cols, .. } = window;
    let across =
        [0, rows - 1].into_iter().flat_map(move |row| (0..cols).map(move |col| (row, col)));
    across
        .chain([0, cols - 1].into_iter().flat_map(move |col| (0..rows).map(move |row| (row, col))))
}

/// Where [`outermost`] comes to a cell.
fn position(window: Window, row: usize, col: usize) -> usize {
    let Window { rows, cols, .. } = window;
    match (row, col) {
        (0, col) => col,
        (row, col) if row + 1 == rows => cols + col,
        (row, 0) => 2 * cols + row,
        (row, _) => 2 * cols + rows + row,
    }
}
