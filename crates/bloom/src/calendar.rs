//! Days of the calendar.

use stock::YearDay;

/// A day of the Gregorian calendar, counted from 1 January 1970.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CivilDate(i64);

impl CivilDate {
    /// The day so many days after 1 January 1970.
    #[must_use]
    pub fn from_days(days: i64) -> Self {
        Self(days)
    }

    /// A day by year, month and day of the month; `None` where there is no such day, or the year is not
    /// 1600 to 2600.
    ///
    /// ```
    /// use bloom::CivilDate;
    /// let day = CivilDate::new(2000, 2, 29).ok_or("no such day")?;
    /// assert_eq!(day.days(), 11_016);
    /// assert_eq!(CivilDate::new(1900, 2, 29), None);
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn new(year: i64, month: u32, day: u32) -> Option<Self> {
        if !(1600..=2600).contains(&year) || !(1..=12).contains(&month) {
            return None;
        }
        let lengths =
            [31, if is_leap(year) { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
        let at = month as usize - 1;
        if !(1..=lengths[at]).contains(&day) {
            return None;
        }
        let within: u32 = lengths[..at].iter().sum::<u32>() + day - 1;
        Some(Self(days_before(year) - days_before(1970) + i64::from(within)))
    }

    /// Days after 1 January 1970.
    #[must_use]
    pub fn days(self) -> i64 {
        self.0
    }

    /// Its year, and its day of that year from 1 to 366.
    #[must_use]
    pub fn year_and_day(self) -> (i64, u32) {
        let days = self.0 + days_before(1970);
        // A year or so off at most: 400 years have 146,097 days.
        let mut year = days * 400 / 146_097;
        while days_before(year + 1) <= days {
            year += 1;
        }
        while days_before(year) > days {
            year -= 1;
        }
        (year, (days - days_before(year)) as u32 + 1)
    }
}

/// Days before 1 January of a year, from that of the year 0.
fn days_before(year: i64) -> i64 {
    let full = year - 1;
    365 * year + full.div_euclid(4) - full.div_euclid(100) + full.div_euclid(400) + 1
}

fn is_leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

/// The day of a year of 365 days; 29 February counts as the day before it.
#[must_use]
pub fn day_of_year(date: CivilDate) -> Option<YearDay> {
    let (year, day) = date.year_and_day();
    let after = is_leap(year) && day >= 60; // 29 February is day 60
    YearDay::new(day as u16 - u16::from(after))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that stops has failed")]
    use super::*;

    /// Against the calendar of the crate `chrono`, each day of 400 years.
    #[test]
    fn days_are_those_of_another_calendar() {
        use chrono::{Datelike, NaiveDate};
        let mut other = NaiveDate::from_ymd_opt(1800, 1, 1).unwrap();
        let begin = CivilDate::new(1800, 1, 1).unwrap().days();
        for days in begin..begin + 146_097 {
            let date = CivilDate::from_days(days);
            assert_eq!(date.year_and_day(), (i64::from(other.year()), other.ordinal()));
            assert_eq!(
                CivilDate::new(i64::from(other.year()), other.month(), other.day()),
                Some(date)
            );
            other = other.succ_opt().unwrap();
        }
    }

    #[test]
    fn days_that_are_not_have_no_date() {
        for (year, month, day) in
            [(2023, 2, 29), (2024, 4, 31), (2024, 0, 1), (2024, 13, 1), (2024, 1, 0), (99, 1, 1)]
        {
            assert_eq!(CivilDate::new(year, month, day), None);
        }
    }

    #[test]
    fn leap_days_count_as_the_day_before() {
        let day = |y, m, d| day_of_year(CivilDate::new(y, m, d).unwrap()).unwrap().to_string();
        assert_eq!(day(2024, 2, 29), "02-28");
        assert_eq!(day(2024, 3, 1), "03-01");
        assert_eq!(day(2024, 12, 31), "12-31");
        assert_eq!(day(2023, 12, 31), "12-31");
    }
}
