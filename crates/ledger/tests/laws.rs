//! Laws of the ledger, published figures, and slow twins.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed; equal bits are meant"
)]

use ledger::{
    CarbonTable, Driver, Flows, Irr, Range, Rate, TableFault, annuity_factor, break_even,
    equal_yearly, internal_rates, npv, one_at_a_time,
};
use proptest::prelude::*;

fn rate(per_year: f64) -> Rate {
    Rate::new(per_year).unwrap()
}

/// −2,500 in year 0, nothing in years 1 to 5, 300, 600, then 1,300 in each of years 8 to 20.
fn worked() -> Flows {
    let mut flows = Flows::none(21);
    flows.add(0, -2_500.0);
    flows.add(6, 300.0);
    flows.add(7, 600.0);
    (8..=20).for_each(|year| flows.add(year, 1_300.0));
    flows
}

fn rates_of(irr: Irr) -> Vec<f64> {
    match irr {
        Irr::None | Irr::Every => vec![],
        Irr::One(one) => vec![one.per_year()],
        Irr::Several(several) => several.into_iter().map(Rate::per_year).collect(),
    }
}

/// Worked by hand from the formula, with the annuity factor for years 8 to 20.
#[test]
fn a_worked_case_at_four_rates() {
    for (at, expected) in [(0.05, 6_828.9), (0.06, 5_764.3), (0.08, 4_034.5), (0.10, 2_715.9)] {
        assert!((npv(&worked(), rate(at)) - expected).abs() < 0.1, "{at}");
    }
    let [found] = rates_of(internal_rates(&worked()))[..] else { panic!("one rate") };
    assert!((found - 0.1714).abs() < 1e-4, "{found}");
}

/// Tables of annuity factors, in any textbook.
#[test]
fn annuity_factors_of_tables() {
    for (at, years, expected) in [(0.06, 20, 11.4699), (0.08, 20, 9.8181), (0.10, 5, 3.7908)] {
        assert!((annuity_factor(rate(at), years) - expected).abs() < 5e-5, "{at} {years}");
    }
    assert_eq!(annuity_factor(rate(0.0), 7), 7.0);
    assert_eq!(equal_yearly(100.0, rate(0.06), 0), None);
}

#[test]
fn cash_of_one_sign_has_no_rate_and_no_cash_has_every() {
    let of = |cash: &[f64]| internal_rates(&cash.iter().copied().collect());
    assert_eq!(of(&[-5.0, -2.0]), Irr::None);
    assert_eq!(of(&[5.0]), Irr::None);
    assert_eq!(of(&[]), Irr::Every);
    assert_eq!(of(&[0.0, 0.0]), Irr::Every);
    // Two changes of sign and no rate: 1 − 2x + 2x² has no real root.
    assert_eq!(of(&[1.0, -2.0, 2.0]), Irr::None);
}

/// (1 − 1.1x)²: worth nothing at 10 % and above 0 on both sides.
#[test]
fn a_rate_that_is_only_touched_is_found() {
    let flows: Flows = [1.0, -2.2, 1.21].into_iter().collect();
    let found = rates_of(internal_rates(&flows));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0] - 0.1).abs() < 1e-6, "{found:?}");
}

#[test]
fn cash_up_to_then_and_the_year_that_pays_back() {
    assert_eq!(worked().pays_back(), Some(9));
    assert_eq!(worked().cumulative()[20], worked().total());
    let never: Flows = [-1.0, 0.5].into_iter().collect();
    assert_eq!(never.pays_back(), None);
    let always: Flows = [1.0, 0.5].into_iter().collect();
    assert_eq!(always.pays_back(), None);
    assert_eq!(always[9], 0.0);
}

#[test]
fn tables_of_carbon_that_are_none() {
    assert_eq!(CarbonTable::new(&[]), Err(TableFault::Empty));
    assert_eq!(CarbonTable::new(&[(1.0, 1.0), (1.0, 2.0)]), Err(TableFault::Age(1)));
    assert_eq!(CarbonTable::new(&[(-1.0, 1.0)]), Err(TableFault::Age(0)));
    assert_eq!(CarbonTable::new(&[(1.0, f64::NAN)]), Err(TableFault::Amount(0)));
    assert_eq!(Range::new(1.0, 0.5, 2.0), None);
}

fn cash() -> impl Strategy<Value = Vec<f64>> {
    let sum = prop_oneof![3 => -1_000.0..1_000.0_f64, 1 => Just(0.0)];
    proptest::collection::vec(sum, 1..30)
}

/// The present value by the formula as it stands in books.
fn slow_npv(cash: &[f64], at: f64) -> f64 {
    cash.iter().enumerate().map(|(year, nzd)| nzd / (1.0 + at).powf(year as f64)).sum()
}

fn changes_of_sign(cash: &[f64]) -> usize {
    let signs: Vec<bool> = cash.iter().filter(|nzd| **nzd != 0.0).map(|nzd| *nzd > 0.0).collect();
    signs.windows(2).filter(|two| two[0] != two[1]).count()
}

