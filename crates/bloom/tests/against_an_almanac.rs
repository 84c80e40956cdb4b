//! Sunrise and sunset against the crate `sunrise`, which shares no code with ours, and against published times.
#![allow(clippy::unwrap_used, reason = "a test that stops has failed")]

use bloom::Daylight;
use chrono::{Datelike, NaiveDate, Timelike};
use stock::YearDay;
use sunrise::{Coordinates, SolarDay, SolarEvent};

/// Minutes that two reckonings may differ: both leave out the year's place in the cycle of leap years, and the
/// sun's path within the day.
const MINUTES: f64 = 3.0;

#[test]
fn sunrise_and_sunset_are_those_of_another_reckoning() {
    let places =
        [(-46.4, 168.4), (-41.3, 174.8), (-35.1, 173.3), (0.3, 32.6), (51.5, 0.0), (60.2, 24.9)];
    for (latitude, longitude) in places {
        for number in (1..=365).step_by(9) {
            let date = NaiveDate::from_yo_opt(2025, number).unwrap();
            let day = SolarDay::new(Coordinates::new(latitude, longitude).unwrap(), date);
            let hours = |event| {
                let time = day.event_time(event);
                // Hours of universal time from the beginning of the day.
                let days = time.num_days_from_ce() - date.num_days_from_ce();
                f64::from(days) * 24.0 + f64::from(time.num_seconds_from_midnight()) / 3_600.0
            };
            let expected = [hours(SolarEvent::Sunrise), hours(SolarEvent::Sunset)];
            let ours = Daylight::on(latitude, YearDay::new(number as u16).unwrap());
            let found = ours.rise_and_set_h(longitude, 0.0);
            for (found, expected) in found.into_iter().zip(expected) {
                let apart = (found - expected + 12.0).rem_euclid(24.0) - 12.0;
                assert!(apart.abs() * 60.0 < MINUTES, "{latitude} {number}: {found} {expected}");
            }
            let length = expected[1] - expected[0];
            assert!((ours.hours - length.rem_euclid(24.0)).abs() * 60.0 < 2.0 * MINUTES);
        }
    }
}

/// Lengths of the longest and the shortest day as almanacs print them (from memory, to five minutes):
/// London 16 h 38 min and 7 h 50 min; Wellington 15 h 11 min and 9 h 11 min.
#[test]
fn longest_and_shortest_days_are_as_printed() {
    let day = |month, day| YearDay::from_month_day(month, day).unwrap();
    for (latitude, at, minutes) in [
        (51.5, day(6, 21), 16.0 * 60.0 + 38.0),
        (51.5, day(12, 21), 7.0 * 60.0 + 50.0),
        (-41.29, day(12, 21), 15.0 * 60.0 + 11.0),
        (-41.29, day(6, 21), 9.0 * 60.0 + 11.0),
    ] {
        let hours = Daylight::on(latitude, at).hours;
        assert!((hours * 60.0 - minutes).abs() < 5.0, "{latitude} {at}: {}", hours * 60.0);
    }
}
