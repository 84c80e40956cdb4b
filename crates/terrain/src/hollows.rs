//! Filling hollows, so that water finds its way off the ground.

mod rims;

use crate::Raster;
use crate::padded::{Padded, unpad};
use rims::Rims;

/// The lowest surface, nowhere under the ground, from each cell of which a way that never rises
/// leads to the edge of the grid or to a hole.
///
/// Filled hollows come out level, at the height of their lowest rim; [`flow_area_m2`] leads water
/// across them, so no artificial slope is added. Holes stay holes and take water in.
///
/// # Units
/// Metres in and out. Eight neighbours are joined; cell sides play no part.
///
/// # Cost
/// Close to linear: a cell reached uphill from drained ground is drained and waits for nothing;
/// only rims with lower ground still unseen behind them go through a priority queue. One core.
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
/// variant of the Priority-Flood algorithm (few cells need the queue).
///
/// [`flow_area_m2`]: crate::flow_area_m2
#[must_use]
pub fn fill_hollows(elevation: &Raster<f32>) -> Raster<f32> {
    let mut flood = Flood::from_outlets(Padded::new(elevation));
    flood.rise(f32::NEG_INFINITY);
    while let Some(rim) = flood.rims.pop_lowest() {
        flood.rising.push(rim);
        flood.rise(flood.ground.cells[rim]);
    }
    unpad(*elevation.grid(), &flood.ground.cells, |level| *level)
}

/// Water that rises from the outlets inward.
struct Flood {
    /// Filled where settled, else the ground as it was.
    ground: Padded,
    settled: Vec<bool>,
    /// Settled cells whose neighbours are to be looked at.
    rising: Vec<usize>,
    /// Settled cells that had lower ground behind them when they were looked at.
    maybe_rims: Vec<usize>,
    /// Settled cells with lower ground behind them, lowest first.
    rims: Rims,
}

impl Flood {
    fn from_outlets(ground: Padded) -> Self {
        let mut settled: Vec<bool> = ground.cells.iter().map(|level| level.is_nan()).collect();
        let mut rising = Vec::new();
        for hole in (0..ground.cells.len()).filter(|&cell| ground.cells[cell].is_nan()) {
            for beside in ground.neighbours(hole) {
                if settled.get(beside) == Some(&false) {
                    settled[beside] = true;
                    rising.push(beside);
                }
            }
        }
        Self { ground, settled, rising, maybe_rims: Vec::new(), rims: Rims::default() }
    }

    /// Settles all that is reached from `rising` without going down, and floods what lies under
    /// `water`, the lowest level at which anything unseen can drain.
    fn rise(&mut self, water: f32) {
        while let Some(cell) = self.rising.pop() {
            let level = self.ground.cells[cell];
            let mut is_rim = false;
            for beside in self.ground.neighbours(cell) {
                if self.settled[beside] {
                    continue;
                }
                if self.ground.cells[beside] < level {
                    if level > water {
                        is_rim = true;
                        continue;
                    }
                    self.ground.cells[beside] = level;
                }
                self.settled[beside] = true;
                self.rising.push(beside);
            }
            if is_rim {
                self.maybe_rims.push(cell);
            }
        }
        self.keep_rims();
    }

    /// Queues the cells that still have unseen ground below them, now that all above is settled.
    fn keep_rims(&mut self) {
        while let Some(cell) = self.maybe_rims.pop() {
            if self.ground.neighbours(cell).into_iter().any(|beside| !self.settled[beside]) {
                self.rims.push(self.ground.cells[cell], cell);
            }
        }
    }
}
