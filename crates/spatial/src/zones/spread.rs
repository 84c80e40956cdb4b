//! Labels carried a few cells beyond their ground, so that surveyed lines cut them cleanly.

use std::collections::VecDeque;

use rayon::prelude::*;

/// Gives each unlabelled cell (0) within `steps` cells of a labelled one the label of the nearest
/// (along rows and columns; among equals, the one that a scan from the north-west meets first),
/// or rather the label that `spread_as` gives for it.
///
/// Cost: linear in cells.
pub(super) fn spread_labels(labels: &mut [u32], cols: usize, steps: u32, spread_as: &[u32]) {
    let rows = (0..labels.len().checked_div(cols).unwrap_or(0)).into_par_iter().with_min_len(64);
    let edge: Vec<(usize, u32)> =
        rows.flat_map_iter(|row| on_edge(labels, cols, row)).map(|at| (at, 0)).collect();
    let mut front = VecDeque::from(edge);
    while let Some((at, step)) = front.pop_front() {
        if step == steps {
            continue;
        }
        for next in neighbours(at, cols, labels.len()) {
            if labels[next] == 0 {
                labels[next] = spread_as[labels[at] as usize];
                front.push_back((next, step + 1));
            }
        }
    }
}

/// The labelled cells of a row that touch an unlabelled one.
fn on_edge(labels: &[u32], cols: usize, row: usize) -> Vec<usize> {
    let here = row * cols..(row + 1) * cols;
    let line = &labels[here.clone()];
    let above = here.start.checked_sub(cols).map(|from| &labels[from..from + cols]);
    let below = labels.get(here.end..here.end + cols);
    let whole = |line: Option<&[u32]>| line.is_none_or(|line| line.iter().all(|label| *label != 0));
    if whole(Some(line)) && whole(above) && whole(below) {
        return Vec::new();
    }
    let is_open = |line: Option<&[u32]>, col: usize| line.is_some_and(|line| line[col] == 0);
    let touches = |col: usize| {
        line[col] != 0
            && (is_open(above, col)
                || is_open(below, col)
                || (col > 0 && line[col - 1] == 0)
                || line.get(col + 1) == Some(&0))
    };
    (0..line.len()).filter(|col| touches(*col)).map(|col| here.start + col).collect()
}

/// The cells north, west, east and south of a cell.
fn neighbours(at: usize, cols: usize, cells: usize) -> impl Iterator<Item = usize> {
    let north = at.checked_sub(cols);
    let west = (!at.is_multiple_of(cols)).then(|| at - 1);
    let east = (at % cols + 1 < cols).then(|| at + 1);
    let south = (at + cols < cells).then_some(at + cols);
    [north, west, east, south].into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_label_wins_and_distance_ends_it() {
        let mut labels = [1, 0, 0, 0, 0, 2, 0, 0, 0, 0];
        spread_labels(&mut labels, 10, 2, &[0, 1, 3, 3]);
        assert_eq!(labels, [1, 1, 1, 3, 3, 2, 3, 3, 0, 0]);
    }

    #[test]
    fn rows_do_not_wrap() {
        let mut labels = [0, 0, 3, 0, 0, 0];
        spread_labels(&mut labels, 3, 1, &[0, 1, 2, 3]);
        assert_eq!(labels, [0, 3, 3, 0, 0, 3]);
    }
}
