//! Smoothing elevation to the scale at which the ground is worked.

use std::borrow::Cow;

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
    let bell = Bell::new(&across, &along, grid.cols());
    let mut smoothed = Raster::filled(grid, 0.0_f32);
    smoothed
        .cells_mut()
        .par_chunks_mut(grid.cols() * BLOCK_ROWS)
        .enumerate()
        .for_each(|(block, cells)| bell.smooth_rows(elevation, block * BLOCK_ROWS, cells));
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

/// Weights by steps across and along, and what they come to where every cell is known.
struct Bell<'a> {
    across: &'a [f64],
    along: &'a [f64],
    /// Along one row, for each of its cells.
    of_row: Vec<f64>,
    /// Over all rows within reach, for each cell of the middle one.
    of_rows: Vec<f64>,
}

/// Weighted sums along a row, of elevations and of the weights of the cells that are known.
struct Sums<'a> {
    level: Vec<f64>,
    weight: Cow<'a, [f64]>,
}

impl<'a> Bell<'a> {
    fn new(across: &'a [f64], along: &'a [f64], cols: usize) -> Self {
        let of_row = summed_along(&vec![1.0; cols], across);
        let mut of_rows = vec![0.0; cols];
        for weight in along[1..].iter().rev().chain(along) {
            add(&mut of_rows, &of_row, *weight);
        }
        Self { across, along, of_row, of_rows }
    }

    fn smooth_rows(&self, elevation: &Raster<f32>, first: usize, cells: &mut [f32]) {
        let (rows, cols) = (elevation.grid().rows(), elevation.grid().cols());
        let reach = self.along.len() - 1;
        let top = first.saturating_sub(reach);
        let bottom = (first + cells.len() / cols + reach).min(rows);
        let lines: Vec<Sums<'_>> = (top..bottom).map(|row| self.sums(elevation.row(row))).collect();
        for (row, smoothed) in (first..).zip(cells.chunks_mut(cols)) {
            let near = row.saturating_sub(reach)..(row + reach + 1).min(rows);
            let weighed = || near.clone().map(|near| (&lines[near - top], near.abs_diff(row)));
            let mut level = vec![0.0; cols];
            weighed().for_each(|(line, step)| add(&mut level, &line.level, self.along[step]));
            let is_whole = |(line, _): (&Sums<'_>, _)| matches!(line.weight, Cow::Borrowed(_));
            let weight = if near.len() == 2 * reach + 1 && weighed().all(is_whole) {
                Cow::Borrowed(&self.of_rows[..])
            } else {
                let mut weight = vec![0.0; cols];
                weighed().for_each(|(line, step)| add(&mut weight, &line.weight, self.along[step]));
                Cow::Owned(weight)
            };
            let known = elevation.row(row).iter().zip(level).zip(&*weight);
            for (to, ((elevation, sum), weight)) in smoothed.iter_mut().zip(known) {
                *to = if elevation.is_finite() { (sum / weight) as f32 } else { f32::NAN };
            }
        }
    }

    fn sums(&self, row: &[f32]) -> Sums<'_> {
        let known = |z: &f32| if z.is_finite() { f64::from(*z) } else { 0.0 };
        let level: Vec<f64> = row.iter().map(known).collect();
        let level = summed_along(&level, self.across);
        if row.iter().all(|z| z.is_finite()) {
            return Sums { level, weight: Cow::Borrowed(&self.of_row) };
        }
        let known: Vec<f64> = row.iter().map(|z| f64::from(u8::from(z.is_finite()))).collect();
        Sums { level, weight: Cow::Owned(summed_along(&known, self.across)) }
    }
}

/// Each value with those beside it, weighed by their steps.
fn summed_along(values: &[f64], across: &[f64]) -> Vec<f64> {
    let mut sums = values.to_vec();
    for (step, weight) in across.iter().enumerate().skip(1) {
        let inner = values.len() - step;
        add(&mut sums[..inner], &values[step..], *weight);
        add(&mut sums[step..], &values[..inner], *weight);
    }
    sums
}

fn add(sums: &mut [f64], values: &[f64], weight: f64) {
    for (sum, value) in sums.iter_mut().zip(values) {
        *sum += weight * value;
    }
}
