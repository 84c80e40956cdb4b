//! When a stock flowers on a zone, in weeks.

use stock::{Stock, YearDay};

use crate::mosaic::Weeks;

/// Days of a week.
const DAYS: u16 = 7;

/// Weeks in which a stock flowers at a height; none where nothing is known of its flowering.
/// A week counts from the first of January; the last has one day.
pub(super) fn in_flower(stock: &Stock, elevation_m: f64) -> Weeks {
    let week = |day: YearDay| u32::from(day.get().saturating_sub(1) / DAYS);
    stock.flowering.map_or(Weeks::NONE, |flowering| {
        let (begins, ends) = flowering.window_at(elevation_m);
        if week(begins) == week(ends) && flowering.days() > DAYS {
            return Weeks::span(0, Weeks::COUNT - 1); // round the year, into the week it began in
        }
        Weeks::span(week(begins), week(ends))
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use stock::{Flowering, StockKind};

    use super::*;

    fn line(begins: u16, ends: u16) -> Stock {
        let day = |number| YearDay::new(number).unwrap();
        let flowering = Some(Flowering::new(day(begins), day(ends)).at(100.0).shifting(3.5));
        Stock { flowering, ..Stock::named("line", "Line", StockKind::Cultivar) }
    }

    #[test]
    fn flowering_goes_over_the_new_year() {
        // 20 December (day 354) to 10 January, where it was seen
        let weeks = in_flower(&line(354, 10), 100.0);
        assert_eq!(weeks.iter().collect::<Vec<_>>(), [0, 1, 50, 51, 52]);
        // 400 m higher: a fortnight later, 3 January to 24 January
        let weeks = in_flower(&line(354, 10), 500.0);
        assert_eq!(weeks.iter().collect::<Vec<_>>(), [0, 1, 2, 3]);
    }

    #[test]
    fn nothing_known_is_nothing_in_flower() {
        let unknown = Stock::named("line", "Line", StockKind::Cultivar);
        assert!(in_flower(&unknown, 100.0).is_empty());
    }

    proptest! {
        /// Slow twin: every day of the year asked.
        #[test]
        fn a_week_is_in_flower_when_one_of_its_days_is(
            begins in 1_u16..=365,
            ends in 1_u16..=365,
            elevation_m in -200.0..1_500.0_f64,
        ) {
            let line = line(begins, ends);
            let flowering = line.flowering.unwrap();
            let open = |day: &u16| flowering.is_open(YearDay::new(*day).unwrap(), elevation_m);
            let slow = (1..=365).filter(open).map(|day| u32::from((day - 1) / 7));
            let slow = slow.fold(Weeks::NONE, Weeks::with);
            prop_assert_eq!(in_flower(&line, elevation_m), slow);
        }
    }
}
