//! Landform layers of an elevation raster, as `hillweave ground` writes them.

use terrain::{GENTLEST_SLOPE_DEG, Kernel, Raster, Routing, SlopeAspect, SlopeMethod};

use crate::problem::Problem;
use crate::units::Metres;

/// The landform layers, all on the grid of the elevation.
#[derive(Debug, Clone)]
pub struct Landform {
    /// Slope, degrees.
    pub slope_deg: Raster<f32>,
    /// Direction of the downhill side, degrees clockwise from north; a hole where level.
    pub aspect_deg: Raster<f32>,
    /// Elevation with its hollows filled, metres.
    pub filled_m: Raster<f32>,
    /// Area that drains through each cell, its own included, square metres of map.
    pub flow_area_m2: Raster<f32>,
    /// Wetness index ln(a / tan β).
    pub wetness_index: Raster<f32>,
}

/// Derives them. `scale` is the working scale of slope and aspect (0: raw cells); hollows and flow
/// read the raw surface. Cost: linear in cells, but for the filling (n log n).
///
/// # Errors
/// Never on one elevation raster: the layers share its grid.
pub fn landform(
    elevation: &Raster<f32>,
    method: SlopeMethod,
    scale: Metres,
) -> Result<Landform, Problem> {
    let SlopeAspect { slope_deg, aspect_deg } = slope_at_scale(elevation, method, scale);
    let Water { filled_m, flow_area_m2, wetness_index } = water(elevation, &slope_deg)?;
    Ok(Landform { slope_deg, aspect_deg, filled_m, flow_area_m2, wetness_index })
}

/// Where water stands, goes and stays.
pub(crate) struct Water {
    pub(crate) filled_m: Raster<f32>,
    pub(crate) flow_area_m2: Raster<f32>,
    pub(crate) wetness_index: Raster<f32>,
}

/// Hollows, flow and wetness of the raw surface, with slope at whatever scale it is wanted.
pub(crate) fn water(elevation: &Raster<f32>, slope_deg: &Raster<f32>) -> Result<Water, Problem> {
    let filled_m = terrain::fill_hollows(elevation);
    let flow_area_m2 = terrain::flow_area_m2(&filled_m, Routing::MULTIPLE_FLOW);
    let wetness_index = terrain::wetness_index(&flow_area_m2, slope_deg, GENTLEST_SLOPE_DEG)
        .map_err(|error| on_grids(&error))?;
    Ok(Water { filled_m, flow_area_m2, wetness_index })
}

/// Slope and aspect of the surface as it is at a working scale.
#[must_use]
pub fn slope_at_scale(elevation: &Raster<f32>, method: SlopeMethod, scale: Metres) -> SlopeAspect {
    if scale.0 > 0.0 {
        let smooth = terrain::smooth(elevation, scale.0, Kernel::Gaussian);
        terrain::slope_aspect(&smooth, method)
    } else {
        terrain::slope_aspect(elevation, method)
    }
}

/// A fault of ours: layers that should lie on one grid do not.
pub(crate) fn on_grids(error: &dyn std::error::Error) -> Problem {
    Problem::error("ground")
        .found(error.to_string())
        .expected("layers on one grid")
        .remedy("this is a fault of the program: please report it with the site file")
}
