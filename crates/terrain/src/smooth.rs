//! Elevation brought to the scale at which people plant.

use rayon::prelude::*;

use crate::Raster;

/// The shape of the smoothing window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kernel {
    /// All cells within half the scale count the same.
    Mean,
    /// A bell whose full width at half its height is the scale.
    Gaussian,
}

/// Smooths elevation to a working scale, so that the roughness of fine lidar does not become
/// false cliffs.
///
/// `scale_m` is the width of the window in metres (see [`Kernel`]); 0 leaves the surface as it is.
/// Known cells alone are averaged, with their weights scaled up to 1; holes stay holes.
///
/// Cost: cells × window cells along a row and a column, on all cores.
#[must_use]
pub fn smooth(elevation: &Raster<f32>, scale_m: f64, kernel: Kernel) -> Raster<f32> {
    let grid = *elevation.grid();
    let across = weights(scale_m, grid.cell_width(), kernel);
    let down = weights(scale_m, grid.cell_height(), kernel);
    if across.len() == 1 && down.len() == 1 {
        return elevation.clone();
    }
    let cols = grid.cols();
    let mut sums = vec![(0.0_f32, 0.0_f32); grid.len()];
    // Heights are taken from a base, so that single precision keeps the millimetres.
    let base = elevation.cells().iter().copied().find(|metres| metres.is_finite()).unwrap_or(0.0);
    sums.par_chunks_mut(cols).enumerate().for_each(|(row, sums)| {
        along_row(elevation.row(row), base, &across, sums);
    });
    let mut smooth = elevation.clone();
    smooth.cells_mut().par_chunks_mut(cols).enumerate().for_each(|(row, cells)| {
        down_columns(&sums, row, cols, &down, base, cells);
    });
    smooth
}

/// Half a window of weights: the middle cell first, then outwards.
fn weights(scale_m: f64, cell_m: f64, kernel: Kernel) -> Vec<f32> {
    if scale_m <= 0.0 || scale_m.is_nan() {
        return vec![1.0];
    }
    let half = scale_m / 2.0;
    // A Gaussian of full width w at half height has σ = w / (2 √(2 ln 2)); 3 σ hold 99.7 % of it.
    let sigma = half / (2.0 * std::f64::consts::LN_2).sqrt();
    let reach = match kernel {
        Kernel::Mean => half,
        Kernel::Gaussian => 3.0 * sigma,
    };
    let weight = |step: usize| {
        let metres = step as f64 * cell_m;
        match kernel {
            Kernel::Mean => 1.0,
            Kernel::Gaussian => (-0.5 * (metres / sigma).powi(2)).exp(),
        }
    };
    (0..=(reach / cell_m).floor() as usize).map(|step| weight(step) as f32).collect()
}

/// Weighted sums of heights and of weights along a row.
fn along_row(row: &[f32], base: f32, weights: &[f32], sums: &mut [(f32, f32)]) {
    for (col, (height, weight)) in sums.iter_mut().enumerate() {
        let first = col.saturating_sub(weights.len() - 1);
        let last = (col + weights.len()).min(row.len());
        for (at, metres) in row.iter().enumerate().take(last).skip(first) {
            if metres.is_finite() {
                let share = weights[at.abs_diff(col)];
                *height += share * (metres - base);
                *weight += share;
            }
        }
    }
}

/// Sums of rows added down the columns, and the mean written where the cell is known.
fn down_columns(
    sums: &[(f32, f32)],
    row: usize,
    cols: usize,
    weights: &[f32],
    base: f32,
    cells: &mut [f32],
) {
    let rows = sums.len() / cols;
    let first = row.saturating_sub(weights.len() - 1);
    let last = (row + weights.len()).min(rows);
    let mut totals = vec![(0.0_f32, 0.0_f32); cols];
    for at in first..last {
        let share = weights[at.abs_diff(row)];
        for (total, sum) in totals.iter_mut().zip(&sums[at * cols..(at + 1) * cols]) {
            total.0 += share * sum.0;
            total.1 += share * sum.1;
        }
    }
    for (cell, (height, weight)) in cells.iter_mut().zip(totals) {
        *cell = if cell.is_finite() { base + height / weight } else { f32::NAN };
    }
}
