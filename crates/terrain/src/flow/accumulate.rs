//! Adding up what runs through each cell.

use std::sync::atomic::Ordering::{AcqRel, Acquire, Relaxed};
use std::sync::atomic::{AtomicU16, AtomicU32};

use super::ground::{Ground, directions};
use super::power::powers;
use super::{HOLE, Routing, facets};
use crate::padded::{DIRECTIONS, OPPOSITE};

/// Where water runs, and what has run through so far.
///
/// A slot counts the donors that have not given yet; when the last one has, it takes the cell's
/// amount in their place. Whoever counts down to nothing takes the cell, so each is taken once, and
/// what it takes does not depend on who that is.
pub(super) struct Water {
    pub(super) receivers: Vec<u8>,
    pub(super) donors: Vec<u8>,
    /// Donors to come, then the amount or its upper half.
    pub(super) slots: Vec<AtomicU32>,
    /// The lower half of amounts that are not whole; empty where they are.
    pub(super) halves: Vec<AtomicU16>,
}

impl Water {
    pub(super) fn new(
        routing: Routing,
        receivers: Vec<u8>,
        donors: Vec<u8>,
        slots: Vec<AtomicU32>,
    ) -> Self {
        let mut halves = Vec::new();
        if routing != Routing::SteepestDescent {
            halves.resize_with(slots.len(), AtomicU16::default);
        }
        Self { receivers, donors, slots, halves }
    }

    /// Whether no water runs into a cell that is not a hole.
    #[inline]
    pub(super) fn is_source(&self, cell: usize) -> bool {
        self.donors[cell] == 0 && self.slots[cell].load(Relaxed) != HOLE
    }

    /// Takes a cell that all donors have given to, and every cell that this makes ready.
    pub(super) fn follow(
        &self,
        ground: &Ground,
        from: usize,
        ready: &mut Vec<usize>,
        mut taken: impl FnMut(usize),
    ) {
        let mut next = Some(from);
        while let Some(cell) = next.take().or_else(|| ready.pop()) {
            self.take(ground, cell);
            taken(cell);
            for direction in directions(self.receivers[cell]) {
                let to = ground.beside(cell, direction);
                if self.is_last(to) {
                    ready.extend(next.replace(to));
                }
            }
        }
    }

    /// Counts one donor less; whether that was the last.
    #[inline]
    pub(super) fn is_last(&self, cell: usize) -> bool {
        // What the others stored before they counted is seen from here on. The only one left need
        // not count.
        let waiting = &self.slots[cell];
        waiting.load(Acquire) == 1 || waiting.fetch_sub(1, AcqRel) == 1
    }

    #[inline]
    fn take(&self, ground: &Ground, cell: usize) {
        match ground.rule.routing {
            Routing::SteepestDescent => {
                let mut count = 1_u32;
                for direction in directions(self.donors[cell]) {
                    count = count
                        .wrapping_add(self.slots[ground.beside(cell, direction)].load(Relaxed));
                }
                self.slots[cell].store(count, Relaxed);
            }
            Routing::MultipleFlow { .. } => {
                let receivers = self.receivers[cell];
                let weights = weights(ground, cell, receivers | self.donors[cell]);
                let mut amount = 1.0;
                for direction in directions(self.donors[cell]) {
                    amount += self.amount(ground.beside(cell, direction)) * weights[direction];
                }
                self.store(cell, amount / total(&weights, receivers));
            }
            Routing::DInfinity => {
                let mut amount = 1.0;
                for direction in directions(self.donors[cell]) {
                    let donor = ground.beside(cell, direction);
                    let receivers = self.receivers[donor];
                    amount += self.amount(donor)
                        * facets::share(ground, donor, receivers, OPPOSITE[direction]);
                }
                self.store(cell, amount);
            }
        }
    }

    #[inline]
    fn amount(&self, cell: usize) -> f64 {
        amount(self.slots[cell].load(Relaxed), self.halves[cell].load(Relaxed))
    }

    /// Keeps an amount to 48 bits: a relative 2⁻³⁷.
    #[inline]
    fn store(&self, cell: usize, amount: f64) {
        let bits = amount.to_bits().wrapping_add(1 << 15);
        self.slots[cell].store((bits >> 32) as u32, Relaxed);
        self.halves[cell].store((bits >> 16) as u16, Relaxed);
    }

    /// Cells whose water runs through a cell that has been taken, NaN for a hole.
    pub(super) fn cells_through(&self, ground: &Ground, cell: usize, slot: u32) -> f64 {
        if slot == HOLE && self.donors[cell] == 0 {
            return f64::NAN;
        }
        match ground.rule.routing {
            Routing::SteepestDescent => f64::from(slot),
            Routing::DInfinity => amount(slot, self.halves[cell].load(Relaxed)),
            Routing::MultipleFlow { .. } => {
                let through = amount(slot, self.halves[cell].load(Relaxed));
                let receivers = self.receivers[cell];
                through * total(&weights(ground, cell, receivers), receivers)
            }
        }
    }
}

#[inline]
fn amount(slot: u32, half: u16) -> f64 {
    f64::from_bits(u64::from(slot) << 32 | u64::from(half) << 16)
}

/// Drop per distance to the power, between a cell and each of its receivers and donors, whichever
/// is the higher; 1 on a level. Without meaning in other directions.
#[inline]
#[expect(clippy::float_cmp, reason = "filling writes the very same number all over a level")]
fn weights(ground: &Ground, cell: usize, concerned: u8) -> [f64; DIRECTIONS] {
    /// 2⁻⁴⁰ and 2⁴⁰, about 10⁻¹² and 10¹².
    const LEAST: f32 = 1.0 / MOST;
    const MOST: f32 = 1_099_511_627_776.0;
    let level = ground.levels[cell];
    let beside = ground
        .offsets
        .map(|offset| ground.levels.get(cell.wrapping_add(offset)).copied().unwrap_or(level));
    let is_level: [bool; DIRECTIONS] = std::array::from_fn(|direction| beside[direction] == level);
    if (0..DIRECTIONS).all(|to| is_level[to] || (concerned >> to & 1 == 0)) {
        return [1.0; DIRECTIONS];
    }
    let drops = std::array::from_fn(|direction| {
        let drop = (level - beside[direction]).abs() * ground.rule.per_metre[direction];
        let drop = if drop > LEAST { drop } else { LEAST };
        if drop < MOST { drop } else { MOST }
    });
    let mut weights = powers(drops, ground.rule.exponent);
    for (weight, is_level) in weights.iter_mut().zip(is_level) {
        *weight = if is_level { 1.0 } else { *weight };
    }
    weights
}

/// Weights of the receivers together; 1 where there is none.
#[inline]
fn total(weights: &[f64; DIRECTIONS], receivers: u8) -> f64 {
    let [a, b, c, d, e, f, g, h] = std::array::from_fn(|direction| {
        // A mask instead of a choice: without branches.
        let mask = u64::from(receivers >> direction & 1).wrapping_neg();
        f64::from_bits(weights[direction].to_bits() & mask)
    });
    let total = ((a + b) + (c + d)) + ((e + f) + (g + h));
    if receivers == 0 { 1.0 } else { total }
}
