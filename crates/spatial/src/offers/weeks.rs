//! When a stock flowers on a zone, in weeks.

use stock::{Stock, YearDay};

use crate::mosaic::Weeks;

/// Weeks in which a stock flowers at a height; none where nothing is known of its flowering.
/// A week counts from the first of January; the last has one day.
pub(super) fn in_flower(stock: &Stock, elevation_m: f64) -> Weeks {
    let week = |day: YearDay| u32::from(day.get().saturating_sub(1) / 7);
    stock.flowering.map_or(Weeks::NONE, |flowering| {
        let (begins, ends) = flowering.window_at(elevation_m);
        Weeks::span(week(begins), week(ends))
    })
}
