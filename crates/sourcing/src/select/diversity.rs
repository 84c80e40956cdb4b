//! How much diversity so many mothers hold.

/// Status number: how many parents that give alike would hold as much diversity as these, whose shares of
/// the seed are told by any positive weights. Parents are unrelated and not inbred: 1 / Σ p².
///
/// 0 without weights.
///
/// ```
/// assert!((sourcing::select::status_number(&[0.4, 0.3, 0.2, 0.1]) - 3.3333).abs() < 1e-4);
/// ```
/// Source: Lindgren & Mullin 1998, Canadian J. Forest Research 28:276 (volume from memory).
#[must_use]
pub fn status_number(weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    let squares: f64 = weights.iter().map(|weight| weight * weight).sum();
    if squares > 0.0 { total * total / squares } else { 0.0 }
}

/// Group coancestry Θ = ΣΣ pᵢ pⱼ θᵢⱼ, a parent with itself counting (1 + F) / 2; the status number is
/// half its inverse. `coancestry` is the whole table, its diagonal included.
///
/// Source: Lindgren & Mullin 1998.
#[must_use]
pub fn group_coancestry(weights: &[f64], coancestry: &dyn Fn(usize, usize) -> f64) -> f64 {
    let total: f64 = weights.iter().sum();
    let all = (0..weights.len()).flat_map(|a| (0..weights.len()).map(move |b| (a, b)));
    all.map(|(a, b)| weights[a] * weights[b] / (total * total) * coancestry(a, b)).sum()
}

/// Chance that the mothers hold at least one copy of an allele of this frequency, two gametes each:
/// 1 − (1 − p)²ⁿ, for outcrossing plants.
///
/// Source: Brown & Marshall, as seed-banking protocols use it.
#[must_use]
pub fn chance_of_allele(frequency: f64, mothers: usize) -> f64 {
    1.0 - (1.0 - frequency).powf(2.0 * mothers as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: formula of Lindgren & Mullin 1998; figures computed outside the program.
    #[test]
    fn status_numbers_of_the_formula() {
        for (weights, expected) in [
            (&[10.0, 10.0, 10.0, 20.0, 50.0][..], 3.125),
            (&[1.0; 30], 30.0),
            (&[], 0.0),
            (&[0.0, 0.0, 5.0], 1.0),
        ] {
            assert!((status_number(weights) - expected).abs() < 1e-9);
        }
    }

    #[test]
    fn the_general_form_is_the_same_for_unrelated_mothers_and_less_for_sisters() {
        let weights = [3.0, 1.0, 4.0, 2.0];
        let unrelated = |a, b| if a == b { 0.5 } else { 0.0 };
        let status = 0.5 / group_coancestry(&weights, &unrelated);
        assert!((status - status_number(&weights)).abs() < 1e-12);
        let half_sisters = |a, b| if a == b { 0.5 } else { 0.125 };
        assert!(0.5 / group_coancestry(&weights, &half_sisters) < status);
    }

    /// Source: Brown & Marshall: 30 outcrossing plants for an allele of 0.05 with 95 %.
    #[test]
    fn thirty_mothers_hold_an_allele_of_a_twentieth() {
        assert!((chance_of_allele(0.05, 30) - 0.9540).abs() < 1e-4);
        assert!(chance_of_allele(0.05, 29) < 0.95);
    }
}
