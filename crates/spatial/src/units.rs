//! Units as types, so that map hectares and ground hectares cannot be mixed.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul};

use serde::Serialize;

/// Square metres in one hectare. Source: SI Brochure, 9th ed., Table 8 (table number from memory).
pub const M2_PER_HA: f64 = 10_000.0;

/// Metres in an international foot, exactly.
/// Source: international yard and pound agreement of 1959 (from memory).
pub const FOOT_M: f64 = 0.3048;

/// Metres in a US survey foot. Source: Mendenhall order of 1893 (from memory).
pub const US_SURVEY_FOOT_M: f64 = 1200.0 / 3937.0;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                Self(iter.fold(0.0, |sum, one| sum + one.0))
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
    };
}

quantity! {
    /// A length in metres.
    Metres
}
quantity! {
    /// Flat-map (planimetric) area in hectares, as schemes and titles count it.
    PlanHectares
}
quantity! {
    /// Area along the slope in hectares, as a crew walks it; never less than the map area.
    GroundHectares
}
quantity! {
    /// Plants per hectare; whether of map or of ground area is said by the [`AreaBasis`] beside it.
    StemsPerHectare
}

impl PlanHectares {
    /// From square metres of map.
    #[must_use]
    pub fn from_m2(m2: f64) -> Self {
        Self(m2 / M2_PER_HA)
    }
}

impl GroundHectares {
    /// From square metres along the slope.
    #[must_use]
    pub fn from_m2(m2: f64) -> Self {
        Self(m2 / M2_PER_HA)
    }
}

/// Which hectare a density counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AreaBasis {
    /// Area along the slope: the crew measures spacing on the ground.
    Ground,
    /// Map area: a scheme counts stems per title hectare.
    Plan,
}

/// A whole number with a comma at each thousand.
#[must_use]
pub fn thousands(number: u64) -> String {
    grouped_digits(&number.to_string())
}

/// Digits with a comma at each thousand.
#[must_use]
pub fn grouped_digits(digits: &str) -> String {
    let mut grouped = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped
}
