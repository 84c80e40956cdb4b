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
mod exposure;
mod flow;
mod frost;
mod grid;
mod ground_area;
mod height_above_drainage;
mod hillshade;
mod hollows;
mod horizon;
mod ls;
mod padded;
mod quantiles;
mod raster;
mod series;
mod sky_view;
mod slope;
mod smooth;
mod streams;
mod sunlight;
mod temperature;
mod tiles;
mod wetness;
mod within;

pub use curvature::{Curvature, curvature};
pub use exposure::{ExposureSettings, WindRose, exposure_deg};
pub use flow::{Budget, FlowError, Routing, flow_area_m2, flow_area_windowed};
pub use frost::{FROST_SCALE_M, frost_index};
pub use grid::{Grid, GridError};
pub use ground_area::ground_area_ratio;
pub use height_above_drainage::{HeightAboveDrainage, height_above_drainage};
pub use hillshade::hillshade;
pub use hollows::{
    BreachLimits, Breached, FillError, breach_hollows, fill_hollows, fill_hollows_in_place,
    fill_hollows_sloping, fill_hollows_windowed,
};
pub use horizon::{horizon_deg, horizon_reach_cells};
pub use ls::{LsForm, RillRatio, UniformSlope, ls_factor};
pub use quantiles::quantile_edges;
pub use raster::Raster;
pub use sky_view::{SKY_DIRECTIONS, sky_view_share};
pub use slope::{SlopeAspect, SlopeMethod, slope_aspect};
pub use smooth::{Kernel, smooth, smooth_reach_cells};
pub use streams::{StreamLine, stream_cells, stream_lines};
pub use sunlight::{
    ClearSky, SOLAR_CONSTANT_W_M2, Shadows, SunPosition, SunSettings, SunlightError,
    declination_deg, shaded_sun_ratio, sun_mj_m2_day, sun_position, sun_ratio,
};
pub use temperature::{LAPSE_C_PER_100M, StationNormals};
pub use tiles::{Scratch, Sink, Source, Tiling, Window};
pub use wetness::{GENTLEST_SLOPE_DEG, wetness_index};
pub use within::cells_within;
