//! The rates at which cash over years is worth nothing now.
//!
//! With x = 1 / (1 + r), the present value is p(x) = Σ c(t) x^t, and every rate over −1 is an x over 0. The
//! roots of p are those of x^−k p for any k, whose slope has the sign of q(x) = Σ (t − k) c(t) x^t. With k
//! between the two years of a change of sign, q has one change of sign less than p; between two neighbouring
//! roots of q, x^−k p goes one way, so it has at most one root there, which bisection finds. So all roots
//! come to light, however many there are: Descartes' rule of signs and Rolle's theorem (textbook, from memory).

use crate::{Flows, Rate};

/// The internal rates of return of cash over years.
#[derive(Debug, Clone, PartialEq)]
pub enum Irr {
    /// No rate makes the cash worth nothing: it is all of one sign, or never breaks even.
    None,
    /// Exactly one does.
    One(Rate),
    /// Several do, in rising order: none of them says by itself whether the cash is worth having.
    Several(Vec<Rate>),
    /// Every rate does: there is no cash at all.
    Every,
}

/// Bisections: enough to exhaust the digits of a logarithm.
const STEPS: usize = 200;

/// How near to 0 a present value is one that only touches 0, beside the sum of its parts.
const TOUCHES: f64 = 1e-13;

/// Finds every internal rate of return over −1.
///
/// Cost: O(changes of sign² × years); with n changes of sign there are at most n rates.
///
/// ```
/// use ledger::{Flows, Irr, internal_rates};
/// // 1,000 out, 2,300 in, 1,320 out: worth nothing at 10 % and at 20 %.
/// let flows: Flows = [-1_000.0, 2_300.0, -1_320.0].into_iter().collect();
/// let Irr::Several(rates) = internal_rates(&flows) else { panic!() };
/// let found: Vec<f64> = rates.iter().map(|rate| (rate.per_year() * 1e6).round() / 1e6).collect();
/// assert_eq!(found, [0.1, 0.2]);
/// ```
#[must_use]
pub fn internal_rates(flows: &Flows) -> Irr {
    let terms: Vec<Term> = flows
        .iter()
        .enumerate()
        .filter(|(_, cash)| cash.is_finite() && cash.abs() > 0.0)
        .map(|(year, cash)| Term { power: year as f64, factor: cash })
        .collect();
    if terms.is_empty() {
        return Irr::Every;
    }
    // x = e^z, so a rate is e^−z − 1; those that no number can hold are no rates.
    let mut rates: Vec<Rate> =
        roots(&terms).into_iter().rev().filter_map(|z| Rate::new((-z).exp_m1())).collect();
    match rates.len() {
        0 => Irr::None,
        1 => Irr::One(rates.remove(0)),
        _ => Irr::Several(rates),
    }
}

/// One year's part of a sum of powers.
#[derive(Debug, Clone, Copy)]
struct Term {
    power: f64,
    factor: f64,
}

/// The logarithms of all roots over 0, rising.
fn roots(terms: &[Term]) -> Vec<f64> {
    let Some(change) = terms.windows(2).find(|two| (two[0].factor > 0.0) != (two[1].factor > 0.0))
    else {
        return Vec::new();
    };
    let between = f64::midpoint(change[0].power, change[1].power);
    let slope: Vec<Term> = terms
        .iter()
        .map(|term| Term { factor: (term.power - between) * term.factor, ..*term })
        .collect();
    let [least, most] = bounds(terms);
    let mut edges = vec![least];
    edges.extend(roots(&slope).into_iter().filter(|z| *z > least && *z < most));
    edges.push(most);
    let signs: Vec<i8> = edges.iter().map(|z| sign(terms, *z)).collect();
    let mut found = Vec::new();
    for at in 0..edges.len() {
        if signs[at] == 0 {
            found.push(edges[at]);
        }
        if at + 1 < edges.len() && signs[at] * signs[at + 1] < 0 {
            found.push(bisect(terms, edges[at], edges[at + 1], signs[at]));
        }
    }
    found
}

/// Logarithms between which all roots lie: a root x has 1 / (1 + m) < x < 1 + m' where m and m' are the largest
/// factor over the first and over the last, whatever whole steps the powers take (Cauchy's bound; textbook).
fn bounds(terms: &[Term]) -> [f64; 2] {
    let largest = terms.iter().fold(0.0_f64, |most, term| most.max(term.factor.abs()));
    let over = |one: Option<&Term>| one.map_or(0.0, |one| (largest / one.factor.abs()).ln_1p());
    [-over(terms.first()) - 1e-9, over(terms.last()) + 1e-9]
}

/// The sign of the sum at e^z; 0 where it is as near to 0 as its digits tell.
fn sign(terms: &[Term], z: f64) -> i8 {
    // Scaled by the greatest power of e among its parts, so that none overflows.
    let exponent = |term: &Term| term.power * z + term.factor.abs().ln();
    let greatest = terms.iter().map(exponent).fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut size) = (0.0, 0.0);
    for term in terms {
        let part = (exponent(term) - greatest).exp();
        sum += part * term.factor.signum();
        size += part;
    }
    match sum {
        sum if sum.abs() <= TOUCHES * size => 0,
        sum if sum > 0.0 => 1,
        _ => -1,
    }
}

/// The root between two places of unlike sign.
fn bisect(terms: &[Term], mut low: f64, mut high: f64, at_low: i8) -> f64 {
    for _ in 0..STEPS {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        match sign(terms, middle) {
            0 => return middle,
            same if same == at_low => low = middle,
            _ => high = middle,
        }
    }
    f64::midpoint(low, high)
}
