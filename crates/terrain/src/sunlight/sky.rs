//! Where the sun stands and how strong its beam is under a clear sky.

/// The day of the year whose daily sun is nearest each month's mean.
/// Source: Klein 1977, Calculation of monthly average insolation on tilted surfaces.
const MEAN_DAYS: [f64; 12] =
    [17.0, 47.0, 75.0, 105.0, 135.0, 162.0, 198.0, 228.0, 258.0, 288.0, 318.0, 344.0];

/// Days in each month, leap years spread evenly.
const MONTH_DAYS: [f64; 12] =
    [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// A sun at one hour: the vector towards it, as long as its beam is strong.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beam {
    pub(super) east: f32,
    pub(super) north: f32,
    pub(super) up: f32,
}

/// The sun's angle north of the equator on a day of the year (1 is the first of January).
///
/// ```
/// assert!((terrain::declination_deg(355.0) + 23.45).abs() < 0.01); // 21 December
/// ```
///
/// # References
/// Cooper 1969, The absorption of radiation in solar stills.
#[must_use]
pub fn declination_deg(day_of_year: f64) -> f64 {
    23.45 * (360.0 * (284.0 + day_of_year) / 365.0).to_radians().sin()
}

/// The beams of a month's mean day, one for each hour (at its half) with the sun up.
pub(super) fn beams_of_month(latitude_deg: f64, month: u8) -> Vec<Beam> {
    let index = usize::from(month) - 1;
    let day = MEAN_DAYS[index];
    let weight = MONTH_DAYS[index] * nearness(day);
    (0..24)
        .filter_map(|hour| {
            let hour_angle_deg = 15.0 * (f64::from(hour) - 11.5);
            let [east, north, up] = towards_sun(latitude_deg, declination_deg(day), hour_angle_deg);
            let strength = weight * clear_sky(up);
            let scale = |axis: f64| (axis * strength) as f32;
            (up > 0.0).then(|| Beam { east: scale(east), north: scale(north), up: scale(up) })
        })
        .collect()
}

/// Unit vector (east, north, up) towards the sun; the hour angle is negative before noon.
/// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, section 1.6, as a vector.
fn towards_sun(latitude_deg: f64, declination_deg: f64, hour_angle_deg: f64) -> [f64; 3] {
    let (sin_latitude, cos_latitude) = latitude_deg.to_radians().sin_cos();
    let (sin_declination, cos_declination) = declination_deg.to_radians().sin_cos();
    let (sin_hour, cos_hour) = hour_angle_deg.to_radians().sin_cos();
    [
        -cos_declination * sin_hour,
        cos_latitude * sin_declination - sin_latitude * cos_declination * cos_hour,
        sin_latitude * sin_declination + cos_latitude * cos_declination * cos_hour,
    ]
}

/// Strength of the sun outside the air, against its mean, as the Earth's distance changes.
/// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, section 1.4.
fn nearness(day_of_year: f64) -> f64 {
    1.0 + 0.033 * (360.0 * day_of_year / 365.0).to_radians().cos()
}

/// Share of the beam that a clear sky lets through: 0.7 to the power of air mass to the 0.678.
/// Source: Meinel & Meinel 1976, Applied Solar Energy.
fn clear_sky(up: f64) -> f64 {
    0.7_f64.powf(air_mass(up).powf(0.678))
}

/// Air that the beam crosses, against a sun overhead.
/// Source: Kasten & Young 1989, Revised optical air mass tables and approximation formula.
fn air_mass(up: f64) -> f64 {
    let zenith_deg = up.clamp(0.0, 1.0).acos().to_degrees();
    1.0 / (up.max(0.0) + 0.505_72 * (96.079_95 - zenith_deg).powf(-1.636_4))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Duffie & Beckman, Solar Engineering of Thermal Processes, Table 1.6.1 (values from memory).
    #[test]
    fn mean_days_have_the_published_declinations() {
        let published = [-20.9, -13.0, -2.4, 9.4, 18.8, 23.1, 21.2, 13.5, 2.2, -9.6, -18.9, -23.0];
        for (day, published) in MEAN_DAYS.into_iter().zip(published) {
            assert!((declination_deg(day) - published).abs() < 0.06, "day {day}");
        }
        assert!((declination_deg(172.0) - 23.45).abs() < 0.005, "21 June");
        assert!((declination_deg(355.0) + 23.45).abs() < 0.005, "21 December");
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

    /// Kasten & Young 1989: about 38 at the horizon, 1 overhead, 2 at 60° from the zenith.
    #[test]
    fn air_mass_is_as_tabled() {
        assert!((air_mass(0.0) - 37.92).abs() < 0.05);
        assert!((air_mass(1.0) - 1.0).abs() < 0.001);
        assert!((air_mass(0.5) - 1.9939).abs() < 0.001);
        assert!((clear_sky(1.0) - 0.7).abs() < 0.001);
    }
}
