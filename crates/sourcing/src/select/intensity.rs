//! How far the best of many stand above the mean, in standard deviations.

use tally::{normal_above, normal_density, normal_quantile};

/// Where a share of the normal distribution lies above, and its mean over that place: (x, i = φ(x) / share).
/// `None` unless the share is between 0 and 1.
///
/// Source: Falconer & Mackay 1996, Introduction to Quantitative Genetics, ch. 11 (from memory).
#[must_use]
pub fn intensity(share: f64) -> Option<(f64, f64)> {
    let outside = |share: f64| normal_quantile(1.0 - 2.0 * share);
    let x = match share {
        upper if upper > 0.0 && upper < 0.5 => outside(upper)?,
        lower if lower > 0.5 && lower < 1.0 => -outside(1.0 - lower)?,
        half if (half - 0.5).abs() < f64::EPSILON => 0.0,
        _ => return None,
    };
    Some((x, normal_density(x) / share))
}

/// How much of the variance selection takes away: i (i − x).
#[must_use]
pub fn variance_loss(share: f64) -> Option<f64> {
    intensity(share).map(|(x, i)| i * (i - x))
}

/// The same of the best `chosen` of `tested`, by Burrows' correction of the endless case; poor for one.
/// `None` unless 0 < chosen < tested.
///
/// Source: Burrows 1972, Biometrics 28:1091 (from memory).
#[must_use]
pub fn intensity_burrows(chosen: usize, tested: usize) -> Option<f64> {
    let (n, of) = (chosen as f64, tested as f64);
    let (_, i) = intensity(n / of)?;
    Some(i - (of - n) / (2.0 * n * (of + 1.0) * i))
}

/// The mean of the best `chosen` of `tested` independent normal values, exactly: 0 when all are chosen or
/// none is tested.
///
/// The mean of the best n of N is an integral over the density of the value that just is not chosen:
/// i = N! / (n! (N − n − 1)!) ∫ φ(x) Q(x)ⁿ⁻¹ P(x)ᴺ⁻ⁿ⁻¹ φ(x) dx, from the mean of a tail, φ(x) / Q(x). It is
/// summed by Simpson's rule. Cost: 2,400 terms. Source: order statistics of the normal distribution.
#[must_use]
pub fn intensity_of_best(chosen: usize, tested: usize) -> f64 {
    /// Steps from one end to the other.
    const STEPS: usize = 2_400;
    /// Where the density is nothing, either side.
    const END: f64 = 12.0;
    if chosen == 0 || chosen >= tested {
        return 0.0;
    }
    let (n, of) = (chosen as f64, tested as f64);
    let ways = log_factorial(tested) - log_factorial(chosen) - log_factorial(tested - chosen - 1);
    let term = |x: f64| {
        let (above, below) = (normal_above(x), normal_above(-x));
        let log = ways
            + 2.0 * normal_density(x).ln()
            + (n - 1.0) * above.ln()
            + (of - n - 1.0) * below.ln();
        log.exp()
    };
    let step = 2.0 * END / STEPS as f64;
    let weight = |at: usize| match at {
        0 | STEPS => 1.0,
        odd if odd % 2 == 1 => 4.0,
        _ => 2.0,
    };
    (0..=STEPS).map(|at| weight(at) * term(-END + step * at as f64)).sum::<f64>() * step / 3.0
}

fn log_factorial(n: usize) -> f64 {
    (2..=n).map(|k| (k as f64).ln()).sum()
}

/// Reliability of a mother's worth from the mean of `n` of her half-sib offspring: n h²/4 over
/// 1 + (n − 1) h²/4.
///
/// Source: Falconer & Mackay 1996, ch. 13 (from memory).
#[must_use]
pub fn reliability_of_mother(heritability: f64, offspring: usize) -> f64 {
    let (n, quarter) = (offspring as f64, heritability / 4.0);
    n * quarter / (1.0 + (n - 1.0) * quarter)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: tables of selection intensity; 0.10 is also printed as 1.754983 by an open package that
    /// simulates breeding, 0.05 as 2.063 by an open package of selection indices.
    #[test]
    fn shares_of_the_tables() {
        for (share, i) in [
            (0.001, 3.3671),
            (0.01, 2.6652),
            (0.02, 2.4209),
            (0.05, 2.0627),
            (0.10, 1.754_983),
            (0.15, 1.5544),
            (0.20, 1.3998),
            (0.25, 1.2711),
            (0.30, 1.1590),
            (0.40, 0.9659),
            (0.50, 0.7979),
        ] {
            assert!((intensity(share).unwrap().1 - i).abs() < 6e-5, "{share}");
        }
        for (share, x) in [(0.01, 2.3263), (0.05, 1.6449), (0.10, 1.2816), (0.20, 0.8416)] {
            assert!((intensity(share).unwrap().0 - x).abs() < 6e-5, "{share}");
        }
        for (share, k) in [(0.01, 0.9032), (0.05, 0.8619), (0.10, 0.8309), (0.20, 0.7814)] {
            assert!((variance_loss(share).unwrap() - k).abs() < 6e-5, "{share}");
        }
        // Half: 2 / π.
        assert!((variance_loss(0.5).unwrap() - std::f64::consts::FRAC_2_PI).abs() < 1e-12);
        // What lies above and below balances.
        let (above, below) = (intensity(0.3).unwrap(), intensity(0.7).unwrap());
        assert!((0.3 * above.1 - 0.7 * below.1).abs() < 1e-12 && (above.0 + below.0).abs() < 1e-12);
        assert_eq!([0.0, 1.0, -0.1, f64::NAN].map(intensity), [None; 4]);
    }

    /// Figures integrated outside the program; 1 of 10 is 1.53875 in tables of order statistics (from memory).
    #[test]
    fn the_best_of_few() {
        for (chosen, tested, exact) in [
            (1, 10, 1.5388),
            (2, 10, 1.2701),
            (1, 20, 1.8675),
            (2, 20, 1.6375),
            (4, 20, 1.3318),
            (5, 50, 1.7055),
            (5, 100, 2.0182),
            (10, 100, 1.7298),
            (20, 100, 1.3857),
            (1, 100, 2.5076),
            (10, 200, 2.0401),
            (30, 300, 1.7465),
        ] {
            let found = intensity_of_best(chosen, tested);
            assert!((found - exact).abs() < 6e-5, "{chosen} of {tested}: {found}");
        }
        for (chosen, tested, near) in
            [(2, 20, 1.6329), (5, 50, 1.7047), (10, 100, 1.7296), (1, 100, 2.4813)]
        {
            assert!((intensity_burrows(chosen, tested).unwrap() - near).abs() < 6e-5);
        }
        assert!(
            [(0, 5), (5, 5), (7, 5)].iter().all(|(n, of)| intensity_of_best(*n, *of).abs() < 1e-12)
        );
    }

    /// Source: the half-sib form; figures computed outside the program.
    #[test]
    fn offspring_tell_of_their_mother() {
        for (h, expected) in [
            (0.27, [0.2657, 0.5915, 0.7835]),
            (0.40, [0.3571, 0.6897, 0.8475]),
            (0.69, [0.5104, 0.8065, 0.9125]),
        ] {
            for (n, reliability) in [5, 20, 50].into_iter().zip(expected) {
                assert!((reliability_of_mother(h, n) - reliability).abs() < 6e-5);
            }
        }
    }
}
