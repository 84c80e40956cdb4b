//! Steepness of the ground and the way it faces.

use rayon::prelude::*;

use crate::Raster;
use crate::bearing::{arctan_deg, bearing_deg, bearing_tangent, inclination_tangent};

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
    /// A middle cell and the two at its sides, with the formula's weights.
    ///
    /// Cells without weight count with 0, so that a hole among them makes the sum one.
    #[inline]
    fn weigh(self, sides: f64, middle: f64) -> f64 {
        match self {
            Self::Horn => sides + 2.0 * middle,
            Self::ZevenbergenThorne => 0.0 * sides + middle,
        }
    }

    /// Cell sides between what is subtracted, times the sum of the weights.
    fn span(self) -> f64 {
        match self {
            Self::Horn => 8.0,
            Self::ZevenbergenThorne => 2.0,
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
    let rows = slope_deg
        .cells_mut()
        .par_chunks_mut(grid.cols())
        .zip(aspect_deg.cells_mut().par_chunks_mut(grid.cols()))
        .enumerate()
        .with_min_len(16);
    let faces = Faces::new(elevation, method);
    // The formula is known within each loop over cells.
    match method {
        SlopeMethod::Horn => rows.for_each_init(Run::new, |run, (row, (slope, aspect))| {
            faces.row(|a, b| SlopeMethod::Horn.weigh(a, b), run, row, slope, aspect);
        }),
        SlopeMethod::ZevenbergenThorne => {
            rows.for_each_init(Run::new, |run, (row, (slope, aspect))| {
                faces.row(
                    |a, b| SlopeMethod::ZevenbergenThorne.weigh(a, b),
                    run,
                    row,
                    slope,
                    aspect,
                );
            });
        }
    }
    SlopeAspect { slope_deg, aspect_deg }
}

/// Cells of a row that are worked out together, in room that the nearest cache holds.
const RUN: usize = 256;

/// The ground under windows of nine cells that slide along its rows.
struct Faces<'a> {
    elevation: &'a Raster<f32>,
    per_width: f64,
    per_height: f64,
}

/// What some windows of a row have in common.
struct Run {
    /// For each column, its three cells added up with their weights.
    sums: [f64; RUN + 2],
    /// For each column, the rise from north to south.
    rises: [f64; RUN + 2],
    /// For each window, metres of fall a metre eastward and northward.
    east: [f32; RUN],
    north: [f32; RUN],
    /// For each window, the angle from which its slope is measured.
    from: [f32; RUN],
}

impl<'a> Faces<'a> {
    fn new(elevation: &'a Raster<f32>, method: SlopeMethod) -> Self {
        let per_width = 1.0 / (method.span() * elevation.grid().cell_width());
        let per_height = 1.0 / (method.span() * elevation.grid().cell_height());
        Self { elevation, per_width, per_height }
    }

    fn row(
        &self,
        weigh: impl Fn(f64, f64) -> f64 + Copy,
        run: &mut Run,
        row: usize,
        slope: &mut [f32],
        aspect: &mut [f32],
    ) {
        let (rows, cols) = (self.elevation.grid().rows(), self.elevation.grid().cols());
        if row == 0 || row + 1 == rows || cols < 3 {
            slope.fill(f32::NAN);
            aspect.fill(f32::NAN);
            return;
        }
        for line in [&mut *slope, &mut *aspect] {
            line[0] = f32::NAN;
            line[cols - 1] = f32::NAN;
        }
        let runs = slope[1..cols - 1].chunks_mut(RUN).zip(aspect[1..cols - 1].chunks_mut(RUN));
        for (place, (slope, aspect)) in runs.enumerate() {
            let columns = place * RUN..place * RUN + slope.len() + 2;
            let three =
                [row - 1, row, row + 1].map(|row| &self.elevation.row(row)[columns.clone()]);
            run.add_columns(weigh, three);
            run.add_windows(weigh, [self.per_width, self.per_height]);
            run.angles(&three[1][1..], slope, aspect);
        }
    }
}

impl Run {
    fn new() -> Self {
        let (columns, windows) = ([0.0; RUN + 2], [0.0; RUN]);
        Self { sums: columns, rises: columns, east: windows, north: windows, from: windows }
    }

    /// Sums of a few `f32` are exact in `f64`, so level ground comes out exactly level.
    #[inline]
    fn add_columns(&mut self, weigh: impl Fn(f64, f64) -> f64, [above, level, below]: [&[f32]; 3]) {
        let columns = self.sums.iter_mut().zip(&mut self.rises).zip(above).zip(level).zip(below);
        for ((((sum, rise), north), here), south) in columns {
            let (north, here, south) = (f64::from(*north), f64::from(*here), f64::from(*south));
            *sum = weigh(north + south, here);
            *rise = south - north;
        }
    }

    #[inline]
    fn add_windows(&mut self, weigh: impl Fn(f64, f64) -> f64, [per_width, per_height]: [f64; 2]) {
        let Self { sums, rises, east: falls_east, north: falls_north, .. } = self;
        for at in 0..RUN {
            let rise = weigh(rises[at] + rises[at + 2], rises[at + 1]);
            falls_east[at] = ((sums[at] - sums[at + 2]) * per_width) as f32;
            falls_north[at] = (rise * per_height) as f32;
        }
    }

    /// Angles of as many windows as there is room for, by the cells in their middle.
    ///
    /// Step by step for all: within a long loop one cell waits for the one before, which the
    /// processor does not see past.
    fn angles(&mut self, middle: &[f32], slope: &mut [f32], aspect: &mut [f32]) {
        let Self { east, north, from, .. } = self;
        for (east, (north, middle)) in east.iter_mut().zip(north.iter().zip(middle)) {
            // Zero, or not a number when one of the nine cells is a hole or infinite.
            *east += 0.0 * (*middle + *east + *north);
        }
        let falls = || east.iter().zip(&*north);
        for ((tangent, from), (&east, &north)) in slope.iter_mut().zip(&mut *from).zip(falls()) {
            (*tangent, *from) = inclination_tangent(east, north);
        }
        for (tangent, (&east, &north)) in aspect.iter_mut().zip(falls()) {
            *tangent = bearing_tangent(east, north);
        }
        for tangents in [&mut *slope, &mut *aspect] {
            for angle in tangents {
                *angle = arctan_deg(*angle);
            }
        }
        for (angle, from) in slope.iter_mut().zip(from) {
            *angle = (*from - *angle).abs();
        }
        for (angle, (&east, &north)) in aspect.iter_mut().zip(falls()) {
            *angle = bearing_deg(east, north, *angle);
        }
    }
}
