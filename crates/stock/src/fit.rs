//! How well a place fits a stock, and what limits it.

use std::fmt;

use serde::Serialize;

use crate::Factor;

/// How well a place fits a stock.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fit {
    /// 0 (does not grow) to 1 (nothing limits).
    pub value: f64,
    /// What limits it; `None` exactly when `value` is 1.
    pub limiting: Option<Limit>,
}

/// The factor that limits a fit, and on which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Limit {
    /// The factor.
    pub factor: Factor,
    /// On which side of the full range the place lies.
    pub side: Side,
}

/// On which side of what a stock takes fully a place lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Below it.
    TooLow,
    /// Above it.
    TooHigh,
    /// Neither: a class that does not suit, between or level with those that suit best.
    Unsuited,
}

impl Limit {
    /// What a landowner says of the place, such as `too steep`.
    #[must_use]
    pub fn words(&self) -> &'static str {
        self.factor.words(self.side)
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}
