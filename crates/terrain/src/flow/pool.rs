//! What has come to a cell, and how many have still to give, in one number.

use std::sync::atomic::Ordering::Relaxed;
use std::sync::atomic::{AtomicU32, AtomicU64};

/// The upper four bits count donors to come; below them stands what has come, in parts of a cell.
///
/// Whoever gives takes one from the donors in the same breath. Whole numbers add up to the same in
/// any order, so what a pool comes to hold does not depend on who gave first. Nothing else is
/// handed from thread to thread, so no stronger ordering than `Relaxed` is needed.
pub(super) trait Pool: Sized + Send + Sync {
    /// Lowest of the bits that count donors.
    const DONORS: u32;
    /// One cell's own water.
    const ONE: u64;

    fn get(&self) -> u64;
    /// For one who alone works on the pool.
    fn set(&self, held: u64);
    /// Adds, and tells what is held then.
    fn add(&self, parcel: u64) -> u64;
}

/// Whole cells, for steepest descent over fewer than 2²⁸ of them.
impl Pool for AtomicU32 {
    const DONORS: u32 = 28;
    const ONE: u64 = 1;

    #[inline]
    fn get(&self) -> u64 {
        self.load(Relaxed).into()
    }

    #[inline]
    fn set(&self, held: u64) {
        self.store(held as u32, Relaxed);
    }

    #[inline]
    fn add(&self, parcel: u64) -> u64 {
        self.fetch_add(parcel as u32, Relaxed).wrapping_add(parcel as u32).into()
    }
}

/// 2⁻²⁷ of a cell, for all cells of any grid.
impl Pool for AtomicU64 {
    const DONORS: u32 = 60;
    const ONE: u64 = 1 << 27;

    #[inline]
    fn get(&self) -> u64 {
        self.load(Relaxed)
    }

    #[inline]
    fn set(&self, held: u64) {
        self.store(held, Relaxed);
    }

    #[inline]
    fn add(&self, parcel: u64) -> u64 {
        self.fetch_add(parcel, Relaxed).wrapping_add(parcel)
    }
}

/// In the place of the donors of a hole: more than a cell can have.
const HOLE: u64 = 15;

/// A pool with the cell's own water in it.
#[inline]
pub(super) fn begun<P: Pool>(donors: u8, is_hole: bool) -> u64 {
    let donors = if is_hole { HOLE } else { donors.into() };
    donors << P::DONORS | P::ONE
}

/// Donors that have still to give.
#[inline]
fn donors<P: Pool>(held: u64) -> u64 {
    held >> P::DONORS & HOLE
}

/// What has come, in parts of a cell.
#[inline]
pub(super) fn amount<P: Pool>(held: u64) -> u64 {
    held & ((1 << P::DONORS) - 1)
}

/// Cells whose water has come to a cell, itself included; NaN for a hole.
#[inline]
pub(super) fn cells<P: Pool>(held: u64) -> f64 {
    let cells = amount::<P>(held) as i64 as f64 / P::ONE as f64;
    if donors::<P>(held) == HOLE { f64::NAN } else { cells }
}

/// Whether a cell has no donors, at any time: every donor gives something.
#[inline]
pub(super) fn is_source<P: Pool>(held: u64) -> bool {
    held == P::ONE
}

/// What a donor adds to a pool: its share, and one less to come.
#[inline]
pub(super) fn parcel<P: Pool>(share: u64) -> u64 {
    share.wrapping_sub(1 << P::DONORS)
}

/// What came of giving to a pool.
#[derive(PartialEq, Eq)]
pub(super) enum Given {
    /// More is to come.
    Part,
    /// Nothing more will come.
    All,
    /// The pool counts no donors: its cell is another tile's, and it is held for that.
    Beyond,
}

/// Adds a parcel.
#[inline]
pub(super) fn give<P: Pool>(pool: &P, parcel: u64) -> Given {
    /// A cell has one donor at each side, and one has just given.
    const MOST: u64 = 7;
    let held = pool.get();
    if donors::<P>(held) == 1 {
        // The only one left need not mind others.
        pool.set(held.wrapping_add(parcel));
        return Given::All;
    }
    match donors::<P>(pool.add(parcel)) {
        0 => Given::All,
        1..=MOST => Given::Part,
        _ => Given::Beyond, // fewer than none: a pool that began at 0
    }
}
