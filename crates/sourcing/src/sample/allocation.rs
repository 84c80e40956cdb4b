//! How many trees of each stratum.
//!
//! Source: Cochran 1977, Sampling Techniques, 3rd ed., chapter 5 (from memory).

/// A part of the population that is sampled on its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stratum {
    /// Units in it, `N_h`.
    pub size: f64,
    /// Standard deviation between them, `S_h`, in the unit of what is measured.
    pub sd: f64,
    /// What one unit costs to sample, `c_h`, in any unit; 1 where all cost alike.
    pub unit_cost: f64,
}

/// By what trees are shared out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allocation {
    /// By size: `n_h ∝ N_h`.
    Proportional,
    /// By size and spread, dear units less: `n_h ∝ N_h S_h / √c_h`; with equal costs this is the
    /// allocation of Neyman 1934.
    Neyman,
}

/// Shares `wanted` units out over strata, as real numbers that add up to `wanted`, or to all there
/// are where that is less.
///
/// No stratum is given more than it has; what is over is shared again over the rest by the same
/// rule. Where no stratum that is left has any spread, sizes alone decide. Sizes below 0 and numbers
/// that are not finite count as 0.
///
/// Cost: O(k²) at most for k strata.
#[must_use]
pub fn allocate(strata: &[Stratum], wanted: f64, rule: Allocation) -> Vec<f64> {
    let sizes: Vec<f64> = strata.iter().map(|one| sound(one.size)).collect();
    let by_spread = |one: &Stratum| match rule {
        Allocation::Proportional => sound(one.size),
        Allocation::Neyman => sound(sound(one.size) * sound(one.sd) / one.unit_cost.sqrt()),
    };
    let weights: Vec<f64> = strata.iter().map(by_spread).collect();
    let mut given = vec![0.0; strata.len()];
    let mut left = sound(wanted).min(sizes.iter().sum());
    let mut open: Vec<usize> = (0..strata.len()).filter(|at| sizes[*at] > 0.0).collect();
    while left > 0.0 && !open.is_empty() {
        let has_weight = open.iter().any(|at| weights[*at] > 0.0);
        let weight = |at: usize| if has_weight { weights[at] } else { sizes[at] };
        let all: f64 = open.iter().map(|at| weight(*at)).sum();
        let share = |at: usize| left * (weight(at) / all);
        let (full, rest): (Vec<usize>, Vec<usize>) =
            open.iter().partition(|at| share(**at) >= sizes[**at]);
        if full.is_empty() {
            for at in open {
                given[at] = share(at);
            }
            break;
        }
        for at in full {
            given[at] = sizes[at];
            left -= sizes[at];
        }
        open = rest;
    }
    given
}

/// Variance of the mean over all strata when `given[h]` units are drawn from each at random:
/// `Σ W_h² S_h² / n_h`, each term times `1 − n_h / N_h` with the finite correction. Infinite where a
/// stratum with spread is given nothing; in the square of the unit of the spread.
#[must_use]
pub fn variance_of_mean(strata: &[Stratum], given: &[f64], finite: bool) -> f64 {
    let all: f64 = strata.iter().map(|one| sound(one.size)).sum();
    let term = |(one, drawn): (&Stratum, &f64)| {
        let weight = sound(one.size) / all;
        let spread = (weight * sound(one.sd)).powi(2);
        let correction = if finite { (1.0 - drawn / one.size).max(0.0) } else { 1.0 };
        match spread * correction {
            none if none <= 0.0 => 0.0,
            spread => spread / drawn.max(0.0),
        }
    };
    strata.iter().zip(given).map(term).sum()
}

/// Real shares as whole numbers with the same sum, rounded to the nearest whole one: each is rounded
/// down, and the largest remainders are given the rest, the first among equals.
#[must_use]
pub fn rounded(shares: &[f64]) -> Vec<usize> {
    /// Shares that differ from a whole number by less are that number.
    const NEAR: f64 = 1e-9;
    let shares: Vec<f64> = shares.iter().map(|share| sound(*share)).collect();
    let mut whole: Vec<usize> =
        shares.iter().map(|share| (share + NEAR).floor() as usize).collect();
    let remainder = |at: usize| shares[at] - (shares[at] + NEAR).floor();
    let all = shares.iter().sum::<f64>().round() as usize;
    let missing = all.saturating_sub(whole.iter().sum());
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| remainder(*b).total_cmp(&remainder(*a)).then(a.cmp(b)));
    for at in order.into_iter().take(missing) {
        whole[at] += 1;
    }
    whole
}

