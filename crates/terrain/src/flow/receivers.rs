//! The neighbours that each cell sends water to, as a byte with a bit for each direction.

use std::sync::atomic::AtomicU32;

use rayon::prelude::*;

use super::flats::UNREACHED;
use super::ground::{Ground, Rule};
use super::pool::{self, Pool};
use super::{Routing, facets};
use crate::padded::{DIRECTIONS, OPPOSITE};

/// Cells worked out at once.
const LANES: usize = 16;

/// Rows that one thread takes at a time, at least.
const ROWS: usize = 16;

/// Receivers of every cell that has a lower neighbour, and each cell's way to where its level
/// drains: 0 for all cells but those without a way down or out. In the place of the receivers of
/// those stand the neighbours on the same level.
pub(super) fn downhill(ground: &Ground) -> (Vec<u8>, Vec<AtomicU32>) {
    let (cols, rule) = (ground.cols, &ground.rule);
    let mut receivers = vec![0; ground.levels.len()];
    let ways = vec![0_u32; ground.levels.len()];
    let mut ways: Vec<AtomicU32> = ways.into_iter().map(AtomicU32::new).collect();
    let rows = receivers.par_chunks_mut(cols).zip(ways.par_chunks_mut(cols)).enumerate();
    rows.with_min_len(ROWS).for_each_init(
        || Lines::new(cols, f32::NAN),
        |lines, (row, (receivers, ways))| {
            let known = |level: f32| if level.is_finite() { level } else { f32::NAN };
            lines.load(ground.levels, row, known);
            for block in 0..cols.div_ceil(LANES) {
                let from = block * LANES;
                let (here, beside) = lines.block(from);
                let mut sent = match rule.routing {
                    Routing::SteepestDescent => steepest(here, &beside, rule),
                    Routing::MultipleFlow { .. } => all_lower(here, &beside),
                    Routing::DInfinity => all_facets(here, &beside, rule),
                };
                let end = cols.min(from + LANES);
                let unsettled = unsettled(here, &beside, sent);
                if unsettled.iter().fold(0, |any, way| any | way) != 0 {
                    add_level(here, &beside, unsettled, &mut sent);
                    for (way, unsettled) in ways[from..end].iter_mut().zip(unsettled) {
                        *way.get_mut() = unsettled;
                    }
                }
                for (receivers, sent) in receivers[from..end].iter_mut().zip(sent) {
                    *receivers = sent as u8;
                }
            }
        },
    );
    (receivers, ways)
}

/// Puts into every cell's pool what it holds before anything has run.
pub(super) fn begin_pools<P: Pool>(ground: &Ground, receivers: &[u8], pools: &mut [P]) {
    let cols = ground.cols;
    let each = pools.par_chunks_mut(cols).zip(ground.levels.par_chunks(cols)).enumerate();
    each.with_min_len(ROWS).for_each_init(
        || Lines::new(cols, 0_u8),
        |lines, (row, (pools, levels))| {
            lines.load(receivers, row, |byte| byte);
            for block in 0..cols.div_ceil(LANES) {
                let from = block * LANES;
                let (_, beside) = lines.block(from);
                let mut donors = [0_u8; LANES];
                for (direction, beside) in beside.into_iter().enumerate() {
                    for (donors, beside) in donors.iter_mut().zip(beside) {
                        *donors += beside >> OPPOSITE[direction] & 1;
                    }
                }
                let end = cols.min(from + LANES);
                let cells = pools[from..end].iter_mut().zip(&levels[from..end]);
                for ((pool, level), donors) in cells.zip(donors) {
                    pool.set(pool::begun::<P>(donors, !level.is_finite()));
                }
            }
        },
    );
}

/// Three rows, the middle one being worked on, each with a margin on both sides.
struct Lines<T> {
    three: [Vec<T>; 3],
    cols: usize,
    beyond: T,
}

impl<T: Copy> Lines<T> {
    fn new(cols: usize, beyond: T) -> Self {
        let length = cols.next_multiple_of(LANES) + 2;
        Self { three: std::array::from_fn(|_| vec![beyond; length]), cols, beyond }
    }

