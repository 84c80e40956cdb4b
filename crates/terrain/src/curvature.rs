//! How the ground bends, down the slope and across it.

use rayon::prelude::*;

use crate::Raster;

/// Both curvatures of the same ground, per metre.
#[derive(Debug, Clone, PartialEq)]
pub struct Curvature {
    /// Along the way down: above 0 where the slope steepens downhill (convex, water speeds up),
    /// below 0 where it eases off (concave, water slows down).
    pub profile_per_m: Raster<f32>,
    /// Across the way down: above 0 where flow spreads (spurs, noses), below 0 where it gathers
    /// (gullies, hollows).
    pub plan_per_m: Raster<f32>,
}

/// Profile and plan curvature of each cell from the nine cells around and under it.
///
/// ```text
///   a b c      D = ((d + f) ÷ 2 − e) ÷ width²       G = (f − d) ÷ 2 widths
///   d e f      E = ((b + h) ÷ 2 − e) ÷ height²      H = (b − h) ÷ 2 heights
///   g h i      F = (c + g − a − i) ÷ (4 × width × height)
///
///   profile = −2 (D G² + E H² + F G H) ÷ (G² + H²)
///   plan    = −2 (D H² + E G² − F G H) ÷ (G² + H²)
/// ```
///
/// These are second derivatives of the height, per metre of map, both signs set so that convex is
/// positive; other programs and papers have one or the other way round, so compare before you mix. Plan
/// curvature in this sense stays bounded on gentle ground: it is the curvature of the contour line
/// times the slope (as a fall per metre). The curvature of the fall line itself, as a curve in
/// space, is the profile curvature here ÷ (1 + slope²)^1.5. Where the window is level (a summit, a
/// pit, a flat) there is no way down, and both are the mean over all directions, −(D + E).
///
/// # Units
/// Elevation in metres; results per metre, not the hundredths of it that some programs print.
/// A metre of noise weighs 1 ÷ cell side² here: smooth the elevation first ([`smooth`]).
///
/// # Holes
/// A cell is a hole in both results when any of its nine cells is a hole, is infinite or lies
/// outside the grid; so the outer ring always is.
///
/// # Cost
/// One pass over the rows on all cores.
///
/// ```
/// use terrain::{Grid, Raster, curvature};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 10.0, 10.0)?;
/// // A round-backed ridge that falls eastward: z = −x² ÷ 100 for x from 10 to 30 m.
/// let brow = Raster::from_fn(grid, |_, col| -((col + 1) as f32).powi(2));
/// let bent = curvature(&brow);
/// assert!((bent.profile_per_m.at(1, 1) - 0.02).abs() < 1e-7); // it steepens downhill
/// assert!(bent.plan_per_m.at(1, 1).abs() < 1e-7); // and neither gathers nor spreads
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Zevenbergen & Thorne 1987, Quantitative analysis of land surface topography (formulas from
/// memory; a test compares with another library's).
///
/// [`smooth`]: fn@crate::smooth
#[must_use]
pub fn curvature(elevation: &Raster<f32>) -> Curvature {
    let grid = *elevation.grid();
    let mut profile_per_m = Raster::filled(grid, f32::NAN);
    let mut plan_per_m = Raster::filled(grid, f32::NAN);
    let sides = Sides::new(grid.cell_width(), grid.cell_height());
    let (rows, cols) = (grid.rows(), grid.cols());
    profile_per_m
        .cells_mut()
        .par_chunks_mut(cols)
        .zip(plan_per_m.cells_mut().par_chunks_mut(cols))
        .enumerate()
        .with_min_len(16)
        .filter(|(row, _)| (1..rows.saturating_sub(1)).contains(row) && cols > 2)
        .for_each(|(row, (profile, plan))| {
            let window = [row - 1, row, row + 1].map(|row| elevation.row(row));
            sides.bend_row(window, &mut profile[1..cols - 1], &mut plan[1..cols - 1]);
        });
    Curvature { profile_per_m, plan_per_m }
}

/// What a window's differences are divided by.
struct Sides {
    per_width: f64,
    per_height: f64,
}

impl Sides {
    fn new(width: f64, height: f64) -> Self {
        Self { per_width: 1.0 / width, per_height: 1.0 / height }
    }

    fn bend_row(&self, [above, level, below]: [&[f32]; 3], profile: &mut [f32], plan: &mut [f32]) {
        let windows = above.windows(3).zip(level.windows(3)).zip(below.windows(3));
        for (((north, here), south), (profile, plan)) in
            windows.zip(profile.iter_mut().zip(plan.iter_mut()))
        {
            let bent = self.bend(
                [north, here, south]
                    .map(|three| [f64::from(three[0]), f64::from(three[1]), f64::from(three[2])]),
            );
            (*profile, *plan) = (bent.0 as f32, bent.1 as f32);
        }
    }

    /// Profile and plan curvature of one window; not numbers when a cell of it is not finite.
    #[inline]
    fn bend(&self, [[a, b, c], [d, e, f], [g, h, i]]: [[f64; 3]; 3]) -> (f64, f64) {
        let along = [0.5 * (f - d) * self.per_width, 0.5 * (b - h) * self.per_height];
        let twice_d = (d + f - 2.0 * e) * self.per_width * self.per_width;
        let twice_e = (b + h - 2.0 * e) * self.per_height * self.per_height;
        let twice_f = 0.5 * (c + g - a - i) * self.per_width * self.per_height;
        let [east, north] = along;
        let fall = east * east + north * north;
        let mixed = twice_f * east * north;
        let down = twice_d * east * east + twice_e * north * north + mixed;
        // Zero, or not a number when one of the nine cells is a hole or infinite.
        let hole = 0.0 * (twice_d + twice_e + twice_f);
        let sum = twice_d + twice_e + hole;
        if fall > 0.0 {
            let profile = hole - down / fall;
            (profile, -sum - profile)
        } else {
            (-0.5 * sum, -0.5 * sum)
        }
    }
}
