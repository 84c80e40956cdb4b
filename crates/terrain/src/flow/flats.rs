//! Ways across level ground, which has no way down of its own.

use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering::Relaxed;

use rayon::prelude::*;

use super::Routing;
use super::ground::Ground;
use crate::Window;
use crate::padded::{DIRECTIONS, STEPS};

/// Length of a step in each direction: 5 straight and 7 diagonally, close to 1 and √2.
/// Source: Borgefors 1986, Distance transformations in digital images (smaller chamfer weights).
pub(super) const LENGTHS: [u32; DIRECTIONS] = [5, 5, 5, 5, 7, 7, 7, 7];

/// Way to where the level drains, for a cell that has not been reached.
pub(super) const UNREACHED: u32 = u32::MAX;

/// Shortens the ways within a window as far as those around it allow; whether any at each side
/// (or corner, numbered as directions) became shorter, as bits.
///
/// Ways grow by at most 7, so eight buckets in turn serve as the queue (Dial 1969, Algorithm 360).
/// Ways outside the window are read, never written: other windows may be worked on meanwhile, and
/// the bits tell which of them to look at again. The shortest ways are the same in any order.
pub(super) fn shorten(ground: &Ground, ways: &[AtomicU32], within: Window, again: bool) -> u8 {
    let mut starts = Vec::new();
    let cols = within.col..within.col + within.cols;
    for row in within.row..within.row + within.rows {
        let all = !again || row == within.row || row + 1 == within.row + within.rows;
        let step = if all { 1 } else { (within.cols - 1).max(1) };
        for cell in cols.clone().step_by(step).map(|col| row * ground.cols + col) {
            let known = ways[cell].load(Relaxed);
            if known == 0 {
                continue;
            }
            let beside = ground.level_neighbours(cell);
            let way = beside.map(|(direction, beside)| longer(&ways[beside], direction)).min();
            if let Some(way) = way.filter(|way| *way < known) {
                ways[cell].store(way, Relaxed);
                starts.push((way, cell));
            }
        }
    }
    starts.sort_unstable_by(|a, b| b.cmp(a));
    spread(ground, ways, within, starts)
}

fn longer(way: &AtomicU32, direction: usize) -> u32 {
    way.load(Relaxed).saturating_add(LENGTHS[direction])
}

/// Goes on from the cells given, longest way first, in the order of their ways.
fn spread(
    ground: &Ground,
    ways: &[AtomicU32],
    within: Window,
    mut starts: Vec<(u32, usize)>,
) -> u8 {
    let mut buckets: [Vec<usize>; 8] = std::array::from_fn(|_| Vec::new());
    let (mut way, mut shorter) = (0_u32, 0_u8);
    loop {
        if buckets.iter().all(Vec::is_empty) {
            let Some(&(next, _)) = starts.last() else { return shorter };
            way = next;
        }
        while let Some(&(_, cell)) = starts.last().filter(|start| start.0 == way) {
            buckets[way as usize % 8].push(cell);
            starts.pop();
        }
        for cell in std::mem::take(&mut buckets[way as usize % 8]) {
            if ways[cell].load(Relaxed) != way {
                continue; // reached by a shorter way since
            }
            let [row, col] = [cell / ground.cols - within.row, cell % ground.cols - within.col];
            shorter |= borders(row, col, within);
            for (direction, beside) in ground.level_neighbours(cell) {
                let longer = way.saturating_add(LENGTHS[direction]);
                if longer < ways[beside].load(Relaxed) && is_within(row, col, direction, within) {
                    ways[beside].store(longer, Relaxed);
                    buckets[longer as usize % 8].push(beside);
                }
            }
        }
        way = way.saturating_add(1);
    }
}

/// Whether the neighbour of a cell of a window lies in it too.
#[inline]
pub(super) fn is_within(row: usize, col: usize, direction: usize, window: Window) -> bool {
    let [down, right] = STEPS[direction];
    row.wrapping_add_signed(down) < window.rows && col.wrapping_add_signed(right) < window.cols
}

/// The directions in which a cell of a window has a neighbour outside it, taken with those of
/// both axes: bits of the windows that touch the cell.
pub(super) fn borders(row: usize, col: usize, window: Window) -> u8 {
    let east = col + 1 == window.cols;
    let south = row + 1 == window.rows;
    let (west, north) = (col == 0, row == 0);
    let touched =
        [east, south, west, north, south && east, south && west, north && west, north && east];
    touched
        .into_iter()
        .enumerate()
        .fold(0, |set, (direction, yes)| set | u8::from(yes) << direction)
}

/// Gives receivers to level cells: neighbours on the same level that are nearer to a cell with a
/// way down or out. A cell that no such way reaches is left without receivers.
pub(super) fn drain(ground: &Ground, ways: &[AtomicU32], receivers: &mut [u8]) {
    let cols = ground.cols;
    receivers.par_chunks_mut(cols).enumerate().with_min_len(16).for_each(|(row, receivers)| {
        for (col, receiver) in receivers.iter_mut().enumerate() {
            let cell = row * cols + col;
            let way = ways[cell].load(Relaxed);
            if way != 0 && way != UNREACHED {
                *receiver = nearer(ground, ways, cell, way);
            }
        }
    });
}

/// All receivers that are nearer, or the one that gains most for the length of the step.
fn nearer(ground: &Ground, ways: &[AtomicU32], cell: usize, way: u32) -> u8 {
    let (mut all, mut best, mut most) = (0_u8, 0_u8, 0_u64);
    for (direction, beside) in ground.level_neighbours(cell) {
        let gain = u64::from(way.saturating_sub(ways[beside].load(Relaxed)));
        let per_length = gain * 35 / u64::from(LENGTHS[direction]);
        all |= u8::from(gain > 0) << direction;
        if per_length > most {
            (best, most) = (1 << direction, per_length);
        }
    }
    match ground.rule.routing {
        Routing::MultipleFlow { .. } => all,
        Routing::SteepestDescent | Routing::Infinity => best,
    }
}
