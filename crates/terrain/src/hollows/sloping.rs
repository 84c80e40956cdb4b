//! Filling hollows with a slope, so that water runs down everywhere.

use super::rims::Rims;
use crate::Raster;
use crate::padded::{Padded, unpad};

/// The lowest surface, nowhere under the ground, on which every cell that is neither at the edge
/// of the grid nor beside a hole has a neighbour that is strictly lower.
///
/// Like [`fill_hollows`], but a filled hollow, and level ground too, rises by one representable
/// number a step from where it drains; that is for routing which cannot cross level ground.
/// Holes stay holes; infinite elevations count as holes.
///
/// # Units
/// Metres in and out. Eight neighbours are joined; cell sides play no part.
///
/// # Limits
/// The step is what single precision leaves: 0.06 mm at 1000 m, 0.03 mm at 500 m, next to nothing
/// at sea level. A lake 10,000 cells wide at 1000 m so rises by 0.6 m in the worst case, and can
/// lift ground beside it that was higher by less. The slope itself means nothing, and is lost
/// when the surface is rounded or written with decimals. Levels must stay below the largest `f32`.
///
/// # Cost
/// Every cell goes through a priority queue. One core; 13 bytes a cell and the queue. Use
/// [`fill_hollows`] where level lakes will do.
///
/// ```
/// use terrain::{Grid, Raster, fill_hollows_sloping};
/// let grid = Grid::new(4, 3, 0.0, 0.0, 1.0, 1.0)?;
/// let level = fill_hollows_sloping(&Raster::filled(grid, 8.0));
/// assert_eq!(level.get(1, 1), Some(8.0_f32.next_up()));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Barnes, Lehman & Mulla 2014, Priority-flood: an optimal depression-filling and
/// watershed-labeling algorithm for digital elevation models, algorithm 3; all cells are queued
/// here, which makes the surface the lowest one whatever the order of equal cells.
///
/// [`fill_hollows`]: crate::fill_hollows
#[must_use]
pub fn fill_hollows_sloping(elevation: &Raster<f32>) -> Raster<f32> {
    let mut ground = Padded::new(elevation);
    let mut settled: Vec<bool> = ground.cells.iter().map(|level| level.is_nan()).collect();
    let mut rims = Rims::default();
    for (cell, settled) in settled.iter_mut().enumerate() {
        if !*settled && ground.is_outlet(cell) {
            *settled = true;
            rims.push(ground.cells[cell], cell as u32);
        }
    }
    while let Some((_, cell)) = rims.pop_lowest() {
        let above = ground.cells[cell as usize].next_up();
        for beside in ground.neighbours(cell as usize) {
            if !settled[beside] {
                settled[beside] = true;
                ground.cells[beside] = ground.cells[beside].max(above);
                rims.push(ground.cells[beside], beside as u32);
            }
        }
    }
    unpad(*elevation.grid(), &ground.cells, |level| *level)
}
