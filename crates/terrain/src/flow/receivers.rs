//! The neighbours that each cell sends water to, as a byte with a bit for each direction.

use rayon::prelude::*;

use super::{Distances, Routing};
use crate::padded::{DIRECTIONS, OPPOSITE, Padded};

/// Receivers of every cell that has a lower neighbour: one bit for the steepest, or a bit for each.
pub(super) fn downhill(ground: &Padded, distances: &Distances, routing: Routing) -> Vec<u8> {
    rows(&ground.cells, ground.width, |windows, here, receivers| match routing {
        Routing::SteepestDescent => steepest(windows, here, distances, receivers),
        Routing::MultipleFlow { .. } => all_lower(windows, here, receivers),
    })
}

/// How many neighbours send water to each cell.
pub(super) fn donors(receivers: &[u8], width: usize) -> Vec<u8> {
    rows(receivers, width, |windows, _, donors| {
        donors.fill(0);
        for (window, back) in windows.into_iter().zip(OPPOSITE) {
            for (count, beside) in donors.iter_mut().zip(window) {
                *count += beside >> back & 1;
            }
        }
    })
}

/// Computes every inner row of bytes from the row and its eight shifted neighbours.
fn rows<T: Sync>(
    cells: &[T],
    width: usize,
    row_of: impl Fn([&[T]; DIRECTIONS], &[T], &mut [u8]) + Sync,
) -> Vec<u8> {
    let mut bytes = vec![0; cells.len()];
    let last = cells.len() / width - 1;
    bytes.par_chunks_mut(width).enumerate().with_min_len(16).for_each(|(row, bytes)| {
        if row == 0 || row == last {
            return;
        }
        let window = |rows: usize, cols: usize| {
            let from = (row + rows - 1) * width + cols;
            &cells[from..from + width - 2]
        };
        let windows = [
            window(1, 2),
            window(2, 1),
            window(1, 0),
            window(0, 1),
            window(2, 2),
            window(2, 0),
            window(0, 0),
            window(0, 2),
        ];
        row_of(windows, window(1, 1), &mut bytes[1..width - 1]);
    });
    bytes
}

fn steepest(
    windows: [&[f32]; DIRECTIONS],
    here: &[f32],
    distances: &Distances,
    receivers: &mut [u8],
) {
    let inner = receivers.len();
    let windows = windows.map(|window| &window[..inner]);
    let here = &here[..inner];
    for col in 0..inner {
        let (mut best, mut receiver) = (0.0_f32, 0_u32);
        for (direction, (beside, per_metre)) in windows.iter().zip(distances.per_metre).enumerate()
        {
            // A comparison with a hole (NaN) is never true.
            let drop = (here[col] - beside[col]) * per_metre;
            let steeper = drop > best;
            best = if steeper { drop } else { best };
            receiver = if steeper { 1 << direction } else { receiver };
        }
        receivers[col] = receiver as u8;
    }
}

fn all_lower(windows: [&[f32]; DIRECTIONS], here: &[f32], receivers: &mut [u8]) {
    receivers.fill(0);
    for (direction, window) in windows.into_iter().enumerate() {
        for ((receivers, level), beside) in receivers.iter_mut().zip(here).zip(window) {
            *receivers |= u8::from(beside < level) << direction;
        }
    }
}
