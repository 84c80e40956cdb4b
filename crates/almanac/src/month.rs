//! A month of a year.

use std::fmt;
use std::str::FromStr;

/// A month of a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Month {
    /// The year.
    pub year: i32,
    /// 1 to 12.
    pub month: u8,
}

impl Month {
    /// So many months later; earlier below 0. Years that no number holds stay at the last that it does.
    ///
    /// ```
    /// use almanac::Month;
    /// let july = Month { year: 2027, month: 7 };
    /// assert_eq!(july.plus(-7), Month { year: 2026, month: 12 });
    /// ```
    #[must_use]
    pub fn plus(self, months: i32) -> Self {
        Self::from_index(self.index() + i64::from(months))
    }

    /// Months from an earlier one to this; below 0 if it is later.
    #[must_use]
    pub fn since(self, earlier: Self) -> i32 {
        let months = self.index() - earlier.index();
        months.clamp(i64::from(i32::MIN), i64::from(i32::MAX)) as i32
    }

    /// Months since the first of year 0.
    fn index(self) -> i64 {
        i64::from(self.year) * 12 + i64::from(self.month) - 1
    }

    fn from_index(index: i64) -> Self {
        let year = index.div_euclid(12).clamp(i64::from(i32::MIN), i64::from(i32::MAX));
        Self { year: year as i32, month: index.rem_euclid(12) as u8 + 1 }
    }
}

/// Why a text is no month.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MonthFault;

impl fmt::Display for MonthFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("expected a year and a month, such as 2027-03")
    }
}

impl std::error::Error for MonthFault {}

/// Years in which work can be meant.
const YEARS: std::ops::RangeInclusive<i32> = 1_900..=2_300;

/// From `YYYY-MM`.
///
/// ```
/// use almanac::Month;
/// assert_eq!("2027-03".parse(), Ok(Month { year: 2027, month: 3 }));
/// assert!("2027-13".parse::<Month>().is_err());
/// ```
impl FromStr for Month {
    type Err = MonthFault;

    fn from_str(text: &str) -> Result<Self, MonthFault> {
        let parts =
            text.split_once('-').filter(|(year, month)| year.len() == 4 && month.len() == 2);
        let read = parts.and_then(|(year, month)| {
            let is_plain = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
            if !(is_plain(year) && is_plain(month)) {
                return None;
            }
            Some(Self { year: year.parse().ok()?, month: month.parse().ok()? })
        });
        let sound = |month: &Self| YEARS.contains(&month.year) && (1..=12).contains(&month.month);
        read.filter(sound).ok_or(MonthFault)
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const NAMES: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let name = NAMES.get(usize::from(self.month).wrapping_sub(1)).unwrap_or(&"?");
        write!(f, "{name} {}", self.year)
    }
}
