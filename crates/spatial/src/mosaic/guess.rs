//! Prices of limits, roughly right, in little time.

use super::model::Model;

/// Steps of descent; each costs one look at every column.
const STEPS: usize = 300;
/// Steps without a better bound after which the stride is halved.
const PATIENCE: usize = 12;

/// Prices by row, the whole row sold, and the bound that they prove.
pub(super) struct Guess {
    pub(super) prices: Vec<f64>,
    pub(super) bound: f64,
}

/// Lowers the bound by steps along its subgradient, with strides after Polyak 1969 and Held, Wolfe
/// & Crowder 1974 (both from memory); `reached` is the value of some assignment.
pub(super) fn guess(model: &Model, reached: f64) -> Guess {
    let reached = if reached.is_finite() { reached } else { 0.0 };
    let mut prices = vec![0.0; model.rows.len()];
    let mut best = Guess { bound: model.bound(&prices), prices: prices.clone() };
    let (mut stride, mut idle) = (1.0, 0);
    for _ in 0..STEPS {
        let (bound, spare) = look(model, &prices);
        if bound < best.bound {
            (best.bound, idle) = (bound, 0);
            best.prices.clone_from(&prices);
        } else {
            idle += 1;
        }
        if idle > PATIENCE {
            (stride, idle) = (stride / 2.0, 0);
            prices.clone_from(&best.prices);
        }
        let steepness: f64 = spare.iter().map(|spare| spare * spare).sum();
        if steepness <= 0.0 || best.bound <= reached {
            break;
        }
        let step = stride * (bound - reached) / steepness;
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
