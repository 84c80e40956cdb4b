//! Small cases worked out by hand, at the edges above all.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed; equal bits are meant"
)]

use ledger::{
    CarbonTable, Driver, Flows, Irr, Range, Rate, TableFault, break_even, equal_yearly,
    internal_rates, one_at_a_time,
};

fn the_rate(cash: &[f64]) -> f64 {
    match internal_rates(&cash.iter().copied().collect()) {
        Irr::One(rate) => rate.per_year(),
        other => panic!("one rate: {other:?}"),
    }
}

/// A loan of 1,000 at 10 % over two years: 576.19 a year, for 1 / 1.1 + 1 / 1.21 = 2.1 / 1.21. At no interest, a half.
#[test]
fn an_equal_sum_a_year_pays_back_a_loan() {
    let tenth = Rate::new(0.1).unwrap();
    let yearly = equal_yearly(1_000.0, tenth, 2).unwrap();
    assert!((yearly - 1_000.0 * 1.21 / 2.1).abs() < 1e-9, "{yearly}");
    assert_eq!(equal_yearly(1_000.0, Rate::new(0.0).unwrap(), 2), Some(500.0));
    assert_eq!(equal_yearly(1_000.0, tenth, 0), None);
}

/// From 0 at age 0: 2 t a year up to age 2, 4 a year up to 6, 10 less in the year after.
#[test]
fn carbon_lies_on_straight_lines_between_the_rows() {
    let table = CarbonTable::new(&[(2.0, 4.0), (6.0, 20.0), (7.0, 10.0)]).unwrap();
    for (age, held) in [
        (-1.0, 0.0),
        (0.0, 0.0),
        (0.5, 1.0),
        (2.0, 4.0),
        (3.0, 8.0),
        (5.5, 18.0),
        (6.0, 20.0),
        (6.25, 17.5),
        (7.0, 10.0),
        (70.0, 10.0),
    ] {
        assert!((table.held(age) - held).abs() < 1e-12, "{age}: {}", table.held(age));
    }
    let gained = [0, 1, 2, 3, 6, 7, 8].map(|age| table.gained(age));
    for (found, expected) in gained.iter().zip([0.0, 2.0, 2.0, 4.0, 4.0, -10.0, 0.0]) {
        assert!((found - expected).abs() < 1e-12, "{gained:?}");
    }
    assert_eq!(table.last_age_years(), 7.0);
    // What stands there on the day of planting is no gain.
    let standing = CarbonTable::new(&[(0.0, 5.0), (1.0, 6.0)]).unwrap();
    assert_eq!((standing.held(0.0), standing.gained(0), standing.gained(1)), (5.0, 0.0, 1.0));
}

#[test]
fn rows_that_make_no_table_are_named() {
    let fault = |rows: &[(f64, f64)]| CarbonTable::new(rows).unwrap_err();
    assert_eq!(fault(&[(1.0, 0.0), (f64::INFINITY, 2.0)]), TableFault::Age(1));
    assert_eq!(fault(&[(f64::NAN, 0.0)]), TableFault::Age(0));
    assert_eq!(fault(&[(2.0, 0.0), (1.0, 2.0)]), TableFault::Age(1));
    assert_eq!(fault(&[(1.0, -0.5)]), TableFault::Amount(0));
    assert_eq!(fault(&[(1.0, f64::INFINITY)]), TableFault::Amount(0));
    assert!(CarbonTable::new(&[(0.0, 0.0), (1.0, 0.0)]).is_ok());
}

/// 1 in the first year and 10¹² in the next, or the other way round: the rate is 10¹² − 1, or 10⁻¹² − 1, next to where
/// the bounds of all roots lie.
#[test]
fn rates_next_to_their_bounds_are_found() {
    assert!((the_rate(&[-1.0, 1e12]) / 1e12 - 1.0).abs() < 1e-11);
    assert!(((the_rate(&[-1e12, 1.0]) + 1.0) / 1e-12 - 1.0).abs() < 1e-3);
}

/// 10 and 20 % (1,000 out, 2,300 in, 1,320 out), in dollars, thousandths of a cent or thousands of millions.
#[test]
fn the_unit_of_money_does_not_move_a_rate() {
    for unit in [1.0, 1e-5, 1e9] {
        let flows = [-1_000.0, 2_300.0, -1_320.0].map(|nzd| nzd * unit).into_iter().collect();
        let Irr::Several(rates) = internal_rates(&flows) else { panic!("two rates: {unit}") };
        assert_eq!(rates.len(), 2);
        for (rate, expected) in rates.iter().zip([0.1, 0.2]) {
            assert!((rate.per_year() - expected).abs() < 1e-9, "{unit}: {rate:?}");
        }
    }
    for unit in [1.0, 1e-5, 1e9] {
        assert!((the_rate(&[-100.0 * unit, 110.0 * unit]) - 0.1).abs() < 1e-12);
    }
}

/// Doubled in 3,000 years: the powers leave the range of numbers on the way to the rate.
#[test]
fn thousands_of_years_overflow_nothing() {
    let mut cash = vec![0.0; 3_001];
    (cash[0], cash[3_000]) = (-1.0, 2.0);
    let found = the_rate(&cash);
    assert!(((1.0 + found).powi(3_000) - 2.0).abs() < 1e-9, "{found}");
}

