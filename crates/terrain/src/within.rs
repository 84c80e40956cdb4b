//! Cells within a distance of marked ones.

use rayon::prelude::*;

use crate::Grid;

/// Whether the middle of each cell lies within a distance, metres, of the middle of a marked cell.
///
/// Exact: first along columns, to the nearest marked cell of each; then along rows, where a cell that is so many rows
/// from a marked one reaches a number of cells to either side.
///
/// Cost: linear in cells, on all cores; 5 bytes a cell.
///
/// ```
/// use terrain::{Grid, cells_within};
/// let grid = Grid::new(3, 1, 0.0, 10.0, 10.0, 10.0)?;
/// assert_eq!(cells_within(&[true, false, false], &grid, 10.0), [true, true, false]);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn cells_within(marked: &[bool], grid: &Grid, distance_m: f64) -> Vec<bool> {
    let (cols, rows) = (grid.cols(), grid.rows());
    if marked.len() != cols * rows || cols == 0 {
        return vec![false; marked.len()];
    }
    let down = down_columns(marked, cols);
    let reach = reach_of_rows(grid, distance_m);
    let mut within = vec![false; marked.len()];
    within.par_chunks_mut(cols).zip(down.par_chunks(cols)).for_each(|(within, down)| {
        let mut ends = 0; // of what cells passed by reach
        for (col, (within, down)) in within.iter_mut().zip(down).enumerate() {
            ends = ends.max(reach.get(*down as usize).map_or(0, |reach| col + reach));
            *within = col < ends;
        }
        let mut ends = 0;
        for (col, (within, down)) in within.iter_mut().zip(down).rev().enumerate() {
            ends = ends.max(reach.get(*down as usize).map_or(0, |reach| col + reach));
            *within |= col < ends;
        }
    });
    within
}

/// No marked cell in the column.
const NONE: u32 = u32::MAX;

/// By rows to a marked cell: how many cells of a row, itself and those to one side of it, lie within a distance of the
/// marked one. As many entries as rows that are near enough.
fn reach_of_rows(grid: &Grid, distance_m: f64) -> Vec<usize> {
    let most = distance_m * distance_m * (1.0 + 1e-12);
    let squared = |cells: usize, side: f64| (cells as f64 * side).powi(2);
    let reach = |rows: usize| {
        let is_near = |cols: usize| {
            squared(rows, grid.cell_height()) + squared(cols, grid.cell_width()) <= most
        };
        let left = (most - squared(rows, grid.cell_height())).max(0.0);
        let about = (left.sqrt() / grid.cell_width()).min(grid.cols() as f64) as usize;
        // Rounding may have it one off.
        (about.saturating_sub(1)..=about + 1)
            .take_while(|cols| is_near(*cols))
            .last()
            .map(|cols| cols + 1)
    };
    (0..grid.rows()).map_while(reach).collect()
}

/// Cells from each cell to the nearest marked one of its column.
fn down_columns(marked: &[bool], cols: usize) -> Vec<u32> {
    let mut nearest: Vec<u32> =
        marked.par_iter().map(|is_marked| if *is_marked { 0 } else { NONE }).collect();
    let mut lines: Vec<&mut [u32]> = nearest.chunks_mut(cols).collect();
    let step = |before: &[u32], line: &mut [u32]| {
        for (cell, before) in line.iter_mut().zip(before) {
            *cell = (*cell).min(before.saturating_add(1));
        }
    };
    for row in 1..lines.len() {
        let (above, below) = lines.split_at_mut(row);
        step(above[row - 1], below[0]);
    }
    for row in (1..lines.len()).rev() {
        let (above, below) = lines.split_at_mut(row);
        step(below[0], above[row - 1]);
    }
    nearest
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn near_cells_are_those_that_looking_at_every_pair_finds(
            cols in 1_usize..12, marked in prop::collection::vec(prop::bool::weighted(0.1), 1..120),
            width in 0.5..4.0_f64, height in 0.5..4.0_f64, distance in 0.0..15.0_f64,
        ) {
            let rows = marked.len().div_ceil(cols);
            let mut marked = marked;
            marked.resize(rows * cols, false);
            let grid = Grid::new(cols, rows, 0.0, 0.0, width, height).unwrap();
            let found = cells_within(&marked, &grid, distance);
            for (at, found) in found.into_iter().enumerate() {
                let near = (0..marked.len()).filter(|other| marked[*other]).any(|other| {
                    let east = (at % cols).abs_diff(other % cols) as f64 * width;
                    let south = (at / cols).abs_diff(other / cols) as f64 * height;
                    east.hypot(south) <= distance * (1.0 + 1e-9)
                });
                let nearly = (0..marked.len()).filter(|other| marked[*other]).any(|other| {
                    let east = (at % cols).abs_diff(other % cols) as f64 * width;
                    let south = (at / cols).abs_diff(other / cols) as f64 * height;
                    east.hypot(south) <= distance * (1.0 - 1e-9)
                });
                prop_assert!(found == near || found == nearly, "{}", at);
            }
        }
    }
}
