//! Limits of a number, and how they are said.

use std::fmt;

/// From where to where a number may lie, and its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Least value.
    pub least: f64,
    /// Whether the least value itself is refused.
    pub above_least: bool,
    /// Greatest value, allowed.
    pub greatest: f64,
    /// Unit, such as `m`; `share` for a part of one; empty for a plain number.
    pub unit: &'static str,
}

/// How the numbers of a list follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Each greater than the one before it.
    Rising,
    /// Each less than the one before it.
    Falling,
    /// In any order.
    Any,
}

impl Limits {
    /// From `least` to `greatest`, both allowed.
    #[must_use]
    pub const fn from(least: f64, greatest: f64, unit: &'static str) -> Self {
        Self { least, above_least: false, greatest, unit }
    }

    /// Over `least`, up to `greatest`.
    #[must_use]
    pub const fn over(least: f64, greatest: f64, unit: &'static str) -> Self {
        Self { least, above_least: true, greatest, unit }
    }

    /// Any number that is not `nan` or `inf`.
    #[must_use]
    pub const fn any(unit: &'static str) -> Self {
        Self::from(f64::MIN, f64::MAX, unit)
    }

    /// Whether a number lies within; `nan` and `inf` never do.
    #[must_use]
    pub fn hold(&self, number: f64) -> bool {
        (self.least..=self.greatest).contains(&number)
            && !(self.above_least && number <= self.least)
    }

    /// Whether it is a part of one.
    pub(super) fn is_share(&self) -> bool {
        self.unit == "share"
    }
}

impl fmt::Display for Limits {
    /// The part after "a number": ` over 0, up to 1000 (ha)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.greatest < f64::MAX {
            let (from, to) = if self.above_least { ("over", ", up to") } else { ("from", " to") };
            write!(f, " {from} {}{to} {}", self.least, self.greatest)?;
        }
        if !self.unit.is_empty() && !self.is_share() {
            write!(f, " ({})", self.unit)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_hold_what_they_say() {
        let over = Limits::over(0.0, 1.0, "share");
        assert!(!over.hold(0.0) && over.hold(1e-9) && over.hold(1.0) && !over.hold(1.000_1));
        let from = Limits::from(0.0, 1.0, "share");
        assert!(from.hold(0.0) && !from.hold(-1e-9));
        for limits in [over, from, Limits::any("m")] {
            assert!(![f64::NAN, f64::INFINITY, f64::NEG_INFINITY].iter().any(|n| limits.hold(*n)));
        }
    }

    #[test]
    fn limits_read_as_words() {
        assert_eq!(Limits::over(0.0, 1000.0, "ha").to_string(), " over 0, up to 1000 (ha)");
        assert_eq!(Limits::from(0.0, 1.0, "share").to_string(), " from 0 to 1");
        assert_eq!(Limits::any("m").to_string(), " (m)");
    }
}
