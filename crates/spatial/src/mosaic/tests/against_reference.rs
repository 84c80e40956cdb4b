//! Against HiGHS on random instances; run with `--features highs`.

use proptest::prelude::*;

use super::super::{Programme, solve_with_highs};
use super::speed::instance;
use super::{broken_rule, programmes, solved, worth};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn both_solvers_reach_the_same_worth(programme in programmes(1..9, 1..5)) {
        let reference = solve_with_highs(&programme).expect("an answer");
        prop_assert_eq!(broken_rule(&programme, &reference.shares), None);
        let answer = solved(&programme);
        let best = worth(&programme, &reference.shares);
        let slack = 5e-6 * best.max(1e-6);
        prop_assert!((answer.objective - best).abs() <= slack, "{answer:?}\n{reference:?}");
        prop_assert!(answer.bound >= best - slack);
    }
}

#[test]
fn the_bound_of_one_holds_for_the_other_on_larger_ground() {
    for seed in 0..3 {
        let programme = Programme { gap: 1e-4, ..instance(80, 6, seed) };
        let (answer, reference) =
            (solved(&programme), solve_with_highs(&programme).expect("solved"));
        let scale = reference.objective;
        assert!(answer.objective <= reference.bound + 1e-7 * scale);
        assert!(reference.objective <= answer.bound + 1e-7 * scale);
        println!("seed {seed}: {} and {}", answer.objective, reference.objective);
    }
}