/// A number of things: none where there cannot be any.
fn sound(number: f64) -> f64 {
    if number.is_finite() { number.max(0.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn strata<const K: usize>(sizes: [f64; K], sds: [f64; K], costs: [f64; K]) -> Vec<Stratum> {
        let one = |at| Stratum { size: sizes[at], sd: sds[at], unit_cost: costs[at] };
        (0..K).map(one).collect()
    }

    fn near(found: &[f64], expected: &[f64], slack: f64) {
        assert_eq!(found.len(), expected.len());
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() < slack, "{found} against {expected}");
        }
    }

    /// Standard sampling theory (Cochran 1977, from memory); the inputs are those of published worked
    /// examples.
    #[test]
    fn worked_examples_of_allocation_come_out() {
        let four = strata([400.0, 300.0, 200.0, 100.0], [10.0, 15.0, 20.0, 30.0], [1.0; 4]);
        let neyman = allocate(&four, 100.0, Allocation::Neyman);
        near(&neyman, &[25.806, 29.032, 25.806, 19.355], 5e-4);
        let proportional = allocate(&four, 100.0, Allocation::Proportional);
        near(&proportional, &[40.0, 30.0, 20.0, 10.0], 1e-12);
        let variances = [
            variance_of_mean(&four, &proportional, false),
            variance_of_mean(&four, &neyman, false),
            variance_of_mean(&four, &proportional, true),
            variance_of_mean(&four, &neyman, true),
        ];
        near(&variances, &[2.775, 2.4025, 2.4975, 2.1250], 5e-5);
        assert_eq!(rounded(&neyman), [26, 29, 26, 19]);
        let costs =
            strata([400.0, 300.0, 200.0, 100.0], [10.0, 15.0, 20.0, 30.0], [1.0, 2.0, 3.0, 4.0]);
        let dear = allocate(&costs, 100.0, Allocation::Neyman);
        near(&dear, &[36.392, 28.950, 21.011, 13.647], 5e-4);
        let two = strata([100_000.0, 500_000.0], [20.0, 12.0], [1.0; 2]);
        near(&allocate(&two, 100.0, Allocation::Neyman), &[25.0, 75.0], 1e-9);
    }

    /// By hand: 10 shared by 8 : 1 : 1 gives the first 8 of its 4, and the 6 left go 3 and 3.
    #[test]
    fn what_a_full_stratum_cannot_take_goes_to_the_rest() {
        let small = strata([4.0, 50.0, 50.0], [100.0, 1.0, 1.0], [1.0; 3]);
        assert_eq!(allocate(&small, 10.0, Allocation::Neyman), [4.0, 3.0, 3.0]);
        assert_eq!(allocate(&small, 1000.0, Allocation::Neyman), [4.0, 50.0, 50.0]);
        let flat = strata([10.0, 30.0], [0.0, 0.0], [1.0; 2]);
        assert_eq!(allocate(&flat, 8.0, Allocation::Neyman), [2.0, 6.0]);
        assert_eq!(allocate(&[], 8.0, Allocation::Neyman), [0.0; 0]);
    }

    #[test]
    fn a_stratum_without_a_tree_says_nothing() {
        let two = strata([10.0, 10.0], [1.0, 1.0], [1.0; 2]);
        assert_eq!(variance_of_mean(&two, &[5.0, 0.0], false), f64::INFINITY);
        assert_eq!(variance_of_mean(&two, &[10.0, 10.0], true), 0.0);
    }

    proptest! {
        #[test]
        fn all_is_given_and_none_more_than_there_is(
            parts in prop::collection::vec((0_u16..60, 0_u8..20, 1_u8..9), 1..12),
            wanted in 0_u16..400,
            neyman: bool,
        ) {
            let strata: Vec<Stratum> = parts
                .iter()
                .map(|(size, sd, cost)| Stratum {
                    size: f64::from(*size),
                    sd: f64::from(*sd),
                    unit_cost: f64::from(*cost),
                })
                .collect();
            let rule = if neyman { Allocation::Neyman } else { Allocation::Proportional };
            let given = allocate(&strata, f64::from(wanted), rule);
            let all: f64 = strata.iter().map(|one| one.size).sum();
            let sum: f64 = given.iter().sum();
            prop_assert!((sum - f64::from(wanted).min(all)).abs() < 1e-9);
            for (one, given) in strata.iter().zip(&given) {
                prop_assert!(*given >= 0.0 && *given <= one.size);
            }
            let whole = rounded(&given);
            prop_assert_eq!(whole.iter().sum::<usize>() as f64, sum.round());
            for (whole, share) in whole.iter().zip(&given) {
                prop_assert!((*whole as f64 - share).abs() < 1.0 + 1e-9);
            }
        }

        /// No other allocation of the same trees has a smaller variance: here, none that moves a
        /// part of a tree from one stratum to another.
        #[test]
        fn neyman_is_the_best_of_its_neighbours(
            parts in prop::collection::vec((200_u16..900, 1_u8..20), 2..6),
            from in 0_usize..6,
            to in 0_usize..6,
        ) {
            let strata: Vec<Stratum> = parts
                .iter()
                .map(|(size, sd)| Stratum {
                    size: f64::from(*size),
                    sd: f64::from(*sd),
                    unit_cost: 1.0,
                })
                .collect();
            let best = allocate(&strata, 40.0, Allocation::Neyman);
            let mut other = best.clone();
            let moved = other[from % best.len()].min(0.5) / 2.0;
            other[from % best.len()] -= moved;
            other[to % best.len()] += moved;
            let variance = |given: &[f64]| variance_of_mean(&strata, given, false);
            prop_assert!(variance(&other) >= variance(&best) * (1.0 - 1e-12));
        }
    }
}
