//! A figure that nobody knows better than within a range.

/// A figure as a range, in any unit: lowest, middle, highest, in that order.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range {
    low: f64,
    middle: f64,
    high: f64,
}

impl Range {
    /// A range; `None` unless all three are finite and rise or stay.
    #[must_use]
    pub fn new(low: f64, middle: f64, high: f64) -> Option<Self> {
        let sound = low.is_finite() && high.is_finite() && low <= middle && middle <= high;
        sound.then_some(Self { low, middle, high })
    }

    /// The least.
    #[must_use]
    pub fn low(self) -> f64 {
        self.low
    }

    /// The one that is thought likeliest.
    #[must_use]
    pub fn middle(self) -> f64 {
        self.middle
    }

    /// The greatest.
    #[must_use]
    pub fn high(self) -> f64 {
        self.high
    }
}
