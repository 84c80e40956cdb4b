//! How much of the ground plants protect, and from which year.
//!
//! ```text
//! plants a hectare, alive ─┐
//! radius by age (growth) ──┼─► discs in a pattern ─► share of the ground under them (planting)
//! square, triangles, random┘                              │
//! stands by age (stand) ─────────────────────────────────►├─► first year at a target, plants needed (need)
//! spaced poles (poles) ───────────────────────────────────┘
//! ```
//! A share of the ground under crowns or over roots is not a share of slips that are held. Each model says
//! what was measured, where, and where it ends. None says that ground is safe.
#![forbid(unsafe_code)]

mod age_curve;
mod need;
mod pattern;
mod planting;
mod poles;
mod soil_loss;
mod stand;

pub use age_curve::{AgeCurve, AgeCurveError};
pub use need::{MOST_PER_HA, first_year, plants_needed};
pub use pattern::{Pattern, covered_share};
pub use planting::{Growth, Planting, shared_cover};
pub use poles::{PoleSite, SPACED_TREES_CUT, diameter_needed_m, poles_needed_per_ha};
pub use soil_loss::{CoverFactor, relative_soil_loss};
pub use stand::{FULLY_STOCKED_SPH, StandCurve};
