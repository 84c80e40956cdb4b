//! A day on which a sample was taken.

use std::fmt;

/// Years that can be meant.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2199;

/// A day of the calendar.
///
/// ```
/// use spatial::seed::Day;
/// let day: Day = "2026-12-20".parse()?;
/// assert_eq!((day.year(), day.month(), day.day(), day.season()), (2026, 12, 20, 2027));
/// # Ok::<(), spatial::seed::DayFault>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day {
    year: i32,
    month: u8,
    of_month: u8,
}

/// Why a text is no day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DayFault {
    /// Not of the form `2026-12-20` (ISO 8601).
    #[error("not written as year-month-day")]
    Form,
    /// Of that form, and the calendar has no such day, or the year is none that can be meant.
    #[error("no day of the calendar")]
    NoSuchDay,
}

impl Day {
    /// A day of the years 1900 to 2199; `None` where the calendar has none.
    #[must_use]
    pub fn new(year: i32, month: u8, day: u8) -> Option<Self> {
        let is_leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let last = match month {
            2 if is_leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => return None,
        };
        (YEARS.contains(&year) && (1..=last).contains(&day)).then_some(Self {
            year,
            month,
            of_month: day,
        })
    }

    /// Its year.
    #[must_use]
    pub fn year(self) -> i32 {
        self.year
    }

    /// Its month, 1 to 12.
    #[must_use]
    pub fn month(self) -> u8 {
        self.month
    }

    /// Its day of the month, from 1.
    #[must_use]
    pub fn day(self) -> u8 {
        self.of_month
    }

    /// Year in which its flowering season ends: a southern season runs from July to June.
    #[must_use]
    pub fn season(self) -> i32 {
        if self.month >= 7 { self.year + 1 } else { self.year }
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.of_month)
    }
}

impl std::str::FromStr for Day {
    type Err = DayFault;

    /// Reads `2026-12-20`, the one form that cannot be read in two ways.
    fn from_str(text: &str) -> Result<Self, DayFault> {
        let parts = match text.as_bytes() {
            [year @ .., b'-', m1, m2, b'-', d1, d2] if year.len() == 4 => {
                [number(year), number(&[*m1, *m2]), number(&[*d1, *d2])]
            }
            _ => return Err(DayFault::Form),
        };
        let [Some(year), Some(month), Some(day)] = parts else { return Err(DayFault::Form) };
        Self::new(year, month as u8, day as u8).ok_or(DayFault::NoSuchDay) // two digits each
    }
}

fn number(digits: &[u8]) -> Option<i32> {
    digits.iter().try_fold(0, |sum, digit| {
        digit.is_ascii_digit().then(|| sum * 10 + i32::from(digit - b'0'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_season_runs_from_july_to_june() {
        for (text, season) in [
            ("2026-12-20", 2027),
            ("2027-01-10", 2027),
            ("2027-06-30", 2027),
            ("2027-07-01", 2028),
            ("2026-07-01", 2027),
            ("2026-06-30", 2026),
        ] {
            let day: Day = text.parse().unwrap();
            assert_eq!((day.season(), day.to_string().as_str()), (season, text));
        }
    }

    #[test]
    fn days_are_those_of_the_calendar() {
        for text in ["2026-12-1", "26-12-01", "01/12/2026", "20261201", "2026-12-01T00:00", "", "x"]
        {
            assert_eq!(text.parse::<Day>(), Err(DayFault::Form), "{text}");
        }
        for text in ["2026-02-30", "2027-02-29", "2026-13-01", "2026-00-10", "0026-12-01"] {
            assert_eq!(text.parse::<Day>(), Err(DayFault::NoSuchDay), "{text}");
        }
        for text in ["2028-02-29", "2000-02-29", "2026-04-30"] {
            assert_eq!(text.parse::<Day>().unwrap().to_string(), text);
        }
        assert_eq!("2100-02-29".parse::<Day>(), Err(DayFault::NoSuchDay), "no leap year");
        let of_year =
            |year| (1..=12).flat_map(move |m| (0..=32).filter_map(move |d| Day::new(year, m, d)));
        assert_eq!((of_year(2026).count(), of_year(2028).count()), (365, 366));
    }
}
