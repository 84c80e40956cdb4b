//! The normal distribution.

use std::f64::consts::{PI, SQRT_2};

/// Density of the standard normal distribution.
#[must_use]
pub fn normal_density(z: f64) -> f64 {
    (-z * z / 2.0).exp() / (2.0 * PI).sqrt()
}

/// Chance that a standard normal value lies above `z`.
#[must_use]
pub fn normal_above(z: f64) -> f64 {
    libm::erfc(z / SQRT_2) / 2.0
}

/// How many standard deviations on either side of the mean hold a share `confidence` of the normal
/// distribution; 1.96 for 0.95. `None` when `confidence` is not between 0 and 1.
///
/// Newton's steps on erfc(z / √2) = 1 − confidence from 0: the curve falls and is convex, so that each
/// step comes nearer from below.
#[must_use]
pub fn normal_quantile(confidence: f64) -> Option<f64> {
    if !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let outside = 1.0 - confidence;
    let mut z = 0.0_f64;
    for _ in 0..100 {
        let over = libm::erfc(z / SQRT_2) - outside;
        let step = over * (PI / 2.0).sqrt() * (z * z / 2.0).exp();
        z += step;
        if step.abs() <= 1e-15 * z {
            break;
        }
    }
    Some(z)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: tables of the normal distribution, ten digits (from memory).
    #[test]
    fn quantiles_of_the_tables() {
        for (confidence, z) in [
            (0.5, 0.674_489_750_2),
            (0.8, 1.281_551_565_5),
            (0.9, 1.644_853_626_95),
            (0.95, 1.959_963_984_54),
            (0.99, 2.575_829_303_55),
            (0.999, 3.290_526_731_5),
        ] {
            let found = normal_quantile(confidence).unwrap();
            assert!((found - z).abs() < 1e-9, "{confidence}: {found}");
        }
    }

    /// What lies beyond on both sides is what the confidence leaves, near the middle and far out.
    #[test]
    fn a_quantile_leaves_what_is_outside() {
        for outside in [0.999, 0.9, 0.5, 0.1, 1e-3, 1e-6, 1e-9, 1e-12, 1e-15] {
            let confidence = 1.0 - outside;
            let (left, z) = (1.0 - confidence, normal_quantile(confidence).unwrap());
            let beyond = 2.0 * normal_above(z);
            assert!((beyond / left - 1.0).abs() < 1e-12, "{outside}: {beyond} beyond {z}");
        }
    }

    #[test]
    fn what_is_no_confidence_has_no_quantile() {
        for confidence in [0.0, 1.0, -0.1, 1.1, f64::NAN, f64::INFINITY] {
            assert_eq!(normal_quantile(confidence), None, "{confidence}");
        }
    }

    /// Source: tables of the normal distribution (from memory).
    #[test]
    fn density_and_tail_of_the_tables() {
        for (z, density, above) in [
            (0.0, 0.398_942_280_4, 0.5),
            (1.0, 0.241_970_724_5, 0.158_655_253_9),
            (-1.0, 0.241_970_724_5, 0.841_344_746_1),
            (3.0, 0.004_431_848_4, 0.001_349_898_0),
        ] {
            assert!((normal_density(z) - density).abs() < 1e-10, "{z}");
            assert!((normal_above(z) - above).abs() < 1e-10, "{z}");
        }
    }
}
