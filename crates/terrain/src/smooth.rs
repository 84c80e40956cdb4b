//! Smoothing elevation to the scale at which the ground is worked.

use rayon::prelude::*;

use crate::{Grid, Raster};

/// Rows that share the sums along their rows.
const BLOCK_ROWS: usize = 32;

/// How neighbours are weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Kernel {
    /// A square window, `scale` metres on each side, all of it alike; a cell that lies partly in
    /// the window counts by the part.
    Mean,
    /// A bell whose spread equals the square window's: standard deviation `scale` ÷ √12, cut off
    /// at four of them.
    #[default]
    Gaussian,
}

/// Elevation smoothed to a working scale in metres.
///
/// # Units
/// Metres. Both kernels with one scale have the same spread on the ground, along rows and columns,
/// whatever the cell sides. `Mean` with a scale no larger than the cell, and either kernel with a
/// scale of 0 (or less, or not a number), leaves the ground as it is.
///
/// # Holes
/// A hole stays a hole. Elsewhere the weights of the known cells in the grid are scaled up to 1,
/// so neither holes nor the edge pull the ground up or down; on sloping ground they pull it
/// towards the side that is known. Where anything is smoothed, infinite
/// elevations become holes.
///
/// # Cost
/// Cells × scale ÷ cell side, in two passes of sums in `f64`; all cores.
///
/// ```
/// use terrain::{Grid, Kernel, Raster, smooth};
/// let grid = Grid::new(3, 1, 0.0, 0.0, 2.0, 2.0)?;
/// let step = Raster::new(grid, vec![0.0, 0.0, 4.0])?;
/// assert_eq!(smooth(&step, 4.0, Kernel::Mean).cells(), &[0.0, 1.0, 8.0 / 3.0]);
/// # Ok::<(), terrain::GridError>(())
/// ```
#[must_use]
pub fn smooth(elevation: &Raster<f32>, scale_m: f64, kernel: Kernel) -> Raster<f32> {
    let grid = *elevation.grid();
    let across = half_weights(kernel, scale_m / grid.cell_width(), grid.cols());
    let along = half_weights(kernel, scale_m / grid.cell_height(), grid.rows());
    if across.len() == 1 && along.len() == 1 {
        return elevation.clone();
    }
    let mut smoothed = Raster::filled(grid, 0.0_f32);
    smoothed.cells_mut().par_chunks_mut(grid.cols() * BLOCK_ROWS).enumerate().for_each(
        |(block, cells)| smooth_rows(elevation, block * BLOCK_ROWS, &across, &along, cells),
    );
    smoothed
}

/// How many cells beyond a window [`smooth`] looks at: with a halo as wide a window gives the very
/// cells that the whole grid would.
#[must_use]
pub fn smooth_reach_cells(grid: &Grid, scale_m: f64, kernel: Kernel) -> usize {
    let across = half_weights(kernel, scale_m / grid.cell_width(), grid.cols());
    let along = half_weights(kernel, scale_m / grid.cell_height(), grid.rows());
    across.len().max(along.len()) - 1
}

/// Weights of the cells 0, 1, 2, … steps away for a window of `scale` cells.
fn half_weights(kernel: Kernel, scale: f64, cells: usize) -> Vec<f64> {
    if scale.is_nan() || scale <= 0.0 {
        return vec![1.0];
    }
    let weight = |step: usize| match kernel {
        Kernel::Mean => (scale / 2.0 + 0.5 - step as f64).min(1.0),
        Kernel::Gaussian => {
            let deviations = step as f64 * 12.0_f64.sqrt() / scale;
            if deviations > 4.0 { 0.0 } else { (-0.5 * deviations * deviations).exp() }
        }
    };
    let tail = (1..cells).map(weight).take_while(|weight| *weight > 0.0);
    std::iter::once(1.0).chain(tail).collect()
}

/// Weighted sums, of elevations and of the weights of the cells that are known.
struct Sums {
    level: Vec<f64>,
    weight: Vec<f64>,
}

impl Sums {
    fn new(cols: usize) -> Self {
        Self { level: vec![0.0; cols], weight: vec![0.0; cols] }
    }

    fn add(&mut self, row: &Sums, weight: f64) {
        for (sum, value) in self.level.iter_mut().zip(&row.level) {
            *sum += weight * value;
        }
        for (sum, value) in self.weight.iter_mut().zip(&row.weight) {
            *sum += weight * value;
        }
    }
}

fn smooth_rows(
    elevation: &Raster<f32>,
    first: usize,
    across: &[f64],
    along: &[f64],
    cells: &mut [f32],
) {
    let (rows, cols) = (elevation.grid().rows(), elevation.grid().cols());
    let reach = along.len() - 1;
    let top = first.saturating_sub(reach);
    let bottom = (first + cells.len() / cols + reach).min(rows);
    let lines: Vec<Sums> =
        (top..bottom).map(|row| sum_along_row(elevation.row(row), across)).collect();
    for (row, smoothed) in (first..).zip(cells.chunks_mut(cols)) {
        let mut sums = Sums::new(cols);
        for near in row.saturating_sub(reach)..(row + reach + 1).min(rows) {
            sums.add(&lines[near - top], along[near.abs_diff(row)]);
        }
        let known = elevation.row(row).iter().zip(sums.level).zip(sums.weight);
        for (to, ((level, sum), weight)) in smoothed.iter_mut().zip(known) {
            *to = if level.is_finite() { (sum / weight) as f32 } else { f32::NAN };
        }
    }
}

fn sum_along_row(row: &[f32], across: &[f64]) -> Sums {
    let cols = row.len();
    let known = Sums {
        level: row.iter().map(|z| if z.is_finite() { f64::from(*z) } else { 0.0 }).collect(),
        weight: row.iter().map(|z| if z.is_finite() { 1.0 } else { 0.0 }).collect(),
    };
    let mut sums = Sums { level: known.level.clone(), weight: known.weight.clone() };
    for (step, &weight) in across.iter().enumerate().skip(1) {
        let inner = cols - step;
        for (sums, known) in [(&mut sums.level, &known.level), (&mut sums.weight, &known.weight)] {
            for (sum, value) in sums[..inner].iter_mut().zip(&known[step..]) {
                *sum += weight * value;
            }
            for (sum, value) in sums[step..].iter_mut().zip(&known[..inner]) {
                *sum += weight * value;
            }
        }
    }
    sums
}
