//! How long a crew plants.

use std::ops::RangeInclusive;

/// Plants that one fit person sets in a day on spot-sprayed pasture that is not too steep.
///
/// Source: planting advice of a northern regional council, for pines.
pub const FIT_PERSON_RATE: RangeInclusive<f64> = 400.0..=450.0;

/// Plants that one contract planter sets in a day.
///
/// Source: press report on contract planting of pines, North Island, about 2018.
pub const CONTRACT_RATE: RangeInclusive<f64> = 300.0..=400.0;

/// Plants that one person sets in a day. Nobody should be driven by it: steep, wet or slippery ground is
/// planted as slowly as it is safe to, and whether it is planted by hand at all is for people on site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlantingRate {
    /// On ground that is not too steep.
    pub gentle: f64,
    /// On steep ground, at most `gentle`.
    pub steep: f64,
}

impl PlantingRate {
    /// `None` when a rate is not above 0, or steep ground is faster than gentle.
    #[must_use]
    pub fn new(gentle: f64, steep: f64) -> Option<Self> {
        let sound = gentle.is_finite() && steep > 0.0 && steep <= gentle;
        sound.then_some(Self { gentle, steep })
    }

    /// Days that one person plants.
    ///
    /// ```
    /// let rate = tally::PlantingRate::new(400.0, 250.0).unwrap();
    /// assert_eq!(rate.person_days(2_000, 1_000), 9.0);
    /// ```
    #[must_use]
    pub fn person_days(&self, gentle_plants: u64, steep_plants: u64) -> f64 {
        gentle_plants as f64 / self.gentle + steep_plants as f64 / self.steep
    }
}

/// Whole days that a crew of so many people plants; weather, carrying and waiting for plants come on top.
/// `None` for a crew of nobody.
///
/// ```
/// assert_eq!(tally::calendar_days(9.0, 4), Some(3));
/// ```
#[must_use]
pub fn calendar_days(person_days: f64, people: u32) -> Option<u64> {
    let exact = person_days / f64::from(people);
    exact.is_finite().then(|| (exact - exact * 1e-12).ceil() as u64)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Source: the rates above; 3,600 plants worked outside the program.
    #[test]
    fn days_at_the_published_rates() {
        let days = |rate: f64| PlantingRate::new(rate, rate).unwrap().person_days(3_600, 0);
        let ends = |range: RangeInclusive<f64>| (days(*range.end()), days(*range.start()));
        assert_eq!(ends(FIT_PERSON_RATE), (8.0, 9.0));
        assert_eq!(ends(CONTRACT_RATE), (9.0, 12.0));
    }

    #[test]
    fn what_is_no_rate_is_refused() {
        for (gentle, steep) in
            [(0.0, 0.0), (400.0, 0.0), (400.0, -1.0), (300.0, 400.0), (f64::INFINITY, 1.0)]
        {
            assert_eq!(PlantingRate::new(gentle, steep), None, "{gentle} and {steep}");
        }
        assert_eq!(PlantingRate::new(f64::NAN, f64::NAN), None);
        assert_eq!(calendar_days(3.0, 0), None);
        assert_eq!(calendar_days(0.0, 0), None);
    }

    proptest! {
        /// Slow twin: a crew that plants day after day until nothing is left.
        #[test]
        fn days_are_those_of_a_crew_that_plants_day_after_day(
            plants in 0_u64..20_000, a_day in 1_u32..600, people in 1_u32..12,
        ) {
            let rate = f64::from(a_day);
            let days = PlantingRate::new(rate, rate).unwrap().person_days(plants, 0);
            let (mut left, mut worked) = (plants, 0);
            while left > 0 {
                left = left.saturating_sub(u64::from(a_day * people));
                worked += 1;
            }
            prop_assert_eq!(calendar_days(days, people), Some(worked));
        }

        #[test]
        fn steep_ground_is_never_faster(
            plants in 0_u64..100_000, steep in 0_u64..100_000, gentle in 100.0..500.0_f64, part in 0.1..1.0_f64,
        ) {
            let rate = PlantingRate::new(gentle, gentle * part).unwrap();
            prop_assert!(rate.person_days(plants, steep) >= rate.person_days(plants + steep, 0) - 1e-9);
        }
    }
}
