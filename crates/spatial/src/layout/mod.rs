//! Layout: how close plants stand, and how many a zone asks for.

mod density;
mod stocking;

pub use density::{density_at_spacing, density_on_map, slope_factor, spacing_at_density};
pub use stocking::{ZoneDemand, gap_share_at, zone_demand};
