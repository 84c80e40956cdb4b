//! Layers in: the only room that reads through GDAL.

mod boundary;
mod chatter;
pub mod crs;
mod foreign;
mod raster_file;
mod rasterise;
mod rings;
mod shape;
mod vector_file;
mod warp;

#[cfg(test)]
mod fixture;

pub use crs::Crs;
