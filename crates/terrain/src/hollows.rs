//! Filling hollows, so that water finds its way off the ground.

mod breach;
mod flood;
mod rims;
mod sloping;
mod spills;
mod windowed;

use rayon::prelude::*;

use crate::{Raster, Tiling};
pub use breach::{BreachLimits, Breached, breach_hollows};
use flood::Flood;
pub use sloping::fill_hollows_sloping;
use spills::{Levels, Outline};
pub use windowed::{WindowedError, fill_hollows_windowed};

/// Cells along a side of the tiles in which ground in memory is filled: one tile and all that
/// belongs to it fits a core's own cache.
const SIDE: usize = 256;

/// The lowest surface, nowhere under the ground, from each cell of which a way that never rises
/// leads to the edge of the grid or to a hole.
///
/// Filled hollows come out level, at the height of their lowest rim; [`flow_area_m2`] leads water
/// across them, so no artificial slope is added. Holes stay holes and take water in; infinite
/// elevations count as holes.
///
/// # Units
/// Metres in and out. Eight neighbours are joined; cell sides play no part.
///
/// # Cost
/// Close to linear, on all cores: tiles are filled as if they drained over their borders, how high
/// water stands at the borders is found out among tiles, and each tile is raised to it. Within a
/// tile a cell reached uphill from drained ground is drained and waits for nothing; only rims with
/// lower ground still unseen behind them go through a priority queue. 6 bytes a cell besides the
/// elevation given ([`fill_hollows_in_place`]: 2). The same result whatever the number of threads.
///
/// ```
/// use terrain::{Grid, Raster, fill_hollows};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0)?;
/// let bowl = Raster::new(grid, vec![9.0, 9.0, 9.0, 9.0, 1.0, 7.0, 9.0, 9.0, 9.0])?;
/// assert_eq!(fill_hollows(&bowl).get(1, 1), Some(7.0));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Barnes, Lehman & Mulla 2014, Priority-flood: an optimal depression-filling and
/// watershed-labeling algorithm for digital elevation models; Zhou, Sun & Fu 2016, An efficient
/// variant of the Priority-Flood algorithm (few cells need the queue); Barnes 2016, Parallel
/// priority-flood depression filling for trillion cell digital elevation models on desktops or
/// clusters (tiles).
///
/// [`flow_area_m2`]: crate::flow_area_m2
#[must_use]
pub fn fill_hollows(elevation: &Raster<f32>) -> Raster<f32> {
    let mut copy = Raster::filled(*elevation.grid(), 0.0_f32);
    let cols = copy.grid().cols();
    let rows = copy.cells_mut().par_chunks_mut(cols).zip(elevation.cells().par_chunks(cols));
    rows.with_min_len(16).for_each(|(to, from)| to.copy_from_slice(from));
    fill_hollows_in_place(copy)
}

/// What [`fill_hollows`] computes, in the place of the elevation.
///
/// # Cost
/// As [`fill_hollows`], with 2 bytes a cell besides the elevation.
///
/// ```
/// use terrain::{Grid, Raster, fill_hollows, fill_hollows_in_place};
/// let bowl = Raster::from_fn(Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0)?, |row, col| {
///     if (row, col) == (1, 1) { 0.0 } else { 4.0 }
/// });
/// assert_eq!(fill_hollows(&bowl), fill_hollows_in_place(bowl));
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn fill_hollows_in_place(mut elevation: Raster<f32>) -> Raster<f32> {
    let tiling = Tiling::new(elevation.grid(), SIDE);
    let mut labels = vec![0; elevation.grid().len()];
    let mut tiles = cut(&tiling, &mut elevation, &mut labels);
    let outlines = tiles.par_iter_mut().map_init(Flood::default, Tile::fill).collect();
    let levels = Levels::solve(&tiling, outlines);
    tiles.par_iter_mut().enumerate().for_each(|(tile, cells)| cells.raise(levels.of_tile(tile)));
    elevation
}

/// A tile of the ground in memory: its pieces of the rows.
#[derive(Default)]
struct Tile<'a> {
    levels: Vec<&'a mut [f32]>,
    labels: &'a mut [u16],
}

/// Cuts elevation into tiles; each gets as many labels as it has cells.
fn cut<'a>(
    tiling: &Tiling,
    elevation: &'a mut Raster<f32>,
    mut labels: &'a mut [u16],
) -> Vec<Tile<'a>> {
    let cols = elevation.grid().cols();
    let mut tiles: Vec<Tile> = Vec::with_capacity(tiling.count());
    for tile in 0..tiling.count() {
        let own = labels.split_off_mut(..tiling.window(tile).len()).unwrap_or_default();
        tiles.push(Tile { levels: Vec::new(), labels: own });
    }
    for (row, cells) in elevation.cells_mut().chunks_mut(cols).enumerate() {
        let first = tiling.tile_of(row, 0);
        for (tile, piece) in tiles[first..].iter_mut().zip(cells.chunks_mut(SIDE)) {
            tile.levels.push(piece);
        }
    }
    tiles
}

impl Tile<'_> {
    fn fill(flood: &mut Flood, tile: &mut Self) -> Outline {
        flood.fill(tile.levels.iter().map(|line| &**line));
        let labels = tile.labels.chunks_mut(tile.levels[0].len());
        for (row, (levels, labels)) in tile.levels.iter_mut().zip(labels).enumerate() {
            let (filled, given) = flood.row(row);
            levels.copy_from_slice(filled);
            labels.copy_from_slice(given);
        }
        Outline::of(flood, tile.levels.len())
    }

    fn raise(&mut self, levels: &[f32]) {
        let labels = self.labels.chunks(self.levels[0].len());
        for (cells, labels) in self.levels.iter_mut().zip(labels) {
            raise(cells, labels, levels);
        }
    }
}

/// Raises cells to the level at which water stands where they drain.
fn raise(cells: &mut [f32], labels: &[u16], levels: &[f32]) {
    for (cell, label) in cells.iter_mut().zip(labels) {
        let level = levels[usize::from(*label)];
        *cell = if *cell < level { level + 0.0 } else { *cell };
    }
}
