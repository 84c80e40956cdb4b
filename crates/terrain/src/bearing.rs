//! Angles of a downhill gradient, without branches so that a row of them is computed several at a time.

/// Degrees.
const RIGHT_ANGLE: f32 = 90.0;

/// Arc tangent in degrees of a number from 0 to 1, to about 2e-6 degree before rounding.
///
/// Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, formula 4.4.49
/// (coefficients from memory; a test compares with the standard library's arc tangent).
#[inline]
fn arctan_deg(x: f32) -> f32 {
    const COEFFICIENTS: [f32; 8] = [
        0.002_866_225_7,
        -0.016_165_737,
        0.042_909_614,
        -0.075_289_64,
        0.106_562_64,
        -0.142_089,
        0.199_935_51,
        -0.333_331_45,
    ];
    let square = x * x;
    let tail = COEFFICIENTS.iter().fold(0.0, |sum, coefficient| (sum + coefficient) * square);
    (x + x * tail) * (180.0 / std::f32::consts::PI)
}

/// Angle from level of ground that falls `east` and `north` metres a metre; NaN stays NaN.
#[inline]
pub(crate) fn inclination_deg(east: f32, north: f32) -> f32 {
    let fall = (east * east + north * north).sqrt();
    let gentle = fall < 1.0;
    let (small, large) = if gentle { (fall, 1.0) } else { (1.0, fall) };
    let acute = arctan_deg(small / large);
    if gentle { acute } else { RIGHT_ANGLE - acute }
}

/// Bearing clockwise from north of the vector (`east`, `north`), in `0..360`; NaN for no vector.
#[inline]
pub(crate) fn bearing_deg(east: f32, north: f32) -> f32 {
    let (across, along) = (east.abs(), north.abs());
    let nearer_north = across < along;
    let (small, large) = if nearer_north { (across, along) } else { (along, across) };
    let acute = arctan_deg(small / large); // 0 ÷ 0 on level ground: no bearing
    let quarter = if nearer_north { acute } else { RIGHT_ANGLE - acute };
    let half = if north < 0.0 { 2.0 * RIGHT_ANGLE - quarter } else { quarter };
    let full = if east < 0.0 { 4.0 * RIGHT_ANGLE - half } else { half };
    if full >= 4.0 * RIGHT_ANGLE { 0.0 } else { full }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_agree_with_the_standard_library() {
        for step in 0..3600 {
            let (sin, cos) = f64::from(step).mul_add(0.1, 0.033).to_radians().sin_cos();
            for steepness in [1e-4, 0.03, 0.7, 0.999_99, 1.0, 1.3, 40.0] {
                let (east, north) = ((sin * steepness) as f32, (cos * steepness) as f32);
                let (e, n) = (f64::from(east), f64::from(north));
                let bearing = e.atan2(n).to_degrees().rem_euclid(360.0);
                assert!((f64::from(bearing_deg(east, north)) - bearing).abs() < 5e-5);
                let inclination = e.hypot(n).atan().to_degrees();
                assert!((f64::from(inclination_deg(east, north)) - inclination).abs() < 2e-5);
            }
        }
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "exact by construction")]
    fn the_four_winds_are_exact() {
        let bearings = [(0.0, 2.0), (2.0, 0.0), (0.0, -2.0), (-2.0, 0.0)];
        assert_eq!(
            bearings.map(|(east, north)| bearing_deg(east, north)),
            [0.0, 90.0, 180.0, 270.0]
        );
        assert!(bearing_deg(0.0, 0.0).is_nan());
        assert!(bearing_deg(f32::NAN, 1.0).is_nan() && inclination_deg(1.0, f32::NAN).is_nan());
        assert_eq!(bearing_deg(-1e-9, 1.0), 0.0, "never 360");
    }
}
