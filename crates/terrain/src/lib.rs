//! Landform of hill country from an elevation grid.
//!
//! Pure functions from rasters to rasters: no files, no coordinate systems beyond a metric grid.
//! Each function names its method's source, keeps holes as holes and runs on all cores.
#![forbid(unsafe_code)]

mod flow;
mod grid;
mod hollows;
mod neighbours;
mod raster;
mod slope;
mod smooth;
mod sunlight;
mod wetness;

pub use flow::{Routing, flow_area_m2};
pub use grid::{Grid, GridError};
pub use hollows::fill_hollows;
pub use raster::Raster;
pub use slope::{SlopeAspect, SlopeMethod, slope_aspect};
pub use smooth::{Kernel, smooth};
pub use sunlight::{declination, sun_ratio};
pub use wetness::{LEAST_TANGENT, wetness_index};
