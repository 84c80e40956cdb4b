//! Seeds for a seedling.

/// Shares by which seeds become seedlings that can be planted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeedRates {
    /// Share of seeds that are alive. At most half of most native species (Department of Conservation).
    pub viability: f64,
    /// Share of live seeds that come up and grow on.
    pub emergence: f64,
    /// Share of seedlings that the nursery throws out. 10 to 20 % is common practice, no source.
    pub cull: f64,
    /// Seeds in a capsule, live or not.
    pub capsule_seeds: f64,
}

impl SeedRates {
    /// Live seeds for one seedling that can be planted. 3 to 5 is common practice, no source.
    #[must_use]
    pub fn live_seeds_per_seedling(&self) -> f64 {
        1.0 / (self.emergence * (1.0 - self.cull))
    }

    /// Seeds, live or not, for so many seedlings: a whole number, no fewer than it takes.
    #[must_use]
    pub fn seeds_for(&self, seedlings: u64) -> u64 {
        (seedlings as f64 * self.live_seeds_per_seedling() / self.viability).ceil() as u64
    }

    /// Capsules for so many seedlings.
    #[must_use]
    pub fn capsules_for(&self, seedlings: u64) -> u64 {
        (self.seeds_for(seedlings) as f64 / self.capsule_seeds).ceil() as u64
    }

    /// Seedlings to expect of so many capsules, rounded down.
    #[must_use]
    pub fn seedlings_of(&self, capsules: u64) -> u64 {
        let seeds = capsules as f64 * self.capsule_seeds;
        // A hair above, so that what is whole but for rounding counts as whole.
        (seeds * self.viability / self.live_seeds_per_seedling() * (1.0 + 1e-12)).floor() as u64
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const USUAL: SeedRates =
        SeedRates { viability: 0.5, emergence: 0.3, cull: 0.15, capsule_seeds: 20.0 };

    /// Common practice, no source: 3 to 5 fertile seeds for a plantable seedling, a cull of 10 to 20 %.
    #[test]
    fn the_usual_rates_are_those_of_common_practice() {
        assert!((3.0..=5.0).contains(&USUAL.live_seeds_per_seedling()));
        // 1,000 / (0.5 × 0.3 × 0.85) = 7,843.1 seeds, 392.2 capsules.
        assert_eq!((USUAL.seeds_for(1_000), USUAL.capsules_for(1_000)), (7_844, 393));
        assert_eq!(USUAL.seedlings_of(393), 1_002);
    }

    proptest! {
        #[test]
        fn what_is_taken_is_enough(seedlings in 0_u64..10_000_000, viability in 0.01_f64..1.0, emergence in 0.01_f64..1.0, cull in 0.0_f64..0.9, capsule_seeds in 0.5_f64..100.0) {
            let rates = SeedRates { viability, emergence, cull, capsule_seeds };
            prop_assert!(rates.seedlings_of(rates.capsules_for(seedlings)) >= seedlings);
        }
    }
}
