//! Layers in: the only room that reads through GDAL.

mod chatter;
pub mod crs;
mod foreign;
mod raster_file;
mod shape;
mod vector_file;

#[cfg(test)]
mod fixture;

pub use crs::Crs;
