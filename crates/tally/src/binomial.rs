//! How many of a number of plants live, when each lives with the same chance.

use std::f64::consts::TAU;

/// Most plants that are reckoned with at once: far more than any one order, and within what the sums
/// were checked for.
pub const MAX_PLANTS: u64 = 10_000_000;

/// The binomial distribution: how many of `plants` are alive, each with the chance `survival`.
///
/// ```
/// // The chance that 8 or more of 10 fair coins show heads is 56 in 1,024.
/// let coins = tally::Binomial::new(10, 0.5).unwrap();
/// assert!((coins.at_least(8) - 56.0 / 1_024.0).abs() < 1e-15);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binomial {
    plants: u64,
    survival: f64,
}

impl Binomial {
    /// `None` when there are more than [`MAX_PLANTS`], or `survival` is not from 0 to 1.
    #[must_use]
    pub fn new(plants: u64, survival: f64) -> Option<Self> {
        let sound = plants <= MAX_PLANTS && (0.0..=1.0).contains(&survival);
        sound.then_some(Self { plants, survival })
    }

    /// Chance that exactly `alive` are alive, 0 to 1. Below about 1e-308 it is 0.
    ///
    /// By the saddle point: no large logarithms are subtracted, so the digits that ln n! would lose at
    /// n of millions are kept. Relative error below 1e-10 wherever the chance is over 1e-300.
    ///
    /// Source: Loader 2000, Fast and accurate computation of binomial probabilities (from memory).
    #[must_use]
    pub fn exactly(&self, alive: u64) -> f64 {
        if alive > self.plants {
            return 0.0;
        }
        let dead = self.plants - alive;
        let (n, p, x, y) = (self.plants as f64, self.survival, alive as f64, dead as f64);
        if alive == 0 {
            return if dead == 0 { 1.0 } else { (n * (-p).ln_1p()).exp() };
        }
        if dead == 0 {
            return (n * p.ln()).exp();
        }
        if p <= 0.0 || p >= 1.0 {
            return 0.0;
        }
        let rest = stirling_rest(n) - stirling_rest(x) - stirling_rest(y);
        let log = rest - deviance(x, n * p) - deviance(y, n * (1.0 - p));
        (n / (TAU * x * y)).sqrt() * log.exp()
    }

    /// Chance that `alive` or more are alive, 0 to 1.
    ///
    /// The smaller side is summed, term by term outward from `alive`: all terms are positive and fall, so
    /// nothing cancels. Relative error below 1e-10 wherever the chance is over 1e-300.
    ///
    /// Cost: some tens of square roots of the plants; about 30,000 terms at ten million.
    #[must_use]
    pub fn at_least(&self, alive: u64) -> f64 {
        if alive == 0 {
            return 1.0;
        }
        if alive > self.plants {
            return 0.0;
        }
        if alive as f64 > self.plants as f64 * self.survival {
            self.upwards(alive)
        } else {
            1.0 - self.downwards(alive - 1)
        }
    }

    /// Sum of the chances of `from` and of all that are more; `from` is above the mean.
    fn upwards(&self, from: u64) -> f64 {
        let odds = self.survival / (1.0 - self.survival);
        let step = |alive: u64| (self.plants - alive) as f64 / (alive + 1) as f64 * odds;
        self.exactly(from) * summed((from..self.plants).map(step))
    }

    /// Sum of the chances of `from` and of all that are fewer; `from` is below the mean.
    fn downwards(&self, from: u64) -> f64 {
        let odds = (1.0 - self.survival) / self.survival;
        let step = |alive: u64| alive as f64 / (self.plants - alive + 1) as f64 * odds;
        self.exactly(from) * summed((1..=from).rev().map(step))
    }
}

