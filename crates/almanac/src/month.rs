//! A month of a year.

use std::fmt;

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

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const NAMES: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let name = NAMES.get(usize::from(self.month).wrapping_sub(1)).unwrap_or(&"?");
        write!(f, "{name} {}", self.year)
    }
}
