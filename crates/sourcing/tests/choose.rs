//! The choice of mothers against every choice there is, and against the rules.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that stops has failed")]

use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use sourcing::select::{Candidate, ChooseError, Rules, choose};

fn apart(a: &Candidate, b: &Candidate) -> f64 {
    (a.at[0] - b.at[0]).hypot(a.at[1] - b.at[1])
}

fn keeps_rules(all: &[Candidate], chosen: &[usize], rules: &Rules) -> bool {
    let stands = all.iter().map(|one| one.stand + 1).max().unwrap_or(0);
    let of = |stand: usize| chosen.iter().filter(|at| all[**at].stand == stand).count();
    let there = |stand: usize| all.iter().filter(|one| one.stand == stand).count();
    let stands_hold = (0..stands).all(|stand| {
        of(stand) >= rules.stand_least.min(there(stand))
            && rules.stand_most.is_none_or(|most| of(stand) <= most)
    });
    let far = chosen.iter().enumerate().all(|(place, a)| {
        chosen[..place].iter().all(|b| apart(&all[*a], &all[*b]) >= rules.apart_m)
    });
    chosen.len() == rules.mothers && stands_hold && far
}

/// The best of every subset.
fn best_of_all(all: &[Candidate], rules: &Rules) -> Option<f64> {
    let subsets =
        (0_u32..1 << all.len()).filter(|bits| bits.count_ones() as usize == rules.mothers);
    let worths = subsets.filter_map(|bits| {
        let chosen: Vec<usize> = (0..all.len()).filter(|at| bits >> at & 1 == 1).collect();
        keeps_rules(all, &chosen, rules)
            .then(|| chosen.iter().map(|at| all[*at].worth).sum::<f64>())
    });
    worths.max_by(f64::total_cmp)
}

fn scattered(random: &mut Pcg64, count: usize, side: f64) -> Vec<Candidate> {
    let one = |_| Candidate {
        worth: random.random_range(-1.0..4.0),
        stand: random.random_range(0..3),
        at: [random.random_range(0.0..side), random.random_range(0.0..side)],
    };
    (0..count).map(one).collect()
}

#[test]
fn small_choices_are_the_best_or_next_to_it() {
    let mut random = Pcg64::seed_from_u64(7);
    let (mut solved, mut best_found, mut missed) = (0, 0, 0);
    for _ in 0..400 {
        let all = scattered(&mut random, 12, 60.0);
        let rules = Rules { mothers: 4, apart_m: 20.0, stand_most: Some(3), stand_least: 1 };
        let exact = best_of_all(&all, &rules);
        let Ok(found) = choose(&all, &rules) else {
            missed += usize::from(exact.is_some());
            continue;
        };
        let exact = exact.expect("a choice was found");
        assert!(keeps_rules(&all, &found.chosen, &rules));
        assert!(found.worth <= exact + 1e-9 && exact <= found.bound + 1e-9);
        solved += 1;
        best_found += usize::from(found.worth >= exact - 1e-9);
        assert!(found.worth >= exact - 0.2 * exact.abs() - 1.0, "{} beside {exact}", found.worth);
    }
    assert!(solved > 250 && missed * 50 < solved, "{solved} solved, {missed} missed");
    assert!(best_found * 100 >= solved * 93, "{best_found} of {solved} are the best");
}

#[test]
fn without_distances_the_choice_is_the_best() {
    let mut random = Pcg64::seed_from_u64(11);
    for stand_most in [None, Some(3)] {
        for _ in 0..100 {
            let all = scattered(&mut random, 11, 60.0);
            let rules = Rules { mothers: 5, apart_m: 0.0, stand_most, stand_least: 1 };
            let Ok(found) = choose(&all, &rules) else { continue };
            let exact = best_of_all(&all, &rules).unwrap();
            assert!((found.worth - exact).abs() < 1e-9 && (found.bound - exact).abs() < 1e-9);
        }
    }
}

#[test]
fn what_the_rules_do_not_leave_is_told() {
    let tree = |x: f64, stand| Candidate { worth: 1.0, stand, at: [x, 0.0] };
    let near = [tree(0.0, 0), tree(1.0, 0), tree(2.0, 1)];
    let rules = Rules { mothers: 2, apart_m: 20.0, stand_most: None, stand_least: 0 };
    assert_eq!(choose(&near, &rules), Err(ChooseError::Few { found: 1, asked: 2 }));
    let rules = Rules { mothers: 1, stand_least: 1, ..rules };
    assert_eq!(choose(&near, &rules), Err(ChooseError::Stands { needed: 2, asked: 1 }));
    let none = Rules { mothers: 1, stand_least: 0, ..rules };
    assert_eq!(choose(&[], &none), Err(ChooseError::Few { found: 0, asked: 1 }));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn rules_are_kept_and_the_bound_holds(seed in any::<u64>(), count in 1_usize..400, mothers in 1_usize..40, apart_m in 0.0_f64..40.0, stand_least in 0_usize..3, most in prop::option::of(3_usize..30)) {
        let all = scattered(&mut Pcg64::seed_from_u64(seed), count, 400.0);
        let rules = Rules { mothers, apart_m, stand_most: most, stand_least };
        match choose(&all, &rules) {
            Ok(found) => {
                prop_assert!(keeps_rules(&all, &found.chosen, &rules));
                prop_assert!(found.worth <= found.bound + 1e-9);
                prop_assert_eq!(choose(&all, &rules), Ok(found));
            }
            Err(ChooseError::Few { found, asked }) => prop_assert!(found <= asked),
            Err(_) => prop_assert!(stand_least > 0),
        }
    }
}
