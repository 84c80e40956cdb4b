//! How many trees, and of what their number speaks.

/// Numbers nearer to a whole one than this, as a share, are that number: (0.4 / 0.1)² is 16.
const NEAR: f64 = 1e-9;

/// Trees for a wanted relative standard error of the mean, from the coefficient of variation between
/// trees, both as shares: ⌈(cv / se)²⌉, at least 1. Simple random sampling of a large population.
///
/// Source: arithmetic; Cochran 1977, chapter 4 (from memory). `None` when either is not over 0 and
/// finite, or when the number is beyond `u32`.
#[must_use]
pub fn trees_for_error(cv: f64, error: f64) -> Option<u32> {
    let is_sound = |share: f64| share.is_finite() && share > 0.0;
    let trees = up((cv / error).powi(2)).max(1.0);
    (is_sound(cv) && is_sound(error) && trees <= f64::from(u32::MAX)).then_some(trees as u32)
}

/// The same of a population of so many trees, all of which could be drawn: n₀ / (1 + n₀ / N) with
/// n₀ = (cv / se)² unrounded, rounded up.
#[must_use]
pub fn trees_for_error_of(cv: f64, error: f64, population: u32) -> Option<u32> {
    trees_for_error(cv, error)?;
    let endless = (cv / error).powi(2);
    Some(up(endless / (1.0 + endless / f64::from(population.max(1)))).max(1.0) as u32)
}

/// Relative standard error of the mean of so many trees, as a share: cv / √n.
#[must_use]
pub fn standard_error(cv: f64, trees: u32) -> f64 {
    cv / f64::from(trees).sqrt()
}

/// Gametes in which an allele of a frequency is met at least once with a chance: ⌈ln(1 − P) / ln(1 − p)⌉.
///
/// Source: Brown & Marshall 1995, A basic sampling strategy: theory and practice, as seed-banking
/// protocols use it. `None` unless both lie between 0 and 1.
#[must_use]
pub fn gametes_to_hold(frequency: f64, chance: f64) -> Option<u32> {
    let is_sound = |share: f64| share > 0.0 && share < 1.0;
    if !is_sound(frequency) || !is_sound(chance) {
        return None;
    }
    let gametes = up((-chance).ln_1p() / (-frequency).ln_1p());
    (gametes <= f64::from(u32::MAX)).then_some(gametes as u32)
}

/// Plants that hold so many gametes: outcrossing plants two each, rounded up; selfing ones one.
#[must_use]
pub fn plants_to_hold(frequency: f64, chance: f64, outcrossing: bool) -> Option<u32> {
    let gametes = gametes_to_hold(frequency, chance)?;
    Some(if outcrossing { gametes.div_ceil(2) } else { gametes })
}

fn up(number: f64) -> f64 {
    (number * (1.0 - NEAR)).ceil()
}

/// A published rule on how many plants stand for a population.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PopulationRule {
    /// Fewest plants that meet it.
    pub plants: u32,
    /// What it asks for, in words.
    pub asks: &'static str,
    /// Who says so.
    pub source: &'static str,
}

impl PopulationRule {
    /// Whether so many plants meet it.
    #[must_use]
    pub fn is_met_by(&self, plants: u32) -> bool {
        plants >= self.plants
    }
}

