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
mod curvature;
mod flow;
mod frost;
mod grid;
mod ground_area;
mod height_above_drainage;
mod hollows;
mod ls;
mod padded;
mod quantiles;
mod raster;
mod slope;
mod smooth;
mod streams;
mod sunlight;
mod temperature;
mod tiles;
mod wetness;

pub use curvature::{Curvature, curvature};
pub use flow::{Routing, flow_area_m2};
pub use frost::{FROST_EDGES, FROST_SCALE_M, FrostClass, frost_class, frost_index};
pub use grid::{Grid, GridError};
pub use ground_area::ground_area_ratio;
pub use height_above_drainage::{HeightAboveDrainage, height_above_drainage};
pub use hollows::fill_hollows;
pub use ls::{LsForm, RillRatio, UniformSlope, ls_factor};
pub use quantiles::quantile_edges;
pub use raster::Raster;
pub use slope::{SlopeAspect, SlopeMethod, slope_aspect};
pub use smooth::{Kernel, smooth};
pub use streams::{StreamLine, stream_cells, stream_lines};
pub use sunlight::{SunlightError, declination_deg, sun_ratio};
pub use temperature::{LAPSE_C_PER_100M, StationNormals};
pub use tiles::{Sink, Source, Tiling, Window};
pub use wetness::{GENTLEST_SLOPE_DEG, wetness_index};
