//! The suns of a month's mean day.

use super::ClearSky;
use super::position::{Almanac, refraction_deg, towards_sun};

/// The day of the year whose daily sun is nearest each month's mean.
/// Source: Klein 1977, Calculation of monthly average insolation on tilted surfaces.
const MEAN_DAYS: [f64; 12] =
    [17.0, 47.0, 75.0, 105.0, 135.0, 162.0, 198.0, 228.0, 258.0, 288.0, 318.0, 344.0];

/// Days in each month, leap years spread evenly.
const MONTH_DAYS: [f64; 12] =
    [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// A sun at one time: the vector towards it, as long as what it brings a surface that faces it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beam {
    /// Megajoules a square metre in a day's step.
    pub(super) east: f32,
    pub(super) north: f32,
    pub(super) up: f32,
    pub(super) azimuth_deg: f64,
    /// Tangent of the sun's height above level.
    pub(super) tangent: f64,
}

impl Beam {
    /// The same sun for a number of days.
    pub(super) fn for_days(self, days: f64) -> Self {
        let scale = |axis: f32| (f64::from(axis) * days) as f32;
        Self { east: scale(self.east), north: scale(self.north), up: scale(self.up), ..self }
    }
}

/// Days in a month, 1 to 12.
pub(super) fn days(month: u8) -> f64 {
    MONTH_DAYS[usize::from(month) - 1]
}

/// The beams of a month's mean day, one at the middle of each step in which the sun is up.
pub(super) fn beams_of_month(
    latitude_deg: f64,
    month: u8,
    steps_an_hour: u8,
    sky: &ClearSky,
) -> Vec<Beam> {
    let sun = Almanac::on(MEAN_DAYS[usize::from(month) - 1]);
    let outside = sun.outside_w_m2();
    let steps = f64::from(steps_an_hour);
    let hour_angles_deg = (0..24 * u16::from(steps_an_hour))
        .map(|step| 15.0 * ((f64::from(step) + 0.5) / steps - 12.0));
    hour_angles_deg
        .filter_map(|hour_angle_deg| {
            let [east, north, up] = towards_sun(latitude_deg, sun.declination_deg, hour_angle_deg);
            let elevation_deg = up.clamp(-1.0, 1.0).asin().to_degrees();
            let apparent_deg = elevation_deg + refraction_deg(elevation_deg);
            let megajoules = sky.beam_w_m2(apparent_deg, outside) * 3600e-6 / steps;
            let (seen_up, level) = apparent_deg.to_radians().sin_cos();
            let aside = level * megajoules / east.hypot(north).max(1e-12);
            (apparent_deg > 0.0).then(|| Beam {
                east: (east * aside) as f32,
                north: (north * aside) as f32,
                up: (seen_up * megajoules) as f32,
                azimuth_deg: east.atan2(north).to_degrees(),
                tangent: seen_up / level,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Allen et al. 1998, FAO Irrigation and Drainage Paper 56, example 8 (from memory): on 3
    /// September at 20° S the sun brings 32.2 MJ a square metre to the top of the air, of 1367 W.
    #[test]
    fn a_day_outside_the_air_is_as_published() {
        let sun = Almanac::on(246.0);
        let steps = 24 * 60;
        let up: f64 = (0..steps)
            .map(|step| {
                let hour_angle_deg = (f64::from(step) + 0.5) * 360.0 / f64::from(steps) - 180.0;
                towards_sun(-20.0, sun.declination_deg, hour_angle_deg)[2].max(0.0)
            })
            .sum();
        let megajoules = sun.outside_w_m2() * 1367.0 / 1361.0 * up * 60e-6;
        assert!((megajoules - 32.2).abs() < 0.32, "{megajoules}");
    }

    /// Thirty days of a sun are thirty times its light, from the same side and height.
    #[test]
    fn days_add_up() {
        for beam in beams_of_month(-40.0, 9, 2, &ClearSky::default()) {
            let month = beam.for_days(30.0);
            let [days, day] = [month, beam].map(|one| [one.east, one.north, one.up]);
            for (many, one) in days.into_iter().zip(day) {
                assert!((many - 30.0 * one).abs() <= 1e-6 * many.abs(), "{many} beside {one}");
            }
            let place = |one: Beam| [one.azimuth_deg, one.tangent].map(f64::to_bits);
            assert_eq!(place(month), place(beam));
        }
    }

    #[test]
    fn shorter_steps_bring_as_much() {
        let day = |steps: u8| -> f32 {
            let beams = beams_of_month(-40.0, 6, steps, &ClearSky::default());
            beams.iter().map(|beam| beam.up).sum()
        };
        assert!((day(2) / day(60) - 1.0).abs() < 0.01, "{} against {}", day(2), day(60));
    }
}
