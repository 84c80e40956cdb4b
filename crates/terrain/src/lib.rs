//! Landform of hill country from an elevation grid.
//!
//! Pure functions from rasters to rasters: no files, no coordinate systems beyond a metric grid.
//! Each function names its method's source, keeps holes as holes and runs on all cores.
#![forbid(unsafe_code)]

mod grid;
mod raster;

pub use grid::{Grid, GridError};
pub use raster::Raster;
