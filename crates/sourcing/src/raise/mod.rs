//! From capsules to seedlings, and when they can be planted.

mod calendar;
mod harvest;
mod rates;

pub use calendar::{CONTRACT_MONTHS, Calendar, Month, calendar};
pub use harvest::{even_level, up_to};
pub use rates::SeedRates;
