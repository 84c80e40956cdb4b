//! Layers in: the only room that reads through GDAL.

mod align;
mod boundary;
mod category;
mod chatter;
mod climate;
pub mod crs;
mod elevation;
mod facts;
mod foreign;
mod inputs;
mod keep_clear;
mod raster_file;
mod rasterise;
mod rings;
mod shape;
mod spikes;
mod vector_file;
mod warp;

#[cfg(test)]
mod fixture;

pub use climate::Climate;
pub use crs::Crs;
pub use elevation::{ElevationLayer, ElevationOptions, read_elevation};
pub use keep_clear::{ARC_TOLERANCE_M, KeepClearArea};
pub use facts::{CategoryShare, LayerFacts};
