//! Angles of a downhill gradient, without branches so that a row of them is computed several at a
//! time, and in steps that a row can take one after another.

/// Degrees.
const RIGHT_ANGLE: f32 = 90.0;

/// Arc tangent in degrees of a number from 0 to 1, to about 2e-6 degree before rounding.
///
/// Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, formula 4.4.49
/// (coefficients from memory; a test compares with the standard library's arc tangent).
#[inline]
pub(crate) fn arctan_deg(x: f32) -> f32 {
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
    let (tangent, from) = inclination_tangent(east, north);
    (from - arctan_deg(tangent)).abs()
}

/// Tangent, from 0 to 1, of the angle between the ground and level or, where that is nearer, upright;
/// and which of the two it is measured from, 0 or 90 degrees.
#[inline]
pub(crate) fn inclination_tangent(east: f32, north: f32) -> (f32, f32) {
    let fall = (east * east + north * north).sqrt();
    let gentle = fall < 1.0;
    let (small, large) = if gentle { (fall, 1.0) } else { (1.0, fall) };
    (small / large, if gentle { 0.0 } else { RIGHT_ANGLE })
}

/// Tangent, from 0 to 1, of the angle between the vector (`east`, `north`) and the nearest of the four
/// winds; NaN for no vector.
#[inline]
pub(crate) fn bearing_tangent(east: f32, north: f32) -> f32 {
    let (across, along) = (east.abs(), north.abs());
    let (small, large) = if across < along { (across, along) } else { (along, across) };
    small / large // 0 ÷ 0 on level ground: no bearing
}

/// Bearing clockwise from north of the vector (`east`, `north`), in `0..360`, from the angle between
/// it and the nearest of the four winds.
#[inline]
pub(crate) fn bearing_deg(east: f32, north: f32, acute: f32) -> f32 {
    // How far it is from the way to which it was measured: a sign fewer to choose each time.
    let nearer_north = east.abs() < north.abs();
    let quarter = (if nearer_north { 0.0 } else { RIGHT_ANGLE } - acute).abs();
    let half = (if north < 0.0 { 2.0 * RIGHT_ANGLE } else { 0.0 } - quarter).abs();
    let full = (if east < 0.0 { 4.0 * RIGHT_ANGLE } else { 0.0 } - half).abs();
    if full >= 4.0 * RIGHT_ANGLE { 0.0 } else { full }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facing_deg(east: f32, north: f32) -> f32 {
        bearing_deg(east, north, arctan_deg(bearing_tangent(east, north)))
    }

    #[test]
    fn angles_agree_with_the_standard_library() {
        for step in 0..3600 {
            let (sin, cos) = f64::from(step).mul_add(0.1, 0.033).to_radians().sin_cos();
            for steepness in [1e-4, 0.03, 0.7, 0.999_99, 1.0, 1.3, 40.0] {
                let (east, north) = ((sin * steepness) as f32, (cos * steepness) as f32);
                let (e, n) = (f64::from(east), f64::from(north));
                let bearing = e.atan2(n).to_degrees().rem_euclid(360.0);
                assert!((f64::from(facing_deg(east, north)) - bearing).abs() < 5e-5);
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
            bearings.map(|(east, north)| facing_deg(east, north)),
            [0.0, 90.0, 180.0, 270.0]
        );
        assert!(facing_deg(0.0, 0.0).is_nan());
        assert!(facing_deg(f32::NAN, 1.0).is_nan() && inclination_deg(1.0, f32::NAN).is_nan());
        assert_eq!(facing_deg(-1e-9, 1.0), 0.0, "never 360");
    }
}
