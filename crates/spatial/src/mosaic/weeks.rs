//! Weeks of the year as a set.

/// A set of weeks of the year, counted from 0 to 52.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Weeks(u64);

impl Weeks {
    /// Weeks that a year can touch.
    pub const COUNT: u32 = 53;
    /// No week.
    pub const NONE: Self = Self(0);

    /// The weeks from `first` to `last`, both counted, over the turn of the year when `last` comes
    /// first. Weeks from [`Self::COUNT`] on count from 0 again.
    #[must_use]
    pub fn span(first: u32, last: u32) -> Self {
        let (first, last) = (first % Self::COUNT, last % Self::COUNT);
        let length = (last + Self::COUNT - first) % Self::COUNT;
        Self((0..=length).fold(0, |set, step| set | 1 << ((first + step) % Self::COUNT)))
    }

    /// Whether it holds a week.
    #[must_use]
    pub const fn contains(self, week: u32) -> bool {
        week < Self::COUNT && self.0 >> week & 1 == 1
    }

    /// Its weeks, in order.
    pub fn iter(self) -> impl Iterator<Item = u32> {
        (0..Self::COUNT).filter(move |week| self.contains(*week))
    }

    /// How many weeks it holds.
    #[must_use]
    pub const fn len(self) -> u32 {
        self.0.count_ones()
    }

    /// Whether it holds none.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// It and one week more.
    #[must_use]
    pub const fn with(self, week: u32) -> Self {
        if week < Self::COUNT { Self(self.0 | 1 << week) } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::Weeks;

    #[test]
    fn a_span_counts_both_ends_and_turns_with_the_year() {
        assert_eq!(Weeks::span(3, 5).iter().collect::<Vec<_>>(), [3, 4, 5]);
        assert_eq!(Weeks::span(51, 1).iter().collect::<Vec<_>>(), [0, 1, 51, 52]);
        assert_eq!(Weeks::span(7, 7).len(), 1);
        assert!(Weeks::NONE.is_empty() && !Weeks::NONE.contains(60));
        assert_eq!(Weeks::NONE.with(9), Weeks::span(9, 9));
    }
}
