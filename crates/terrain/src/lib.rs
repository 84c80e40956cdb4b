//! Landform of hill country from an elevation grid.
//!
//! Pure functions from rasters to rasters: no files, no coordinate systems beyond a metric grid.
//! Each function names its method's source, keeps holes as holes and gives the same cells
//! whatever the number of cores.
//!
//! ```
//! use terrain::{
//!     GENTLEST_SLOPE_DEG, Grid, Kernel, Raster, Routing, SlopeMethod, fill_hollows, flow_area_m2,
//!     slope_aspect, smooth, wetness_index,
//! };
//! let grid = Grid::new(5, 5, 0.0, 0.0, 2.0, 2.0)?;
//! let elevation = Raster::from_fn(grid, |row, col| (col * 3 + row) as f32);
//! let ground = slope_aspect(&smooth(&elevation, 6.0, Kernel::Mean), SlopeMethod::Horn);
//! let flow = flow_area_m2(&fill_hollows(&elevation), Routing::MULTIPLE_FLOW);
//! let wetness = wetness_index(&flow, &ground.slope_deg, GENTLEST_SLOPE_DEG)?;
//! assert!(wetness.get(2, 2) < wetness.get(2, 1)); // water runs westward
//! # Ok::<(), terrain::GridError>(())
//! ```
#![forbid(unsafe_code)]

mod bearing;
mod flow;
mod grid;
mod ground_area;
mod hollows;
mod padded;
mod raster;
mod slope;
mod smooth;
mod sunlight;
mod tiles;
mod wetness;

pub use flow::{Routing, flow_area_m2};
pub use grid::{Grid, GridError};
pub use ground_area::ground_area_ratio;
pub use hollows::{
    BreachLimits, Breached, WindowedError, breach_hollows, fill_hollows, fill_hollows_in_place,
    fill_hollows_sloping, fill_hollows_windowed,
};
pub use raster::Raster;
pub use slope::{SlopeAspect, SlopeMethod, slope_aspect};
pub use smooth::{Kernel, smooth};
pub use sunlight::{SunlightError, declination_deg, sun_ratio};
pub use tiles::{Sink, Source, Tiling, Window};
pub use wetness::{GENTLEST_SLOPE_DEG, wetness_index};
