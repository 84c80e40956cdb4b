//! Windows of bloom held against flying weather.

use stock::YearDay;

use crate::{FlightRule, FlyingYear, YEAR_DAYS};

/// Weeks of a year: 52, the last of 8 days.
pub const WEEKS: usize = 52;

/// What a window of bloom meets in a usual year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bloom {
    /// First day in flower.
    pub begins: YearDay,
    /// Last day in flower.
    pub ends: YearDay,
    /// Days in flower.
    pub days: u16,
    /// Of those, days with flying weather.
    pub flying_days: u16,
    /// Days in flower before the first with flying weather; all of them when there is none.
    pub days_before_flight: u16,
    /// Hours from sunrise to sunset.
    pub daylight_h: f64,
    /// Hours in which bees fly.
    pub flying_h: f64,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_h: f64,
    /// Whether so many days lack flying weather that the window counts as lost.
    pub is_lost: bool,
}

/// Holds a window against a year.
///
/// ```
/// use bloom::{FlightRule, Month, MonthModel, MonthlyWeather, bloom_of};
/// use stock::YearDay;
/// let (rule, model) = (FlightRule::usual(), MonthModel::usual());
/// let month = |mean_c: f64| Month {
///     mean_c, min_c: mean_c - 4.5, max_c: None, rain_mm: 90.0, rain_days: None, wind_ms: 4.0,
/// };
/// let means = [17.6, 17.7, 16.0, 13.4, 10.9, 8.6, 7.9, 8.7, 10.5, 12.3, 14.1, 16.2];
/// let year = MonthlyWeather::new(means.map(month), -39.5, &rule, &model)?.at(0.0);
/// let day = |month, day| YearDay::from_month_day(month, day).ok_or("no such day");
/// assert!(!bloom_of(day(12, 1)?, day(1, 10)?, &year, &rule).is_lost);
/// assert!(bloom_of(day(7, 15)?, day(8, 20)?, &year, &rule).is_lost);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn bloom_of(begins: YearDay, ends: YearDay, year: &FlyingYear, rule: &FlightRule) -> Bloom {
    let days = begins.days_to(ends) + 1;
    let window = || (0..days).map(|after| begins.later(f64::from(after)));
    let sum = |hours: &[f64]| window().map(|day| hours[usize::from(day.get()) - 1]).sum();
    let flying_days = window().filter(|day| year.has_flying(*day, rule)).count() as u16;
    let before = window().take_while(|day| !year.has_flying(*day, rule)).count() as u16;
    let lost = f64::from(days - flying_days) / f64::from(days);
    Bloom {
        begins,
        ends,
        days,
        flying_days,
        days_before_flight: before,
        daylight_h: sum(&year.daylight_h),
        flying_h: sum(&year.flying_h),
        flow_h: sum(&year.flow_h),
        is_lost: lost >= rule.lost_share,
    }
}

/// What one week of a window meets.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Week {
    /// Days of the week in flower.
    pub days: u16,
    /// Of those, days with flying weather.
    pub flying_days: u16,
    /// Hours in which bees fly on the days in flower.
    pub flying_h: f64,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_h: f64,
}

/// The week of a day, from 0, in a year of weeks that begins on another day.
#[must_use]
pub fn week_of(day: YearDay, first: YearDay) -> usize {
    (usize::from(first.days_to(day)) / 7).min(WEEKS - 1)
}

/// The weeks of a window, in a year of weeks that begins on `first`. Their sums are those of the window.
#[must_use]
pub fn weeks_of(
    begins: YearDay,
    ends: YearDay,
    first: YearDay,
    year: &FlyingYear,
    rule: &FlightRule,
) -> [Week; WEEKS] {
    let mut weeks = [Week::default(); WEEKS];
    for after in 0..=begins.days_to(ends) {
        let day = begins.later(f64::from(after));
        let at = usize::from(day.get()) - 1;
        let week = &mut weeks[week_of(day, first)];
        week.days += 1;
        week.flying_days += u16::from(year.has_flying(day, rule));
        week.flying_h += year.flying_h[at];
        week.flow_h += year.flow_h[at];
    }
    weeks
}

