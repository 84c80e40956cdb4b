//! Flying hours counted from a station's hours.

use stock::YearDay;
use terrain::sun_position;

use crate::calendar::{CivilDate, day_of_year};
use crate::daylight::{Daylight, HORIZON_DEG};
use crate::{FlightRule, FlyingYear, HourWeather, WeatherError, YEAR_DAYS};

/// Share of a day's hours with the sun up that must be known for the day to count: a choice.
pub const LEAST_KNOWN_SHARE: f64 = 0.8;

/// Julian date of the first moment of 1970.
const JULIAN_1970: f64 = 2_440_587.5;

/// One hour of a record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hour {
    /// Whole hours of universal time from the first moment of 1970 to the beginning of this one.
    pub utc_h: i64,
    /// Air temperature, °C.
    pub temp_c: f64,
    /// Mean wind, m/s.
    pub wind_ms: f64,
    /// Rain, mm.
    pub rain_mm: f64,
    /// Sunlight on level ground, W/m²; `None` where it was not measured.
    pub radiation_w_m2: Option<f64>,
}

/// A day of a record.
#[derive(Debug, Clone)]
struct Day {
    of: YearDay,
    /// Hours with the sun up that are known.
    known: usize,
    /// Temperatures of those that are dry, calm and light enough, rising.
    fit_c: Vec<f64>,
}

/// A station's hours, made ready for any height.
#[derive(Debug, Clone)]
pub struct HourlyWeather {
    daylight_h: Vec<f64>,
    rule: FlightRule,
    days: Vec<Day>,
    left_out: usize,
    years: usize,
    unknown: Vec<YearDay>,
}

impl HourlyWeather {
    /// Takes hours in any order, each once, and where the station stands, degrees, north and east positive.
    ///
    /// An hour belongs to the day of the place's own sun. The sun is looked for in the middle of the hour,
    /// over a level horizon. A day counts when [`LEAST_KNOWN_SHARE`] of its hours with the sun up are known; its
    /// flying hours are then the share of those that allow flight, times its daylight. Days of the year are
    /// means over the years that have them; those that no year has are drawn on a line between their
    /// neighbours. Cost: O(n log n) for n hours.
    ///
    /// # Errors
    /// When no day counts.
    pub fn new(
        hours: &[Hour],
        latitude_deg: f64,
        longitude_deg: f64,
        rule: &FlightRule,
    ) -> Result<Self, WeatherError> {
        let mut hours = hours.to_vec();
        hours.sort_by_key(|hour| hour.utc_h);
        let day_at =
            |utc_h: i64| ((utc_h as f64 + 0.5 + longitude_deg / 15.0) / 24.0).floor() as i64;
        let is_up = |utc_h: i64| {
            let julian = JULIAN_1970 + (utc_h as f64 + 0.5) / 24.0;
            sun_position(julian, latitude_deg, longitude_deg).elevation_deg > HORIZON_DEG
        };
        let (mut days, mut left_out, mut years) = (Vec::new(), 0, Vec::new());
        for of_day in hours.chunk_by(|a, b| day_at(a.utc_h) == day_at(b.utc_h)) {
            let date = day_at(of_day[0].utc_h);
            let Some(day) = day_of_year(CivilDate::from_days(date)) else { continue };
            let first = of_day[0].utc_h - 24;
            let all = (first..first + 72).filter(|at| day_at(*at) == date && is_up(*at)).count();
            let up: Vec<&Hour> = of_day.iter().filter(|hour| is_up(hour.utc_h)).collect();
            if (up.len() as f64) < LEAST_KNOWN_SHARE * all as f64 {
                left_out += 1;
                continue;
            }
            let fits = |hour: &&&Hour| rule.allows_but_for_warmth(&hour.weather(true));
            let mut fit_c: Vec<f64> = up.iter().filter(fits).map(|hour| hour.temp_c).collect();
            fit_c.sort_by(f64::total_cmp);
            years.push(CivilDate::from_days(date).year_and_day().0);
            days.push(Day { of: day, known: up.len(), fit_c });
        }
        if days.is_empty() {
            return Err(WeatherError::NoDay);
        }
        years.dedup();
        let all = || (1..=YearDay::YEAR_DAYS).filter_map(YearDay::new);
        let mut is_known = [false; YEAR_DAYS];
        for day in &days {
            is_known[usize::from(day.of.get()) - 1] = true;
        }
        Ok(Self {
            daylight_h: all().map(|day| Daylight::on(latitude_deg, day).hours).collect(),
            rule: *rule,
            unknown: all().filter(|day| !is_known[usize::from(day.get()) - 1]).collect(),
            years: years.len(),
            days,
            left_out,
        })
    }

    /// Years of which a day counts.
    #[must_use]
    pub fn years(&self) -> usize {
        self.years
    }

    /// Days that count.
    #[must_use]
    pub fn days(&self) -> usize {
        self.days.len()
    }