/// 1 + r₁ + r₁r₂ + …, until a term no longer counts.
///
/// The ratios fall. Where terms are as small as this, so many of them as there can be plants are lost in
/// the last digit.
fn summed(ratios: impl Iterator<Item = f64>) -> f64 {
    let (mut term, mut sum) = (1.0, 1.0);
    for ratio in ratios {
        term *= ratio;
        sum += term;
        if term < sum * 1e-24 {
            break;
        }
    }
    sum
}

/// ln n! − ln(√(2πn) (n/e)ⁿ), for whole n from 1.
///
/// Stirling's series from 16 on, whose next term is below 2e-16 there; the factorial itself below, which a
/// double holds exactly.
fn stirling_rest(n: f64) -> f64 {
    if n >= 16.0 {
        let square = n * n;
        let tail = 1.0 / 1_680.0 - 1.0 / (1_188.0 * square);
        let tail = 1.0 / 1_260.0 - tail / square;
        let tail = 1.0 / 360.0 - tail / square;
        return (1.0 / 12.0 - tail / square) / n;
    }
    let factorial: f64 = (2..=n as u32).map(f64::from).product();
    factorial.ln() - 0.5 * (TAU * n).ln() - n * n.ln() + n
}

/// x ln(x ÷ mean) + mean − x, at least 0, without the loss of digits where the two are near each other:
/// with v = (x − mean) ÷ (x + mean), ln(x ÷ mean) is 2 (v + v³/3 + v⁵/5 + …).
fn deviance(x: f64, mean: f64) -> f64 {
    let apart = x - mean;
    let v = apart / (x + mean);
    if v.abs() >= 0.1 {
        return x * (x / mean).ln() - apart;
    }
    let series = (1..=10).rev().fold(0.0, |sum, j| v * v * (sum + 1.0 / f64::from(2 * j + 1)));
    apart * v + 2.0 * x * v * series
}

