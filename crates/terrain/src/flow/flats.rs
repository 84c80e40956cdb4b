//! Ways across level ground, which has no way down of its own.

use super::Routing;
use crate::padded::{DIRECTIONS, Padded};

/// Length of a step in each direction: 5 straight and 7 diagonally, close to 1 and √2.
/// Source: Borgefors 1986, Distance transformations in digital images (smaller chamfer weights).
const LENGTHS: [u32; DIRECTIONS] = [5, 5, 5, 5, 7, 7, 7, 7];

/// Way to where the level drains, for a cell that has not been reached.
const UNREACHED: u32 = u32::MAX;

/// Gives receivers to level cells: neighbours on the same level that are nearer to a cell with a
/// way down or out. A cell that no such way reaches is left without receivers.
pub(super) fn drain(ground: &Padded, receivers: &mut [u8], routing: Routing) {
    let level_cells: Vec<usize> = (0..receivers.len())
        .filter(|&cell| {
            receivers[cell] == 0 && !ground.cells[cell].is_nan() && !ground.is_outlet(cell)
        })
        .collect();
    if level_cells.is_empty() {
        return;
    }
    let ways = ways_to_drain(ground, &level_cells);
    for cell in level_cells {
        if ways[cell] != UNREACHED {
            receivers[cell] = nearer(ground, &ways, cell, routing);
        }
    }
}

/// Shortest way from each level cell to where its level drains; 0 for all other cells.
///
/// Ways grow by at most 7, so eight buckets in turn serve as the queue (Dial 1969, Algorithm 360).
fn ways_to_drain(ground: &Padded, level_cells: &[usize]) -> Vec<u32> {
    let mut ways = vec![0; ground.cells.len()];
    for &cell in level_cells {
        ways[cell] = UNREACHED;
    }
    let mut buckets: [Vec<usize>; 8] = std::array::from_fn(|_| Vec::new());
    for &cell in level_cells {
        let drained = level_neighbours(ground, cell).filter(|(_, beside)| ways[*beside] == 0);
        if let Some(way) = drained.map(|(direction, _)| LENGTHS[direction]).min() {
            ways[cell] = way;
            buckets[way as usize % 8].push(cell);
        }
    }
    let mut way = 0_u32;
    while buckets.iter().any(|bucket| !bucket.is_empty()) {
        for cell in std::mem::take(&mut buckets[way as usize % 8]) {
            if ways[cell] != way {
                continue; // reached by a shorter way since
            }
            for (direction, beside) in level_neighbours(ground, cell) {
                let longer = way.saturating_add(LENGTHS[direction]);
                if longer < ways[beside] {
                    ways[beside] = longer;
                    buckets[longer as usize % 8].push(beside);
                }
            }
        }
        way = way.saturating_add(1);
    }
    ways
}

/// All receivers that are nearer, or the one that gains most for the length of the step.
fn nearer(ground: &Padded, ways: &[u32], cell: usize, routing: Routing) -> u8 {
    let (mut all, mut best, mut most) = (0_u8, 0_u8, 0_u64);
    for (direction, beside) in level_neighbours(ground, cell) {
        let gain = u64::from(ways[cell].saturating_sub(ways[beside]));
        let per_length = gain * 35 / u64::from(LENGTHS[direction]);
        all |= u8::from(gain > 0) << direction;
        if per_length > most {
            (best, most) = (1 << direction, per_length);
        }
    }
    match routing {
        Routing::SteepestDescent => best,
        Routing::MultipleFlow { .. } => all,
    }
}

/// Directions and positions of the neighbours on the very same level.
#[expect(clippy::float_cmp, reason = "filling writes the very same number all over a level")]
fn level_neighbours(ground: &Padded, cell: usize) -> impl Iterator<Item = (usize, usize)> {
    let level = ground.cells[cell];
    let beside = ground.neighbours(cell).into_iter().enumerate();
    beside.filter(move |(_, beside)| ground.cells[*beside] == level)
}