    /// Days of which some hours are known, but too few.
    #[must_use]
    pub fn days_left_out(&self) -> usize {
        self.left_out
    }

    /// Days of the year that no year has.
    #[must_use]
    pub fn unknown_days(&self) -> &[YearDay] {
        &self.unknown
    }

    /// The year where it is so many degrees warmer than at the station; below 0 where it is cooler.
    /// Cost: O(d log h) for d days of h hours.
    #[must_use]
    pub fn at(&self, warmer_c: f64) -> FlyingYear {
        let [flying, flow] = [self.rule.least_c, self.rule.flow_c()].map(|from| {
            let mut sums = [[0.0_f64; 2]; YEAR_DAYS];
            for day in &self.days {
                let below = day.fit_c.partition_point(|temp| temp + warmer_c < from);
                let sum = &mut sums[usize::from(day.of.get()) - 1];
                // A day without sun has no share.
                sum[0] += (day.fit_c.len() - below) as f64 / day.known.max(1) as f64;
                sum[1] += 1.0;
            }
            sums
        });
        let hours = |sums: &[[f64; 2]; YEAR_DAYS]| -> Vec<f64> {
            let mean = |[sum, count]: &[f64; 2]| (*count > 0.0).then(|| sum / count);
            let shares = bridged(&sums.iter().map(mean).collect::<Vec<_>>());
            shares.iter().zip(&self.daylight_h).map(|(share, hours)| share * hours).collect()
        };
        FlyingYear {
            daylight_h: self.daylight_h.clone(),
            flying_h: hours(&flying),
            flow_h: hours(&flow),
        }
    }
}

impl Hour {
    pub(crate) fn weather(&self, sun_is_up: bool) -> HourWeather {
        HourWeather {
            temp_c: self.temp_c,
            wind_ms: self.wind_ms,
            rain_mm: self.rain_mm,
            radiation_w_m2: self.radiation_w_m2,
            sun_is_up,
        }
    }
}