/// Fewest plants of which at least `target` are alive with at least the chance `confidence`.
///
/// With so many the target is met, with one fewer it is not: the chance rises with every plant, so that
/// halving finds the edge.
///
/// `None` when `survival` is not above 0 to 1, `confidence` not between 0 and 1, or more than [`MAX_PLANTS`]
/// would be needed.
///
/// ```
/// // 750 alive at 75 %: 1,000 plants make it as often as not, 24 more 9 times in 10.
/// let even = tally::plants_for(750, 0.75, 0.5).unwrap();
/// assert!((999..=1_001).contains(&even));
/// assert_eq!(tally::plants_for(750, 0.75, 0.9), Some(1_024));
/// ```
#[must_use]
pub fn plants_for(target: u64, survival: f64, confidence: f64) -> Option<u64> {
    let sound = survival > 0.0 && survival <= 1.0 && confidence > 0.0 && confidence < 1.0;
    if !sound || target > MAX_PLANTS {
        return None;
    }
    if target == 0 {
        return Some(0);
    }
    let enough = |plants: u64| {
        Binomial::new(plants, survival).is_some_and(|plants| plants.at_least(target) >= confidence)
    };
    let (mut short, mut plenty) = (target - 1, target);
    while !enough(plenty) {
        if plenty == MAX_PLANTS {
            return None;
        }
        (short, plenty) = (plenty, (2 * plenty).min(MAX_PLANTS));
    }
    while plenty - short > 1 {
        let middle = short + (plenty - short) / 2;
        if enough(middle) {
            plenty = middle;
        } else {
            short = middle;
        }
    }
    Some(plenty)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Slow twin: every term of Pascal's triangle, added up; exact coefficients to 60 plants.
    fn by_pascal(plants: u64, survival: f64, alive: u64) -> f64 {
        let ways =
            |k: u64| (0..k).fold(1_u128, |c, i| c * u128::from(plants - i) / u128::from(i + 1));
        let one = |k: u64| {
            ways(k) as f64 * survival.powi(k as i32) * (1.0 - survival).powi((plants - k) as i32)
        };
        (alive..=plants).map(one).sum()
    }

    fn of(plants: u64, survival: f64) -> Binomial {
        Binomial::new(plants, survival).unwrap()
    }

    fn close(found: f64, expected: f64, relative: f64) -> bool {
        (found - expected).abs() <= relative * expected.abs()
    }

    /// Whole numbers over 2²⁰, exact in a double.
    #[test]
    fn twenty_fair_coins() {
        let ways = [1.0, 20.0, 190.0, 1_140.0, 4_845.0, 15_504.0, 38_760.0];
        for (heads, ways) in ways.into_iter().enumerate() {
            let chance = ways / 1_048_576.0;
            assert!(close(of(20, 0.5).exactly(heads as u64), chance, 1e-14), "{heads}");
            assert!(close(of(20, 0.5).exactly(20 - heads as u64), chance, 1e-14), "{heads}");
        }
    }

    /// The middle term of 2m fair coins is (1 − 1/8m + 1/128m² + …) / √(πm): Stirling's series.
    #[test]
    fn ten_million_fair_coins_split_evenly_as_stirling_says() {
        let m = 5_000_000.0_f64;
        let expected =
            (1.0 - 1.0 / (8.0 * m) + 1.0 / (128.0 * m * m)) / (std::f64::consts::PI * m).sqrt();
        let coins = of(10_000_000, 0.5);
        assert!(close(coins.exactly(5_000_000), expected, 1e-13));
        assert!(close(coins.at_least(5_000_000), 0.5 + expected / 2.0, 1e-12));
        assert!(close(coins.at_least(5_000_001), 0.5 - expected / 2.0, 1e-12));
    }

    /// All of n live with pⁿ, at least one with 1 − (1 − p)ⁿ.
    #[test]
    fn the_ends_are_powers() {
        for (plants, survival) in [(3, 0.9), (1_000, 0.999), (10_000_000, 0.999_999_9)] {
            let all = (plants as f64 * f64::ln(survival)).exp();
            assert!(close(of(plants, survival).at_least(plants), all, 1e-12), "{plants}");
            let none = (plants as f64 * (-survival).ln_1p()).exp();
            assert!(close(of(plants, survival).at_least(1), 1.0 - none, 1e-12), "{plants}");
        }
    }

    #[test]
    fn certain_life_and_certain_death() {
        for plants in [0, 1, 7, MAX_PLANTS] {
            assert!(close(of(plants, 1.0).at_least(plants), 1.0, 0.0));
            assert!(close(of(plants, 0.0).at_least(0), 1.0, 0.0));
            assert!(of(plants, 0.0).at_least(1).abs() < f64::MIN_POSITIVE);
            assert!(of(plants, 1.0).at_least(plants + 1).abs() < f64::MIN_POSITIVE);
            if plants > 1 {
                assert!(close(of(plants, 1.0).at_least(plants / 2), 1.0, 0.0), "{plants}");
            }
        }
    }

    #[test]
    fn what_is_no_share_or_too_many_is_refused() {
        for survival in [-0.1, 1.1, f64::NAN, f64::INFINITY] {
            assert_eq!(Binomial::new(5, survival), None);
            assert_eq!(plants_for(5, survival, 0.9), None);
        }
        assert_eq!(Binomial::new(MAX_PLANTS + 1, 0.5), None);
        for confidence in [0.0, 1.0, -1.0, f64::NAN] {
            assert_eq!(plants_for(5, 0.9, confidence), None);
        }
        assert_eq!(plants_for(5, 0.0, 0.9), None);
        assert_eq!(plants_for(MAX_PLANTS, 0.5, 0.9), None);
        assert_eq!(plants_for(u64::MAX, 0.5, 0.9), None);
        assert_eq!(plants_for(1, 1e-9, 0.9), None);
    }

    #[test]
    fn a_search_ends_where_it_must() {
        assert_eq!(plants_for(0, 0.5, 0.9), Some(0));
        assert_eq!(plants_for(40, 1.0, 0.99), Some(40));
        assert_eq!(plants_for(MAX_PLANTS, 1.0, 0.99), Some(MAX_PLANTS));
        // One alive of n: 1 − ½ⁿ reaches 0.9 at 4, since 1 − 1/16 = 0.9375.
        assert_eq!(plants_for(1, 0.5, 0.9), Some(4));
    }

    proptest! {
        #[test]
        fn the_sum_is_that_of_pascals_triangle(
            plants in 0_u64..=60, alive in 0_u64..=61, survival in 0.0_f64..=1.0,
        ) {
            let (fast, slow) = (of(plants, survival).at_least(alive), by_pascal(plants, survival, alive));
            prop_assert!((fast - slow).abs() <= 1e-12 * slow.max(1e-200) + 1e-15, "{fast} and {slow}");
        }

        /// Slow twin for more plants: every chance added up, the smallest first.
        #[test]
        fn the_sum_is_that_of_all_its_terms(
            plants in 0_u64..3_000, part in 0.0_f64..1.0, survival in 0.001_f64..0.999,
        ) {
            let alive = (part * plants as f64) as u64;
            let plants = of(plants, survival);
            let mut terms: Vec<f64> = (alive..=plants.plants).map(|k| plants.exactly(k)).collect();
            terms.sort_by(f64::total_cmp);
            let slow: f64 = terms.iter().sum();
            let fast = plants.at_least(alive);
            prop_assert!((fast - slow).abs() <= 1e-11 * slow + 1e-14, "{fast} and {slow}");
        }

        /// Alive turned to dead: P(X ≥ k) at p is 1 − P(X ≥ n − k + 1) at 1 − p.
        #[test]
        fn the_dead_are_the_rest(
            plants in 1_u64..=MAX_PLANTS, off in -6.0_f64..6.0, eighths in 1_u32..8,
        ) {
            let survival = f64::from(eighths) / 8.0; // 1 − p is exact
            let n = plants as f64;
            let alive = n * survival + off * (n * survival * (1.0 - survival)).sqrt();
            let alive = (alive.max(1.0) as u64).min(plants);
            let living = of(plants, survival).at_least(alive);
            let dead = of(plants, 1.0 - survival).at_least(plants - alive + 1);
            prop_assert!((living + dead - 1.0).abs() < 1e-11, "{living} and {dead}");
        }

        #[test]
        fn more_plants_and_better_survival_help(
            plants in 1_u64..100_000, part in 0.0_f64..1.0, survival in 0.01_f64..0.98,
        ) {
            let alive = (part * plants as f64) as u64;
            let chance = of(plants, survival).at_least(alive);
            prop_assert!((0.0..=1.0 + 1e-12).contains(&chance));
            prop_assert!(of(plants + 1, survival).at_least(alive) >= chance - 1e-13);
            prop_assert!(of(plants, survival + 0.01).at_least(alive) >= chance - 1e-13);
            prop_assert!(of(plants, survival).at_least(alive + 1) <= chance + 1e-13);
        }

        #[test]
        fn the_search_is_exact(
            target in 1_u64..200_000, survival in 0.05_f64..=1.0, confidence in 0.01_f64..0.999,
        ) {
            let plants = plants_for(target, survival, confidence).unwrap();
            prop_assert!(of(plants, survival).at_least(target) >= confidence);
            prop_assert!(of(plants - 1, survival).at_least(target) < confidence);
        }

        /// Slow twin: one plant more at a time, by Pascal's triangle.
        #[test]
        fn the_search_ends_where_counting_up_ends(
            target in 1_u64..20, survival in 0.5_f64..0.99, confidence in 0.05_f64..0.95,
        ) {
            let chance = |plants: u64| by_pascal(plants, survival, target);
            let slow = (target..=60).find(|plants| chance(*plants) >= confidence);
            prop_assume!(slow.is_some_and(|plants| (chance(plants) - confidence).abs() > 1e-9));
            prop_assert_eq!(plants_for(target, survival, confidence), slow);
        }
    }
}
