//! What a count of survivors says about all plants.

use crate::normal_quantile;

/// Shares between which the true one lies, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Nothing is known: from 0 to 1.
    pub const UNKNOWN: Self = Self { low: 0.0, high: 1.0 };

    /// Half its width.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        (self.high - self.low) / 2.0
    }
}

/// The share alive of all plants, from those that were counted: Wilson's score interval, without a
/// correction for continuity. It holds for few plants and for shares near 0 and 1, and never leaves 0 to 1.
///
/// # Preconditions
/// The counted plants are drawn from all, each by itself. Plants of one plot are alike, so that the true
/// interval of a count by plots is wider.
///
/// `None` when nothing was counted, more are alive than were counted, or `confidence` is not between 0 and 1.
///
/// ```
/// // 88 of 110: 80 %, and with 95 % confidence between 71.6 and 86.4 %.
/// let interval = tally::wilson(88, 110, 0.95).unwrap();
/// assert!((interval.low - 0.716).abs() < 5e-4 && (interval.high - 0.864).abs() < 5e-4);
/// ```
///
/// Source: Wilson 1927, J. American Statistical Association 22:209 (from memory).
#[must_use]
pub fn wilson(alive: u64, counted: u64, confidence: f64) -> Option<Interval> {
    if counted == 0 || alive > counted {
        return None;
    }
    let z = normal_quantile(confidence)?;
    let (n, share) = (counted as f64, alive as f64 / counted as f64);
    let spread = z * z / n;
    let middle = share + spread / 2.0;
    let half = z * (share * (1.0 - share) / n + spread / (4.0 * n)).sqrt();
    let end = |value: f64| (value / (1.0 + spread)).clamp(0.0, 1.0);
    Some(Interval {
        low: if alive == 0 { 0.0 } else { end(middle - half) },
        high: if alive == counted { 1.0 } else { end(middle + half) },
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Sources: Newcombe 1998, Statistics in Medicine 17:857, Table I, score method without correction
    /// (from memory); 88 of 110 and 8 of 10 worked outside the program.
    #[test]
    fn intervals_that_were_published() {
        for (alive, counted, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
            (88, 110, 0.7157, 0.8640),
            (8, 10, 0.4902, 0.9433),
        ] {
            let found = wilson(alive, counted, 0.95).unwrap();
            assert!((found.low - low).abs() <= 6e-5, "{alive} of {counted}: {found:?}");
            assert!((found.high - high).abs() <= 6e-5, "{alive} of {counted}: {found:?}");
        }
    }

    #[test]
    fn what_is_no_count_is_refused() {
        assert_eq!(wilson(0, 0, 0.95), None);
        assert_eq!(wilson(2, 1, 0.95), None);
        for confidence in [0.0, 1.0, -0.5, f64::NAN] {
            assert_eq!(wilson(1, 2, confidence), None);
        }
    }

    /// Slow twin: the share, looked for by halving, that lies z of its own deviations from the count.
    fn by_halving(alive: f64, counted: f64, z: f64, mut near: f64, mut far: f64) -> f64 {
        for _ in 0..200 {
            let middle = f64::midpoint(near, far);
            let deviation = (middle * (1.0 - middle) / counted).sqrt();
            if (alive / counted - middle).abs() <= z * deviation {
                near = middle;
            } else {
                far = middle;
            }
        }
        near
    }

    proptest! {
        #[test]
        fn ends_are_shares_that_the_count_just_allows(
            counted in 1_u64..5_000, part in 0.0_f64..1.0, confidence in 0.3_f64..0.999,
        ) {
            let alive = (part * (counted + 1) as f64) as u64;
            let found = wilson(alive, counted, confidence).unwrap();
            let z = normal_quantile(confidence).unwrap();
            let (k, n) = (alive as f64, counted as f64);
            prop_assert!((found.low - by_halving(k, n, z, k / n, 0.0)).abs() < 1e-9);
            prop_assert!((found.high - by_halving(k, n, z, k / n, 1.0)).abs() < 1e-9);
        }

        #[test]
        fn more_counted_is_narrower_and_more_confidence_wider(
            counted in 1_u64..5_000, part in 0.0_f64..1.0, confidence in 0.3_f64..0.99,
        ) {
            let alive = (part * (counted + 1) as f64) as u64;
            let found = wilson(alive, counted, confidence).unwrap();
            let share = alive as f64 / counted as f64;
            prop_assert!(0.0 <= found.low && found.low <= share);
            prop_assert!(share <= found.high && found.high <= 1.0);
            let twice = wilson(2 * alive, 2 * counted, confidence).unwrap();
            prop_assert!(twice.half_width() < found.half_width());
            let surer = wilson(alive, counted, confidence + 0.005).unwrap();
            prop_assert!(surer.half_width() > found.half_width());
            let dead = wilson(counted - alive, counted, confidence).unwrap();
            prop_assert!((dead.low - (1.0 - found.high)).abs() < 1e-12);
        }
    }
}