/// Holes of a round filled on a line between the nearest values on either side; all 0 without any.
fn bridged(values: &[Option<f64>]) -> Vec<f64> {
    let count = values.len();
    let nearest = |at: usize, step: &dyn Fn(usize, usize) -> usize| {
        (0..count).find_map(|far| values[step(at, far)].map(|value| (far as f64, value)))
    };
    let fill = |at: usize| {
        let before = nearest(at, &|at, far| (at + count - far) % count);
        let after = nearest(at, &|at, far| (at + far) % count);
        match (before, after) {
            (Some((0.0, value)), _) => value,
            (Some((back, from)), Some((ahead, to))) => from + (to - from) * back / (back + ahead),
            _ => 0.0,
        }
    };
    (0..count).map(fill).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "a test that stops has failed")]
    use super::*;
    use proptest::prelude::*;

    const PLACE: [f64; 2] = [-39.5, 176.5];
    /// 1 January 2021, 0 h universal time.
    const BEGIN: i64 = 447_072;

    fn hours(days: i64, weather: impl Fn(i64) -> Option<[f64; 3]>) -> Vec<Hour> {
        let hour = |at: i64| {
            let [temp_c, wind_ms, rain_mm] = weather(at)?;
            Some(Hour { utc_h: BEGIN + at, temp_c, wind_ms, rain_mm, radiation_w_m2: None })
        };
        (0..days * 24).filter_map(hour).collect()
    }

    /// Every hour again for each day of the year, by the rule itself.
    fn slow(hours: &[Hour], warmer_c: f64, rule: &FlightRule) -> Vec<Option<f64>> {
        let middle = |hour: &Hour| hour.utc_h as f64 + 0.5;
        let date = |at: f64| ((at + PLACE[1] / 15.0) / 24.0).floor() as i64;
        let is_up = |at: f64| {
            sun_position(JULIAN_1970 + at / 24.0, PLACE[0], PLACE[1]).elevation_deg > HORIZON_DEG
        };
        (1..=365)
            .map(|number| {
                let day = YearDay::new(number).unwrap();
                let mut dates: Vec<i64> = hours.iter().map(|hour| date(middle(hour))).collect();
                dates.sort_unstable();
                dates.dedup();
                dates.retain(|date| day_of_year(CivilDate::from_days(*date)) == Some(day));
                let mut shares = Vec::new();
                for one in dates {
                    let all = (one * 24 - 24..one * 24 + 48)
                        .filter(|at| date(*at as f64 + 0.5) == one && is_up(*at as f64 + 0.5))
                        .count();
                    let mine = || {
                        hours.iter().filter(|hour| date(middle(hour)) == one && is_up(middle(hour)))
                    };
                    let fly = mine().filter(|hour| {
                        let weather = hour.weather(true);
                        rule.allows(&HourWeather { temp_c: hour.temp_c + warmer_c, ..weather })
                    });
                    if mine().count() as f64 >= 0.8 * all as f64 {
                        shares.push(fly.count() as f64 / mine().count() as f64);
                    }
                }
                let mean = shares.iter().sum::<f64>() / shares.len() as f64;
                (!shares.is_empty()).then(|| mean * Daylight::on(PLACE[0], day).hours)
            })
            .collect()
    }

    #[test]
    fn the_best_of_weather_gives_all_daylight_and_the_worst_none() {
        let rule = FlightRule::usual();
        let fine = hours(366, |_| Some([25.0, 1.0, 0.0]));
        let weather = HourlyWeather::new(&fine, PLACE[0], PLACE[1], &rule).unwrap();
        let year = weather.at(0.0);
        assert_eq!(year.flying_h, year.daylight_h);
        assert_eq!(year.flow_h, year.daylight_h);
        assert_eq!(weather.at(-5.1).flow_h, vec![0.0; 365]);
        assert_eq!(weather.at(-5.1).flying_h, year.daylight_h);
        assert_eq!(weather.at(-12.3).flying_h, vec![0.0; 365]);
        assert!(weather.unknown_days().is_empty());
        // The record begins at noon of the place: the morning of its first day is not known.
        assert_eq!((weather.days(), weather.days_left_out()), (365, 2));
    }

    #[test]
    fn days_that_no_year_has_lie_between_their_neighbours() {
        let rule = FlightRule::usual();
        // Nothing of February; fine in January and wet from March on.
        let record = hours(365, |at| match at / 24 {
            31..59 => None,
            0..31 => Some([20.0, 0.0, 0.0]),
            _ => Some([20.0, 0.0, 1.0]),
        });
        let weather = HourlyWeather::new(&record, PLACE[0], PLACE[1], &rule).unwrap();
        let year = weather.at(0.0);
        assert!((26..=30).contains(&weather.unknown_days().len()));
        let share = |at: usize| year.flying_h[at] / year.daylight_h[at];
        assert_eq!(share(20), 1.0);
        assert!(share(33) > share(44) && share(44) > share(56), "{} {}", share(33), share(56));
        assert!((share(44) - 0.5).abs() < 0.05, "{}", share(44));
    }

    #[test]
    fn a_record_of_scraps_is_refused() {
        let scraps = hours(30, |at| (at % 24 == 0).then_some([20.0, 0.0, 0.0]));
        let rule = FlightRule::usual();
        let refused = HourlyWeather::new(&scraps, PLACE[0], PLACE[1], &rule);
        assert!(matches!(refused, Err(WeatherError::NoDay)));
        assert!(matches!(
            HourlyWeather::new(&[], PLACE[0], PLACE[1], &rule),
            Err(WeatherError::NoDay)
        ));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        /// On records with holes, of more than a year, at any height.
        #[test]
        fn sorted_days_count_as_all_hours_do(
            cells in prop::collection::vec(
                prop::option::weighted(0.9, (0.0_f64..25.0, 0.0_f64..10.0, 0_u8..3)), 24 * 20),
            warmer_c in -6.0_f64..4.0,
        ) {
            // Days 1 to 8 of two years.
            let of_year = |year: i64, from: usize| {
                let cells = &cells[from..from + 240];
                cells.iter().enumerate().filter_map(move |(at, cell)| {
                    let (temp_c, wind_ms, rain) = (*cell)?;
                    let rain_mm = f64::from(rain.saturating_sub(1));
                    let utc_h = BEGIN + year * 365 * 24 + at as i64;
                    Some(Hour { utc_h, temp_c, wind_ms, rain_mm, radiation_w_m2: None })
                })
            };
            let hours: Vec<Hour> = of_year(0, 0).chain(of_year(1, 240)).collect();
            let rule = FlightRule::usual();
            let slow = slow(&hours, warmer_c, &rule);
            match HourlyWeather::new(&hours, PLACE[0], PLACE[1], &rule) {
                Ok(weather) => {
                    let year = weather.at(warmer_c);
                    for (at, slow) in slow.iter().enumerate() {
                        let Some(slow) = slow else { continue };
                        prop_assert!((year.flying_h[at] - slow).abs() < 1e-9, "{at}");
                    }
                    let known = slow.iter().flatten().count();
                    prop_assert_eq!(known + weather.unknown_days().len(), 365);
                    for at in 0..365 {
                        prop_assert!(year.flow_h[at] <= year.flying_h[at] + 1e-12);
                        prop_assert!(year.flying_h[at] <= year.daylight_h[at] + 1e-12);
                    }
                    // Warmer is never worse.
                    let warmer = weather.at(warmer_c + 1.0);
                    prop_assert!((0..365).all(|at| warmer.flying_h[at] >= year.flying_h[at] - 1e-12));
                }
                Err(_) => prop_assert!(slow.iter().all(Option::is_none)),
            }
        }
    }
}
