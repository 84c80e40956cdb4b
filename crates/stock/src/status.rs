//! Whether a stock can be had.

/// Whether a stock can be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Status {
    /// It can be ordered now.
    #[default]
    Available,
    /// It is being raised.
    BeingRaised {
        /// Year of the first planting season in which it can be had.
        from: i32,
    },
    /// Somebody thought of it; there is nothing to order.
    Idea,
}

impl Status {
    /// As files write it, in the order of the variants.
    pub const KEYS: [&str; 3] = ["available", "being_raised", "idea"];

    /// As it is written in files: `available`, `being_raised` or `idea`.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Available => Self::KEYS[0],
            Self::BeingRaised { .. } => Self::KEYS[1],
            Self::Idea => Self::KEYS[2],
        }
    }

    /// Year of the first planting season in which it can be had, when that is a matter of waiting.
    #[must_use]
    pub fn first_season(self) -> Option<i32> {
        match self {
            Self::BeingRaised { from } => Some(from),
            Self::Available | Self::Idea => None,
        }
    }
}
