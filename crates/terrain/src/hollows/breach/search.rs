//! The cheapest way out of a hollow.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::BreachLimits;
use crate::Grid;
use crate::padded::{DIRECTIONS, Padded};

/// A way from the floor of a hollow to a cell.
#[derive(Clone, Copy)]
struct Way {
    /// Ground removed along it: the sum of the cuts, metres. Not a number while none is known.
    removed: f64,
    /// Metres.
    length: f64,
    /// The cell before.
    from: u32,
}

const UNKNOWN: Way = Way { removed: f64::NAN, length: f64::NAN, from: 0 };

/// Room for searches, one after another (Dijkstra 1959, A note on two problems in connexion with
/// graphs).
pub(super) struct Search {
    limits: BreachLimits,
    steps_m: [f64; DIRECTIONS],
    ways: Vec<Way>,
    /// Cells whose ways are to be forgotten before the next search.
    seen: Vec<usize>,
    /// Cheapest first, then shortest, then by position. Numbers of zero or more sort as their bits.
    open: BinaryHeap<Reverse<(u64, u64, usize)>>,
}

impl Search {
    pub(super) fn new(grid: &Grid, cells: usize, limits: BreachLimits) -> Self {
        let (width, height) = (grid.cell_width(), grid.cell_height());
        let diagonal = width.hypot(height);
        let steps_m = [width, height, width, height, diagonal, diagonal, diagonal, diagonal];
        let (ways, seen, open) = (vec![UNKNOWN; cells], Vec::new(), BinaryHeap::new());
        Self { limits, steps_m, ways, seen, open }
    }

    /// The cells of the way that removes the least ground to where the floor can drain, from its
    /// end to the floor.
    pub(super) fn way_out(&mut self, ground: &Padded, floor: &[usize]) -> Option<Vec<usize>> {
        self.forget();
        for &cell in floor {
            self.reach(cell, Way { removed: 0.0, length: 0.0, from: cell as u32 });
        }
        let level = ground.cells[*floor.first()?];
        while let Some(Reverse((removed, length, cell))) = self.open.pop() {
            let way = self.ways[cell];
            if (way.removed.to_bits(), way.length.to_bits()) != (removed, length) {
                continue; // a better one was found
            }
            if ground.cells[cell] < level || ground.is_outlet(cell) {
                return Some(self.back_from(cell));
            }
            self.go_on(ground, level, cell);
        }
        None
    }

    fn forget(&mut self) {
        self.open.clear();
        for cell in self.seen.drain(..) {
            self.ways[cell] = UNKNOWN;
        }
    }

    fn reach(&mut self, cell: usize, way: Way) {
        let known = self.ways[cell];
        let better = (way.removed, way.length) < (known.removed, known.length);
        if known.removed.is_nan() || better {
            if known.removed.is_nan() {
                self.seen.push(cell);
            }
            self.ways[cell] = way;
            self.open.push(Reverse((way.removed.to_bits(), way.length.to_bits(), cell)));
        }
    }

    fn go_on(&mut self, ground: &Padded, level: f32, cell: usize) {
        let way = self.ways[cell];
        for (beside, step_m) in ground.neighbours(cell).into_iter().zip(self.steps_m) {
            let cut = (ground.cells[beside] - level).max(0.0);
            let length = way.length + step_m;
            let allowed = cut <= self.limits.deepest_m && length <= self.limits.longest_m;
            if allowed && !ground.cells[beside].is_nan() {
                let removed = way.removed + f64::from(cut);
                self.reach(beside, Way { removed, length, from: cell as u32 });
            }
        }
    }

    fn back_from(&self, end: usize) -> Vec<usize> {
        let mut way = vec![end];
        let mut cell = end;
        while self.ways[cell].from as usize != cell {
            cell = self.ways[cell].from as usize;
            way.push(cell);
        }
        way
    }
}
