//! Where water runs, and how much ground sends it.

mod accumulate;
mod borders;
mod facets;
mod flats;
mod ground;
mod in_memory;
mod pool;
mod receivers;
mod shares;
mod store;
mod tile;
mod windowed;

use crate::Raster;
use crate::padded::Padded;
use ground::{Ground, Rule};
pub use windowed::{Budget, FlowError, flow_area_windowed};

/// How a cell hands its water on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Routing {
    /// All of it to the neighbour down the steepest drop per distance (D8). Good for channels.
    SteepestDescent,
    /// To every lower neighbour, in shares of the drop per distance to a power. Good for wetness.
    MultipleFlow {
        /// The power, from 0 (equal shares) to 10 (nearly all to the steepest): see
        /// [`Routing::FREEMAN_EXPONENT`]. Less counts as 0, NaN too, and more as 10.
        exponent: f64,
    },
    /// Down the steepest of the eight triangles around the cell, in shares between the two
    /// neighbours that bound the way (D∞). Gathers less than D8, spreads less than multiple flow.
    DInfinity,
}

impl Routing {
    /// The power of Freeman 1991, Calculating catchment area with divergent flow based on a
    /// regular grid.
    pub const FREEMAN_EXPONENT: f64 = 1.1;

    /// Multiple flow with Freeman's power.
    pub const MULTIPLE_FLOW: Self = Self::MultipleFlow { exponent: Self::FREEMAN_EXPONENT };
}

/// Map area whose water passes through each cell, its own included.
///
/// Water runs to lower neighbours. Level ground, such as a filled hollow, passes it from neighbour
/// to neighbour the shortest way to where the level drains (a step counts 5, a diagonal one 7,
/// whatever the cell sides). A cell with no way down keeps what
/// reaches it: at the edge of the grid or beside a hole it leaves the ground there, anywhere else
/// it is a hollow, which [`fill_hollows`] would have filled. So the areas at such cells add up to
/// the area of all cells that are not holes.
///
/// Ties (equal drops, equal gains across a level) go to the first in the order east, south, west,
/// north, south-east, south-west, north-west, north-east; multiple flow shares equally among
/// all level neighbours that are nearer to where the level drains.
///
/// # Units
/// Elevation in metres; the result in square metres of plan (flat-map) area. A hole stays a hole;
/// infinite elevations count as holes.
///
/// # Cost
/// Linear, all cores: a cell gives when the last of its donors has given, so none is sorted.
/// Beside elevations and result 1 byte a cell for steepest descent over fewer than 2²⁸ cells, else
/// 9. Amounts are kept in whole 2⁻²⁷ of a cell, which add up to the same in any order: the same
/// result whatever the number of threads, and exact for steepest descent. Multiple flow reckons with
/// drops of 2⁻⁴⁰ to 2⁴⁰ per distance; less and more count as those.
///
/// ```
/// use terrain::{Grid, Raster, Routing, flow_area_m2};
/// let grid = Grid::new(3, 1, 0.0, 0.0, 10.0, 5.0)?;
/// let ramp = Raster::new(grid, vec![3.0, 2.0, 1.0])?;
/// let area = flow_area_m2(&ramp, Routing::SteepestDescent);
/// assert_eq!(area.cells(), &[50.0, 100.0, 150.0]);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// O'Callaghan & Mark 1984, The extraction of drainage networks from digital elevation data (D8);
/// Freeman 1991 (multiple flow); Tarboton 1997, A new method for the determination of flow
/// directions and upslope areas in grid digital elevation models (D∞).
///
/// [`fill_hollows`]: crate::fill_hollows
#[must_use]
pub fn flow_area_m2(elevation_filled: &Raster<f32>, routing: Routing) -> Raster<f32> {
    in_memory::flow_area_m2(elevation_filled, routing)
}

/// The one neighbour that each cell sends its water to, as a byte with that direction's bit set
/// (see [`crate::padded`]), 0 where it keeps it; and the padded ground, whose positions they are.
pub(crate) fn steepest_receivers(elevation_filled: &Raster<f32>) -> (Padded, Vec<u8>) {
    let padded = Padded::new(elevation_filled);
    let grid = elevation_filled.grid();
    let rule = Rule::new(grid.cell_width(), grid.cell_height(), Routing::SteepestDescent);
    let (receivers, _) = in_memory::receivers(&Ground::new(&padded.cells, padded.width, rule));
    (padded, receivers)
}
