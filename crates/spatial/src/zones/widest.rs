//! Where a square still fits into a region.

use rayon::prelude::*;

use super::regions::NO_REGION;
use super::walls::Walls;

/// Rows that one thread looks through at a time, at least.
const ROWS: usize = 128;

/// Whether each region (position 0 unused) somewhere holds a square of `side` × `side` cells with no
/// wall in it.
///
/// The largest square that ends at a cell is one more than the smallest of those that end north,
/// west and north-west of it, if all four lie in one region.
/// Cost: a pass over the cells, on all cores; a row of numbers a thread.
pub(super) fn hold_square(
    cells: &[u32],
    cols: usize,
    count: usize,
    side: u16,
    walls: &Walls,
) -> Vec<bool> {
    let mut holds = vec![false; count + 1];
    let rows = cells.len().checked_div(cols).unwrap_or(0);
    let strip = rows.div_ceil(4 * rayon::current_num_threads()).max(ROWS);
    let found: Vec<Vec<u32>> = (0..rows.div_ceil(strip))
        .into_par_iter()
        .map(|number| {
            let last = (number * strip + strip).min(rows);
            // Squares that end in the strip may begin above it.
            let first = (number * strip).saturating_sub(usize::from(side) - 1);
            squares(cells, cols, first..last, side, walls)
        })
        .collect();
    for region in found.into_iter().flatten() {
        holds[region as usize] = true;
    }
    holds
}

/// The regions in which a square ends within some rows, most of them once.
fn squares(
    cells: &[u32],
    cols: usize,
    rows: std::ops::Range<usize>,
    side: u16,
    walls: &Walls,
) -> Vec<u32> {
    let mut found = Vec::new();
    let mut above = vec![0_u16; cols];
    let first = rows.start;
    for row in rows {
        let (mut north_west, mut west) = (0_u16, 0_u16);
        for (col, north) in above.iter_mut().enumerate() {
            let at = row * cols + col;
            let one = cells[at];
            let square = if one == NO_REGION {
                0
            } else if row == first
                || col == 0
                || cells[at - 1] != one
                || cells[at - cols] != one
                || cells[at - cols - 1] != one
                || parted(walls, at, cols)
            {
                1
            } else {
                1 + north_west.min(west).min(*north)
            };
            north_west = *north;
            west = square.min(side);
            *north = west;
            if square >= side && found.last() != Some(&one) {
                found.push(one);
            }
        }
    }
    found
}

/// Whether a wall runs between a cell and those north, west and north-west of it.
#[inline]
fn parted(walls: &Walls, at: usize, cols: usize) -> bool {
    walls.is_west(at) || walls.is_north(at) || walls.is_west(at - cols) || walls.is_north(at - 1)
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
                        cells[(row + at / side_cells) * cols + col + at % side_cells] == one
                    });
                    expected[one as usize] |= all && one != NO_REGION;
                }
            }
            prop_assert_eq!(hold_square(cells, cols, 2, side, &Walls::none()), expected);
        }
    }
}
