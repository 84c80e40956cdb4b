//! How high the ground stands around each cell.

mod lines;
mod shadow;
mod skyline;

use std::sync::atomic::{AtomicU32, Ordering};

use crate::{Grid, GridError, Raster};
use lines::Lines;
pub(crate) use shadow::mark_shadows;
use skyline::Skyline;

/// Angle above level (negative: below) of the highest ground that each cell sees in one direction.
///
/// "Highest" is by angle: of all ground from the next cell to `distance_m` away, the greatest.
/// Ground below level counts as what it is, so that a hilltop's horizon is negative; take at least
/// 0 of it for a skyline that shades.
///
/// # Method
/// Parallel lines run over the grid in the direction looked in, and pass each row of cells (each
/// column, where they run more across than along) once in every cell. There the ground is taken: straight
/// between the centres of the cell and of its neighbour on that row. So in the directions that join cell
/// centres (the four sides; the four corners of square cells) ground is that of cells alone;
/// otherwise a cell's horizon is that of a point at most half a cell beside its centre. Where the lines
/// pass depends on the grid's place on the map: a part cut from a larger raster gives the same
/// angles, but for what it cannot see beyond its edge ([`horizon_reach_cells`]). Heights are taken to the
/// nearest micrometre, which makes the comparisons exact.
///
/// # Units
/// `azimuth_deg` clockwise from north of the direction looked in; `distance_m` above 0, infinite
/// for all ground. Ground exactly `distance_m` away still counts. The result is in degrees.
///
/// # Holes
/// A cell is a hole where elevation is. A hole neither hides ground nor is ground; a cell that
/// sees no ground at all, as at the edge of the grid, has the angle 0.
///
/// # Limits
/// The Earth is flat (its fall is 8 cm in 1 km, 2 m in 5 km, 8 m in 10 km) and nothing stands on the ground.
///
/// # Errors
/// [`GridError::Setting`] for an azimuth that is not finite or a distance that is not above 0.
///
/// # Cost
/// About constant for each cell, whatever the distance; all cores. One raster beside the result.
///
/// ```
/// use terrain::{Grid, Raster, horizon_deg};
/// let grid = Grid::new(4, 1, 0.0, 0.0, 10.0, 10.0)?;
/// let elevation = Raster::new(grid, vec![0.0, 0.0, 10.0, 30.0])?;
/// let east = horizon_deg(&elevation, 90.0, f64::INFINITY)?;
/// assert_eq!(east.cells()[1], 56.309933); // 30 m higher, 20 m away
/// assert_eq!(horizon_deg(&elevation, 90.0, 10.0)?.cells()[1], 45.0);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Stewart 1998, Fast horizon computation at all points of a terrain with visibility and shading
/// applications; Timonen & Westerholm 2010, Scalable height field self-shadowing (a hull kept along
/// parallel lines). The limit of distance is our own: each line is cut into stretches as long as it, and a
/// cell sees the rest of its own stretch and the nearer part of the next.
pub fn horizon_deg(
    elevation: &Raster<f32>,
    azimuth_deg: f64,
    distance_m: f64,
) -> Result<Raster<f32>, GridError> {
    check_distance(distance_m)?;
    if !azimuth_deg.is_finite() {
        let what = "azimuth in degrees";
        return Err(GridError::Setting { what, value: azimuth_deg, expected: "a finite angle" });
    }
    let mut angles = Tally::new(*elevation.grid());
    angles.add_horizon(elevation, azimuth_deg, distance_m, |_, tangent| angle_deg(tangent));
    Ok(angles.into_raster())
}

/// Cells that a window needs around it to see as far as `distance_m` from each of its cells.
///
/// ```
/// use terrain::{Grid, horizon_reach_cells};
/// assert_eq!(horizon_reach_cells(&Grid::new(99, 99, 0.0, 0.0, 5.0, 10.0)?, 100.0), 22);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn horizon_reach_cells(grid: &Grid, distance_m: f64) -> usize {
    let beside = 2; // the point looked from, and the neighbour that ground is drawn to
    let cells = (distance_m / grid.cell_width().min(grid.cell_height())).ceil();
    (cells.min(f64::from(u32::MAX)) as usize + beside).min(grid.cols().max(grid.rows()))
}

/// Checks that ground can be looked for within a distance.
pub(crate) fn check_distance(distance_m: f64) -> Result<(), GridError> {
    if distance_m > 0.0 {
        return Ok(());
    }
    let what = "distance of the horizon in metres";
    Err(GridError::Setting { what, value: distance_m, expected: "above 0" })
}

/// Angle in degrees of a tangent; NaN stays NaN.
pub(crate) fn angle_deg(tangent: f32) -> f32 {
    crate::bearing::inclination_deg(tangent, 0.0).copysign(tangent)
}

/// A number for each cell, to which lines in any direction may add from several cores at once:
/// in one sweep a cell lies on exactly one line, so the order of the sweeps alone decides.
pub(crate) struct Tally {
    grid: Grid,
    bits: Vec<AtomicU32>,
}

impl Tally {
    /// Zero everywhere.
    pub(crate) fn new(grid: Grid) -> Self {
        let mut bits = Vec::new();
        bits.resize_with(grid.len(), AtomicU32::default);
        Self { grid, bits }
    }

    /// Looks in one direction and lets `add` make each cell's new number of its old one and the
    /// tangent of its horizon (NaN for a hole).
    pub(crate) fn add_horizon(
        &mut self,
        elevation: &Raster<f32>,
        azimuth_deg: f64,
        distance_m: f64,
        add: impl Fn(f32, f32) -> f32 + Sync,
    ) {
        let lines = Lines::new(elevation, azimuth_deg, distance_m);
        let bits = &self.bits;
        lines.each(
            Skyline::default,
            |skyline, abreast, tangents| skyline.tangents(&lines, abreast, tangents),
            |cells, tangents| {
                for (cell, tangent) in cells.zip(tangents) {
                    let old = f32::from_bits(bits[cell].load(Ordering::Relaxed));
                    bits[cell].store(add(old, *tangent).to_bits(), Ordering::Relaxed);
                }
            },
        );
    }

    pub(crate) fn into_raster(self) -> Raster<f32> {
        let cells = self.bits.into_iter().map(|bits| f32::from_bits(bits.into_inner()));
        Raster::from_cells(self.grid, cells.collect())
    }
}