/// Years without cash before the first do not move the rate, nor does cash that is no number.
#[test]
fn years_without_cash_and_cash_that_is_no_number_are_left_out() {
    for cash in [
        &[-100.0, 110.0][..],
        &[0.0, 0.0, -100.0, 110.0, 0.0],
        &[f64::NAN, -100.0, 110.0, f64::INFINITY],
    ] {
        assert!((the_rate(cash) - 0.1).abs() < 1e-12, "{cash:?}");
    }
    assert!((the_rate(&[-100.0, f64::NAN, 121.0]) - 0.1).abs() < 1e-12);
}

#[test]
fn a_range_keeps_its_three_figures_and_their_order() {
    let range = Range::new(-1.5, 2.0, 7.0).unwrap();
    assert_eq!((range.low(), range.middle(), range.high()), (-1.5, 2.0, 7.0));
    assert!(Range::new(3.0, 3.0, 3.0).is_some());
    for (low, middle, high) in [
        (2.0, 1.0, 3.0),
        (1.0, 4.0, 3.0),
        (f64::NEG_INFINITY, 1.0, 2.0),
        (0.0, 1.0, f64::INFINITY),
        (0.0, f64::NAN, 2.0),
    ] {
        assert_eq!(Range::new(low, middle, high), None);
    }
}

/// a b c with a from 1 over 2 to 4, b from 5 over 10 to 20, c from 3 to 9 over 6: 120 in the middle.
#[test]
fn each_driver_moves_alone_from_the_middle_of_the_others() {
    let driver = |name: &str, [low, middle, high]: [f64; 3]| Driver {
        name: name.to_owned(),
        low,
        middle,
        high,
    };
    let drivers = [
        driver("c", [3.0, 6.0, 9.0]),
        driver("a", [1.0, 2.0, 4.0]),
        driver("b", [20.0, 10.0, 5.0]),
    ];
    let swings = one_at_a_time(&drivers, |values| values.iter().product());
    let found: Vec<_> =
        swings.iter().map(|one| (one.driver, one.at_low, one.at_high, one.width())).collect();
    // Equals in the order of the drivers.
    assert_eq!(found, [(1, 60.0, 240.0, 180.0), (2, 240.0, 60.0, 180.0), (0, 60.0, 180.0, 120.0)]);
}

#[test]
fn a_result_breaks_even_where_it_is_0_and_only_where_it_changes_sign() {
    let near = |found: Option<f64>, expected: f64| (found.unwrap() - expected).abs() < 1e-12;
    assert!(near(break_even(0.0, 4.0, |x| x * x - 2.0), 2.0_f64.sqrt()));
    assert!(near(break_even(0.0, 4.0, |x| 2.0 - x * x), 2.0_f64.sqrt()));
    assert!(near(break_even(4.0, 0.0, |x| x * x - 2.0), 2.0_f64.sqrt()));
    // At an end it is 0 as it is, whatever the other end says.
    assert_eq!(break_even(1.0, 3.0, |x| x - 1.0), Some(1.0));
    assert_eq!(break_even(1.0, 3.0, |x| x - 3.0), Some(3.0));
    assert_eq!(break_even(-1.0, 1.0, |x| x * x + 0.5), None);
    assert_eq!(break_even(-1.0, 1.0, |x| -x * x - 0.5), None);
    // No number at one end.
    assert_eq!(break_even(0.0, 1.0, |x| 2.0 - 1.0 / x), None);
    assert_eq!(break_even(0.0, 1.0, |x| if x < 0.5 { -1.0 } else { f64::NAN }), None);
}

#[test]
fn cash_is_added_by_year_and_years_come_to_be() {
    assert_eq!(Flows::none(3).iter().collect::<Vec<_>>(), [0.0; 3]);
    let mut flows = Flows::none(0);
    flows.add(2, 5.0);
    flows.add(2, -8.0);
    flows.add(0, 1.0);
    flows.add(3, 2.0);
    assert_eq!(flows.years(), 4);
    assert_eq!(flows.iter().collect::<Vec<_>>(), [1.0, 0.0, -3.0, 2.0]);
    assert_eq!(flows.cumulative(), [1.0, 1.0, -2.0, 0.0]);
    assert_eq!((flows.total(), flows[2], flows[4]), (0.0, -3.0, 0.0));
    // Paid back when it is 0 again, not only above.
    assert_eq!(flows.pays_back(), Some(3));
}

#[test]
fn a_rate_is_over_minus_1_and_discounts_by_whole_years() {
    for no_rate in [-1.0, -1.5, f64::NAN, f64::INFINITY] {
        assert_eq!(Rate::new(no_rate), None);
    }
    let half = Rate::new(-0.5).unwrap();
    assert_eq!([0, 1, 3].map(|year| half.factor(year)), [1.0, 2.0, 8.0]);
    assert_eq!(Rate::new(1.0).unwrap().factor(2), 0.25);
}
