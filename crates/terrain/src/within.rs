//! Cells within a distance of marked ones.

use rayon::prelude::*;

use crate::Grid;

/// Whether the middle of each cell lies within a distance, metres, of the middle of a marked cell.
///
/// Exact, by the distance transform of sampled functions: first along columns, then along rows as the lower
/// envelope of parabolas (Felzenszwalb & Huttenlocher 2012, Theory of Computing 8:415).
///
/// Cost: linear in cells, on all cores; 9 bytes a cell.
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
    let most = distance_m * distance_m * (1.0 + 1e-12);
    let mut within = vec![false; marked.len()];
    within.par_chunks_mut(cols).zip(down.par_chunks(cols)).for_each(|(within, down)| {
        let heights: Vec<f64> = down
            .iter()
            .map(|cells| match *cells {
                NONE => f64::INFINITY,
                cells => (f64::from(cells) * grid.cell_height()).powi(2),
            })
            .collect();
        along_row(&heights, grid.cell_width(), |col, squared| within[col] = squared <= most);
    });
    within
}

/// No marked cell in the column.
const NONE: u32 = u32::MAX;

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

/// Tells each column of a row the least of `heights[other] + (col − other)² width²`.
fn along_row(heights: &[f64], width: f64, mut tell: impl FnMut(usize, f64)) {
    // Parabolas of the lower envelope: column, and from which column on it is the least.
    let mut envelope: Vec<(usize, f64)> = Vec::new();
    let height = |col: usize| heights[col] / (width * width) + (col * col) as f64;
    for col in (0..heights.len()).filter(|col| heights[*col].is_finite()) {
        let mut from = f64::NEG_INFINITY;
        while let Some((before, begins)) = envelope.last() {
            let meets = (height(col) - height(*before)) / (2.0 * (col - before) as f64);
            if meets > *begins {
                from = meets;
                break;
            }
            envelope.pop();
        }
        envelope.push((col, from));
    }
    let mut at = 0;
    for col in 0..heights.len() {
        while envelope.get(at + 1).is_some_and(|(_, from)| *from < col as f64) {
            at += 1;
        }
        let squared = envelope.get(at).map_or(f64::INFINITY, |(other, _)| {
            heights[*other] + (col.abs_diff(*other) as f64 * width).powi(2)
        });
        tell(col, squared);
    }
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
