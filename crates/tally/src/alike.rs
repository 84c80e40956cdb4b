//! Whether plots differ by more than chance.

/// How many times as much plots differ in their share alive as they would if every plant lived or died by
/// itself: the design effect of a survey by plots. About 1 where plants are independent; an interval that
/// takes them so is too narrow by its square root.
///
/// `plots` holds (alive, counted). With few plots the number is rough itself.
///
/// `None` with fewer than two plots with plants, where all live or all are dead, or where more are alive than
/// were counted.
///
/// ```
/// // Half of the plots wholly alive, half wholly dead: ten plants of a plot say no more than one.
/// let plots: Vec<(u64, u64)> = (0..100).map(|plot| (10 * (plot % 2), 10)).collect();
/// assert!((tally::design_effect(&plots).unwrap() / 10.0 - 1.0).abs() < 0.02);
/// ```
///
/// Source: variance of a ratio over clusters, Cochran 1977, Sampling Techniques, ch. 3 (chapter from memory);
/// design effect: Kish 1965, Survey Sampling (from memory).
#[must_use]
pub fn design_effect(plots: &[(u64, u64)]) -> Option<f64> {
    let seen: Vec<(f64, f64)> = plots
        .iter()
        .filter(|(_, counted)| *counted > 0)
        .map(|(alive, counted)| (*alive as f64, *counted as f64))
        .collect();
    if seen.len() < 2 || plots.iter().any(|(alive, counted)| alive > counted) {
        return None;
    }
    let (alive, counted) = seen.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let share = alive / counted;
    let alone = share * (1.0 - share) * counted;
    if alone <= 0.0 {
        return None;
    }
    let apart: f64 = seen.iter().map(|(alive, counted)| (alive - share * counted).powi(2)).sum();
    let number = seen.len() as f64;
    Some(apart * number / (number - 1.0) / alone)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_tells_nothing_gives_no_number() {
        for plots in [
            &[][..],
            &[(3, 9)],
            &[(3, 9), (0, 0)],
            &[(9, 9), (8, 8)],
            &[(0, 9), (0, 8)],
            &[(3, 9), (5, 4)],
        ] {
            assert_eq!(design_effect(plots), None, "{plots:?}");
        }
    }

    #[test]
    fn plots_that_all_say_the_same_differ_by_nothing() {
        assert!(design_effect(&[(8, 10), (16, 20), (4, 5)]).unwrap() < 1e-12);
    }

    /// Worked by hand: 1 of 4 and 3 of 4; share ½, apart 1 and 1, times 2 ÷ 1, over ½ · ½ · 8 = 2.
    #[test]
    fn two_plots_by_hand() {
        assert!((design_effect(&[(1, 4), (3, 4)]).unwrap() - 2.0).abs() < 1e-12);
    }

    /// Plants that live each by itself, drawn with a plain generator (Knuth's MMIX constants, from memory).
    #[test]
    fn independent_plants_give_one_on_average() {
        let mut state = 7_u64;
        let mut lives = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            u64::from((state >> 33) as f64 / f64::from(1_u32 << 31) < 0.8)
        };
        let mut survey = || -> Vec<(u64, u64)> {
            (0..10_u64)
                .map(|plot| 8 + plot % 5)
                .map(|n| ((0..n).map(|_| lives()).sum(), n))
                .collect()
        };
        let surveys = 2_000;
        let mean =
            (0..surveys).filter_map(|_| design_effect(&survey())).sum::<f64>() / f64::from(surveys);
        assert!((mean - 1.0).abs() < 0.05, "{mean}");
    }

    proptest! {
        /// Single plants as plots: m ÷ (m − 1), whatever lives.
        #[test]
        fn plots_of_one_plant_are_plants(dead in 1_usize..50, alive in 1_usize..50) {
            let mut plots = vec![(0, 1); dead];
            plots.extend(vec![(1, 1); alive]);
            let number = plots.len() as f64;
            prop_assert!((design_effect(&plots).unwrap() - number / (number - 1.0)).abs() < 1e-9);
        }

        #[test]
        fn the_dead_differ_as_the_living_do(
            plots in prop::collection::vec((0_u64..20, 0_u64..20), 2..12),
        ) {
            let living: Vec<_> = plots.iter().map(|(a, d)| (*a, a + d)).collect();
            let dead: Vec<_> = plots.iter().map(|(a, d)| (*d, a + d)).collect();
            match (design_effect(&living), design_effect(&dead)) {
                (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-9 * a.max(1.0)),
                (a, b) => prop_assert_eq!(a, b),
            }
        }
    }
}
