//! Flying hours to expect from a station's monthly normals.

use stock::YearDay;
use tally::normal_above;
use thiserror::Error;

use crate::daylight::Daylight;
use crate::{FlightRule, FlyingYear, YEAR_DAYS};

/// Weather that cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WeatherError {
    /// A number is not one, or has no meaning.
    #[error("{what} of {value}: expected {expected}")]
    Number {
        /// What it is.
        what: &'static str,
        /// What it was.
        value: f64,
        /// What it should be.
        expected: &'static str,
    },
    /// No day of a record has enough known hours.
    #[error("no day has enough known hours with the sun up")]
    NoDay,
}

/// Normals of one month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Month {
    /// Mean temperature, °C.
    pub mean_c: f64,
    /// Mean of the daily minima, °C.
    pub min_c: f64,
    /// Mean of the daily maxima, °C; `None`: as far above the mean as the minimum lies below.
    pub max_c: Option<f64>,
    /// Rain in the month, mm.
    pub rain_mm: f64,
    /// Days with rain; `None`: reckoned from the rain.
    pub rain_days: Option<f64>,
    /// Mean wind, m/s.
    pub wind_ms: f64,
}

/// What normals leave open. Every figure is the user's to set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthModel {
    /// Standard deviation of temperature at one hour from day to day, °C.
    ///
    /// 2.5: a guess, no source: reckon it from a year of your own station.
    pub day_spread_c: f64,
    /// Rain of a day with rain, mm, where days with rain are not given.
    ///
    /// 9: common practice, no source.
    pub wet_day_mm: f64,
    /// Share of a day with rain in which bees do not fly for it, 0 to 1.
    ///
    /// 0.5: common practice, no source.
    pub wet_day_lost_share: f64,
}

impl MonthModel {
    /// The defaults, each with its source at its field.
    #[must_use]
    pub fn usual() -> Self {
        Self { day_spread_c: 2.5, wet_day_mm: 9.0, wet_day_lost_share: 0.5 }
    }
}

/// Hours after noon at which a day is warmest.
///
/// Parton & Logan 1981, A model for diurnal variation in soil and air temperature, Agricultural Meteorology
/// 23:205–216: 1.86 for air at 1.5 m (from memory).
const WARMEST_AFTER_NOON_H: f64 = 1.86;

/// Pieces of a day's light over which hours are summed.
const PIECES: usize = 48;

