//! What a stock takes, factor by factor.

use thiserror::Error;

use crate::conditions::UNKNOWN;
use crate::{Conditions, DRAINAGE_CLASSES, Factor, Fit, Limit, Side, Trapezoid};

/// The range of each factor that a stock takes. A factor that was not given never limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    numeric: [Trapezoid; Factor::NUMERIC.len()],
    /// By step of [`DRAINAGE_CLASSES`], and 1 for a class that is not known.
    drainage: [f64; 6],
    given: [bool; Factor::ALL.len()],
}

/// Why a tolerance was refused.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ToleranceError {
    /// A membership outside 0 to 1, or NaN.
    #[error("membership of drainage `{class}` is {found}; it must lie in 0 to 1")]
    Membership {
        /// The drainage class.
        class: &'static str,
        /// What was given.
        found: f64,
    },
}

impl Tolerance {
    /// Takes everything: no factor limits.
    #[must_use]
    pub const fn unlimited() -> Self {
        Self {
            numeric: [Trapezoid::OPEN; Factor::NUMERIC.len()],
            drainage: [1.0; 6],
            given: [false; Factor::ALL.len()],
        }
    }

    /// The same with a range for one numeric factor, which a range open at both ends takes away;
    /// drainage, which is no range, is left alone.
    #[must_use]
    pub fn with(mut self, factor: Factor, range: Trapezoid) -> Self {
        if let Some(slot) = self.numeric.get_mut(factor.index()) {
            *slot = range;
            self.given[factor.index()] = range != Trapezoid::OPEN;
        }
        self
    }

    /// The same with a membership, 0 to 1, for each class of [`DRAINAGE_CLASSES`].
    ///
    /// # Errors
    /// [`ToleranceError::Membership`] when one lies outside 0 to 1.
    pub fn with_drainage(mut self, memberships: [f64; 5]) -> Result<Self, ToleranceError> {
        for (class, &found) in DRAINAGE_CLASSES.into_iter().zip(&memberships) {
            if !(0.0..=1.0).contains(&found) {
                return Err(ToleranceError::Membership { class, found });
            }
        }
        self.drainage[..5].copy_from_slice(&memberships.map(f64::abs)); // no minus zero
        self.given[Factor::Drainage.index()] = true;
        Ok(self)
    }

    /// The range of a numeric factor; `None` when it was not given, and for drainage.
    #[must_use]
    pub fn range(&self, factor: Factor) -> Option<&Trapezoid> {
        self.numeric.get(factor.index()).filter(|_| self.given[factor.index()])
    }

    /// Membership by drainage class; `None` when it was not given.
    #[must_use]
    pub fn drainage(&self) -> Option<[f64; 5]> {
        let [a, b, c, d, e, _] = self.drainage;
        self.given[Factor::Drainage.index()].then_some([a, b, c, d, e])
    }

    /// The factors that were given, in table order.
    pub fn factors(&self) -> impl Iterator<Item = Factor> + '_ {
        Factor::ALL.into_iter().filter(|factor| self.given[factor.index()])
    }

    /// How well a place fits: the least membership over the factors that are both given and
    /// known, with that factor named. On a tie the first in table order is named.
    ///
    /// Source: law of the minimum (Liebig 1840), as the limiting-condition method of FAO 1983,
    /// Guidelines: land evaluation for rainfed agriculture (method's name from memory).
    ///
    /// Cost: two divisions a numeric factor, no allocation, no branch but the comparisons.
    #[must_use]
    pub fn fit(&self, here: &Conditions) -> Fit {
        let mut least = 1.0;
        let mut limiting = None;
        for factor in Factor::NUMERIC {
            let index = factor.index();
            let membership = self.numeric[index].membership(here.numeric[index]);
            if membership < least {
                least = membership;
                limiting = Some(factor);
            }
        }
        let drained = self.drainage[usize::from(here.drainage.min(UNKNOWN))];
        if drained < least {
            least = drained;
            limiting = Some(Factor::Drainage);
        }
        Fit { value: least, limiting: limiting.map(|factor| self.limit(factor, here)) }
    }

    fn limit(&self, factor: Factor, here: &Conditions) -> Limit {
        let side = match self.numeric.get(factor.index()) {
            Some(range) if range.is_below(here.numeric[factor.index()]) => Side::TooLow,
            Some(_) => Side::TooHigh,
            None => self.drainage_side(usize::from(here.drainage)),
        };
        Limit { factor, side }
    }

    /// Membership by step of [`DRAINAGE_CLASSES`], and 1 for a class that is not known.
    pub(crate) fn drainage_memberships(&self) -> [f64; 6] {
        self.drainage
    }

    /// On which side of the best classes a class lies.
    pub(crate) fn drainage_side(&self, class: usize) -> Side {
        let ladder = &self.drainage[..5];
        let best = ladder.iter().copied().fold(0.0, f64::max);
        let mut bests = (0..ladder.len()).filter(|&index| ladder[index] >= best);
        match (bests.next(), bests.next_back()) {
            (Some(first), _) if class < first => Side::TooLow,
            (Some(first), last) if class > last.unwrap_or(first) => Side::TooHigh,
            _ => Side::Unsuited,
        }
    }
}
