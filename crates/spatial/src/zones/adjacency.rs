//! Which regions touch, and along how much of their borders.

use rayon::prelude::*;

use super::regions::NO_REGION;
use super::walls::Walls;

/// Rows that one thread looks through at a time.
const ROWS: usize = 128;

/// Two regions that touch, the lower number first, and their shared border in cell sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Edge {
    pub(super) pair: [u32; 2],
    pub(super) border: u32,
}

impl Edge {
    fn key(self) -> u64 {
        u64::from(self.pair[0]) << 32 | u64::from(self.pair[1])
    }
}

/// Every two regions that touch somewhere without a wall between them, in order.
///
/// Cost: a pass over the cells, then n log n in the places where regions change; all cores.
pub(super) fn edges(cells: &[u32], cols: usize, walls: &Walls) -> Vec<Edge> {
    if cols == 0 {
        return Vec::new();
    }
    let strips = cells.par_chunks(cols * ROWS).enumerate();
    let found: Vec<Vec<Edge>> = strips
        .map(|(number, strip)| {
            let start = number * ROWS * cols;
            let mut edges = Vec::new();
            for at in start..start + strip.len() {
                let one = cells[at];
                if one == NO_REGION {
                    continue;
                }
                if at % cols > 0 && cells[at - 1] != one && !walls.is_west(at) {
                    meet(&mut edges, one, cells[at - 1]);
                }
                if at >= cols && cells[at - cols] != one && !walls.is_north(at) {
                    meet(&mut edges, one, cells[at - cols]);
                }
            }
            summed(edges)
        })
        .collect();
    summed(found.into_iter().flatten().collect())
}

/// Counts one side; as often as not it is the same border as the last.
#[inline]
fn meet(edges: &mut Vec<Edge>, one: u32, other: u32) {
    if other == NO_REGION {
        return;
    }
    let pair = [one.min(other), one.max(other)];
    match edges.last_mut() {
        Some(last) if last.pair == pair => last.border += 1,
        _ => edges.push(Edge { pair, border: 1 }),
    }
}

/// Each pair once, in order, its borders added up.
pub(super) fn summed(mut edges: Vec<Edge>) -> Vec<Edge> {
    edges.par_sort_unstable_by_key(|edge| edge.key());
    edges.dedup_by(|next, kept| {
        let same = next.pair == kept.pair;
        if same {
            kept.border += next.border;
        }
        same
    });
    edges
}
