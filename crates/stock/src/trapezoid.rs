//! How far a stock takes one factor: nothing, rising, fully, falling, nothing.

use thiserror::Error;

/// Membership of a numeric factor, 0 to 1.
///
/// ```text
///   1 ┤        ┌─────────┐
///     │      ╱             ╲
///   0 ┼────┴───────────────────┴────
///     none_below  full_from full_to  none_above
/// ```
/// Either end may be open: then that side never limits. A trapezoid that exists is sound.
/// Sources: Zadeh 1965, Fuzzy Sets (membership); Burrough 1989, J. Soil Science 40 (in land
/// evaluation); both from memory.
///
/// ```
/// use stock::Trapezoid;
/// let slope = Trapezoid::new(None, Some((35.0, 48.0)))?;
/// assert_eq!(slope.membership(20.0), 1.0);
/// assert_eq!(slope.membership(41.5), 0.5);
/// assert_eq!(slope.membership(48.0), 0.0);
/// # Ok::<(), stock::TrapezoidError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapezoid {
    none_below: f64,
    full_from: f64,
    full_to: f64,
    none_above: f64,
    /// Widths of the flanks; 1 for an open end, so that membership needs no branch.
    rise: f64,
    fall: f64,
}

/// Why four numbers are no trapezoid.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TrapezoidError {
    /// A number, or the width between two, is NaN or infinite.
    #[error("every end of a range must be a finite number")]
    NotFinite,
    /// The lower flank does not rise.
    #[error("none_below ({none_below}) must be less than full_from ({full_from})")]
    LowerEnd {
        /// Value at and below which the stock does not grow.
        none_below: f64,
        /// Value from which it grows fully.
        full_from: f64,
    },
    /// The upper flank does not fall.
    #[error("full_to ({full_to}) must be less than none_above ({none_above})")]
    UpperEnd {
        /// Value up to which the stock grows fully.
        full_to: f64,
        /// Value at and above which it does not grow.
        none_above: f64,
    },
    /// The full range is inside out.
    #[error("full_from ({full_from}) must not exceed full_to ({full_to})")]
    FullRange {
        /// Value from which the stock grows fully.
        full_from: f64,
        /// Value up to which it grows fully.
        full_to: f64,
    },
}

impl Trapezoid {
    /// Open at both ends: never limits.
    pub const OPEN: Self = Self {
        none_below: f64::NEG_INFINITY,
        full_from: f64::NEG_INFINITY,
        full_to: f64::INFINITY,
        none_above: f64::INFINITY,
        rise: 1.0,
        fall: 1.0,
    };

    /// A trapezoid from its lower end `(none_below, full_from)` and its upper end
    /// `(full_to, none_above)`, all in the factor's unit; `None` leaves an end open.
    ///
    /// # Errors
    /// [`TrapezoidError`] unless `none_below < full_from <= full_to < none_above`, all finite.
    pub fn new(
        lower: Option<(f64, f64)>,
        upper: Option<(f64, f64)>,
    ) -> Result<Self, TrapezoidError> {
        let mut shape = Self::OPEN;
        if let Some((none_below, full_from)) = lower {
            let rise = flank(none_below, full_from)?;
            if rise <= 0.0 {
                return Err(TrapezoidError::LowerEnd { none_below, full_from });
            }
            shape = Self { none_below, full_from, rise, ..shape };
        }
        if let Some((full_to, none_above)) = upper {
            let fall = flank(full_to, none_above)?;
            if fall <= 0.0 {
                return Err(TrapezoidError::UpperEnd { full_to, none_above });
            }
            shape = Self { full_to, none_above, fall, ..shape };
        }
        if shape.full_from > shape.full_to {
            let Self { full_from, full_to, .. } = shape;
            return Err(TrapezoidError::FullRange { full_from, full_to });
        }
        Ok(shape)
    }

    /// Membership of a value, 0 to 1: 1 within the full range, 0 at and beyond the outer ends,
    /// straight between. NaN, a value that is not known, does not limit: 1.
    #[must_use]
    pub fn membership(&self, value: f64) -> f64 {
        let rising = (value - self.none_below) / self.rise;
        let falling = (self.none_above - value) / self.fall;
        1.0_f64.min(rising).min(falling).max(0.0)
    }

    /// Whether a value lies below the full range.
    #[must_use]
    pub fn is_below(&self, value: f64) -> bool {
        value < self.full_from
    }

    /// The lower end `(none_below, full_from)`; `None` when it is open.
    #[must_use]
    pub fn lower(&self) -> Option<(f64, f64)> {
        self.full_from.is_finite().then_some((self.none_below, self.full_from))
    }

    /// The upper end `(full_to, none_above)`; `None` when it is open.
    #[must_use]
    pub fn upper(&self) -> Option<(f64, f64)> {
        self.full_to.is_finite().then_some((self.full_to, self.none_above))
    }
}

/// Width of a flank from two finite numbers.
fn flank(from: f64, to: f64) -> Result<f64, TrapezoidError> {
    let width = to - from;
    if from.is_finite() && to.is_finite() && width.is_finite() {
        Ok(width)
    } else {
        Err(TrapezoidError::NotFinite)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unsound_shape_is_refused() {
        let new = Trapezoid::new;
        assert!(matches!(new(Some((5.0, 5.0)), None), Err(TrapezoidError::LowerEnd { .. })));
        assert!(matches!(new(None, Some((9.0, 8.0))), Err(TrapezoidError::UpperEnd { .. })));
        assert!(matches!(
            new(Some((0.0, 6.0)), Some((5.0, 8.0))),
            Err(TrapezoidError::FullRange { .. })
        ));
        assert_eq!(new(Some((f64::NAN, 6.0)), None), Err(TrapezoidError::NotFinite));
        assert_eq!(new(None, Some((0.0, f64::INFINITY))), Err(TrapezoidError::NotFinite));
        assert_eq!(new(Some((-f64::MAX, f64::MAX)), None), Err(TrapezoidError::NotFinite));
    }

    #[test]
    fn corners_are_exact_and_open_ends_never_limit() {
        let shape = Trapezoid::new(Some((0.1, 0.3)), Some((0.3, 0.7))).unwrap();
        for (value, membership) in [(0.1, 0.0), (0.2, 0.5), (0.3, 1.0), (0.5, 0.5), (0.7, 0.0)] {
            assert!((shape.membership(value) - membership).abs() < 1e-12, "at {value}");
        }
        assert_eq!(shape.membership(0.3).to_bits(), 1.0_f64.to_bits());
        for value in [f64::NEG_INFINITY, -1e300, 0.0, 1e300, f64::INFINITY, f64::NAN] {
            assert_eq!(Trapezoid::OPEN.membership(value).to_bits(), 1.0_f64.to_bits());
        }
        assert_eq!((Trapezoid::OPEN.lower(), Trapezoid::OPEN.upper()), (None, None));
    }
}
