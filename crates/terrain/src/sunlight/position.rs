//! Where the sun stands.

use super::SOLAR_CONSTANT_W_M2;

/// Julian date of noon of the day before 2025, the year whose days stand for any year's.
const NOON_BEFORE_2025: f64 = 2_460_676.0;

/// Julian date of noon of 1 January 2000.
const EPOCH: f64 = 2_451_545.0;

/// Where the sun stands as seen from a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Degrees clockwise from north.
    pub azimuth_deg: f64,
    /// Degrees above level of the straight line to the sun's middle; negative by night.
    pub elevation_deg: f64,
    /// The same as the eye sees it, lifted by the air's refraction.
    pub apparent_elevation_deg: f64,
    /// Watts a square metre that the sun brings to a surface that faces it outside the air.
    pub outside_w_m2: f64,
}

/// Where the sun stands at a moment.
///
/// # Units
/// Days of universal time as a Julian date (2451545 is noon of 1 January 2000); degrees, positive
/// north and east. Good to about 0.02° from 1950 to 2050.
///
/// ```
/// use terrain::sun_position;
/// let noon_at_greenwich = sun_position(2_451_716.5 + 0.5, 51.48, 0.0); // 21 June 2000
/// assert!((noon_at_greenwich.elevation_deg - (90.0 - 51.48 + 23.44)).abs() < 0.02);
/// ```
///
/// # References
/// The Astronomical Almanac, section C, low precision formulas for the sun, as in Michalsky 1988,
/// The Astronomical Almanac's algorithm for approximate solar position (1950–2050); Bennett 1982,
/// The calculation of astronomical refraction in marine navigation, turned round by Sæmundsson
/// 1986 (refraction at 1010 hPa and 10 °C).
#[must_use]
pub fn sun_position(julian_date: f64, latitude_deg: f64, longitude_deg: f64) -> SunPosition {
    let days = julian_date - EPOCH;
    let sun = Almanac::at(days);
    let sidereal_deg = 15.0 * (18.697_374_558 + 24.065_709_824_419_08 * days);
    let hour_angle_deg = sidereal_deg + longitude_deg - sun.right_ascension_deg;
    let [east, north, up] = towards_sun(latitude_deg, sun.declination_deg, hour_angle_deg);
    let elevation_deg = up.clamp(-1.0, 1.0).asin().to_degrees();
    SunPosition {
        azimuth_deg: east.atan2(north).to_degrees().rem_euclid(360.0),
        elevation_deg,
        apparent_elevation_deg: elevation_deg + refraction_deg(elevation_deg),
        outside_w_m2: sun.outside_w_m2(),
    }
}

/// The sun's angle north of the equator on a day of the year (1 is the first of January), at noon
/// in Greenwich of 2025; other years and places are within 0.3° (0.01° at the solstices).
///
/// ```
/// assert!((terrain::declination_deg(355.0) + 23.44).abs() < 0.01); // 21 December
/// ```
///
/// # References
/// As [`sun_position`].
#[must_use]
pub fn declination_deg(day_of_year: f64) -> f64 {
    Almanac::on(day_of_year).declination_deg
}

/// The sun against the stars, and its distance.
pub(super) struct Almanac {
    pub(super) declination_deg: f64,
    right_ascension_deg: f64,
    /// Against its mean.
    distance: f64,
}

impl Almanac {
    /// At noon in Greenwich of a day of 2025.
    pub(super) fn on(day_of_year: f64) -> Self {
        Self::at(NOON_BEFORE_2025 + day_of_year - EPOCH)
    }

    pub(super) fn outside_w_m2(&self) -> f64 {
        SOLAR_CONSTANT_W_M2 / (self.distance * self.distance)
    }

    /// Days after noon of 1 January 2000.
    fn at(days: f64) -> Self {
        let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
        let mean_longitude = 280.460 + 0.985_647_4 * days;
        let centre = 1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin();
        let (sin_longitude, cos_longitude) = (mean_longitude + centre).to_radians().sin_cos();
        let (sin_tilt, cos_tilt) = (23.439 - 0.000_000_4 * days).to_radians().sin_cos();
        Self {
            declination_deg: (sin_tilt * sin_longitude).asin().to_degrees(),
            right_ascension_deg: (cos_tilt * sin_longitude).atan2(cos_longitude).to_degrees(),
            distance: 1.000_14 - 0.016_71 * anomaly.cos() - 0.000_14 * (2.0 * anomaly).cos(),
        }
    }
}

