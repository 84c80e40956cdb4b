//! Prices of limits, roughly right, in little time.

use std::collections::BTreeMap;

use super::Limit;
use super::model::{Model, Row};

/// Steps of descent; each costs one look at every column.
const STEPS: usize = 1_000;
/// Steps from prices that are nearly right.
const FEWER_STEPS: usize = 200;
/// How far below the lowest bound a step aims at first, relative.
const AIM: f64 = 0.1;
/// The same from prices that are nearly right.
const NEAR_AIM: f64 = 0.01;
/// Steps without a better bound after which the aim is brought half as near.
const PATIENCE: usize = 12;

/// Prices of whole limits, in units of worth.
pub(super) type Prices = BTreeMap<Limit, f64>;

/// Prices by row, the whole row sold, and the bound that they prove.
pub(super) struct Guess {
    pub(super) prices: Vec<f64>,
    pub(super) bound: f64,
}

/// Lowers the bound by steps along its subgradient, with strides after Polyak 1969 that aim a
/// little below the lowest bound so far (both from memory); `reached` is the value of some assignment, `known` are prices
/// of a programme that differs little.
pub(super) fn guess(model: &Model, reached: f64, known: &Prices) -> Guess {
    let price = |row: &Row| known.get(&row.limit).map_or(0.0, |price| price / model.scale);
    let mut prices: Vec<f64> = model.rows.iter().map(price).collect();
    let steps = if known.is_empty() { STEPS } else { FEWER_STEPS };
    let mut best = Guess { bound: model.bound(&prices), prices: prices.clone() };
    let (mut aim, mut idle) = (if known.is_empty() { AIM } else { NEAR_AIM }, 0);
    for _ in 0..steps {
        let (bound, spare) = look(model, &prices);
        if bound < best.bound {
            (best.bound, idle) = (bound, 0);
            best.prices.clone_from(&prices);
        } else {
            idle += 1;
        }
        if idle > PATIENCE {
            (aim, idle) = (aim / 2.0, 0);
            prices.clone_from(&best.prices);
            continue;
        }
        let steepness: f64 = spare.iter().map(|spare| spare * spare).sum();
        if steepness <= 0.0 || best.bound <= reached {
            break;
        }
        let target = reached.max(best.bound - aim * best.bound.abs());
        let step = (bound - target) / steepness;
        for (price, spare) in prices.iter_mut().zip(&spare) {
            *price = (*price - step * spare).max(0.0);
        }
    }
    best.bound = model.bound(&best.prices); // with true values
    best
}

/// The bound at these prices, and what each row has to spare when every zone takes its choice.
fn look(model: &Model, prices: &[f64]) -> (f64, Vec<f64>) {
    let mut spare: Vec<f64> = model.rows.iter().map(|row| row.most).collect();
    let mut bound: f64 = spare.iter().zip(prices).map(|(most, price)| most * price).sum();
    for zone in 0..model.zones.len() {
        let best = model.best(zone, prices);
        bound += best.pays;
        for (row, fraction) in best.column.iter().flat_map(|&column| model.columns[column].uses()) {
            spare[row] -= fraction;
        }
    }
    (bound, spare)
}
