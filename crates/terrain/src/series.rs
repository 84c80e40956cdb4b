//! Functions without branches, so that several numbers are worked out at a time, where the standard
//! library takes one.

use std::f32::consts::{FRAC_PI_4, LN_2, LOG2_E, PI};

/// Logarithm to base 2 of a number from the smallest normal one up; without meaning for others.
///
/// To about 4e-7, and to half a unit in the last place of what is larger than 4. Worked out from
/// the exponent bits and the series of the inverse hyperbolic tangent.
#[inline]
pub(crate) fn log2(x: f32) -> f32 {
    let bits = x.to_bits();
    let exponent = (bits >> 23) as i32;
    let mantissa = f32::from_bits(bits & 0x007f_ffff | 0x3f80_0000);
    let t = (mantissa - 1.0) / (mantissa + 1.0); // ln m = 2 artanh t
    let u = t * t;
    // Summed in pairs, which the processor adds side by side.
    let (first, second) = (1.0 / 3.0 + u * 0.2, 1.0 / 7.0 + u * (1.0 / 9.0));
    let v = u * u;
    let tail = u * (first + v * (second + v * (1.0 / 11.0)));
    (exponent as f32 - 127.0) + 2.0 * LOG2_E * (t + t * tail)
}

/// 2 to a power from −126 to 126, to about one part in a million.
///
/// Worked out from the exponent bits and the exponential series.
#[inline]
pub(crate) fn exp2(y: f32) -> f32 {
    // Added to 1.5 × 2²³ a number is rounded to a whole one, which stands in the lowest bits; a
    // cast would do, but not for several numbers at once.
    const SHIFT: f32 = 12_582_912.0;
    let shifted = y + SHIFT;
    let z = (y - (shifted - SHIFT)) * LN_2;
    let whole = shifted.to_bits().wrapping_sub(SHIFT.to_bits());
    let v = z * z;
    let (first, second, third) = (1.0 + z, 0.5 + z * (1.0 / 6.0), 1.0 / 24.0 + z * (1.0 / 120.0));
    let fraction = first + v * (second + v * (third + v * (1.0 / 720.0)));
    fraction * f32::from_bits(whole.wrapping_add(127) << 23)
}

/// Logarithm to base 2 of the tangent of an angle above 0 and up to 90 degrees, the last taken as a
/// hair less.
///
/// Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, formula 4.3.101 (tangent
/// up to 45°; coefficients from memory; a test compares with the standard library).
#[inline]
pub(crate) fn log2_tan_deg(angle: f32) -> f32 {
    const COEFFICIENTS: [f32; 6] =
        [0.009_516_809, 0.002_900_525, 0.024_565_09, 0.053_374_06, 0.133_392_4, 0.333_331_4];
    const HAIR: f32 = 1e-6;
    let steep = angle > 45.0;
    let acute = if steep { 90.0 - angle } else { angle };
    let x = (if acute > HAIR { acute } else { HAIR }) * (PI / 180.0);
    debug_assert!(x.is_nan() || x <= FRAC_PI_4 * 1.001);
    let square = x * x;
    let tail = COEFFICIENTS.iter().fold(0.0, |sum, coefficient| (sum + coefficient) * square);
    let log = log2(x + x * tail);
    if steep { -log } else { log }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_of_two_agree_with_the_standard_library() {
        for step in -12_600..=12_600_i16 {
            let power = f32::from(step) / 100.0;
            let expected = f64::from(power).exp2();
            let apart = (f64::from(exp2(power)) - expected).abs();
            assert!(apart <= expected * 1e-6, "2^{power}");
        }
        assert!((exp2(0.0) - 1.0).abs() == 0.0);
    }

    #[test]
    fn logarithms_agree_with_the_standard_library() {
        for step in -12_600..=12_700_i16 {
            let x = (f32::from(step) / 100.0).exp2();
            let expected = f64::from(x).log2();
            let apart = (f64::from(log2(x)) - expected).abs();
            assert!(apart <= (expected.abs() * 1.2e-7).max(5e-7), "log2({x}): {apart}");
        }
    }

    #[test]
    fn tangents_agree_with_the_standard_library() {
        for step in 1..90_000_u32 {
            let angle = step as f32 / 1000.0;
            let expected = f64::from(angle).to_radians().tan().log2();
            let apart = (f64::from(log2_tan_deg(angle)) - expected).abs();
            assert!(apart <= (expected.abs() * 2e-7).max(1e-6), "{angle}: {apart}");
        }
        assert!(log2_tan_deg(90.0).is_finite());
    }
}
