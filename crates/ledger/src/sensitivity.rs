//! What moves a result most: one driver at a time.

/// A figure that a result hangs on, at three values.
#[derive(Debug, Clone, PartialEq)]
pub struct Driver {
    /// Name, for people.
    pub name: String,
    /// At its low end.
    pub low: f64,
    /// As the result has it.
    pub middle: f64,
    /// At its high end.
    pub high: f64,
}

/// What one driver does while all others keep their middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Which driver, by its place.
    pub driver: usize,
    /// The result with the driver at its low end.
    pub at_low: f64,
    /// The result with the driver at its high end.
    pub at_high: f64,
}

impl Swing {
    /// How far apart the two results lie.
    #[must_use]
    pub fn width(&self) -> f64 {
        (self.at_high - self.at_low).abs()
    }
}

/// Moves each driver to its two ends while the others keep their middle: the widest swing first, equals in
/// the order of the drivers. `result` is told a value for each driver. Drivers that move together in life are
/// not caught by this. Cost: 2 results a driver.
pub fn one_at_a_time(drivers: &[Driver], result: impl Fn(&[f64]) -> f64) -> Vec<Swing> {
    let middles: Vec<f64> = drivers.iter().map(|driver| driver.middle).collect();
    let with = |at: usize, value: f64| {
        let mut values = middles.clone();
        values[at] = value;
        result(&values)
    };
    let swing = |(at, driver): (usize, &Driver)| Swing {
        driver: at,
        at_low: with(at, driver.low),
        at_high: with(at, driver.high),
    };
    let mut swings: Vec<Swing> = drivers.iter().enumerate().map(swing).collect();
    swings.sort_by(|a, b| b.width().total_cmp(&a.width()));
    swings
}

/// The value between `from` and `to` at which a result is 0, by bisection; `None` where its sign is the same at
/// both ends, or it is no number there. Cost: at most 200 results.
pub fn break_even(from: f64, to: f64, result: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut low, mut high) = (from, to);
    let (at_low, at_high) = (result(low), result(high));
    if at_low.abs() <= 0.0 {
        return Some(low);
    }
    if at_high.abs() <= 0.0 {
        return Some(high);
    }
    if !(at_low.is_finite() && at_high.is_finite()) || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if (result(middle) > 0.0) == (at_low > 0.0) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}
