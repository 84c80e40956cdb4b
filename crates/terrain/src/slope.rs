//! Steepness of the ground and the way it faces.

use rayon::prelude::*;

use crate::Raster;
use crate::bearing::{bearing_deg, inclination_deg};

/// How the gradient is taken from a cell's neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SlopeMethod {
    /// Eight neighbours, the nearer ones twice (Horn 1981, Hill shading and the reflectance map).
    /// Steady on rough or noisy ground.
    #[default]
    Horn,
    /// Four neighbours (Zevenbergen & Thorne 1987, Quantitative analysis of land surface
    /// topography). Truer on smooth ground.
    ZevenbergenThorne,
}

impl SlopeMethod {
    /// Weights of the side and the middle rows or columns of the window, in `1 2 1` or `0 1 0`.
    fn weights(self) -> (f64, f64) {
        match self {
            Self::Horn => (1.0, 2.0),
            Self::ZevenbergenThorne => (0.0, 1.0),
        }
    }
}

/// Slope and aspect of the same ground.
#[derive(Debug, Clone, PartialEq)]
pub struct SlopeAspect {
    /// Degrees from level, 0 up to 90.
    pub slope_deg: Raster<f32>,
    /// Degrees clockwise from north (0 up to, not including, 360) of the way down; a hole on level
    /// ground, which faces nowhere.
    pub aspect_deg: Raster<f32>,
}

/// Slope and aspect of each cell from the nine cells around and under it.
///
/// ```text
///   a b c      west–east rise    Horn ((c + 2f + i) − (a + 2d + g)) ÷ 8 cell widths
///   d e f      north–south rise  Horn ((g + 2h + i) − (a + 2b + c)) ÷ 8 cell heights
///   g h i                        Zevenbergen–Thorne (f − d) ÷ 2 widths, (h − b) ÷ 2 heights
/// ```
///
/// # Units
/// Elevation in metres, as the grid is; both results in degrees.
///
/// # Holes
/// A cell is a hole in both results when any of its nine cells is a hole, is infinite or lies
/// outside the grid; so the outer ring always is.
///
/// # Cost
/// One pass over the rows on all cores; about twice as long as reading and writing as much.
///
/// ```
/// use terrain::{Grid, Raster, SlopeMethod, slope_aspect};
/// let grid = Grid::new(3, 3, 0.0, 0.0, 10.0, 10.0)?;
/// let rising_southward = Raster::from_fn(grid, |row, _| row as f32 * 10.0);
/// let ground = slope_aspect(&rising_southward, SlopeMethod::Horn);
/// assert_eq!(ground.slope_deg.get(1, 1), Some(45.0));
/// assert_eq!(ground.aspect_deg.get(1, 1), Some(0.0)); // it faces north
/// assert_eq!(ground.slope_deg.get(0, 1), None);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn slope_aspect(elevation: &Raster<f32>, method: SlopeMethod) -> SlopeAspect {
    let grid = *elevation.grid();
    let mut slope_deg = Raster::filled(grid, 0.0_f32);
    let mut aspect_deg = Raster::filled(grid, 0.0_f32);
    let window = Window::new(elevation, method);
    slope_deg
        .cells_mut()
        .par_chunks_mut(grid.cols())
        .zip(aspect_deg.cells_mut().par_chunks_mut(grid.cols()))
        .enumerate()
        .with_min_len(16)
        .for_each_init(Sums::default, |sums, (row, (slope, aspect))| {
            window.row(row, sums, slope, aspect);
        });
    SlopeAspect { slope_deg, aspect_deg }
}

/// The ground under a window that slides along its rows.
struct Window<'a> {
    elevation: &'a Raster<f32>,
    side: f64,
    middle: f64,
    per_width: f64,
    per_height: f64,
}

/// What a row of windows has in common. Sums of a few `f32` are exact in `f64`, so level ground
/// comes out exactly level.
#[derive(Default)]
struct Sums {
    /// For each column, its three cells added up with their weights.
    weighted: Vec<f64>,
    /// For each column, the rise from north to south.
    rise: Vec<f64>,
    /// For each window, metres of fall a metre eastward and northward.
    fall_east: Vec<f32>,
    fall_north: Vec<f32>,
}

impl<'a> Window<'a> {
    fn new(elevation: &'a Raster<f32>, method: SlopeMethod) -> Self {
        let (side, middle) = method.weights();
        let span = 2.0 * (2.0 * side + middle);
        let per_width = 1.0 / (span * elevation.grid().cell_width());
        let per_height = 1.0 / (span * elevation.grid().cell_height());
        Self { elevation, side, middle, per_width, per_height }
    }

    fn row(&self, row: usize, sums: &mut Sums, slope: &mut [f32], aspect: &mut [f32]) {
        let (rows, cols) = (self.elevation.grid().rows(), self.elevation.grid().cols());
        if row == 0 || row + 1 == rows || cols < 3 {
            slope.fill(f32::NAN);
            aspect.fill(f32::NAN);
            return;
        }
        self.add_columns(row, sums);
        for line in [&mut *slope, &mut *aspect] {
            line[0] = f32::NAN;
            line[cols - 1] = f32::NAN;
        }
        self.add_windows(sums, cols - 2);
        sums.angles(&mut slope[1..cols - 1], &mut aspect[1..cols - 1]);
    }

    fn add_columns(&self, row: usize, sums: &mut Sums) {
        let cols = self.elevation.grid().cols();
        let above = self.elevation.row(row - 1);
        let level = self.elevation.row(row);
        let below = self.elevation.row(row + 1);
        sums.weighted.resize(cols, 0.0);
        sums.rise.resize(cols, 0.0);
        let (weighted, rise) = (&mut sums.weighted[..cols], &mut sums.rise[..cols]);
        for col in 0..cols {
            let (north, here, south) =
                (f64::from(above[col]), f64::from(level[col]), f64::from(below[col]));
            weighted[col] = self.side * (north + south) + self.middle * here;
            rise[col] = south - north;
        }
    }

    fn add_windows(&self, sums: &mut Sums, inner: usize) {
        let [sum_west, sum_here, sum_east] = thirds(&sums.weighted, inner);
        let [rise_west, rise_here, rise_east] = thirds(&sums.rise, inner);
        sums.fall_east.resize(inner, 0.0);
        sums.fall_north.resize(inner, 0.0);
        let (east, north) = (&mut sums.fall_east[..inner], &mut sums.fall_north[..inner]);
        for col in 0..inner {
            // Zero, or not a number when one of the nine cells is a hole or infinite.
            let hole = 0.0 * (sum_west[col] + sum_here[col] + sum_east[col]);
            let rise = self.side * (rise_west[col] + rise_east[col]) + self.middle * rise_here[col];
            east[col] = ((sum_west[col] - sum_east[col]) * self.per_width + hole) as f32;
            north[col] = (rise * self.per_height + hole) as f32;
        }
    }
}

impl Sums {
    /// In a loop of its own, which takes twice as many cells at a time as one with `f64` in it.
    fn angles(&self, slope: &mut [f32], aspect: &mut [f32]) {
        let fall = self.fall_east.iter().zip(&self.fall_north);
        for ((slope, aspect), (&east, &north)) in slope.iter_mut().zip(aspect).zip(fall) {
            *slope = inclination_deg(east, north);
            *aspect = bearing_deg(east, north);
        }
    }
}

/// The left, middle and right cell of each window along a row.
fn thirds(line: &[f64], inner: usize) -> [&[f64]; 3] {
    [&line[..inner], &line[1..=inner], &line[2..inner + 2]]
}
