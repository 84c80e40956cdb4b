//! A day of the year.

use std::fmt;

/// A day of a year of 365 days, from 1 (1 January) to 365 (31 December).
///
/// Flowering is not known to the day, so 29 February is left out.
///
/// ```
/// use stock::YearDay;
/// let day = YearDay::from_month_day(12, 20).ok_or("no such day")?;
/// assert_eq!(day.get(), 354);
/// assert_eq!(day.later(15.0).to_string(), "01-04");
/// # Ok::<(), &str>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct YearDay(u16);

/// Days of the months of a year of 365 days.
const MONTHS: [u16; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

impl YearDay {
    /// Days in the year that is reckoned with.
    pub const YEAR_DAYS: u16 = 365;
    /// 1 January.
    pub const JANUARY: Self = Self(1);
    /// 1 July.
    pub const JULY: Self = Self(182);

    /// The day with a number; `None` unless it is 1 to 365.
    #[must_use]
    pub fn new(day: u16) -> Option<Self> {
        (1..=Self::YEAR_DAYS).contains(&day).then_some(Self(day))
    }

    /// A day of a month, both from 1; `None` when there is no such day in a year of 365 days.
    #[must_use]
    pub fn from_month_day(month: u16, day: u16) -> Option<Self> {
        let before = usize::from(month).checked_sub(1)?;
        let length = *MONTHS.get(before)?;
        (1..=length).contains(&day).then(|| Self(MONTHS[..before].iter().sum::<u16>() + day))
    }

    /// Its number, 1 to 365.
    #[must_use]
    pub fn get(self) -> u16 {
        self.0
    }

    /// Its month and its day of the month, both from 1.
    #[must_use]
    pub fn month_day(self) -> (u16, u16) {
        let mut day = self.0;
        for (month, length) in (1..).zip(MONTHS) {
            if day <= length {
                return (month, day);
            }
            day -= length;
        }
        (12, 31) // not reached: the number is at most 365
    }

    /// So many days later, rounded to whole days, round the end of the year; earlier when negative.
    /// A number that is not finite leaves the day as it is.
    #[must_use]
    pub fn later(self, days: f64) -> Self {
        if !days.is_finite() {
            return self;
        }
        let year = f64::from(Self::YEAR_DAYS);
        Self((f64::from(self.0 - 1) + days.round()).rem_euclid(year) as u16 % Self::YEAR_DAYS + 1)
    }

    /// Days from this day on to another, round the end of the year: 0 to 364.
    #[must_use]
    pub fn days_to(self, other: Self) -> u16 {
        (other.0 + Self::YEAR_DAYS - self.0) % Self::YEAR_DAYS
    }
}

impl fmt::Display for YearDay {
    /// As files write it: month and day, `12-20`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (month, day) = self.month_day();
        write!(f, "{month:02}-{day:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_has_one_name_and_every_name_one_day() {
        let mut named = 0;
        for month in 0..=13 {
            for day in 0..=32 {
                let Some(found) = YearDay::from_month_day(month, day) else { continue };
                assert_eq!(found.month_day(), (month, day));
                named += 1;
                assert_eq!(found.get(), named, "in order");
            }
        }
        assert_eq!(named, YearDay::YEAR_DAYS);
        assert_eq!(YearDay::from_month_day(1, 1), Some(YearDay::JANUARY));
        assert_eq!(YearDay::from_month_day(7, 1), Some(YearDay::JULY));
        assert_eq!(YearDay::from_month_day(2, 29), None);
        assert_eq!((YearDay::new(0), YearDay::new(366)), (None, None));
    }

    #[test]
    fn days_go_round_the_year() {
        let day = |number| YearDay::new(number).unwrap();
        assert_eq!(day(365).later(1.0), day(1));
        assert_eq!(day(1).later(-1.4), day(365));
        assert_eq!(day(100).later(365.0 * 3.0), day(100));
        assert_eq!(day(100).later(f64::NAN), day(100));
        assert!((1..=365).contains(&day(100).later(-1e300).get()));
        for (from, to) in [(1, 365), (365, 1), (200, 200), (300, 40)] {
            assert_eq!(day(from).later(f64::from(day(from).days_to(day(to)))), day(to));
        }
    }
}
