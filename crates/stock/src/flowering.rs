//! When a stock flowers.

use crate::YearDay;

/// When a stock flowers at one height, and how the time moves with height.
///
/// Sources: no thermal-time model of this genus is known to us, so dates are the user's own.
/// Later with height: Hopkins 1918, Periodical Events and Natural Law, gives four days for 400 feet,
/// 3.3 days for 100 m (from memory); the field says 2 to 4.
///
/// ```
/// use stock::{Flowering, YearDay};
/// let day = |month, day| YearDay::from_month_day(month, day).ok_or("no such day");
/// let line = Flowering::new(day(12, 10)?, day(1, 15)?).at(100.0).shifting(3.0);
/// let (begins, ends) = line.window_at(400.0);
/// assert_eq!((begins, ends), (day(12, 19)?, day(1, 24)?));
/// assert!(line.is_open(day(1, 1)?, 400.0));
/// # Ok::<(), &str>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flowering {
    /// First day of flowering worth working.
    pub begins: YearDay,
    /// Last day of it; before `begins` when the window goes over the new year.
    pub ends: YearDay,
    /// Height above sea level at which these days were seen, metres.
    pub elevation_m: f64,
    /// Days later for each 100 m higher.
    pub shift_days_per_100m: f64,
}

impl Flowering {
    /// Days later for each 100 m higher, when a file does not say: 3, the middle of the 2 to 4 that
    /// the field uses (common practice; see the sources above).
    pub const SHIFT_DAYS_PER_100M: f64 = 3.0;

    /// A window seen at sea level, with the usual shift.
    #[must_use]
    pub fn new(begins: YearDay, ends: YearDay) -> Self {
        let shift_days_per_100m = Self::SHIFT_DAYS_PER_100M;
        Self { begins, ends, elevation_m: 0.0, shift_days_per_100m }
    }

    /// The same, seen at a height in metres.
    #[must_use]
    pub fn at(self, elevation_m: f64) -> Self {
        Self { elevation_m, ..self }
    }

    /// The same with so many days later for each 100 m higher.
    #[must_use]
    pub fn shifting(self, shift_days_per_100m: f64) -> Self {
        Self { shift_days_per_100m, ..self }
    }

    /// Length of the window, first and last day counted: 1 to 365 days, the same at any height.
    #[must_use]
    pub fn days(&self) -> u16 {
        self.begins.days_to(self.ends) + 1
    }

    /// Days later than seen, at a height in metres; earlier when negative.
    #[must_use]
    pub fn shift_days_at(&self, elevation_m: f64) -> f64 {
        (elevation_m - self.elevation_m) / 100.0 * self.shift_days_per_100m
    }

    /// First and last day of flowering at a height in metres, moved by whole days. The last day
    /// comes before the first when the window goes over the new year. A height that is not known
    /// (NaN) gives the window as seen.
    #[must_use]
    pub fn window_at(&self, elevation_m: f64) -> (YearDay, YearDay) {
        let begins = self.begins.later(self.shift_days_at(elevation_m));
        (begins, begins.later(f64::from(self.begins.days_to(self.ends))))
    }

    /// Whether it flowers on a day at a height in metres.
    #[must_use]
    pub fn is_open(&self, day: YearDay, elevation_m: f64) -> bool {
        let (begins, ends) = self.window_at(elevation_m);
        begins.days_to(day) <= begins.days_to(ends)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(number: u16) -> YearDay {
        YearDay::new(number).unwrap()
    }

    #[test]
    fn a_window_keeps_its_length_and_goes_over_the_new_year() {
        for (begins, ends) in [(1, 1), (1, 365), (330, 30), (100, 99), (280, 320)] {
            let line = Flowering::new(day(begins), day(ends)).at(150.0).shifting(3.3);
            for elevation_m in [-400.0, 0.0, 150.0, 620.0, 1e9, f64::NAN] {
                let (first, last) = line.window_at(elevation_m);
                assert_eq!(first.days_to(last) + 1, line.days());
                let open = (1..=365).filter(|&n| line.is_open(day(n), elevation_m)).count();
                assert_eq!(open, usize::from(line.days()), "{begins} to {ends} at {elevation_m}");
            }
        }
    }

    #[test]
    fn a_height_that_is_not_known_moves_nothing() {
        let line = Flowering::new(day(330), day(20)).at(100.0);
        assert_eq!(line.window_at(f64::NAN), (day(330), day(20)));
    }

    /// Hopkins 1918: four days later for each 400 feet upward (from memory).
    #[test]
    fn the_usual_shift_is_near_the_published_rule() {
        let published = 4.0 / (400.0 * 0.3048) * 100.0;
        assert!((Flowering::SHIFT_DAYS_PER_100M - published).abs() < 0.5, "{published}");
        let line = Flowering::new(day(300), day(340)).shifting(published);
        assert_eq!(line.window_at(400.0 * 0.3048), (day(304), day(344)));
    }
}
