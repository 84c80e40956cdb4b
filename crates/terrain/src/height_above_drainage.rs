//! How high the ground lies above the stream that it drains to.

use crate::flow::steepest_receivers;
use crate::padded::{Padded, unpad};
use crate::{GridError, Raster};

/// Height above the nearest drainage, and how much of the ground has none.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightAboveDrainage {
    /// Metres above the first stream cell on the way down; 0 in streams; a hole where the water
    /// meets none.
    pub height_m: Raster<f32>,
    /// Cells that became holes: their water leaves the ground, or ends in a hollow, before it meets
    /// a stream. The stream lies beyond, nobody knows how far below.
    pub cells_without_stream: usize,
}

/// Height of each cell above the first stream cell that its water meets (D8).
///
/// Low ground beside a stream floods, stays wet and gathers cold air. "Nearest" is along the flow,
/// not as the crow flies. A mapped stream that lies a cell beside the lowest ground is missed by
/// water that runs past it: mark streams at least as wide as their position is uncertain.
///
/// # Units
/// Metres: elevation with its hollows filled. `streams` marks stream cells, mapped or derived (see
/// [`stream_cells`]). Never below 0 on a filled surface, or on any: water only runs down.
///
/// # Holes
/// A hole stays a hole, marked as stream or not. A cell whose water meets no stream becomes one.
///
/// # Errors
/// [`GridError::Mismatch`] when the two lie on different grids.
///
/// # Cost
/// Linear: each cell is passed twice at most. Nine bytes a cell beside the result.
///
/// ```
/// use terrain::{Grid, Raster, height_above_drainage};
/// let grid = Grid::new(4, 1, 0.0, 0.0, 5.0, 5.0)?;
/// let ramp = Raster::new(grid, vec![9.0, 7.0, 4.0, 3.0])?;
/// let streams = Raster::new(grid, vec![false, false, true, false])?;
/// let above = height_above_drainage(&ramp, &streams)?;
/// assert_eq!(above.height_m.cells()[..3], [5.0, 3.0, 0.0]);
/// assert_eq!(above.height_m.get(0, 3), None); // its water leaves the ground
/// assert_eq!(above.cells_without_stream, 1);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Rennó et al. 2008, HAND, a new terrain descriptor using SRTM-DEM: mapping terra-firme rainforest
/// environments in Amazonia; Nobre et al. 2011, Height Above the Nearest Drainage: a hydrologically
/// relevant new terrain model.
///
/// [`stream_cells`]: crate::stream_cells
pub fn height_above_drainage(
    elevation_filled: &Raster<f32>,
    streams: &Raster<bool>,
) -> Result<HeightAboveDrainage, GridError> {
    elevation_filled.same_grid(streams)?;
    let (ground, receivers) = steepest_receivers(elevation_filled);
    let mut drainage = Drainage::new(ground, receivers, streams);
    let mut path = Vec::new();
    for cell in 0..drainage.levels.len() {
        drainage.follow(cell, &mut path);
    }
    let mut heights = drainage.ground.cells;
    for (height, level) in heights.iter_mut().zip(&drainage.levels) {
        *height -= level;
    }
    Ok(HeightAboveDrainage {
        height_m: unpad(*elevation_filled.grid(), &heights, |height| {
            if height.is_finite() { *height } else { f32::NAN }
        }),
        cells_without_stream: drainage.without_stream,
    })
}

/// Marks in place of the receivers of a cell whose level is known; no single direction looks so.
const TO_STREAM: u8 = 0b11;
const TO_NOTHING: u8 = 0b111;

/// Cells and what their paths have led to so far.
struct Drainage {
    ground: Padded,
    /// The direction to go on, or a mark.
    onward: Vec<u8>,
    /// Level of the stream that each cell drains to: not a number until it is known, infinite where
    /// there is none.
    levels: Vec<f32>,
    without_stream: usize,
}

impl Drainage {
    fn new(ground: Padded, mut onward: Vec<u8>, streams: &Raster<bool>) -> Self {
        let (cols, width) = (streams.grid().cols(), ground.width);
        let inner = onward[width..].chunks_mut(width).zip(streams.cells().chunks(cols));
        for (onward, streams) in inner {
            for (onward, _) in onward[1..=cols].iter_mut().zip(streams).filter(|(_, is)| **is) {
                *onward = TO_STREAM;
            }
        }
        let levels = vec![f32::NAN; ground.cells.len()];
        Self { ground, onward, levels, without_stream: 0 }
    }

    /// Follows a cell's path to a cell whose level is known, and tells it to all on the way.
    fn follow(&mut self, start: usize, path: &mut Vec<usize>) {
        if self.ground.cells[start].is_nan() || !self.levels[start].is_nan() {
            return;
        }
        let mut cell = start;
        while self.onward[cell].is_power_of_two() {
            path.push(cell);
            cell =
                cell.wrapping_add(self.ground.offsets[self.onward[cell].trailing_zeros() as usize]);
        }
        if self.levels[cell].is_nan() {
            path.push(cell);
            let is_stream = self.onward[cell] == TO_STREAM;
            self.levels[cell] = if is_stream { self.ground.cells[cell] } else { f32::INFINITY };
        }
        let level = self.levels[cell];
        let mark = if level.is_finite() { TO_STREAM } else { TO_NOTHING };
        self.without_stream += if mark == TO_NOTHING { path.len() } else { 0 };
        for cell in path.drain(..) {
            self.levels[cell] = level;
            self.onward[cell] = mark;
        }
    }
}
