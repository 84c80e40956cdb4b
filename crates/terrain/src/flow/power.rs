//! Powers of eight numbers at once, where the standard library takes one at a time.

use std::f32::consts::{LN_2, LOG2_E};

use crate::padded::DIRECTIONS;

/// Each base to a power from 0 to 10, to within about one part in a million.
///
/// Bases are from 2⁻⁴⁰ to 2⁴⁰. Worked out from the exponent bits and two series: the inverse
/// hyperbolic tangent for the logarithm, the exponential for the way back.
#[inline]
pub(super) fn powers(bases: [f32; DIRECTIONS], power: f32) -> [f64; DIRECTIONS] {
    let mut fractions = [0.0_f32; DIRECTIONS];
    let mut wholes = [0_u32; DIRECTIONS];
    for ((fraction, whole), base) in fractions.iter_mut().zip(&mut wholes).zip(bases) {
        (*fraction, *whole) = exp2(power * log2(base));
    }
    let mut raised = [0.0; DIRECTIONS];
    for ((raised, fraction), whole) in raised.iter_mut().zip(fractions).zip(wholes) {
        *raised = f64::from(fraction) * f64::from_bits(u64::from(whole) << 52);
    }
    raised
}

/// Logarithm to base 2 of a number above the smallest normal one.
#[inline]
fn log2(x: f32) -> f32 {
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

/// 2 to a power from −400 to 400: a number close to 1, and the exponent bits (of a number in
/// double precision) of the power of two that goes with it.
#[inline]
fn exp2(y: f32) -> (f32, u32) {
    // Added to 1.5 × 2²³ a number is rounded to a whole one, which stands in the lowest bits; a
    // cast would do, but not for several numbers at once.
    const SHIFT: f32 = 12_582_912.0;
    let shifted = y + SHIFT;
    let z = (y - (shifted - SHIFT)) * LN_2;
    let whole = shifted.to_bits().wrapping_sub(SHIFT.to_bits());
    let v = z * z;
    let (first, second, third) = (1.0 + z, 0.5 + z * (1.0 / 6.0), 1.0 / 24.0 + z * (1.0 / 120.0));
    let fraction = first + v * (second + v * (third + v * (1.0 / 720.0)));
    (fraction, whole.wrapping_add(1023))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_agree_with_the_standard_library() {
        for step in -4000..=4000_i16 {
            let base = (f32::from(step) / 100.0).exp2();
            for power in [0.0, 0.5, 1.0, 1.1, 2.0, 4.0, 10.0] {
                let expected = f64::from(base).powf(f64::from(power));
                for raised in powers([base; DIRECTIONS], power) {
                    let apart = (raised - expected).abs();
                    assert!(
                        apart <= expected * 2e-6 * f64::from(power.max(1.0)) * 10.0,
                        "{base}^{power}"
                    );
                }
            }
        }
    }
}
