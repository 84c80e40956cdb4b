//! Slope and aspect from a 3 × 3 window.

use rayon::prelude::*;

use crate::{Grid, Raster};

/// The formula of slope and aspect.
///
/// ```text
/// a b c      north
/// d e f        ↑
/// g h i
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlopeMethod {
    /// Differences of the outer columns and rows, the middle counted twice.
    ///
    /// Source: Horn 1981, Hill shading and the reflectance map, Proc. IEEE 69(1):14–47.
    Horn,
    /// Central differences of the four nearest cells.
    ///
    /// Source: Zevenbergen & Thorne 1987, Quantitative analysis of land surface topography,
    /// Earth Surf. Process. Landf. 12:47–56.
    ZevenbergenThorne,
}

/// Slope and aspect of a surface.
#[derive(Debug, Clone)]
pub struct SlopeAspect {
    /// Degrees from level, 0 to 90.
    pub slope_deg: Raster<f32>,
    /// Direction of the downhill side, degrees clockwise from north, 0 to 360; a hole where level.
    pub aspect_deg: Raster<f32>,
}

/// Slope and aspect of every cell with a full window.
///
/// # Units
/// Elevation in metres, as the cells' sides. A cell is a hole wherever any of its nine cells is a
/// hole, infinite or outside the grid: the outer ring is always one.
///
/// Cost: one pass, on all cores.
///
/// ```
/// use terrain::{Grid, Raster, SlopeMethod, slope_aspect};
/// // A plane that falls 1 m a metre to the south.
/// let grid = Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0)?;
/// let plane = Raster::from_fn(grid, |row, _| 10.0 - row as f32);
/// let found = slope_aspect(&plane, SlopeMethod::Horn);
/// assert_eq!(found.slope_deg.get(1, 1), Some(45.0));
/// assert_eq!(found.aspect_deg.get(1, 1), Some(180.0));
/// assert_eq!(found.slope_deg.get(0, 0), None);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn slope_aspect(elevation: &Raster<f32>, method: SlopeMethod) -> SlopeAspect {
    let grid = *elevation.grid();
    let mut slope_deg = Raster::filled(grid, f32::NAN);
    let mut aspect_deg = Raster::filled(grid, f32::NAN);
    let cols = grid.cols();
    let inner = 1..grid.rows().saturating_sub(1);
    let slopes = slope_deg.cells_mut().par_chunks_mut(cols).enumerate();
    let aspects = aspect_deg.cells_mut().par_chunks_mut(cols);
    slopes.zip(aspects).filter(|((row, _), _)| inner.contains(row)).for_each(
        |((row, slopes), aspects)| {
            let window = [row - 1, row, row + 1].map(|row| elevation.row(row));
            fill_row(window, slopes, aspects, &grid, method);
        },
    );
    SlopeAspect { slope_deg, aspect_deg }
}

/// One row of slope and aspect from the three rows of elevation around it.
fn fill_row(
    rows: [&[f32]; 3],
    slopes: &mut [f32],
    aspects: &mut [f32],
    grid: &Grid,
    method: SlopeMethod,
) {
    let (east, north) = per_metre(grid, method);
    let gradient = match method {
        SlopeMethod::Horn => horn,
        SlopeMethod::ZevenbergenThorne => zevenbergen_thorne,
    };
    let windows = rows.map(|row| row.windows(3));
    let [above, here, below] = windows;
    let inner = slopes.iter_mut().zip(aspects).skip(1);
    for ((slope, aspect), ((a, d), g)) in inner.zip(above.zip(here).zip(below)) {
        let (x, y) = gradient(a, d, g);
        let (rise_east, rise_north) = (x * east, y * north);
        *slope = rise_east.hypot(rise_north).atan().to_degrees();
        *aspect = bearing(-rise_east, -rise_north);
    }
}

/// What a difference over the window is divided by, as factors.
fn per_metre(grid: &Grid, method: SlopeMethod) -> (f32, f32) {
    let span = match method {
        SlopeMethod::Horn => 8.0,
        SlopeMethod::ZevenbergenThorne => 2.0,
    };
    ((1.0 / (span * grid.cell_width())) as f32, (1.0 / (span * grid.cell_height())) as f32)
}

/// Differences are taken before sums: neighbours are close, so they lose no digits.
fn horn(a: &[f32], d: &[f32], g: &[f32]) -> (f32, f32) {
    let hole = hole(a, d, g);
    let x = (a[2] - a[0]) + 2.0 * (d[2] - d[0]) + (g[2] - g[0]);
    let y = (a[0] - g[0]) + 2.0 * (a[1] - g[1]) + (a[2] - g[2]);
    (x + hole, y + hole)
}

fn zevenbergen_thorne(a: &[f32], d: &[f32], g: &[f32]) -> (f32, f32) {
    let hole = hole(a, d, g);
    (d[2] - d[0] + hole, a[1] - g[1] + hole)
}

/// 0 where all nine cells are finite, else NaN.
fn hole(a: &[f32], d: &[f32], g: &[f32]) -> f32 {
    let sum = |row: &[f32]| row[0] * 0.0 + row[1] * 0.0 + row[2] * 0.0;
    sum(a) + sum(d) + sum(g)
}

/// Bearing of a direction, degrees clockwise from north; NaN for none.
fn bearing(east: f32, north: f32) -> f32 {
    if east == 0.0 && north == 0.0 {
        return f32::NAN;
    }
    let degrees = east.atan2(north).to_degrees();
    let turned = if degrees < 0.0 { degrees + 360.0 } else { degrees };
    if turned >= 360.0 { 0.0 } else { turned }
}
