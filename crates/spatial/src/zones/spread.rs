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
    /// Cells looked at together: most have labels all round, or lie where there are none.
    const LANES: usize = 16;
    let first = row * cols;
    let line = &labels[first..first + cols];
    let above = first.checked_sub(cols).map(|from| &labels[from..from + cols]);
    let below = labels.get(first + cols..first + 2 * cols);
    let is_open = |line: Option<&[u32]>, col: usize| line.is_some_and(|line| line[col] == 0);
    let touches = |col: usize| {
        line[col] != 0
            && (is_open(above, col)
                || is_open(below, col)
                || (col > 0 && line[col - 1] == 0)
                || line.get(col + 1) == Some(&0))
    };
    let mut found = Vec::new();
    for start in (0..cols).step_by(LANES) {
        let lanes = start..cols.min(start + LANES);
        let own = &line[lanes.clone()];
        let beside = [above, below].into_iter().flatten();
        let beside = beside.fold(false, |any, line| any | has_open(&line[lanes.clone()]));
        let is_bare = own.iter().fold(0, |any, label| any | label) == 0;
        let ends = [lanes.start.wrapping_sub(1), lanes.end];
        let past = ends.into_iter().any(|col| line.get(col) == Some(&0));
        if !is_bare && (has_open(own) || beside || past) {
            found.extend(lanes.filter(|col| touches(*col)).map(|col| first + col));
        }
    }
    found
}

/// Whether any label is 0; without a branch, so that several are looked at at a time.
fn has_open(labels: &[u32]) -> bool {
    labels.iter().fold(0, |any, label| any | u32::from(*label == 0)) != 0
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
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_edge_is_what_touches_an_unlabelled_cell(
            cols in 1_usize..70,
            labels in prop::collection::vec(prop_oneof![1 => Just(0), 30 => Just(1_u32)], 0..700),
            open: bool,
        ) {
            let labels: Vec<u32> = labels.iter().map(|label| label ^ u32::from(open)).collect();
            let rows = labels.len() / cols;
            let labels = &labels[..rows * cols];
            let touches = |at: usize| {
                labels[at] != 0 && neighbours(at, cols, labels.len()).any(|next| labels[next] == 0)
            };
            let expected: Vec<usize> = (0..labels.len()).filter(|at| touches(*at)).collect();
            let found: Vec<usize> = (0..rows).flat_map(|row| on_edge(labels, cols, row)).collect();
            prop_assert_eq!(found, expected);
        }
    }

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
