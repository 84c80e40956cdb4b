//! Height above the drainage line that a cell's water reaches first.

use crate::flow::steepest_receivers;
use crate::padded::unpad;
use crate::{GridError, Raster};

/// Heights above drainage, and how much of the ground they are sure of.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightAboveDrainage {
    /// Metres.
    pub height_m: Raster<f32>,
    /// Cells whose water leaves the ground before it meets a line: their height is above the place
    /// where it leaves.
    pub without_line: usize,
}

/// Height of each cell above the first marked cell on its way down the steepest descent.
///
/// # Units
/// `elevation_filled` in metres, as [`fill_hollows`](crate::fill_hollows) gives it: no height is then
/// below 0. `lines` is anything but 0 on drainage lines, mapped or by
/// [`stream_cells`](crate::stream_cells).
///
/// # Holes
/// Holes of the elevation; water that runs into one leaves the ground there.
///
/// # Errors
/// [`GridError::Mismatch`] when the two lie on different grids.
///
/// # Cost
/// Linear: each cell is walked over twice.
///
/// ```
/// use terrain::{Grid, Raster, height_above_drainage};
/// let grid = Grid::new(3, 1, 0.0, 0.0, 10.0, 10.0)?;
/// let slope = Raster::new(grid, vec![7.0, 4.0, 2.0])?;
/// let line = Raster::new(grid, vec![0, 1, 0])?;
/// let drained = height_above_drainage(&slope, &line)?;
/// assert_eq!(drained.height_m.cells(), &[3.0, 0.0, 0.0]);
/// assert_eq!(drained.without_line, 1);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Rennó et al. 2008, HAND, a new terrain descriptor using SRTM-DEM; Nobre et al. 2011, Height Above
/// the Nearest Drainage, a hydrologically relevant new terrain model.
pub fn height_above_drainage(
    elevation_filled: &Raster<f32>,
    lines: &Raster<u8>,
) -> Result<HeightAboveDrainage, GridError> {
    elevation_filled.same_grid(lines)?;
    let grid = *elevation_filled.grid();
    let (ground, receivers) = steepest_receivers(elevation_filled);
    let mut level = vec![Level::default(); ground.cells.len()];
    for (row, cells) in (1..).zip(lines.cells().chunks(grid.cols())) {
        for (col, _) in (1..).zip(cells).filter(|(_, line)| **line != 0) {
            let cell = row * ground.width + col;
            level[cell] = Level { metres: ground.cells[cell], on_line: true };
        }
    }
    let mut without_line = 0;
    let mut way = Vec::new();
    for start in (0..ground.cells.len()).filter(|cell| !ground.cells[*cell].is_nan()) {
        let mut cell = start;
        while level[cell].metres.is_nan() {
            way.push(cell);
            let direction = receivers[cell].trailing_zeros() as usize;
            let Some(offset) = ground.offsets.get(direction) else {
                // Nowhere to go: water leaves the ground here.
                level[cell].metres = ground.cells[cell];
                break;
            };
            cell = cell.wrapping_add(*offset);
        }
        let reached = level[cell];
        without_line += if reached.on_line { 0 } else { way.len() };
        for cell in way.drain(..) {
            level[cell] = reached;
        }
    }
    let mut heights = ground.cells;
    for (height, level) in heights.iter_mut().zip(&level) {
        *height -= level.metres;
    }
    Ok(HeightAboveDrainage { height_m: unpad(grid, &heights, |height| *height), without_line })
}

/// Where a cell's water ends, as far as is known.
#[derive(Clone, Copy)]
struct Level {
    /// Height of that place; NaN while it is not known.
    metres: f32,
    on_line: bool,
}

impl Default for Level {
    fn default() -> Self {
        Self { metres: f32::NAN, on_line: false }
    }
}
