//! Hollows filled, so that water finds its way out.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

use crate::Raster;
use crate::neighbours::{neighbours, touches_outside};

/// Raises every hollow to its lowest rim: the lowest surface, nowhere below the ground, from which
/// every cell drains over cells no higher to the edge of the grid or to a hole.
///
/// Holes stay holes. Cost: O(n log n) at worst; cells inside a hollow go through a plain queue.
///
/// Source: Barnes, Lehman & Mulla 2014, Priority-flood: an optimal depression-filling and
/// watershed-labeling algorithm, Computers & Geosciences 62:117–127.
///
/// ```
/// use terrain::{Grid, Raster, fill_hollows};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0)?;
/// let bowl = Raster::new(grid, vec![5.0, 5.0, 5.0, 5.0, 1.0, 3.0, 5.0, 5.0, 5.0])?;
/// assert_eq!(fill_hollows(&bowl).get(1, 1), Some(3.0));
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn fill_hollows(elevation: &Raster<f32>) -> Raster<f32> {
    let grid = *elevation.grid();
    let mut filled = elevation.clone();
    for cell in filled.cells_mut().iter_mut().filter(|cell| !cell.is_finite()) {
        *cell = f32::NAN;
    }
    let mut done: Vec<bool> = filled.cells().iter().map(|cell| cell.is_nan()).collect();
    let mut rim = BinaryHeap::new();
    for (at, done) in done.iter_mut().enumerate() {
        if !*done && touches_outside(&filled, at) {
            *done = true;
            rim.push(Reverse(rank(filled.cells()[at], at)));
        }
    }
    let mut inside = VecDeque::new();
    while let Some(at) = inside.pop_front().or_else(|| rim.pop().map(|Reverse(key)| cell_of(key))) {
        let level = filled.cells()[at];
        for (next, _) in neighbours(&grid, at) {
            if std::mem::replace(&mut done[next], true) {
                continue;
            }
            let cell = &mut filled.cells_mut()[next];
            if *cell <= level {
                *cell = level;
                inside.push_back(next);
            } else {
                rim.push(Reverse(rank(*cell, next)));
            }
        }
    }
    filled
}

/// A number that sorts as elevation, then cell.
fn rank(metres: f32, at: usize) -> u64 {
    let bits = metres.to_bits();
    let sorted = if bits >> 31 == 1 { !bits } else { bits | 1 << 31 };
    u64::from(sorted) << 32 | at as u64
}

/// The cell of a rank.
fn cell_of(rank: u64) -> usize {
    (rank & u64::from(u32::MAX)) as usize
}