/// Days of the months of a year of 365 days.
const MONTH_DAYS: [f64; 12] =
    [31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// Normals of the twelve months at one station, made ready for any height.
///
/// Each hour of daylight flies with the product of three chances, as if temperature, rain and wind had
/// nothing to do with each other:
/// - *warmth*: temperature rises from the minimum at sunrise along a sine that is highest
///   1.86 hours after noon (Parton & Logan 1981), and
///   days differ by a normal deviation;
/// - *no rain*: days with rain, given or reckoned from the rain, lose a share of their hours;
/// - *little wind*: wind is Rayleigh (Weibull with a shape of 2) about the month's mean, a usual shape where
///   only a mean is known (common practice; as in wind-energy handbooks, from memory).
///
/// Months stand for their middle days, with straight lines between. Sunshine is not heard, and least sunlight
/// and most rain of the rule are not either: normals do not tell them.
#[derive(Debug, Clone)]
pub struct MonthlyWeather {
    latitude_deg: f64,
    rule: FlightRule,
    model: MonthModel,
    months: [Month; 12],
}

impl MonthlyWeather {
    /// Takes normals, January first, of a station at a latitude in degrees, north positive.
    ///
    /// # Errors
    /// When a number is not finite or out of order: a minimum above the mean, a maximum below it, rain or wind
    /// below 0, more days with rain than the month has.
    pub fn new(
        months: [Month; 12],
        latitude_deg: f64,
        rule: &FlightRule,
        model: &MonthModel,
    ) -> Result<Self, WeatherError> {
        let check = |what, value: f64, low: f64, high: f64, expected| {
            let is_sound = value.is_finite() && low <= value && value <= high;
            if is_sound { Ok(()) } else { Err(WeatherError::Number { what, value, expected }) }
        };
        let most = f64::MAX;
        for (month, days) in months.iter().zip(MONTH_DAYS) {
            check("a monthly mean", month.mean_c, -most, most, "a number")?;
            check("a monthly minimum", month.min_c, -most, month.mean_c, "at most the mean")?;
            let max_c = month.max_c.unwrap_or(month.mean_c);
            check("a monthly maximum", max_c, month.mean_c, most, "at least the mean")?;
            check("rain", month.rain_mm, 0.0, most, "0 mm or more")?;
            let rain_days = month.rain_days.unwrap_or(0.0);
            check("days with rain", rain_days, 0.0, days, "0 to the days of the month")?;
            check("wind", month.wind_ms, 0.0, most, "0 m/s or more")?;
        }
        check("a spread of days", model.day_spread_c, 0.0, most, "0 °C or more")?;
        check("rain of a wet day", model.wet_day_mm, f64::MIN_POSITIVE, most, "over 0 mm")?;
        check("the lost share", model.wet_day_lost_share, 0.0, 1.0, "0 to 1")?;
        Ok(Self { latitude_deg, rule: *rule, model: *model, months })
    }

    /// The year where it is so many degrees warmer than at the station; below 0 where it is cooler.
    #[must_use]
    pub fn at(&self, warmer_c: f64) -> FlyingYear {
        let mut year = FlyingYear::dark();
        let days = (1..=YearDay::YEAR_DAYS).filter_map(YearDay::new);
        for (at, day) in days.enumerate() {
            let light = Daylight::on(self.latitude_deg, day).hours;
            let weather = DayWeather::between(&self.months, at, &self.model);
            let dry_and_calm = weather.dry * calm_share(weather.wind_ms, self.rule.most_wind_ms);
            let step = light / PIECES as f64;
            let mut warm = [0.0; 2];
            for piece in 0..PIECES {
                let hour = (piece as f64 + 0.5) * step;
                let temp = weather.temp_c(hour, light) + warmer_c;
                for (sum, from) in warm.iter_mut().zip([self.rule.least_c, self.rule.flow_c()]) {
                    *sum += step * share_above(temp, from, self.model.day_spread_c);
                }
            }
            year.daylight_h[at] = light;
            [year.flying_h[at], year.flow_h[at]] = warm.map(|hours| hours * dry_and_calm);
        }
        year
    }
}

/// Weather to expect on a day.
#[derive(Debug, Clone, Copy)]
struct DayWeather {
    min_c: f64,
    max_c: f64,
    /// Share of hours without rain.
    dry: f64,
    wind_ms: f64,
}

impl DayWeather {
    fn of(month: &Month, days: f64, model: &MonthModel) -> Self {
        let wet = month.rain_days.unwrap_or(month.rain_mm / model.wet_day_mm).min(days);
        Self {
            min_c: month.min_c,
            max_c: month.max_c.unwrap_or(2.0 * month.mean_c - month.min_c),
            dry: 1.0 - wet / days * model.wet_day_lost_share,
            wind_ms: month.wind_ms,
        }
    }

    /// On a day from 0 for 1 January, on a line between the middles of two months.
    fn between(months: &[Month; 12], day: usize, model: &MonthModel) -> Self {
        let (mut begin, at) = (0.0, day as f64 + 0.5);
        let mut middles = [0.0; 12];
        for (middle, days) in middles.iter_mut().zip(MONTH_DAYS) {
            *middle = begin + days / 2.0;
            begin += days;
        }
        let after = middles.iter().position(|middle| *middle > at).unwrap_or(12);
        let (from, to) = ((after + 11) % 12, after % 12);
        let year = YEAR_DAYS as f64;
        let long = (middles[to] - middles[from]).rem_euclid(year);
        let share = (at - middles[from]).rem_euclid(year) / long;
        let one = Self::of(&months[from], MONTH_DAYS[from], model);
        let other = Self::of(&months[to], MONTH_DAYS[to], model);
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Self {
            min_c: mix(one.min_c, other.min_c),
            max_c: mix(one.max_c, other.max_c),
            dry: mix(one.dry, other.dry),
            wind_ms: mix(one.wind_ms, other.wind_ms),
        }
    }

    /// Mean temperature so many hours after sunrise.
    fn temp_c(&self, after_sunrise_h: f64, light_h: f64) -> f64 {
        let turn = std::f64::consts::PI * after_sunrise_h / (light_h + 2.0 * WARMEST_AFTER_NOON_H);
        self.min_c + (self.max_c - self.min_c) * turn.sin()
    }
}

/// Share of days on which it is as warm as `from`.
fn share_above(mean_c: f64, from: f64, spread_c: f64) -> f64 {
    if spread_c > 0.0 {
        normal_above((from - mean_c) / spread_c)
    } else {
        f64::from(u8::from(mean_c >= from))
    }
}

/// Share of the time in which Rayleigh wind of a mean stays below a speed.
fn calm_share(mean_ms: f64, below_ms: f64) -> f64 {
    if mean_ms <= 0.0 {
        return f64::from(u8::from(below_ms > 0.0));
    }
    1.0 - (-std::f64::consts::FRAC_PI_4 * (below_ms / mean_ms).powi(2)).exp()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "a test that stops has failed")]
    use super::*;
    use crate::HourWeather;
    use proptest::prelude::*;
    use rand::{RngExt, SeedableRng};
    use rand_pcg::Pcg64;

    const MILD: Month = Month {
        mean_c: 14.0,
        min_c: 9.0,
        max_c: None,
        rain_mm: 90.0,
        rain_days: None,
        wind_ms: 4.5,
    };

    fn at(month: Month, warmer_c: f64) -> FlyingYear {
        let (rule, model) = (FlightRule::usual(), MonthModel::usual());
        MonthlyWeather::new([month; 12], -39.5, &rule, &model).unwrap().at(warmer_c)
    }

    /// Rayleigh: 1 − e^(−π/4) lies below the mean, half below 0.9394 of it (2 √(ln 2 / π); both by hand).
    #[test]
    fn wind_is_spread_as_by_rayleigh() {
        assert!((calm_share(4.0, 4.0) - 0.544_06).abs() < 1e-5);
        assert!((calm_share(1.0, 0.939_437) - 0.5).abs() < 1e-5);
        assert_eq!((calm_share(0.0, 5.0), calm_share(0.0, 0.0)), (1.0, 0.0));
    }

    #[test]
    fn months_stand_for_their_middle() {
        let mut months = [MILD; 12];
        for (number, month) in months.iter_mut().enumerate() {
            (month.mean_c, month.min_c) = (10.0 + number as f64, 10.0 + number as f64);
        }
        let model = MonthModel::usual();
        let min = |day: usize| DayWeather::between(&months, day, &model).min_c;
        assert_eq!(min(15), 10.0); // 16 January
        assert_eq!(min(31 + 28 + 15), 12.0); // 16 March
        assert!((min(0) - 15.5).abs() < 0.2, "the new year lies between December and January");
        assert!((min(364) - 15.5).abs() < 0.2);
        for day in 0..365 {
            assert!((10.0..=21.0).contains(&min(day)));
        }
    }

    #[test]
    fn a_day_is_coolest_at_sunrise_and_warmest_after_noon() {
        let day = DayWeather { min_c: 8.0, max_c: 20.0, dry: 1.0, wind_ms: 0.0 };
        let light = 14.0;
        assert_eq!(day.temp_c(0.0, light), 8.0);
        assert!((day.temp_c(light / 2.0 + WARMEST_AFTER_NOON_H, light) - 20.0).abs() < 1e-12);
        assert!(day.temp_c(light, light) < 20.0 && day.temp_c(light, light) > 8.0);
    }

    #[test]
    fn the_best_of_weather_gives_all_daylight_and_the_worst_none() {
        let fine = Month { mean_c: 60.0, min_c: 55.0, rain_mm: 0.0, wind_ms: 0.0, ..MILD };
        let year = at(fine, 0.0);
        for day in 0..365 {
            assert!((year.flow_h[day] - year.daylight_h[day]).abs() < 1e-9);
        }
        let frozen = at(Month { mean_c: -40.0, min_c: -45.0, ..MILD }, 0.0);
        assert!(frozen.flying_h.iter().all(|hours| *hours < 1e-9));
        let storm = at(Month { wind_ms: 1e6, ..MILD }, 0.0);
        assert!(storm.flying_h.iter().all(|hours| *hours < 1e-6));
    }

    /// Days drawn one by one and asked hour by hour by the rule itself.
    #[test]
    fn hours_to_expect_are_those_of_days_drawn_by_lot() {
        let (rule, model) = (FlightRule::usual(), MonthModel::usual());
        let mut random = Pcg64::seed_from_u64(7);
        for month in [
            MILD,
            Month { mean_c: 18.0, min_c: 14.0, rain_days: Some(6.0), ..MILD },
            Month { mean_c: 10.0, min_c: 5.0, max_c: Some(16.0), wind_ms: 6.0, ..MILD },
        ] {
            let year = at(month, -0.7);
            let number = 319; // 16 November, the middle of a month of 30 days
            let light = year.daylight_h[number];
            let max_c = month.max_c.unwrap_or(2.0 * month.mean_c - month.min_c);
            let wet_share = month.rain_days.unwrap_or(month.rain_mm / 9.0) / 30.0;
            let (mut fly, mut flow, draws) = (0.0, 0.0, 400_000);
            for _ in 0..draws {
                let hour = random.random::<f64>() * light;
                let normal = (-2.0 * (1.0 - random.random::<f64>()).ln()).sqrt()
                    * (std::f64::consts::TAU * random.random::<f64>()).cos();
                let rise = (std::f64::consts::PI * hour / (light + 2.0 * 1.86)).sin();
                let temp_c =
                    month.min_c + (max_c - month.min_c) * rise - 0.7 + model.day_spread_c * normal;
                // Rayleigh with this mean by its inverse.
                let wind_ms = month.wind_ms
                    * (-4.0 / std::f64::consts::PI * (1.0 - random.random::<f64>()).ln()).sqrt();
                let is_wet = random.random::<f64>() < wet_share && random.random::<f64>() < 0.5;
                let weather = HourWeather {
                    temp_c,
                    wind_ms,
                    rain_mm: f64::from(u8::from(is_wet)),
                    radiation_w_m2: None,
                    sun_is_up: true,
                };
                if rule.allows(&weather) {
                    fly += light / f64::from(draws);
                    flow += f64::from(u8::from(temp_c >= rule.nectar_c)) * light / f64::from(draws);
                }
            }
            // Four standard errors of a share of 400,000 draws are 0.003 of the light.
            assert!((year.flying_h[number] - fly).abs() < 0.05, "{} {fly}", year.flying_h[number]);
            assert!((year.flow_h[number] - flow).abs() < 0.05, "{} {flow}", year.flow_h[number]);
        }
    }

    #[test]
    fn normals_that_cannot_be_are_refused() {
        for month in [
            Month { min_c: 15.0, ..MILD },
            Month { max_c: Some(13.0), ..MILD },
            Month { rain_mm: -1.0, ..MILD },
            Month { rain_days: Some(32.0), ..MILD },
            Month { wind_ms: f64::NAN, ..MILD },
            Month { mean_c: f64::INFINITY, ..MILD },
        ] {
            let (rule, model) = (FlightRule::usual(), MonthModel::usual());
            assert!(MonthlyWeather::new([month; 12], -39.5, &rule, &model).is_err(), "{month:?}");
        }
    }

    proptest! {
        /// Warmer, drier and calmer is never worse, and nothing is more than the daylight.
        #[test]
        fn better_weather_gives_no_fewer_hours(
            mean_c in 0.0_f64..30.0, range in 0.0_f64..10.0, rain_mm in 0.0_f64..400.0,
            wind_ms in 0.0_f64..12.0, latitude in -70.0_f64..70.0, warmer in 0.0_f64..5.0,
        ) {
            let month = Month {
                mean_c, min_c: mean_c - range, max_c: None, rain_mm, rain_days: None, wind_ms,
            };
            let (rule, model) = (FlightRule::usual(), MonthModel::usual());
            let year = |month: Month, warmer_c: f64, rule: &FlightRule| {
                MonthlyWeather::new([month; 12], latitude, rule, &model).unwrap().at(warmer_c)
            };
            let base = year(month, 0.0, &rule);
            let gentle = FlightRule { most_wind_ms: rule.most_wind_ms + 1.0, ..rule };
            let better = [
                year(month, warmer, &rule),
                year(Month { rain_mm: rain_mm / 2.0, ..month }, 0.0, &rule),
                year(Month { wind_ms: wind_ms / 2.0, ..month }, 0.0, &rule),
                year(month, 0.0, &gentle),
            ];
            for day in (0..365).step_by(13) {
                prop_assert!(base.flow_h[day] <= base.flying_h[day] + 1e-12);
                prop_assert!(base.flying_h[day] <= base.daylight_h[day] + 1e-9);
                for other in &better {
                    prop_assert!(other.flying_h[day] >= base.flying_h[day] - 1e-9);
                }
            }
        }
    }
}
