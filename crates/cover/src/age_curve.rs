//! A figure by age.

use std::fmt;

/// A figure that never falls with age, straight between the ages at which it is known, and held after
/// the last.
///
/// ```
/// use cover::AgeCurve;
/// let radius_m = AgeCurve::new(&[(0.0, 0.1), (5.0, 0.8)])?;
/// assert!((radius_m.at(2.5) - 0.45).abs() < 1e-12);
/// assert_eq!((radius_m.at(-3.0), radius_m.at(90.0)), (0.0, 0.8));
/// # Ok::<(), cover::AgeCurveError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct AgeCurve {
    nodes: Vec<(f64, f64)>,
}

/// Why figures by age make no curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgeCurveError {
    /// There is none.
    Empty,
    /// This one (from 1) is not a number of 0 or more.
    NotANumber(usize),
    /// The age of this one (from 1) is not above the one before.
    AgeNotRising(usize),
    /// This one (from 1) is less than the one before.
    Falling(usize),
}

impl fmt::Display for AgeCurveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "no ages"),
            Self::NotANumber(at) => write!(f, "pair {at} is not an age and a figure of 0 or more"),
            Self::AgeNotRising(at) => write!(f, "the age of pair {at} is not above the one before"),
            Self::Falling(at) => write!(f, "the figure of pair {at} is less than the one before"),
        }
    }
}

impl std::error::Error for AgeCurveError {}

impl AgeCurve {
    /// From pairs of an age in years and the figure at that age.
    ///
    /// # Errors
    /// When there are none, one is not a number of 0 or more, ages do not rise, or figures fall.
    pub fn new(nodes: &[(f64, f64)]) -> Result<Self, AgeCurveError> {
        let is_number = |value: f64| value.is_finite() && value >= 0.0;
        for (at, (age, figure)) in nodes.iter().enumerate() {
            if !is_number(*age) || !is_number(*figure) {
                return Err(AgeCurveError::NotANumber(at + 1));
            }
        }
        for (at, pair) in nodes.windows(2).enumerate() {
            if pair[1].0 <= pair[0].0 {
                return Err(AgeCurveError::AgeNotRising(at + 2));
            }
            if pair[1].1 < pair[0].1 {
                return Err(AgeCurveError::Falling(at + 2));
            }
        }
        if nodes.is_empty() {
            Err(AgeCurveError::Empty)
        } else {
            Ok(Self { nodes: nodes.to_vec() })
        }
    }

    /// The curve that is 0 at every age.
    #[must_use]
    pub fn zero() -> Self {
        Self { nodes: vec![(0.0, 0.0)] }
    }

    /// The figure at an age in years: 0 before age 0, straight from 0 at age 0 to the first pair where
    /// that is older.
    #[must_use]
    pub fn at(&self, age: f64) -> f64 {
        if age.is_nan() || age < 0.0 {
            return 0.0;
        }
        let after = self.nodes.partition_point(|(known, _)| *known <= age);
        let before = after.checked_sub(1).map_or((0.0, 0.0), |at| self.nodes[at]);
        match self.nodes.get(after) {
            None => before.1,
            Some(next) => before.1 + (next.1 - before.1) * (age - before.0) / (next.0 - before.0),
        }
    }
}
