//! Ways across level ground, which has no way down of its own.

use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering::Relaxed;

use rayon::prelude::*;

use super::Routing;
use super::ground::{Ground, directions};
use crate::Window;
use crate::padded::{DIRECTIONS, STEPS};

/// Length of a step in each direction: 5 straight and 7 diagonally, close to 1 and √2.
/// Source: Borgefors 1986, Distance transformations in digital images (smaller chamfer weights).
pub(super) const LENGTHS: [u32; DIRECTIONS] = [5, 5, 5, 5, 7, 7, 7, 7];

/// The straight directions, as bits.
const STRAIGHT: u8 = 0b1111;

/// Way to where the level drains, for a cell that has not been reached.
pub(super) const UNREACHED: u32 = u32::MAX;

/// Level ground, and how far each of its cells is from where it drains.
pub(super) struct Flats<'a> {
    pub(super) ground: &'a Ground<'a>,
    /// For a cell with a way other than 0, its neighbours on the same level.
    pub(super) level: &'a [u8],
    /// 0 for a cell that drains, [`UNREACHED`] for one of which nothing is known.
    pub(super) ways: &'a [AtomicU32],
}

impl Flats<'_> {
    /// Ways within a window from the cells that drain in it or beside it; whether any at each side
    /// or corner became shorter, as the bits of the directions.
    ///
    /// Ways outside the window are read, never written: other windows may be worked on meanwhile,
    /// and the bits tell which of them to [continue](Self::go_on). The shortest ways are the same
    /// in any order.
    pub(super) fn begin(&self, within: Window) -> u8 {
        let mut spread = Spread::default();
        for row in within.row..within.row + within.rows {
            let first = row * self.ground.cols + within.col;
            for cell in first..first + within.cols {
                if self.way(cell) == 0 {
                    continue;
                }
                let drained = self.level[cell] & self.bits(cell, |_, way| way == 0);
                if drained != 0 {
                    let length = if drained & STRAIGHT == 0 { 7 } else { 5 };
                    self.ways[cell].store(length, Relaxed);
                    spread.buckets[length as usize].push(cell);
                }
            }
        }
        spread.run(self, within)
    }

    /// Shortens the ways within a window from those around it; the same bits again.
    pub(super) fn go_on(&self, within: Window) -> u8 {
        let mut spread = Spread::default();
        let last = within.row + within.rows - 1;
        for row in within.row..=last {
            let whole = row == within.row || row == last;
            let step = if whole { 1 } else { within.cols.max(2) - 1 };
            let first = row * self.ground.cols + within.col;
            for cell in (first..first + within.cols).step_by(step) {
                let known = self.way(cell);
                if known == 0 {
                    continue;
                }
                let through =
                    |to: usize| self.way(self.ground.beside(cell, to)).saturating_add(LENGTHS[to]);
                let way = directions(self.level[cell]).map(through).min();
                if let Some(way) = way.filter(|way| *way < known) {
                    self.ways[cell].store(way, Relaxed);
                    spread.starts.push((way, cell));
                }
            }
        }
        spread.starts.sort_unstable_by(|a, b| b.cmp(a));
        spread.run(self, within)
    }

    /// Directions in which the way of the neighbour fulfils something; without branches, for no
    /// processor guesses them.
    #[inline]
    fn bits(&self, cell: usize, holds: impl Fn(usize, u32) -> bool) -> u8 {
        let mut bits = 0;
        for direction in 0..DIRECTIONS {
            let way = self.way(self.ground.beside(cell, direction));
            bits |= u8::from(holds(direction, way)) << direction;
        }
        bits
    }

    #[inline]
    fn way(&self, cell: usize) -> u32 {
        self.ways[cell].load(Relaxed)
    }
}

/// Cells from which ways are still to be continued.
///
/// Ways grow by at most 7, so eight buckets in turn serve as the queue (Dial 1969, Algorithm 360).
#[derive(Default)]
struct Spread {
    /// Longest way first.
    starts: Vec<(u32, usize)>,
    buckets: [Vec<usize>; 8],
}