/// Unit vector (east, north, up) towards the sun; the hour angle is negative before noon.
/// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, section 1.6, as a vector.
pub(super) fn towards_sun(
    latitude_deg: f64,
    declination_deg: f64,
    hour_angle_deg: f64,
) -> [f64; 3] {
    let (sin_latitude, cos_latitude) = latitude_deg.to_radians().sin_cos();
    let (sin_declination, cos_declination) = declination_deg.to_radians().sin_cos();
    let (sin_hour, cos_hour) = hour_angle_deg.to_radians().sin_cos();
    [
        -cos_declination * sin_hour,
        cos_latitude * sin_declination - sin_latitude * cos_declination * cos_hour,
        sin_latitude * sin_declination + cos_latitude * cos_declination * cos_hour,
    ]
}

/// How much higher than it stands the sun is seen; none well below the horizon.
pub(super) fn refraction_deg(elevation_deg: f64) -> f64 {
    if elevation_deg < -0.85 {
        return 0.0;
    }
    1.02 / 60.0 / (elevation_deg + 10.3 / (elevation_deg + 5.11)).to_radians().tan()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Meeus 1998, Astronomical Algorithms, example 25.a (figures from memory): 13 October 1992, 0 h,
    /// right ascension 198.380 83°, declination −7.785 07°, distance 0.997 66.
    #[test]
    fn the_almanac_agrees_with_a_worked_example() {
        let sun = Almanac::at(2_448_908.5 - EPOCH);
        assert!((sun.right_ascension_deg.rem_euclid(360.0) - 198.380_83).abs() < 0.02);
        assert!((sun.declination_deg + 7.785_07).abs() < 0.01);
        assert!((sun.distance - 0.997_66).abs() < 1e-4);
    }

    #[test]
    fn the_seasons_turn_when_they_should() {
        assert!((declination_deg(172.0) - 23.44).abs() < 0.01, "21 June");
        assert!((declination_deg(355.0) + 23.44).abs() < 0.01, "21 December");
        let equinox = |from: f64| declination_deg(from) * declination_deg(from + 1.0) < 0.0;
        assert!(equinox(78.0) && equinox(265.0), "20 March and 22 September 2025");
    }

    /// Duffie & Beckman, example 1.6.1 (from memory): Madison, 43° N, 13 February, 10:30 solar
    /// time, a surface tilted 45° and turned 15° west of south sees the sun at cos θ = 0.817; and
    /// example 1.6.2: at 9:30 the sun stands 66.5° from the zenith and 40.0° east of south.
    #[test]
    fn the_sun_stands_where_the_textbook_says() {
        let [east, north, up] = towards_sun(43.0, -14.0, -22.5);
        let (steep, flat) = 45.0_f64.to_radians().sin_cos();
        let (facing_east, facing_north) = 195.0_f64.to_radians().sin_cos();
        let cosine = steep * facing_east * east + steep * facing_north * north + flat * up;
        assert!((cosine - 0.817).abs() < 0.001, "{cosine}");

        let [east, north, up] = towards_sun(43.0, -14.0, -37.5);
        assert!((up.acos().to_degrees() - 66.5).abs() < 0.1);
        assert!((east.atan2(-north).to_degrees() - 40.0).abs() < 0.1);
    }

    /// Duffie & Beckman, equation 1.6.11: the day lasts (2/15) arccos(−tan φ tan δ) hours.
    #[test]
    fn the_sun_is_up_as_long_as_the_sunset_equation_says() {
        for latitude in [-47.0_f64, -38.0, 0.0, 20.0, 60.0] {
            for declination in [-23.45_f64, 0.0, 11.0, 23.45] {
                let steps = 86_400;
                let up = (0..steps)
                    .filter(|step| {
                        let hour_angle = 360.0 * f64::from(*step) / f64::from(steps) - 180.0;
                        towards_sun(latitude, declination, hour_angle)[2] > 0.0
                    })
                    .count();
                let cosine = -latitude.to_radians().tan() * declination.to_radians().tan();
                let expected = 2.0 / 15.0 * cosine.acos().to_degrees();
                assert!((up as f64 / 3600.0 - expected).abs() < 0.001);
                assert!(declination != 0.0 || (expected - 12.0).abs() < 1e-9, "equinox");
            }
        }
    }

    /// Bennett 1982 and every nautical almanac: about 34′ at the horizon, 5.3′ at 10°, 1′ at 45°.
    #[test]
    fn refraction_is_as_tabled() {
        for (apparent, minutes) in [(0.0, 34.5), (10.0, 5.3), (45.0, 1.0)] {
            let elevation = apparent - minutes / 60.0;
            assert!((refraction_deg(elevation) * 60.0 - minutes).abs() < 0.2, "{apparent}");
        }
    }
}