/// Days on which nothing flowers between the first bloom of a season and the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gap {
    /// Its first day.
    pub begins: YearDay,
    /// Its last day.
    pub ends: YearDay,
    /// Its days.
    pub days: u16,
}

/// Gaps of more than `most_days` days between windows of bloom, first and last day each, in the order of the
/// season. The year is round: the longest stretch without bloom is the time between seasons and no gap; of
/// several the one that begins first in the calendar. Cost: O(n + 365) for n days of windows.
#[must_use]
pub fn gaps(windows: &[[YearDay; 2]], most_days: u16) -> Vec<Gap> {
    let mut all = bare_from_the_longest(windows);
    if !all.is_empty() {
        all.remove(0);
    }
    all.retain(|gap| gap.days > most_days);
    all
}

/// The shortest stretch of days that holds every window, first and last day each, and none of the longest
/// stretch without bloom; `None` without windows. It may go over the end of the year. Where no day is
/// without bloom it is the whole year from the first day of the first window on. Cost: as [`gaps`].
///
/// ```
/// use bloom::hull;
/// use stock::YearDay;
/// let day = |month, day| YearDay::from_month_day(month, day).ok_or("no such day");
/// let low = [day(6, 27)?, day(7, 20)?];
/// let high = [day(7, 6)?, day(7, 29)?];
/// assert_eq!(hull(&[high, low]), Some([day(6, 27)?, day(7, 29)?]));
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn hull(windows: &[[YearDay; 2]]) -> Option<[YearDay; 2]> {
    let [begins, _] = *windows.first()?;
    Some(match bare_from_the_longest(windows).first() {
        Some(rest) => [rest.ends.later(1.0), rest.begins.later(-1.0)],
        None => [begins, begins.later(-1.0)],
    })
}

