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

impl Side {
    /// Every side, in order.
    pub const ALL: [Self; 3] = [Self::TooLow, Self::TooHigh, Self::Unsuited];
}

impl Limit {
    /// How many there are: every factor on every side.
    pub const COUNT: usize = Factor::ALL.len() * Side::ALL.len();

    /// Its place among all limits, from 0, in the order of limits.
    #[must_use]
    pub const fn index(self) -> usize {
        self.factor.index() * Side::ALL.len() + self.side as usize
    }

    /// The limit at a place; `None` from [`Limit::COUNT`] on.
    #[must_use]
    pub fn from_index(index: usize) -> Option<Self> {
        let sides = Side::ALL.len();
        let factor = *Factor::ALL.get(index / sides)?;
        Some(Self { factor, side: Side::ALL[index % sides] })
    }

    /// What a landowner says of the place, such as `too steep`.
    #[must_use]
    pub fn words(&self) -> &'static str {
        self.factor.words(self.side)
    }

    /// What of the place is beyond what the stock takes, such as `the coldest month falls below its
    /// limit`.
    #[must_use]
    pub fn reason(&self) -> String {
        let beyond = match self.side {
            Side::TooLow => "falls below its limit",
            Side::TooHigh => "rises above its limit",
            Side::Unsuited => "is of a class that it takes less well",
        };
        format!("{} {beyond}", self.factor.subject())
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}