proptest! {
    #[test]
    fn present_value_is_that_of_the_formula(cash in cash(), at in -0.3..1.0_f64) {
        let found = npv(&cash.iter().copied().collect(), rate(at));
        let size: f64 = cash.iter().enumerate().map(|(t, c)| c.abs() * (1.0 + at).powf(-(t as f64))).sum();
        prop_assert!((found - slow_npv(&cash, at)).abs() <= 1e-12 * size.max(1.0));
    }

    #[test]
    fn every_rate_makes_cash_worth_nothing_and_they_are_no_more_than_changes_of_sign(cash in cash()) {
        let found = rates_of(internal_rates(&cash.iter().copied().collect()));
        prop_assert!(found.len() <= changes_of_sign(&cash));
        prop_assert!(found.is_sorted());
        for at in &found {
            let size: f64 = cash.iter().enumerate().map(|(t, c)| c.abs() * (1.0 + at).powf(-(t as f64))).sum();
            prop_assert!(slow_npv(&cash, *at).abs() <= 1e-9 * size, "{at}");
        }
    }

    /// The slow twin: walk over rates in small steps and note each change of sign.
    #[test]
    fn no_change_of_sign_on_a_walk_over_rates_is_missed(cash in cash()) {
        let found = rates_of(internal_rates(&cash.iter().copied().collect()));
        let mut before = (-0.6, slow_npv(&cash, -0.6));
        for step in 1..4_000 {
            let at = -0.6 + f64::from(step) * 1e-3;
            let now = (at, slow_npv(&cash, at));
            if before.1 * now.1 < 0.0 {
                prop_assert!(found.iter().any(|one| before.0 <= *one && *one <= now.0), "{} to {}: {found:?}", before.0, now.0);
            }
            before = now;
        }
    }

    /// Cash made from rates that are known: Π (1 − (1 + r) x).
    #[test]
    fn rates_that_cash_was_made_from_are_found(steps in proptest::collection::btree_set(0_u8..12, 1..5)) {
        let known: Vec<f64> = steps.iter().map(|step| f64::from(*step) * 0.07).collect();
        let mut cash = vec![1.0];
        for at in &known {
            let mut next = vec![0.0; cash.len() + 1];
            for (year, nzd) in cash.iter().enumerate() {
                next[year] += nzd;
                next[year + 1] -= nzd * (1.0 + at);
            }
            cash = next;
        }
        let found = rates_of(internal_rates(&cash.iter().copied().collect()));
        prop_assert_eq!(found.len(), known.len(), "{:?} {:?}", found, known);
        for (found, known) in found.iter().zip(&known) {
            prop_assert!((found - known).abs() < 1e-6, "{} {}", found, known);
        }
    }

    #[test]
    fn an_annuity_is_the_sum_of_its_years(at in -0.5..1.0_f64, years in 0_usize..60) {
        let slow: f64 = (1..=years).map(|year| rate(at).factor(year)).sum();
        prop_assert!((annuity_factor(rate(at), years) - slow).abs() <= 1e-9 * slow.max(1.0));
        if let Some(yearly) = equal_yearly(500.0, rate(at), years) {
            let mut flows = Flows::none(1);
            (1..=years).for_each(|year| flows.add(year, yearly));
            prop_assert!((npv(&flows, rate(at)) - 500.0).abs() < 1e-6);
        }
    }

    #[test]
    fn gains_of_carbon_add_up_to_what_is_held(gains in proptest::collection::vec((1_u8..9, 0.0..50.0_f64), 1..8)) {
        let (mut age, mut held) = (0.0, 0.0);
        let rows: Vec<(f64, f64)> = gains.iter().map(|(years, gain)| {
            age += f64::from(*years);
            held += gain;
            (age, held)
        }).collect();
        let table = CarbonTable::new(&rows).unwrap();
        for (age, held) in &rows {
            let sum: f64 = (0..=*age as usize).map(|year| table.gained(year)).sum();
            prop_assert!((sum - held).abs() < 1e-9);
        }
        prop_assert!((table.held(1e6) - held).abs() < 1e-12 && table.gained(10_000) == 0.0);
        prop_assert_eq!(table.last_age_years(), age);
    }

    #[test]
    fn swings_are_sorted_and_a_linear_result_breaks_even_where_algebra_says(
        factors in proptest::collection::vec(-5.0..5.0_f64, 1..6), base in -10.0..10.0_f64,
    ) {
        let driver = |at: usize| Driver { name: at.to_string(), low: 0.5, middle: 1.0, high: 2.0 };
        let drivers: Vec<Driver> = (0..factors.len()).map(driver).collect();
        let result = |values: &[f64]| base + values.iter().zip(&factors).map(|(v, f)| v * f).sum::<f64>();
        let swings = one_at_a_time(&drivers, result);
        prop_assert!(swings.windows(2).all(|two| two[0].width() >= two[1].width()));
        for swing in &swings {
            prop_assert!((swing.width() - 1.5 * factors[swing.driver].abs()).abs() < 1e-9);
        }
        let first = |value: f64| {
            let mut values = vec![1.0; factors.len()];
            values[0] = value;
            result(&values)
        };
        let exact = 1.0 - first(1.0) / factors[0];
        match break_even(-100.0, 100.0, first) {
            Some(found) => prop_assert!((found - exact).abs() < 1e-6 * exact.abs().max(1.0)),
            None => prop_assert!(!(-99.99..=99.99).contains(&exact)),
        }
    }
}
