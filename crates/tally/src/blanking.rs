//! Whether gaps are planted again, and with how many plants.

use crate::binomial::plants_for;
use crate::wilson::Interval;

/// Share of the target below which gaps are planted again: the lower end of the usual 0.80 to 0.85.
///
/// Common practice, no source.
pub const USUAL_THRESHOLD: f64 = 0.80;

/// What a count says to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decision {
    /// The whole interval is at the threshold or above.
    Stocked,
    /// The threshold lies within the interval: this count cannot tell. Count more plots, or again later.
    KeepWatching,
    /// The whole interval is below the threshold.
    Replant,
}

impl Decision {
    /// As it is written in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        ["stocked", "keep_watching", "replant"][self as usize]
    }

    /// In words.
    #[must_use]
    pub fn label(self) -> &'static str {
        ["stocked", "keep watching", "replant"][self as usize]
    }
}

/// Holds the share of the target that is alive, with its interval, against a threshold.
///
/// ```
/// use tally::{Decision, decide, wilson};
/// let of = |alive, counted| decide(wilson(alive, counted, 0.95).unwrap(), 0.8);
/// assert_eq!(of(8, 10), Decision::KeepWatching); // 49 to 94 %: ten plants tell nothing
/// assert_eq!(of(280, 400), Decision::Replant); // 65 to 74 %
/// assert_eq!(of(380, 400), Decision::Stocked); // 92 to 97 %
/// ```
#[must_use]
pub fn decide(share_of_target: Interval, threshold: f64) -> Decision {
    if share_of_target.low >= threshold {
        Decision::Stocked
    } else if share_of_target.high < threshold {
        Decision::Replant
    } else {
        Decision::KeepWatching
    }
}

/// Plants alive of `planted` when `alive` of `counted` are: whole plants, rounded down; 0 with nothing counted.
#[must_use]
pub fn living_plants(planted: u64, alive: u64, counted: u64) -> u64 {
    let living = u128::from(planted) * u128::from(alive) / u128::from(counted.max(1));
    u64::try_from(living).unwrap_or(u64::MAX)
}

/// Plants that bring `missing` more to life, with at least the chance `confidence`, when they live as those
/// did that were counted: see [`plants_for`].
///
/// The survival is taken as it was seen, without its own doubt, and the season to come for like the one past.
///
/// `None` when none of the counted lives, nothing was counted, or the number cannot be reckoned.
///
/// ```
/// // 60 missing where 72 of 100 live: 84 would do on average, 91 do nine times in ten.
/// assert_eq!(tally::blanking_plants(60, 72, 100, 0.9), Some(91));
/// ```
#[must_use]
pub fn blanking_plants(missing: u64, alive: u64, counted: u64, confidence: f64) -> Option<u64> {
    if alive > counted {
        return None;
    }
    plants_for(missing, alive as f64 / counted as f64, confidence)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{Binomial, wilson};

    #[test]
    fn edges_belong_to_the_stocked() {
        let of = |low, high| decide(Interval { low, high }, 0.8);
        assert_eq!(of(0.8, 0.9), Decision::Stocked);
        assert_eq!(of(0.7999, 0.8), Decision::KeepWatching);
        assert_eq!(of(0.6, 0.7999), Decision::Replant);
        assert_eq!(decide(Interval::UNKNOWN, 0.8), Decision::KeepWatching);
    }

    #[test]
    fn words_stand_beside_their_decision() {
        let all = [Decision::Stocked, Decision::KeepWatching, Decision::Replant];
        assert_eq!(all.map(Decision::key), ["stocked", "keep_watching", "replant"]);
        assert_eq!(all.map(Decision::label), ["stocked", "keep watching", "replant"]);
    }

    #[test]
    fn the_living_are_whole_plants() {
        for (planted, alive, counted, living) in [
            (1_000, 72, 100, 720),
            (1_000, 2, 3, 666),
            (1_000, 0, 0, 0),
            (0, 1, 2, 0),
            (u64::MAX, 1, 1, u64::MAX),
            (u64::MAX, 2, 1, u64::MAX),
        ] {
            assert_eq!(living_plants(planted, alive, counted), living);
        }
    }

    #[test]
    fn nothing_alive_gives_no_number() {
        assert_eq!(blanking_plants(10, 0, 40, 0.9), None);
        assert_eq!(blanking_plants(10, 0, 0, 0.9), None);
        assert_eq!(blanking_plants(10, 5, 4, 0.9), None);
        assert_eq!(blanking_plants(0, 5, 10, 0.9), Some(0));
    }

    proptest! {
        #[test]
        fn the_order_brings_back_what_is_missing(
            missing in 1_u64..5_000, counted in 1_u64..300, part in 0.05_f64..1.0, confidence in 0.5_f64..0.99,
        ) {
            let alive = ((part * counted as f64) as u64).max(1);
            let plants = blanking_plants(missing, alive, counted, confidence).unwrap();
            let chance = |plants: u64| {
                Binomial::new(plants, alive as f64 / counted as f64).unwrap().at_least(missing)
            };
            prop_assert!(chance(plants) >= confidence && chance(plants - 1) < confidence);
        }

        /// A count that says more never turns against itself.
        #[test]
        fn ten_times_the_count_never_takes_a_decision_back(
            counted in 1_u64..500, part in 0.0_f64..1.0, threshold in 0.5_f64..0.95,
        ) {
            let alive = (part * (counted + 1) as f64) as u64;
            let of = |times: u64| {
                decide(wilson(times * alive, times * counted, 0.95).unwrap(), threshold)
            };
            prop_assert!(of(1) == Decision::KeepWatching || of(10) == of(1));
        }
    }
}
