//! Where water runs, and how much ground sends it.

mod accumulate;
mod flats;
mod power;
mod receivers;

use crate::Raster;
use crate::padded::{Padded, unpad};

/// How a cell hands its water on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Routing {
    /// All of it to the neighbour down the steepest drop per distance (D8). Good for channels.
    SteepestDescent,
    /// To every lower neighbour, in shares of the drop per distance to a power. Good for wetness.
    MultipleFlow {
        /// The power: see [`Routing::FREEMAN_EXPONENT`]. Higher gathers the water more, up to
        /// 1000 (all to the steepest); 0, less than 0 and NaN give equal shares.
        exponent: f64,
    },
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
/// Linear: cells are taken when all that runs into them is known, never sorted. Sums are kept in
/// `f64`. The same result whatever the number of threads.
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
/// Freeman 1991 (multiple flow).
///
/// [`fill_hollows`]: crate::fill_hollows
#[must_use]
pub fn flow_area_m2(elevation_filled: &Raster<f32>, routing: Routing) -> Raster<f32> {
    let grid = *elevation_filled.grid();
    let ground = Padded::new(elevation_filled);
    let distances = Distances::new(grid.cell_width(), grid.cell_height());
    let mut receivers = receivers::downhill(&ground, &distances, routing);
    flats::drain(&ground, &mut receivers, routing);
    let cells = accumulate::cells_through(&ground, &receivers, &distances, routing);
    unpad(grid, &cells, |count| (count * grid.cell_area()) as f32)
}

/// The one neighbour that each cell sends its water to, as a byte with that direction's bit set
/// (see [`crate::padded`]), 0 where it keeps it; and the padded ground, whose positions they are.
pub(crate) fn steepest_receivers(elevation_filled: &Raster<f32>) -> (Padded, Vec<u8>) {
    let grid = *elevation_filled.grid();
    let ground = Padded::new(elevation_filled);
    let distances = Distances::new(grid.cell_width(), grid.cell_height());
    let mut receivers = receivers::downhill(&ground, &distances, Routing::SteepestDescent);
    flats::drain(&ground, &mut receivers, Routing::SteepestDescent);
    (ground, receivers)
}

/// One over the distance to each neighbour's centre, per metre.
struct Distances {
    per_metre: [f32; crate::padded::DIRECTIONS],
}

impl Distances {
    fn new(width: f64, height: f64) -> Self {
        let [across, along] = [width, height].map(|side| (1.0 / side) as f32);
        let diagonal = (1.0 / width.hypot(height)) as f32;
        let per_metre = [across, along, across, along, diagonal, diagonal, diagonal, diagonal];
        Self { per_metre }
    }
}
