//! What is known about a place.

use crate::{DRAINAGE_CLASSES, Factor};

/// What is known at one cell or zone: a value for each numeric factor and a drainage class, any
/// of them missing. 80 bytes, made and read without allocation.
///
/// ```
/// use stock::{Conditions, Factor};
/// let here = Conditions::unknown().with(Factor::SlopeDeg, 28.0).with_drainage(Some(2));
/// assert_eq!(here.value(Factor::SlopeDeg), Some(28.0));
/// assert_eq!(here.value(Factor::ElevationM), None);
/// assert_eq!(here.drainage(), Some(2));
/// ```
#[derive(Debug, Clone, Copy)]
pub struct Conditions {
    /// By numeric factor, in its unit; NaN where not known.
    pub(crate) numeric: [f64; Factor::NUMERIC.len()],
    /// Step of [`DRAINAGE_CLASSES`]; `UNKNOWN` where not known.
    pub(crate) drainage: u8,
}

pub(crate) const UNKNOWN: u8 = DRAINAGE_CLASSES.len() as u8;

impl Conditions {
    /// Nothing is known.
    #[must_use]
    pub const fn unknown() -> Self {
        Self { numeric: [f64::NAN; Factor::NUMERIC.len()], drainage: UNKNOWN }
    }

    /// Values by numeric factor in the order of [`Factor::NUMERIC`], each in its unit, and the
    /// drainage class as a step of [`DRAINAGE_CLASSES`] (0 very poor … 4 well). NaN and a step
    /// beyond the ladder count as not known.
    #[must_use]
    pub fn new(numeric: [Option<f64>; Factor::NUMERIC.len()], drainage: Option<u8>) -> Self {
        Self { numeric: numeric.map(|value| value.unwrap_or(f64::NAN)), drainage: UNKNOWN }
            .with_drainage(drainage)
    }

    /// The same with one numeric factor known; NaN makes it unknown. A drainage class is given by
    /// [`Conditions::with_drainage`] and left alone here.
    #[must_use]
    pub fn with(mut self, factor: Factor, value: f64) -> Self {
        if let Some(known) = self.numeric.get_mut(factor.index()) {
            *known = value;
        }
        self
    }

    /// The same with a drainage class, a step of [`DRAINAGE_CLASSES`].
    #[must_use]
    pub fn with_drainage(mut self, class: Option<u8>) -> Self {
        self.drainage = class.unwrap_or(UNKNOWN).min(UNKNOWN);
        self
    }

    /// The value of a numeric factor, when known.
    #[must_use]
    pub fn value(&self, factor: Factor) -> Option<f64> {
        self.numeric.get(factor.index()).copied().filter(|value| !value.is_nan())
    }

    /// The drainage class, when known.
    #[must_use]
    pub fn drainage(&self) -> Option<u8> {
        (self.drainage < UNKNOWN).then_some(self.drainage)
    }
}

impl Default for Conditions {
    fn default() -> Self {
        Self::unknown()
    }
}

impl PartialEq for Conditions {
    fn eq(&self, other: &Self) -> bool {
        self.drainage == other.drainage
            && Factor::NUMERIC.iter().all(|&factor| self.value(factor) == other.value(factor))
    }
}
