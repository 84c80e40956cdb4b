//! Layout: how close plants stand, how many a zone asks for, where each stands, and where they are
//! set down.

mod density;
mod drop_point;
mod planting;
mod plots;
mod positions;
mod stocking;

pub use density::{density_at_spacing, density_on_map, slope_factor, spacing_at_density};
pub use drop_point::{AS_NEAR_M, DropPoint, Tracks};
pub use planting::Planting;
pub use plots::{Plot, plots};
pub use positions::{Plant, Plants, positions};
pub(crate) use stocking::{GapShares, expected_survival};
pub use stocking::{LineDemand, ZoneDemand, zone_demand};
