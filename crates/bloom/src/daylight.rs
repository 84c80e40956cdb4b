//! When the sun is up.

use stock::YearDay;
use terrain::declination_deg;

/// Height of the sun's middle when its upper edge is seen on a level horizon, degrees: 34 minutes of
/// refraction and 16 of its half width. Source: the convention of the almanacs (from memory).
pub(crate) const HORIZON_DEG: f64 = -0.833;

/// How long the sun is up on one day at one latitude, over a level horizon: land that shades is not seen.
///
/// # References
/// The sunset equation with the horizon of the almanacs, as in Meeus 1998, Astronomical Algorithms, chapter
/// 15 (from memory); the declination is that of [`terrain::declination_deg`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Daylight {
    /// Hours from sunrise to sunset: 0 in polar night, 24 in polar day.
    pub hours: f64,
    /// Minutes by which the sun is ahead of a mean clock: noon comes so much before 12.
    pub ahead_min: f64,
}

impl Daylight {
    /// At a latitude in degrees, north positive.
    ///
    /// ```
    /// use bloom::Daylight;
    /// use stock::YearDay;
    /// let longest = YearDay::from_month_day(12, 21).ok_or("no such day")?;
    /// let hours = Daylight::on(-41.3, longest).hours;
    /// assert!((hours - 15.2).abs() < 0.1); // Wellington: about 15 h 11 min
    /// assert_eq!(Daylight::on(-80.0, longest).hours, 24.0);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn on(latitude_deg: f64, day: YearDay) -> Self {
        let number = f64::from(day.get());
        let hours = 2.0 * half_day_h(latitude_deg, declination_deg(number));
        Self { hours, ahead_min: equation_of_time_min(number) }
    }

    /// Sunrise and sunset in hours of a mean clock of a longitude in degrees, east positive, that shows so
    /// many hours more than universal time. Without meaning in polar day and night.
    #[must_use]
    pub fn rise_and_set_h(&self, longitude_deg: f64, ahead_of_utc_h: f64) -> [f64; 2] {
        let noon = 12.0 - self.ahead_min / 60.0 - longitude_deg / 15.0 + ahead_of_utc_h;
        [noon - self.hours / 2.0, noon + self.hours / 2.0]
    }
}

/// Hours from noon to sunset.
fn half_day_h(latitude_deg: f64, declination_deg: f64) -> f64 {
    let (latitude, declination) = (latitude_deg.to_radians(), declination_deg.to_radians());
    // On the very pole the sun is up or down all day.
    let flat = (latitude.cos() * declination.cos()).max(f64::MIN_POSITIVE);
    let cosine = (HORIZON_DEG.to_radians().sin() - latitude.sin() * declination.sin()) / flat;
    cosine.clamp(-1.0, 1.0).acos().to_degrees() / 15.0
}

/// Minutes by which the sun is ahead of a mean clock on a day of the year, to about half a minute.
///
/// # References
/// Spencer 1971, Fourier series representation of the position of the sun, Search 2:172 (from memory).
#[must_use]
pub fn equation_of_time_min(day_of_year: f64) -> f64 {
    let turn = std::f64::consts::TAU * (day_of_year - 1.0) / 365.0;
    229.18
        * (0.000_075 + 0.001_868 * turn.cos()
            - 0.032_077 * turn.sin()
            - 0.014_615 * (2.0 * turn).cos()
            - 0.040_849 * (2.0 * turn).sin())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "a test that stops has failed")]
    use super::*;
    use proptest::prelude::*;
    use terrain::sun_position;

    fn day(number: u16) -> YearDay {
        YearDay::new(number).unwrap()
    }

    #[test]
    fn the_poles_have_day_or_night() {
        for latitude in [-90.0, -75.0, 75.0, 90.0] {
            let december = Daylight::on(latitude, day(355)).hours;
            let june = Daylight::on(latitude, day(172)).hours;
            let (summer, winter) = if latitude < 0.0 { (december, june) } else { (june, december) };
            assert_eq!((summer, winter), (24.0, 0.0), "{latitude}");
        }
    }

    /// The equator has 12 hours and about seven minutes each day of the year (every almanac).
    #[test]
    fn the_equator_has_twelve_hours_and_seven_minutes() {
        for number in 1..=365 {
            let hours = Daylight::on(0.0, day(number)).hours;
            assert!((hours * 60.0 - 727.0).abs() < 1.0, "{hours}");
        }
    }

    proptest! {
        /// Minute by minute with the sun's place, which shares no formula of the length.
        #[test]
        fn the_day_lasts_as_long_as_the_sun_is_up(
            latitude in -66.0_f64..66.0, longitude in -180.0_f64..180.0, number in 1_u16..=365,
        ) {
            // Noon of the place on that day of 2025: Julian date 2460676 is noon of the day before.
            let noon = 2_460_676.0 + f64::from(number) - longitude / 360.0;
            let up = (-720..720).filter(|minute| {
                let at = noon + f64::from(*minute) / 1_440.0;
                sun_position(at, latitude, longitude).elevation_deg > HORIZON_DEG
            }).count();
            let daylight = Daylight::on(latitude, day(number));
            prop_assert!((daylight.hours * 60.0 - up as f64).abs() < 8.0, "{} {up}", daylight.hours * 60.0);
            // Sunrise and sunset are where the sun's middle stands at the horizon.
            for hour in daylight.rise_and_set_h(longitude, longitude / 15.0) {
                let at = noon + (hour - 12.0) / 24.0;
                let up = sun_position(at, latitude, longitude).elevation_deg;
                prop_assert!((up - HORIZON_DEG).abs() < 0.6, "{up}");
            }
        }
    }
}
