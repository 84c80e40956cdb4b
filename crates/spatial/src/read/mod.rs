//! Layers in: the only room that reads through GDAL.
//!
//! ```text
//! elevation ─► coordinate system ─► boundary ─► grid ─► elevation, measurements, categories
//!                                                   └─► setbacks, buffered as vectors
//! ```
//! [`read`] collects every problem it can before it gives up. GDAL says nothing on the screen:
//! what it has to say ends up in a [`Problem`](crate::problem::Problem).

#![cfg_attr(test, expect(clippy::float_cmp, reason = "the tests ask for exact values"))]

mod align;
mod block_cache;
mod boundary;
mod breaks;
mod category;
mod chatter;
mod climate;
pub mod crs;
mod elevation;
mod elevation_windows;
mod facts;
mod foreign;
mod found;
mod inputs;
mod keep_clear;
mod measure;
mod plain_copy;
mod raster_file;
mod rasterise;
mod ready;
mod refusal;
mod rings;
mod seed_zones;
mod shape;
mod spikes;
mod streams;
mod stretch;
mod tracks;
mod vector_file;
mod warp;
mod ways;

#[cfg(test)]
pub(crate) mod fixture;
#[cfg(test)]
mod tests;

pub use breaks::Breaks;
pub(crate) use chatter::{heeded, silence};
pub(crate) use climate::month_of;
pub use climate::{Climate, read as read_climate};
pub use crs::Crs;
pub use elevation::{ElevationLayer, ElevationOptions, read_elevation};
pub use elevation_windows::{ElevationWindows, SMALL_CELLS, WHOLE_CELLS};
pub use facts::{CategoryShare, LayerFacts};
pub(crate) use found::on_globe;
pub use found::{FoundField, FoundLayer, MadeOf, found};
pub(crate) use inputs::{changed_meanwhile, checksum, records};
pub use keep_clear::{ARC_TOLERANCE_M, KeepClearArea};
pub(crate) use measure::read_share;
pub use raster_file::MAX_CELLS;
pub use ready::{CodesThere, Ready, codes_there, present_inputs, read, read_drawn};
pub use seed_zones::SeedZones;
pub use tracks::TRACKS_WITHIN_M;
