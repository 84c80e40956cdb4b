//! What most draws lie between.

/// What nine in ten draws lie between, and the middle one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// One draw in twenty lies below.
    pub low: f64,
    /// Half of them do.
    pub middle: f64,
    /// One in twenty lies above.
    pub high: f64,
}

/// The interval of some figures; `None` where there are none. Between two draws it lies on the straight line
/// between them (Hyndman & Fan 1996, The American Statistician 50:361, type 7).
///
/// ```
/// let one = chance::interval((0..=100).map(f64::from)).ok_or("none")?;
/// assert_eq!((one.low, one.middle, one.high), (5.0, 50.0, 95.0));
/// # Ok::<(), &str>(())
/// ```
#[must_use]
pub fn interval(figures: impl IntoIterator<Item = f64>) -> Option<Interval> {
    let mut sorted: Vec<f64> = figures.into_iter().collect();
    sorted.sort_unstable_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    let at = |share: f64| {
        let place = share * last as f64;
        let below = place.floor() as usize;
        let above = (below + 1).min(last);
        let part = place - below as f64;
        if part > 0.0 {
            sorted[below] + (sorted[above] - sorted[below]) * part
        } else {
            sorted[below]
        }
    };
    Some(Interval { low: at(0.05), middle: at(0.5), high: at(0.95) })
}
