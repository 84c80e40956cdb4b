//! Transportation problems with published optima: zones are the customers, lines the sources, and
//! worth is a large price less the cost, so that everybody is served at the least cost.

use super::{programme, solved};

/// Least cost of serving every demand from the supplies.
fn least_cost(supply: &[f64], demand: &[f64], cost: &[&[f64]]) -> f64 {
    let price = 1_000.0;
    let offers: Vec<_> = (0..demand.len())
        .map(|to| cost.iter().map(|from| Some((price - from[to], 1.0))).collect())
        .collect();
    let supplies: Vec<_> = supply.iter().map(|&amount| Some(amount)).collect();
    let answer = solved(&programme(demand, &offers, &supplies));
    let served: f64 = answer.given.iter().flatten().map(|part| part.share).sum();
    assert!((served - demand.len() as f64).abs() < 1e-6, "{:?}", answer.given);
    price * demand.iter().sum::<f64>() - answer.objective
}

/// Winston, Operations Research: Applications and Algorithms, chapter on transportation problems,
/// three power plants and four cities; optimum 1,020 (data and optimum from memory).
#[test]
fn three_plants_serve_four_cities_for_1020() {
    let cost: [&[f64]; 3] =
        [&[8.0, 6.0, 10.0, 9.0], &[9.0, 12.0, 13.0, 7.0], &[14.0, 9.0, 16.0, 5.0]];
    let least = least_cost(&[35.0, 50.0, 40.0], &[45.0, 20.0, 30.0, 30.0], &cost);
    // The preference among equals costs at most a millionth of the price of all 125 units.
    assert!((least - 1_020.0).abs() < 0.125, "{least}");
}

/// Dantzig 1963, Linear Programming and Extensions, chapter 3.3, two canneries and three markets,
/// with freight of 90 a case and thousand miles; optimum 153.675 (data and optimum from memory).
#[test]
fn two_canneries_serve_three_markets_for_153_675() {
    let miles: [[f64; 3]; 2] = [[2.5, 1.7, 1.8], [2.5, 1.8, 1.4]];
    let cost = miles.map(|row| row.map(|thousand_miles| thousand_miles * 90.0 / 1_000.0));
    let cost: Vec<&[f64]> = cost.iter().map(<[f64; 3]>::as_slice).collect();
    let least = least_cost(&[350.0, 600.0], &[325.0, 300.0, 275.0], &cost);
    assert!((least - 153.675).abs() < 0.9, "{least}");
}
