//! Adding up what runs through each cell.

use super::power::powers;
use super::receivers::donors;
use super::{Distances, Routing};
use crate::padded::{DIRECTIONS, Padded};

/// Marks a cell that has handed on its water; no cell has so many donors.
const DONE: u8 = u8::MAX;

/// Cells whose water passes through each cell, its own included; holes are NaN.
///
/// A cell is taken when its last donor has given, so each is taken once and none is sorted.
pub(super) fn cells_through(
    ground: &Padded,
    receivers: &[u8],
    distances: &Distances,
    routing: Routing,
) -> Vec<f64> {
    let mut water = Water {
        through: ground.cells.iter().map(|level| 1.0 + 0.0 * f64::from(*level)).collect(),
        waiting: donors(receivers, ground.width),
        ready: Vec::new(),
        offsets: ground.offsets,
    };
    let exponent = match routing {
        Routing::MultipleFlow { exponent } if exponent > 0.0 => exponent.min(1000.0) as f32,
        _ => 0.0,
    };
    for source in 0..receivers.len() {
        if water.waiting[source] == 0 {
            water.ready.push(source);
        }
        while let Some(cell) = water.ready.pop() {
            water.waiting[cell] = DONE;
            let amount = water.through[cell];
            if receivers[cell].is_power_of_two() {
                water.give(cell, receivers[cell].trailing_zeros() as usize, amount);
            } else if receivers[cell] != 0 {
                let shares = shares(ground, cell, receivers[cell], distances, exponent);
                for direction in directions(receivers[cell]) {
                    water.give(cell, direction, amount * shares[direction]);
                }
            }
        }
    }
    water.through
}

struct Water {
    through: Vec<f64>,
    /// Donors that have not given yet.
    waiting: Vec<u8>,
    ready: Vec<usize>,
    offsets: [usize; DIRECTIONS],
}

impl Water {
    #[inline]
    fn give(&mut self, from: usize, direction: usize, amount: f64) {
        let to = from.wrapping_add(self.offsets[direction]);
        self.through[to] += amount;
        self.waiting[to] -= 1;
        if self.waiting[to] == 0 {
            self.ready.push(to);
        }
    }
}

/// The share of each receiver; they add up to 1. Receivers on the same level share equally.
fn shares(
    ground: &Padded,
    cell: usize,
    receivers: u8,
    distances: &Distances,
    exponent: f32,
) -> [f64; DIRECTIONS] {
    let level = ground.cells[cell];
    let beside = ground.neighbours(cell).map(|beside| ground.cells[beside]);
    let mut drops = [0.0_f32; DIRECTIONS];
    for (direction, drop) in drops.iter_mut().enumerate() {
        if receivers >> direction & 1 == 1 {
            let fall = (level - beside[direction]) * distances.per_metre[direction];
            *drop = fall.min(f32::MAX); // two elevations may be farther apart than that
        }
    }
    let steepest = drops.into_iter().fold(0.0, f32::max);
    let weights = if steepest > 0.0 {
        // Relative to the steepest, so that no power of a small drop is lost altogether.
        powers(drops.map(|drop| drop / steepest), exponent)
    } else {
        std::array::from_fn(|direction| f32::from(receivers >> direction & 1))
    };
    let total: f64 = weights.iter().copied().map(f64::from).sum();
    weights.map(|weight| f64::from(weight) / total)
}

/// The directions whose bits are set.
fn directions(mut set: u8) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = (set != 0).then(|| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        first
    })
}
