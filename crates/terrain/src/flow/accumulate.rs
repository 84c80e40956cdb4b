//! Adding up what runs through each cell.

use super::ground::{Ground, directions};
use super::pool::{self, Given, Pool};
use super::{Routing, facets, shares};

/// Where water runs, and what has come to each cell so far.
///
/// Whoever gives last to a cell takes it on, so each is taken once.
pub(super) struct Water<P> {
    pub(super) receivers: Vec<u8>,
    pub(super) pools: Vec<P>,
}

/// Cells that wait for whoever follows water.
#[derive(Default)]
pub(super) struct Waiting {
    /// Full, and still to be taken on.
    ready: Vec<usize>,
    /// Of other tiles, and holding what runs there; a cell may come several times.
    pub(super) beyond: Vec<usize>,
}

impl<P: Pool> Water<P> {
    /// Whether a cell has no donors.
    #[inline]
    pub(super) fn is_source(&self, cell: usize) -> bool {
        pool::is_source::<P>(self.pools[cell].get())
    }

    /// Takes a full cell on, and every cell that this fills; how many that were.
    pub(super) fn follow(&self, ground: &Ground, from: usize, waiting: &mut Waiting) -> usize {
        let (mut next, mut taken) = (Some(from), 0);
        while let Some(cell) = next.take().or_else(|| waiting.ready.pop()) {
            taken += 1;
            let receivers = self.receivers[cell];
            let amount = pool::amount::<P>(self.pools[cell].get());
            let mut give = |direction, share| {
                let to = ground.beside(cell, direction);
                match pool::give(&self.pools[to], pool::parcel::<P>(share)) {
                    Given::Part => {}
                    Given::All => waiting.ready.extend(next.replace(to)),
                    Given::Beyond => waiting.beyond.push(to),
                }
            };
            if receivers.is_power_of_two() {
                give(receivers.trailing_zeros() as usize, amount);
            } else if receivers != 0 {
                let shares = match ground.rule.routing {
                    Routing::DInfinity => facets::shares(ground, cell, receivers),
                    _ => shares::by_drop(ground, cell, receivers),
                };
                for direction in directions(receivers) {
                    // Conversions by way of signed numbers are one instruction each.
                    let share = shares[direction] * amount as i64 as f64;
                    give(direction, ((share + 0.5) as i64).max(1) as u64);
                }
            }
        }
        taken
    }
}
