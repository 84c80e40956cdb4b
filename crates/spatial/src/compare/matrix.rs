//! Ground that changed line: from what to what, in hectares.

use std::collections::BTreeMap;

/// Hectares by what stood there and what will.
pub(super) type Matrix = BTreeMap<(String, String), f64>;

/// Less than a hundredth of a square metre is rounding.
const LEAST_HA: f64 = 1e-6;

/// Adds ground that was shared one way and is shared another.
///
/// Of each line the smaller share stays as it is; what is left over of the others changes, each in proportion. So rows
/// add up to what stood there, and columns to what will, whichever plant is meant by a share of a mixture.
pub(super) fn add(
    matrix: &mut Matrix,
    from: &BTreeMap<String, f64>,
    to: &BTreeMap<String, f64>,
    hectares: f64,
) {
    let mut put = |a: &String, b: &String, share: f64| {
        if share > 0.0 {
            *matrix.entry((a.clone(), b.clone())).or_default() += share * hectares;
        }
    };
    let kept = |name: &String| {
        from.get(name).copied().unwrap_or(0.0).min(to.get(name).copied().unwrap_or(0.0))
    };
    for name in from.keys() {
        put(name, name, kept(name));
    }
    let less = |shares: &BTreeMap<String, f64>| -> Vec<(String, f64)> {
        let left = shares.iter().map(|(name, share)| (name.clone(), share - kept(name)));
        left.filter(|(_, share)| *share > 0.0).collect()
    };
    let (gives, takes) = (less(from), less(to));
    let changing: f64 = takes.iter().map(|(_, share)| share).sum();
    for (a, given) in &gives {
        for (b, taken) in &takes {
            put(a, b, given * taken / changing);
        }
    }
}

/// Hectares that change, in all.
pub(super) fn changed(matrix: &Matrix) -> f64 {
    matrix.iter().filter(|((a, b), _)| a != b).fold(0.0, |sum, (_, hectares)| sum + hectares)
}

/// Without what rounding left.
pub(super) fn without_crumbs(matrix: Matrix) -> Matrix {
    matrix.into_iter().filter(|(_, hectares)| *hectares >= LEAST_HA).collect()
}
