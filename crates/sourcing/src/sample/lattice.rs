//! Places on a square lattice with a random start: no two nearer than asked for.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// Places lie on multiples of this, metres: a power of two, so that no coordinate below 2⁴⁹ is ever
/// rounded and distances are kept to the last digit.
const GRAIN_M: f64 = 0.125;

/// The stream of random numbers, apart from those of other draws with the same seed.
const STREAM: u64 = 0x6c61_7474_6963_6531;

/// A square lattice over the whole plane, its sides running east and north.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    start: [f64; 2],
    step_m: f64,
}

impl Lattice {
    /// A lattice whose places are `apart_m` metres apart or a little more (up to an eighth of a
    /// metre), with a start that is drawn: every place of the plane is as likely to be near one as any
    /// other. `None` unless the distance is finite and over 0.
    #[must_use]
    pub fn seeded(apart_m: f64, seed: u64) -> Option<Self> {
        if !(apart_m.is_finite() && apart_m > 0.0) {
            return None;
        }
        let grains = (apart_m / GRAIN_M).ceil().max(1.0);
        let mut chance = Pcg64Mcg::seed_from_u64(seed ^ STREAM);
        let mut offset = || (chance.random::<f64>() * grains).floor() * GRAIN_M;
        Some(Self { start: [offset(), offset()], step_m: grains * GRAIN_M })
    }

    /// Distance between places beside each other, metres.
    #[must_use]
    pub fn step_m(&self) -> f64 {
        self.step_m
    }

    /// Places within bounds, both ends included: west, south, east, north. From north to south, each
    /// line from west to east.
    pub fn within(&self, [west, south, east, north]: [f64; 4]) -> impl Iterator<Item = [f64; 2]> {
        let place = |axis: usize, step: i64| self.start[axis] + step as f64 * self.step_m;
        let first = |axis: usize, end: f64| ((end - self.start[axis]) / self.step_m).ceil() as i64;
        let last = |axis: usize, end: f64| ((end - self.start[axis]) / self.step_m).floor() as i64;
        let cols = first(0, west)..=last(0, east);
        let rows = (first(1, south)..=last(1, north)).rev();
        rows.flat_map(move |row| cols.clone().map(move |col| [place(0, col), place(1, row)]))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_distance_that_cannot_be_gives_none() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Lattice::seeded(bad, 1), None);
        }
    }

    proptest! {
        /// Around the middle of a national grid: as many places as the bounds hold, every two at
        /// least the distance apart, to the last digit.
        #[test]
        fn places_are_as_far_apart_as_asked_and_fill_the_bounds(
            apart_m in 0.1_f64..60.0,
            seed: u64,
            side in 1.0_f64..8.0,
        ) {
            let lattice = Lattice::seeded(apart_m, seed).unwrap();
            let (west, south) = (1_800_000.1, 5_600_000.7);
            let bounds = [west, south, west + side * apart_m, south + side * apart_m];
            let places: Vec<[f64; 2]> = lattice.within(bounds).collect();
            for (at, a) in places.iter().enumerate() {
                prop_assert!(a[0] >= bounds[0] && a[0] <= bounds[2]);
                prop_assert!(a[1] >= bounds[1] && a[1] <= bounds[3]);
                for b in &places[..at] {
                    prop_assert!((a[0] - b[0]).hypot(a[1] - b[1]) >= apart_m);
                }
            }
            let along = (side * apart_m / lattice.step_m()).floor() as usize;
            prop_assert!(places.len() >= along * along);
            prop_assert!(places.len() <= (along + 1) * (along + 1));
            prop_assert!(lattice.step_m() >= apart_m && lattice.step_m() < apart_m + 0.125 + 1e-9);
        }
    }

    /// Starts are drawn evenly: of 4,000 seeds each quarter of the step holds about 1,000, within six
    /// standard deviations (27.4 each).
    #[test]
    fn starts_are_drawn_evenly() {
        let mut quarters = [[0_u32; 4]; 2];
        for seed in 0..4_000 {
            let lattice = Lattice::seeded(20.0, seed).unwrap();
            for (counts, start) in quarters.iter_mut().zip(lattice.start) {
                counts[(start / 5.0) as usize] += 1;
            }
        }
        for count in quarters.as_flattened() {
            assert!((f64::from(*count) - 1000.0).abs() < 165.0, "{quarters:?}");
        }
    }
}
