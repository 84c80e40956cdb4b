//! The ground: every factor of the site, cell by cell, on one grid.

use terrain::{Grid, Raster, SlopeMethod};

use crate::landform::{on_grids, slope_at_scale, water};
use crate::layout::slope_factor;
use crate::problem::Problem;
use crate::read::{Climate, Ready};
use crate::site::Site;
use crate::zones::cells_mostly_in;

/// The aligned stack of factor layers.
#[derive(Debug, Clone)]
pub struct Ground {
    /// Elevation, metres.
    pub elevation_m: Raster<f32>,
    /// Slope at planting scale, degrees.
    pub slope_deg: Raster<f32>,
    /// Wetness index ln(a / tan β).
    pub wetness_index: Raster<f32>,
    /// Direct sun over the chosen months, level ground = 1.
    pub sun_ratio: Raster<f32>,
    /// Mean daily minimum of the coldest month, °C; `None` without a climate table.
    pub coldest_month_min_c: Option<Raster<f32>>,
    /// Position in the site's cover table plus 1, 0 where unknown; `None` without a cover layer.
    pub cover: Option<Raster<u8>>,
    /// Position on the drainage ladder plus 1, 0 where unknown; `None` without the layer.
    pub drainage: Option<Raster<u8>>,
    /// What the reader should know about how it was made.
    pub notes: Vec<Problem>,
}

impl Ground {
    /// The grid of all its layers.
    #[must_use]
    pub fn grid(&self) -> &Grid {
        self.elevation_m.grid()
    }

    /// Ground area over map area of a cell: 1 / cos(slope).
    #[must_use]
    pub fn area_factor(&self, at: usize) -> f64 {
        slope_factor(f64::from(self.slope_deg.cells()[at]))
    }
}

/// Derives every factor from the layers read.
///
/// Slope and aspect: Horn 1981 on elevation smoothed to the working scale. Wetness: Beven & Kirkby
/// 1979 over multiple flow (Freeman 1991) on the filled surface (Barnes et al. 2014). Layers that
/// the site gives are used instead. Cost: linear in cells, but for the filling (n log n).
///
/// # Errors
/// When layers that should share a grid do not.
pub fn ground(ready: &Ready, site: &Site) -> Result<Ground, Problem> {
    let mut notes = Vec::new();
    let derived = slope_at_scale(&ready.elevation, SlopeMethod::Horn, site.zones.slope_scale);
    let slope = ready.slope_deg.clone().unwrap_or(derived.slope_deg);
    let slope_deg = widen_by_one(&slope, &ready.elevation);
    let borrowed = borrowed_on_property(ready, &slope, &slope_deg);
    if borrowed > 0 {
        notes.push(edge_note(borrowed));
    }
    let given = ready.aspect_deg.clone().unwrap_or(derived.aspect_deg);
    let aspect_deg = widen_by_one(&given, &ready.elevation);
    let wetness_index = match &ready.wetness_index {
        Some(given) => given.clone(),
        None => water(&ready.elevation, &slope_deg)?.wetness_index,
    };
    let sun_ratio =
        terrain::sun_ratio(&slope_deg, &aspect_deg, ready.latitude_deg, &site.zones.sun_months)
            .map_err(|error| on_grids(&error))?;
    Ok(Ground {
        coldest_month_min_c: ready
            .climate
            .as_ref()
            .map(|climate| coldest(climate, &ready.elevation)),
        elevation_m: ready.elevation.clone(),
        slope_deg,
        wetness_index,
        sun_ratio,
        cover: ready.cover.clone(),
        drainage: ready.drainage.as_ref().map(|codes| ladder(codes, site)),
        notes,
    })
}

/// From rows of the site's drainage table to positions on the ladder, both plus 1.
fn ladder(codes: &Raster<u8>, site: &Site) -> Raster<u8> {
    let table = site.layers.drainage.as_ref().map_or(&[][..], |source| &source.table[..]);
    let position = |code: &u8| {
        let row = table.get(usize::from(*code).wrapping_sub(1));
        row.map_or(0, |row| row.class as u8 + 1)
    };
    codes.map(position)
}

/// Station normals moved by the lapse rate to each cell's height.
fn coldest(climate: &Climate, elevation: &Raster<f32>) -> Raster<f32> {
    let at_station = climate.temp_min_c.iter().copied().fold(f64::INFINITY, f64::min);
    let per_metre = climate.lapse_c_per_100m / 100.0;
    let station = climate.station_elevation.0;
    elevation.map(|metres| (at_station - per_metre * (f64::from(*metres) - station)) as f32)
}

/// The window of a slope needs all eight neighbours, so the outer ring of known elevation has
/// none: each such cell takes the value of a neighbour that has one.
fn widen_by_one(layer: &Raster<f32>, elevation: &Raster<f32>) -> Raster<f32> {
    Raster::from_fn(*layer.grid(), |row, col| {
        let own = layer.get(row, col);
        if own.is_some() || elevation.get(row, col).is_none() {
            return own.unwrap_or(f32::NAN);
        }
        known_neighbour(layer, row, col).unwrap_or(f32::NAN)
    })
}

/// Cells of the property whose slope is a neighbour's. The ring around the halo is of no account.
fn borrowed_on_property(ready: &Ready, own: &Raster<f32>, wide: &Raster<f32>) -> usize {
    let cells = cells_mostly_in(&ready.boundary, own.grid());
    cells.into_iter().filter(|at| own.cells()[*at].is_nan() && !wide.cells()[*at].is_nan()).count()
}

/// The first known value around a cell, from the north-west.
fn known_neighbour(layer: &Raster<f32>, row: usize, col: usize) -> Option<f32> {
    let rows = row.saturating_sub(1)..=row + 1;
    let mut around = rows.flat_map(|r| (col.saturating_sub(1)..=col + 1).map(move |c| (r, c)));
    around.find_map(|(r, c)| layer.get(r, c))
}

fn edge_note(cells: usize) -> Problem {
    Problem::warning("elevation, outer ring")
        .found(format!("{cells} cells at the edge of the known ground have no full window"))
        .expected("elevation for at least one cell beyond the boundary on every side")
        .remedy("their slope is a neighbour's; a wider elevation layer removes this")
}