impl Spread {
    fn run(mut self, flats: &Flats, within: Window) -> u8 {
        let (mut way, mut shorter, mut bucket) = (0_u32, 0_u8, Vec::new());
        loop {
            if self.buckets.iter().all(Vec::is_empty) {
                let Some(&(next, _)) = self.starts.last() else { return shorter };
                way = next;
            }
            std::mem::swap(&mut bucket, &mut self.buckets[way as usize % 8]);
            while let Some(start) = self.starts.pop_if(|start| start.0 == way) {
                bucket.push(start.1);
            }
            for cell in bucket.drain(..) {
                if flats.way(cell) == way {
                    shorter |= self.step(flats, within, cell, way);
                } // else reached by a shorter way since
            }
            way = way.saturating_add(1);
        }
    }

    #[inline]
    fn step(&mut self, flats: &Flats, within: Window, cell: usize, way: u32) -> u8 {
        let ground = flats.ground;
        let [row, col] = [cell as u32 / ground.cols as u32, cell as u32 % ground.cols as u32];
        let [row, col] = [row as usize - within.row, col as usize - within.col];
        let inside = row.wrapping_sub(1) < within.rows.saturating_sub(2)
            && col.wrapping_sub(1) < within.cols.saturating_sub(2);
        let longer = LENGTHS.map(|length| way.saturating_add(length));
        let shortened = flats.bits(cell, |direction, way| longer[direction] < way);
        for direction in directions(shortened & flats.level[cell]) {
            if inside || is_within(row, col, direction, within) {
                let beside = ground.beside(cell, direction);
                flats.ways[beside].store(longer[direction], Relaxed);
                self.buckets[longer[direction] as usize % 8].push(beside);
            }
        }
        if inside { 0 } else { borders(row, col, within) }
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

/// Gives receivers to the level cells of a window: neighbours on the same level that are nearer to
/// a cell with a way down or out. A cell that no such way reaches is left without receivers.
pub(super) fn drain(ground: &Ground, ways: &[AtomicU32], receivers: &mut [u8], within: Window) {
    let all = matches!(ground.rule.routing, Routing::MultipleFlow { .. });
    let rows = &mut receivers[within.row * ground.cols..(within.row + within.rows) * ground.cols];
    let rows = rows.par_chunks_mut(ground.cols).enumerate().with_min_len(16);
    rows.for_each(|(row, receivers)| {
        let first = (within.row + row) * ground.cols + within.col;
        let receivers = &mut receivers[within.col..within.col + within.cols];
        for (cell, receivers) in (first..).zip(receivers) {
            let way = ways[cell].load(Relaxed);
            if way != 0 {
                let gains = gains(ground, ways, cell, way, *receivers);
                *receivers = if all { nearer(gains) } else { steepest(gains) };
            }
        }
    });
}

/// How much nearer each neighbour on the same level is.
#[inline]
fn gains(
    ground: &Ground,
    ways: &[AtomicU32],
    cell: usize,
    way: u32,
    level: u8,
) -> [u32; DIRECTIONS] {
    let mut gains = [0; DIRECTIONS];
    for (direction, gain) in gains.iter_mut().enumerate() {
        let beside = ways[ground.beside(cell, direction)].load(Relaxed);
        // A cell that has not been reached has no neighbour that has.
        *gain = way.saturating_sub(beside) * u32::from(level >> direction & 1);
    }
    gains
}

fn nearer(gains: [u32; DIRECTIONS]) -> u8 {
    let bits = gains.into_iter().enumerate();
    bits.fold(0, |set, (direction, gain)| set | u8::from(gain > 0) << direction)
}

/// The one that gains most for the length of the step; no gain is more than that length.
fn steepest(gains: [u32; DIRECTIONS]) -> u8 {
    let (mut best, mut most) = (0_u8, 0_u32);
    for (direction, gain) in gains.into_iter().enumerate() {
        let per_length = gain.wrapping_mul(35 / LENGTHS[direction]);
        if per_length > most {
            (best, most) = (1 << direction, per_length);
        }
    }
    best
}