/// Stretches without bloom round the year, from the longest on; of several longest the first of the calendar.
fn bare_from_the_longest(windows: &[[YearDay; 2]]) -> Vec<Gap> {
    let mut is_open = [false; YEAR_DAYS];
    for [begins, ends] in windows {
        for after in 0..=begins.days_to(*ends) {
            is_open[usize::from(begins.later(f64::from(after)).get()) - 1] = true;
        }
    }
    let begins_at = |at: usize| !is_open[at] && is_open[(at + YEAR_DAYS - 1) % YEAR_DAYS];
    let stretch = |at: usize| {
        let days = (0..YEAR_DAYS).take_while(|far| !is_open[(at + far) % YEAR_DAYS]).count() as u16;
        let begins = YearDay::new(at as u16 + 1)?;
        Some(Gap { begins, ends: begins.later(f64::from(days) - 1.0), days })
    };
    let mut all: Vec<Gap> =
        (0..YEAR_DAYS).filter(|at| begins_at(*at)).filter_map(stretch).collect();
    let Some(longest) = all.iter().map(|gap| gap.days).max() else { return all };
    let Some(rest) = all.iter().position(|gap| gap.days == longest) else { return all };
    all.rotate_left(rest);
    all
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "a test that stops has failed")]
    use super::*;
    use proptest::prelude::*;

    fn day(number: u16) -> YearDay {
        YearDay::new(number).unwrap()
    }

    /// A year whose flying hours are so many on days 1 to 365.
    fn year(flying: impl Fn(u16) -> f64) -> FlyingYear {
        let flying_h: Vec<f64> = (1..=365).map(flying).collect();
        FlyingYear {
            daylight_h: vec![12.0; 365],
            flow_h: flying_h.iter().map(|hours| hours / 2.0).collect(),
            flying_h,
        }
    }

    #[test]
    fn a_window_before_bees_fly_is_lost_from_half_of_its_days() {
        let rule = FlightRule::usual();
        // Bees fly from day 100 on; the mean of a week is 3 hours of 12 from day 98.
        let year = year(|number| if number >= 100 { 12.0 } else { 0.0 });
        let found = bloom_of(day(78), day(117), &year, &rule);
        assert_eq!((found.days, found.flying_days, found.days_before_flight), (40, 20, 20));
        assert!(found.is_lost, "half of it");
        assert_eq!((found.daylight_h, found.flying_h, found.flow_h), (480.0, 216.0, 108.0));
        assert!(!bloom_of(day(79), day(117), &year, &rule).is_lost);
        let never = bloom_of(day(20), day(60), &year, &rule);
        assert_eq!((never.flying_days, never.days_before_flight), (0, 41));
        assert!(never.is_lost);
    }

    #[test]
    fn the_longest_rest_is_no_gap() {
        let found = gaps(&[[day(330), day(350)], [day(361), day(10)], [day(19), day(40)]], 7);
        let gap = |begins, ends, days| Gap { begins: day(begins), ends: day(ends), days };
        assert_eq!(found, [gap(351, 360, 10), gap(11, 18, 8)]);
        assert_eq!(
            gaps(&[[day(330), day(350)], [day(361), day(10)], [day(19), day(40)]], 8).len(),
            1
        );
        assert_eq!(gaps(&[], 0), []);
        assert_eq!(gaps(&[[day(5), day(4)]], 0), [], "in flower all year");
        assert_eq!(gaps(&[[day(5), day(9)]], 0), []);
    }

    fn windows() -> impl Strategy<Value = Vec<[YearDay; 2]>> {
        let window = (1_u16..=365, 0_u16..60)
            .prop_map(|(begins, long)| [day(begins), day(begins).later(f64::from(long))]);
        prop::collection::vec(window, 0..8)
    }

    proptest! {
        #[test]
        fn weeks_add_up_to_the_window(
            begins in 1_u16..=365, long in 0_u16..365, first in 1_u16..=365,
            hours in prop::collection::vec(0.0_f64..14.0, 365),
        ) {
            let rule = FlightRule::usual();
            let year = year(|number| hours[usize::from(number) - 1]);
            let (begins, ends) = (day(begins), day(begins).later(f64::from(long)));
            let all = bloom_of(begins, ends, &year, &rule);
            let weeks = weeks_of(begins, ends, day(first), &year, &rule);
            prop_assert_eq!(weeks.iter().map(|week| week.days).sum::<u16>(), all.days);
            prop_assert_eq!(weeks.iter().map(|week| week.flying_days).sum::<u16>(), all.flying_days);
            let sum: f64 = weeks.iter().map(|week| week.flying_h).sum();
            prop_assert!((sum - all.flying_h).abs() < 1e-6);
            prop_assert!(all.flying_days + all.days_before_flight <= all.days);
            prop_assert!(weeks.iter().all(|week| week.days <= 8));
        }

        /// Against every window's first day as the beginning, and the day on which the last of the others is over.
        #[test]
        fn the_hull_is_the_shortest_stretch_with_every_window(windows in windows()) {
            let until = |from: YearDay| {
                let ends = windows.iter().map(|[begins, ends]| from.days_to(*begins) + begins.days_to(*ends) + 1);
                ends.max().unwrap_or(0).min(365)
            };
            let shortest = windows.iter().map(|[begins, _]| until(*begins)).min();
            let found = hull(&windows);
            prop_assert_eq!(found.map(|[begins, ends]| begins.days_to(ends) + 1), shortest);
            if let Some([begins, _]) = found {
                prop_assert_eq!(Some(until(begins)), shortest);
            }
        }

        /// Each day looked at by itself: with the days between seasons, gaps are all days without bloom.
        #[test]
        fn gaps_and_bloom_and_the_rest_are_the_year(windows in windows()) {
            let open = |day: YearDay| windows.iter().any(|[begins, ends]| {
                begins.days_to(day) <= begins.days_to(*ends)
            });
            let found = gaps(&windows, 0);
            let closed = (1..=365).filter(|number| !open(day(*number))).count();
            let in_gaps: usize = found.iter().map(|gap| usize::from(gap.days)).sum();
            for gap in &found {
                prop_assert_eq!(gap.begins.days_to(gap.ends) + 1, gap.days);
                prop_assert!((0..gap.days).all(|after| !open(gap.begins.later(f64::from(after)))));
                prop_assert!(open(gap.begins.later(-1.0)) && open(gap.ends.later(1.0)));
            }
            // What is left is one stretch, no shorter than any gap.
            let rest = closed - in_gaps;
            prop_assert!(found.iter().all(|gap| usize::from(gap.days) <= rest));
            prop_assert!(windows.is_empty() || closed == 0 || rest > 0);
        }
    }
}
