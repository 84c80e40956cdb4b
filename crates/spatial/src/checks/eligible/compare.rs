//! Whether a figure meets a test as it is written.

use serde::Serialize;

/// How a figure is held against what is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Compare {
    /// The figure asked for itself will do.
    AtLeast,
    /// The figure asked for itself is too little.
    MoreThan,
    /// The figure asked for itself will do.
    AtMost,
    /// The figure asked for itself is too much.
    LessThan,
}

/// What comes of a test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// It does not meet the test as written.
    DoesNotMeet,
    /// What is known leaves both open.
    CannotBeTold,
    /// It meets the test as written.
    Meets,
}

/// A figure between two bounds, both of which it may be; the same twice where it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub(super) least: f64,
    pub(super) most: f64,
}

/// Steps of a unit in which figures are compared: a hectare to the square centimetre, a metre to the
/// micrometre. What lies nearer differs by rounding in the reckoning alone.
const STEPS: f64 = 1e6;

impl Compare {
    /// Every comparison.
    pub(super) const ALL: [Self; 4] = [Self::AtLeast, Self::MoreThan, Self::AtMost, Self::LessThan];

    /// Its word in rule files.
    pub(super) fn word(self) -> &'static str {
        ["at_least", "more_than", "at_most", "less_than"][self as usize]
    }

    /// Its words for people.
    pub(super) fn words(self) -> &'static str {
        ["at least", "more than", "at most", "less than"][self as usize]
    }

    fn holds(self, found: f64, asked: f64) -> bool {
        let (found, asked) = ((found * STEPS).round(), (asked * STEPS).round());
        match self {
            Self::AtLeast => found >= asked,
            Self::MoreThan => found > asked,
            Self::AtMost => found <= asked,
            Self::LessThan => found < asked,
        }
    }
}

impl Found {
    /// A figure that is known.
    pub(super) fn known(figure: f64) -> Self {
        Self { least: figure, most: figure }
    }

    /// A figure of 0 or more of which nothing is known.
    pub(super) fn unknown() -> Self {
        Self { least: 0.0, most: f64::INFINITY }
    }

    /// Holds it against what is asked: met, or not, only where both bounds say the same.
    pub(super) fn verdict(self, compare: Compare, asked: f64) -> Verdict {
        match (compare.holds(self.least, asked), compare.holds(self.most, asked)) {
            (true, true) => Verdict::Meets,
            (false, false) => Verdict::DoesNotMeet,
            _ => Verdict::CannotBeTold,
        }
    }
}

impl Verdict {
    /// Its word in tables.
    pub(super) fn word(self) -> &'static str {
        ["does_not_meet", "cannot_be_told", "meets"][self as usize]
    }

    /// Its words for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        [
            "does not meet the test as written",
            "cannot be told from what is known",
            "meets the test as written",
        ][self as usize]
    }
}
