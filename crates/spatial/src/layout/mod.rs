//! Layout: how close plants stand, and how many a zone asks for.

mod stocking;

pub use stocking::{ZoneDemand, gap_share_at, zone_demand};
