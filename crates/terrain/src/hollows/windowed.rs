//! Filling ground that does not fit memory.

use rayon::prelude::*;
use thiserror::Error;

use super::flood::Flood;
use super::raise;
use super::spills::{Levels, Outline};
use crate::{Sink, Source, Tiling, Window};

/// Tiles may not be so large that the labels of one exceed 16 bits.
const LARGEST_SIDE: usize = 8192;

/// Why ground could not be taken from a source to a sink.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum FillError<Read, Write> {
    /// The source failed.
    #[error("reading {window:?}: {error}")]
    Read {
        /// The cells asked for.
        window: Window,
        /// Why they did not come.
        error: Read,
    },
    /// The sink failed.
    #[error("writing {window:?}: {error}")]
    Write {
        /// The cells handed over.
        window: Window,
        /// Why they were not taken.
        error: Write,
    },
}

/// What [`fill_hollows`] computes, bit for bit, from a source to a sink, a tile at a time.
///
/// Tiles of `side` × `side` cells (at least 1, at most 8192; 1024 is a good choice) are read
/// twice, row of tiles by row of tiles, those of a row by all cores; every cell is written once,
/// in the second pass, when no tile of its row is read any more but its own.
///
/// # Cost
/// Twice the filling of a tile. Memory: for each core one tile at 16 bytes a cell; for each cell
/// along the border of any tile 8 bytes, and about 30 bytes more while the levels are
/// solved. At a side of 1024 a thousand million cells come to some 4 million border cells.
///
/// # Errors
/// The first failure of the source or the sink that any core met.
///
/// ```
/// use std::sync::Mutex;
/// use terrain::{Grid, Raster, Sink, Window, fill_hollows, fill_hollows_windowed};
/// struct Kept(Mutex<Raster<f32>>);
/// impl Sink for Kept {
///     type Error = String;
///     fn write(&self, window: Window, cells: &[f32]) -> Result<(), String> {
///         let mut kept = self.0.lock().map_err(|error| error.to_string())?;
///         let cols = kept.grid().cols();
///         for (row, line) in (window.row..).zip(cells.chunks(window.cols)) {
///             let from = row * cols + window.col;
///             kept.cells_mut()[from..from + window.cols].copy_from_slice(line);
///         }
///         Ok(())
///     }
/// }
/// let grid = Grid::new(9, 7, 0.0, 0.0, 1.0, 1.0)?;
/// let ground = Raster::from_fn(grid, |row, col| (row * 5 % 7 * (col * 3 % 5)) as f32);
/// let kept = Kept(Mutex::new(Raster::filled(grid, 0.0)));
/// fill_hollows_windowed(&ground, &kept, 4)?;
/// assert_eq!(kept.0.into_inner()?, fill_hollows(&ground));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # References
/// Barnes 2016 (see [`fill_hollows`]), the variant that fills each tile twice and keeps none.
///
/// [`fill_hollows`]: crate::fill_hollows
pub fn fill_hollows_windowed<R: Source, W: Sink>(
    source: &R,
    sink: &W,
    side: usize,
) -> Result<(), FillError<R::Error, W::Error>> {
    let tiling = Tiling::new(source.grid(), side.min(LARGEST_SIDE));
    let mut outlines = Vec::with_capacity(tiling.count());
    for row in 0..tiling.down() {
        let tiles = tiles_of(row, &tiling).map_init(Reading::default, |reading, tile| {
            reading
                .fill(source, tiling.window(tile))
                .map(|flood| Outline::of(flood, tiling.window(tile).rows))
        });
        outlines.extend(tiles.collect::<Result<Vec<_>, _>>()?);
    }
    let levels = Levels::solve(&tiling, outlines);
    for row in 0..tiling.down() {
        tiles_of(row, &tiling)
            .map_init(Reading::default, |reading, tile| {
                let window = tiling.window(tile);
                let filled = reading.filled(source, window, levels.of_tile(tile))?;
                sink.write(window, filled).map_err(|error| FillError::Write { window, error })
            })
            .collect::<Result<(), _>>()?;
    }
    Ok(())
}

fn tiles_of(row: usize, tiling: &Tiling) -> rayon::range::Iter<usize> {
    (row * tiling.across()..(row + 1) * tiling.across()).into_par_iter()
}

/// One core's room.
#[derive(Default)]
struct Reading {
    cells: Vec<f32>,
    flood: Flood,
}

impl Reading {
    fn fill<R: Source, E>(
        &mut self,
        source: &R,
        window: Window,
    ) -> Result<&Flood, FillError<R::Error, E>> {
        self.cells.resize(window.len(), 0.0);
        source.read(window, &mut self.cells).map_err(|error| FillError::Read { window, error })?;
        self.flood.fill(self.cells.chunks(window.cols));
        Ok(&self.flood)
    }

    fn filled<R: Source, E>(
        &mut self,
        source: &R,
        window: Window,
        levels: &[f32],
    ) -> Result<&[f32], FillError<R::Error, E>> {
        self.fill(source, window)?;
        for (row, line) in self.cells.chunks_mut(window.cols).enumerate() {
            let (filled, labels) = self.flood.row(row);
            line.copy_from_slice(filled);
            raise(line, labels, levels);
        }
        Ok(&self.cells)
    }
}