/// Published rules on how many plants stand for a population, fewest first. Where a rule gives a span,
/// its upper end is asked for. They speak of plants that seed is taken from, not of plants that are
/// looked at. Years and the second name of the first rule are from memory.
pub const POPULATION_RULES: [PopulationRule; 6] = [
    PopulationRule {
        plants: 30,
        asks: "30 plants, to hold alleles of a frequency of 5 % or more with a chance of 95 %",
        source: "Brown & Marshall 1995; also Sinclair & Hobbs 2009",
    },
    PopulationRule {
        plants: 40,
        asks: "40 plants, for alleles of a frequency over 10 %",
        source: "Crossa 1989",
    },
    PopulationRule {
        plants: 51,
        asks: "more than 50 mother plants, and 3,000 seeds of them (to be counted when seed is taken)",
        source: "seed-banking field protocols after Brown & Marshall 1995",
    },
    PopulationRule {
        plants: 100,
        asks: "100 plants, for alleles of a frequency over 5 %",
        source: "Crossa 1989",
    },
    PopulationRule {
        plants: 172,
        asks: "about 172 plants, over all populations together",
        source: "Lawrence, Marshall & Davies 1995",
    },
    PopulationRule {
        plants: 400,
        asks: "300 to 400 plants, for alleles of a frequency over 1 %",
        source: "Crossa 1989",
    },
];

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Arithmetic; that trees differ by 40 % is common practice, no source.
    #[test]
    fn the_error_of_so_many_trees() {
        for (trees, percent) in [(5, 17.9), (10, 12.6), (20, 8.9), (30, 7.3)] {
            let error = standard_error(0.4, trees) * 100.0;
            assert!((error - percent).abs() < 0.05, "{trees}: {error}");
        }
        assert_eq!(trees_for_error(0.4, 0.1), Some(16), "not 17 by a rounding");
        assert_eq!(trees_for_error(0.4, 0.05), Some(64));
        assert_eq!(trees_for_error_of(0.4, 0.05, 64), Some(32));
        assert_eq!(trees_for_error_of(0.4, 0.1, 1_000_000), Some(16));
        assert_eq!(trees_for_error_of(0.4, 0.1, 1), Some(1));
        for (cv, error) in [(0.0, 0.1), (0.4, 0.0), (f64::NAN, 0.1), (1e9, 1e-9), (-0.4, 0.1)] {
            assert_eq!(trees_for_error(cv, error), None);
        }
    }

    /// The table that seed-banking protocols print after Brown & Marshall: frequency, chance, gametes,
    /// outcrossing plants.
    #[test]
    fn plants_that_hold_an_allele() {
        let table = [
            (0.05, 0.95, 59, 30),
            (0.10, 0.95, 29, 15),
            (0.05, 0.99, 90, 45),
            (0.02, 0.95, 149, 75),
            (0.01, 0.95, 299, 150),
            (0.01, 0.99, 459, 230),
        ];
        for (frequency, chance, gametes, plants) in table {
            assert_eq!(gametes_to_hold(frequency, chance), Some(gametes));
            assert_eq!(plants_to_hold(frequency, chance, true), Some(plants));
            assert_eq!(plants_to_hold(frequency, chance, false), Some(gametes));
        }
        assert_eq!(gametes_to_hold(0.5, 0.75), Some(2), "two throws of a coin");
        for bad in [0.0, 1.0, -0.1, f64::NAN] {
            assert_eq!(gametes_to_hold(bad, 0.95), None);
            assert_eq!(gametes_to_hold(0.05, bad), None);
        }
    }

    #[test]
    fn rules_go_from_few_to_many_and_more_than_fifty_is_not_fifty() {
        assert!(POPULATION_RULES.is_sorted_by_key(|rule| rule.plants));
        let met = |plants| POPULATION_RULES.iter().filter(|rule| rule.is_met_by(plants)).count();
        assert_eq!([29, 30, 40, 50, 51, 171, 172, 399, 400].map(met), [0, 1, 2, 2, 3, 4, 5, 5, 6]);
    }

    proptest! {
        /// The number is enough, and one less is not: by multiplying chances out one by one.
        #[test]
        fn gametes_are_the_fewest_that_do(frequency in 0.005_f64..0.9, chance in 0.05_f64..0.995) {
            let gametes = gametes_to_hold(frequency, chance).unwrap();
            let met = |draws: u32| 1.0 - (0..draws).fold(1.0, |missed, _| missed * (1.0 - frequency));
            prop_assert!(met(gametes) >= chance - 1e-9);
            prop_assert!(met(gametes - 1) < chance + 1e-9);
        }

        #[test]
        fn the_number_keeps_the_error(cv in 0.05_f64..2.0, error in 0.01_f64..0.5) {
            let trees = trees_for_error(cv, error).unwrap();
            prop_assert!(standard_error(cv, trees) <= error * (1.0 + 1e-9));
            prop_assert!(trees == 1 || standard_error(cv, trees - 1) > error * (1.0 - 1e-9));
        }
    }
}
