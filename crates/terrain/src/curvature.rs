//! How the slope changes down the fall line, and how the ground bends across it.

use rayon::prelude::*;

use crate::Raster;

/// Both curvatures of the same ground, per metre.
#[derive(Debug, Clone, PartialEq)]
pub struct Curvature {
    /// Above 0 where the ground steepens downhill (a brow), below 0 where it eases (a foot).
    pub profile_per_m: Raster<f32>,
    /// Above 0 where water spreads (a spur), below 0 where it gathers (a hollow).
    pub plan_per_m: Raster<f32>,
}

/// Curvature of each cell from the quadratic through the cells around it.
///
/// ```text
///   z1 z2 z3    D = ((z4 + z6) ÷ 2 − z5) ÷ w²   E = ((z2 + z8) ÷ 2 − z5) ÷ h²
///   z4 z5 z6    F = (z3 + z7 − z1 − z9) ÷ 4wh   G = (z6 − z4) ÷ 2w   H = (z2 − z8) ÷ 2h
///   z7 z8 z9    profile −2 (D G² + E H² + F G H) ÷ (G² + H²)
///               plan    −2 (D H² + E G² − F G H) ÷ (G² + H²)
/// ```
/// w and h are the cell's sides. Both are second derivatives of height, along the fall line and
/// across it; the published profile has the opposite sign and both are often given times 100.
///
/// # Units
/// Elevation in metres; both results in 1/m. 0 on level ground, which has no fall line.
///
/// # Holes
/// As [`slope_aspect`](crate::slope_aspect): a hole where any of the nine cells is one, is infinite
/// or lies outside the grid.
///
/// # Cost
/// One pass on all cores.
///
/// ```
/// use terrain::{Grid, Raster, curvature};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 10.0, 10.0)?;
/// let brow = Raster::from_fn(grid, |_, col| -0.01 * (col as f32 * 10.0).powi(2));
/// let bend = curvature(&brow);
/// assert!((bend.profile_per_m.at(1, 1) - 0.02).abs() < 1e-6);
/// assert!(bend.plan_per_m.at(1, 1).abs() < 1e-6);
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Zevenbergen & Thorne 1987, Quantitative analysis of land surface topography.
#[must_use]
pub fn curvature(elevation: &Raster<f32>) -> Curvature {
    let grid = *elevation.grid();
    let mut profile = Raster::filled(grid, f32::NAN);
    let mut plan = Raster::filled(grid, f32::NAN);
    let lines = profile.cells_mut().par_chunks_mut(grid.cols());
    lines.zip(plan.cells_mut().par_chunks_mut(grid.cols())).enumerate().with_min_len(16).for_each(
        |(row, (profile, plan))| {
            if row == 0 || row + 1 == grid.rows() {
                return;
            }
            let rows = [row - 1, row, row + 1].map(|row| elevation.row(row));
            for col in 1..grid.cols().saturating_sub(1) {
                let cells = rows.map(|row| [col - 1, col, col + 1].map(|col| f64::from(row[col])));
                let bend = Quadratic::through(&cells, grid.cell_width(), grid.cell_height());
                (profile[col], plan[col]) = bend.curvatures();
            }
        },
    );
    Curvature { profile_per_m: profile, plan_per_m: plan }
}

/// z = D x² + E y² + F x y + G x + H y + the height of the middle; x east, y north.
struct Quadratic {
    d: f64,
    e: f64,
    f: f64,
    g: f64,
    h: f64,
    /// 0, or not a number when one of the nine cells is not known.
    hole: f64,
}

impl Quadratic {
    fn through(cells: &[[f64; 3]; 3], width: f64, height: f64) -> Self {
        let [[nw, n, ne], [w, here, e], [sw, s, se]] = *cells;
        Self {
            d: (f64::midpoint(w, e) - here) / (width * width),
            e: (f64::midpoint(n, s) - here) / (height * height),
            f: (ne + sw - nw - se) / (4.0 * width * height),
            g: (e - w) / (2.0 * width),
            h: (n - s) / (2.0 * height),
            hole: 0.0 * (nw + n + ne + w + here + e + sw + s + se),
        }
    }

    /// Profile and plan curvature, per metre.
    fn curvatures(&self) -> (f32, f32) {
        let Self { d, e, f, g, h, hole } = *self;
        let steepness = g * g + h * h;
        if steepness <= 0.0 {
            return (hole as f32, hole as f32);
        }
        let profile = -2.0 * (d * g * g + e * h * h + f * g * h) / steepness;
        let plan = -2.0 * (d * h * h + e * g * g - f * g * h) / steepness;
        ((profile + hole) as f32, (plan + hole) as f32)
    }
}
