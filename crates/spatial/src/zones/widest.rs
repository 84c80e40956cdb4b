//! Where a square still fits into a region.

use std::ops::Range;
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::regions::NO_REGION;
use super::walls::Walls;

/// Whether each region (position 0 unused) somewhere holds a square of `side` × `side` cells with no
/// wall in it.
///
/// Of the places in every `side`th row and column each such square holds exactly one, so only the
/// neighbourhoods of those are searched, and none in a region that is known to hold one.
/// Cost: at most four times the cells, on all cores; far less where regions are wide.
pub(super) fn hold_square(
    cells: &[u32],
    cols: usize,
    count: usize,
    side: u16,
    walls: &Walls,
) -> Vec<bool> {
    let rows = cells.len().checked_div(cols).unwrap_or(0);
    let side = usize::from(side.max(1));
    // It makes no difference which thread is the first to find a square.
    let holds: Vec<AtomicBool> = (0..=count).map(|_| AtomicBool::new(false)).collect();
    (0..rows / side).into_par_iter().for_each(|number| {
        let row = number * side + side - 1;
        for col in (side - 1..cols).step_by(side) {
            let region = cells[row * cols + col];
            let known = &holds[region as usize];
            if region != NO_REGION && !known.load(Ordering::Relaxed) {
                let from = [row + 1 - side, col + 1 - side];
                let ends = [rows.min(row + side), cols.min(col + side)];
                let window = Window { cells, cols, walls, rows: from[0]..ends[0], side };
                if window.holds(region, from[1]..ends[1]) {
                    known.store(true, Ordering::Relaxed);
                }
            }
        }
    });
    holds.into_iter().map(AtomicBool::into_inner).collect()
}

/// Some rows in which a square is looked for.
struct Window<'a> {
    cells: &'a [u32],
    cols: usize,
    walls: &'a Walls,
    rows: Range<usize>,
    side: usize,
}

impl Window<'_> {
    /// Whether a region holds a square within some columns.
    ///
    /// The largest square that ends at a cell is one more than the smallest of those that end north,
    /// west and north-west of it, if no wall parts the four.
    fn holds(&self, region: u32, columns: Range<usize>) -> bool {
        let mut above = vec![0; columns.len()];
        for row in self.rows.clone() {
            let (mut north_west, mut west) = (0, 0);
            for (col, north) in columns.clone().zip(&mut above) {
                let at = row * self.cols + col;
                let square = if self.cells[at] != region {
                    0
                } else if row == self.rows.start || col == columns.start || self.is_parted(at) {
                    1
                } else {
                    1 + north_west.min(west).min(*north)
                };
                if square == self.side {
                    return true;
                }
                north_west = *north;
                west = square;
                *north = square;
            }
        }
        false
    }

    /// Whether a wall runs between a cell and those north, west and north-west of it.
    fn is_parted(&self, at: usize) -> bool {
        let walls = self.walls;
        walls.is_west(at)
            || walls.is_north(at)
            || walls.is_west(at - self.cols)
            || walls.is_north(at - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_square_is_found_where_trying_each_place_finds_one(
            cols in 1_usize..6,
            cells in prop::collection::vec(prop_oneof![1 => Just(0_u32), 20 => Just(1), 2 => Just(2)], 1..2000),
            units in prop::collection::vec(prop_oneof![15 => Just(1_u32), 1 => Just(2)], 2000),
            side in 1_u16..5,
        ) {
            let rows = cells.len() / cols;
            let cells = &cells[..rows * cols];
            let side_cells = usize::from(side);
            let mut expected = vec![false; 3];
            for row in 0..(rows + 1).saturating_sub(side_cells) {
                for col in 0..(cols + 1).saturating_sub(side_cells) {
                    let one = cells[row * cols + col];
                    let all = (0..side_cells * side_cells).all(|at| {
                        let here = (row + at / side_cells) * cols + col + at % side_cells;
                        (cells[here], units[here]) == (one, units[row * cols + col])
                    });
                    expected[one as usize] |= all && one != NO_REGION;
                }
            }
            let walls = Walls::between(&units[..rows * cols], cols);
            prop_assert_eq!(hold_square(cells, cols, 2, side, &walls), expected);
        }
    }
}