    /// Takes a row and those above and below it, `beyond` where there is none.
    fn load(&mut self, cells: &[T], row: usize, value: impl Fn(T) -> T) {
        for (line, step) in self.three.iter_mut().zip([-1, 0, 1]) {
            let cols = self.cols;
            let from = row.checked_add_signed(step).map(|row| row * cols);
            match from.and_then(|from| cells.get(from..from + cols)) {
                Some(from) => {
                    for (to, from) in line[1..].iter_mut().zip(from) {
                        *to = value(*from);
                    }
                }
                None => line.fill(self.beyond),
            }
        }
    }

    /// Some cells of the middle row, and their neighbours in each direction.
    #[inline]
    fn block(&self, from: usize) -> ([T; LANES], [[T; LANES]; DIRECTIONS]) {
        let [above, middle, below] = &self.three;
        let at = |line: &[T], shift: usize| {
            let cells = &line[from + shift..from + shift + LANES];
            std::array::from_fn(|lane| cells[lane])
        };
        let beside = [
            at(middle, 2),
            at(below, 1),
            at(middle, 0),
            at(above, 1),
            at(below, 2),
            at(below, 0),
            at(above, 0),
            at(above, 2),
        ];
        (at(middle, 1), beside)
    }
}

#[inline]
fn steepest(here: [f32; LANES], beside: &[[f32; LANES]; DIRECTIONS], rule: &Rule) -> [u32; LANES] {
    let (mut best, mut receiver) = ([0.0_f32; LANES], [0_u32; LANES]);
    for (direction, beside) in beside.iter().enumerate() {
        let per_metre = rule.per_metre[direction];
        for lane in 0..LANES {
            // A comparison with a hole (NaN) is never true.
            let drop = (here[lane] - beside[lane]) * per_metre;
            let steeper = drop > best[lane];
            best[lane] = if steeper { drop } else { best[lane] };
            receiver[lane] = if steeper { 1 << direction } else { receiver[lane] };
        }
    }
    receiver
}

#[inline]
fn all_lower(here: [f32; LANES], beside: &[[f32; LANES]; DIRECTIONS]) -> [u32; LANES] {
    let mut receivers = [0_u32; LANES];
    for (direction, beside) in beside.iter().enumerate() {
        for lane in 0..LANES {
            receivers[lane] |= u32::from(beside[lane] < here[lane]) << direction;
        }
    }
    receivers
}

fn all_facets(
    here: [f32; LANES],
    beside: &[[f32; LANES]; DIRECTIONS],
    rule: &Rule,
) -> [u32; LANES] {
    std::array::from_fn(|lane| {
        facets::steepest(here[lane], beside.map(|beside| beside[lane]), rule).into()
    })
}

/// [`UNREACHED`] for cells that are not holes, send water nowhere, and have eight neighbours that
/// are not holes; 0 for others.
#[inline]
fn unsettled(
    here: [f32; LANES],
    beside: &[[f32; LANES]; DIRECTIONS],
    receivers: [u32; LANES],
) -> [u32; LANES] {
    let mut settled = receivers;
    for beside in beside {
        for lane in 0..LANES {
            settled[lane] |= u32::from(beside[lane].is_nan() | here[lane].is_nan());
        }
    }
    settled.map(|settled| if settled == 0 { UNREACHED } else { 0 })
}

/// Puts the neighbours on the same level in the place of the receivers of unsettled cells.
#[inline]
#[expect(clippy::float_cmp, reason = "filling writes the very same number all over a level")]
fn add_level(
    here: [f32; LANES],
    beside: &[[f32; LANES]; DIRECTIONS],
    unsettled: [u32; LANES],
    receivers: &mut [u32; LANES],
) {
    for (direction, beside) in beside.iter().enumerate() {
        for lane in 0..LANES {
            let same = u32::from(beside[lane] == here[lane]) << direction;
            receivers[lane] |= same & unsettled[lane];
        }
    }
}
