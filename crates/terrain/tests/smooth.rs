//! Smoothing against the weighted mean written out, and against what it must leave alone.

use proptest::prelude::*;
use terrain::{Grid, Kernel, Raster, SlopeMethod, slope_aspect, smooth};

mod ground;

const KERNELS: [Kernel; 2] = [Kernel::Mean, Kernel::Gaussian];

/// Weight of a cell `away` metres off along one axis.
fn weight(kernel: Kernel, away: f64, side: f64, scale: f64) -> f64 {
    match kernel {
        // The length that the cell and the window have in common.
        Kernel::Mean => {
            ((away + side / 2.0).min(scale / 2.0) - (away - side / 2.0).max(-scale / 2.0)).max(0.0)
        }
        Kernel::Gaussian => {
            let deviations = away / (scale / 12.0_f64.sqrt());
            if deviations.abs() > 4.0 { 0.0 } else { (-deviations * deviations / 2.0).exp() }
        }
    }
}

fn slow(elevation: &Raster<f32>, kernel: Kernel, scale: f64, row: usize, col: usize) -> f64 {
    let grid = *elevation.grid();
    let (x, y) = grid.centre(row, col);
    let (mut sum, mut total) = (0.0, 0.0);
    for near in ground::cells(grid) {
        if let Some(level) = ground::known(elevation, Some(near)) {
            let (near_x, near_y) = grid.centre(near.0, near.1);
            let weight = weight(kernel, near_x - x, grid.cell_width(), scale)
                * weight(kernel, near_y - y, grid.cell_height(), scale);
            sum += weight * f64::from(level);
            total += weight;
        }
    }
    sum / total
}

proptest! {
    #[test]
    fn fast_agrees_with_slow_and_holes_stay_holes(
        elevation in ground::rough_ground(), scale in 1.0..60.0_f64,
    ) {
        for kernel in KERNELS {
            let smoothed = smooth(&elevation, scale, kernel);
            for (row, col) in ground::cells(*elevation.grid()) {
                // A window inside one cell leaves the ground as it is, infinities too.
                let finite = elevation.at(row, col).is_finite();
                prop_assert!(finite || !smoothed.at(row, col).is_finite());
                if finite {
                    let expected = slow(&elevation, kernel, scale, row, col);
                    prop_assert!((f64::from(smoothed.at(row, col)) - expected).abs() < 1e-3);
                }
            }
        }
    }

    #[test]
    fn level_ground_and_planes_keep_their_shape(scale in 0.0..30.0_f64, rise in -2.0..2.0_f64) {
        let grid = Grid::new(60, 50, 0.0, 0.0, 2.0, 3.0).unwrap();
        let plane = Raster::from_fn(grid, |row, col| (row as f64 * rise + col as f64) as f32);
        let flat = Raster::filled(grid, 812.4_f32);
        for kernel in KERNELS {
            prop_assert_eq!(smooth(&flat, scale, kernel), flat.clone());
            let middle = smooth(&plane, scale, kernel).at(25, 30);
            prop_assert!((middle - plane.at(25, 30)).abs() < 1e-4, "far from the edge");
        }
    }
}

proptest! {
    #[test]
    fn a_quarter_turn_turns_the_smoothed_ground(
        elevation in ground::rough_ground(), scale in 1.0..60.0_f64,
    ) {
        for kernel in KERNELS {
            let turned = smooth(&ground::turned(&elevation), scale, kernel);
            let expected = ground::turned(&smooth(&elevation, scale, kernel));
            for (turned, expected) in turned.cells().iter().zip(expected.cells()) {
                prop_assert_eq!(turned.is_finite(), expected.is_finite());
                prop_assert!(!turned.is_finite() || (turned - expected).abs() < 1e-3);
            }
        }
    }

    /// Neither holes nor the edge lift or lower level ground, and smoothing never goes beyond the
    /// lowest and the highest.
    #[test]
    fn holes_do_not_pull(
        elevation in ground::rough_ground(), scale in 1.0..60.0_f64, level in -90.0..900.0_f32,
    ) {
        let flat = elevation.map(|z| if z.is_finite() { level } else { f32::NAN });
        let known = elevation.cells().iter().copied().filter(|z| z.is_finite());
        let (low, high) = (known.clone().fold(f32::MAX, f32::min), known.fold(f32::MIN, f32::max));
        for kernel in KERNELS {
            for (smoothed, flat) in smooth(&flat, scale, kernel).cells().iter().zip(flat.cells()) {
                prop_assert_eq!(smoothed.is_nan(), flat.is_nan());
                prop_assert!(smoothed.is_nan() || (smoothed - flat).abs() <= 1e-4);
            }
            for z in smooth(&elevation, scale, kernel).cells().iter().filter(|z| z.is_finite()) {
                prop_assert!((low - 1e-3..=high + 1e-3).contains(z));
            }
        }
    }
}

/// A metre of roughness on cells of 1 m makes cliffs of an even slope of 20°; at 10 m they are gone,
/// around a hole too.
#[test]
fn roughness_is_no_cliff_at_planting_scale() {
    let grid = Grid::new(80, 80, 0.0, 0.0, 1.0, 1.0).unwrap();
    let rise = 20.0_f64.to_radians().tan();
    let rough = Raster::from_fn(grid, |row, col| {
        let bump = (row * 7919 + col * 104_729 + row * col * 31) % 101;
        let hole = (40..43).contains(&row) && (40..43).contains(&col);
        if hole { f32::NAN } else { (col as f64 * rise + bump as f64 / 101.0) as f32 }
    });
    let range = |ground: &Raster<f32>| {
        let slope = slope_aspect(ground, SlopeMethod::Horn).slope_deg;
        let inner = ground::cells(grid)
            .filter(|(row, col)| (10..70).contains(row) && (10..70).contains(col));
        let known = inner.filter_map(|(row, col)| slope.get(row, col));
        known.fold((90.0_f32, 0.0_f32), |(low, high), slope| (low.min(slope), high.max(slope)))
    };
    let (low, high) = range(&rough);
    assert!(low < 8.0 && high > 30.0, "cliffs before: {low} to {high}");
    for kernel in KERNELS {
        let (low, high) = range(&smooth(&rough, 10.0, kernel));
        assert!(low > 15.0 && high < 25.0, "{kernel:?}: {low} to {high}");
    }
}

#[test]
fn no_scale_changes_nothing() {
    let grid = Grid::new(3, 2, 0.0, 0.0, 2.0, 2.0).unwrap();
    let ground = Raster::new(grid, vec![1.0, 5.0, 2.0, 8.0, 3.0, 9.0]).unwrap();
    for scale in [0.0, -4.0, f64::NAN] {
        assert_eq!(smooth(&ground, scale, Kernel::Mean), ground);
        assert_eq!(smooth(&ground, scale, Kernel::Gaussian), ground);
    }
    assert_eq!(smooth(&ground, 2.0, Kernel::Mean), ground, "one cell wide");
}

/// Both kernels take as much off a wave much longer than the scale: its height × (1 − k²σ²/2),
/// with σ² = scale² ÷ 12.
#[test]
fn the_two_kernels_have_one_spread() {
    let grid = Grid::new(400, 1, 0.0, 0.0, 1.0, 1.0).unwrap();
    let wavenumber = std::f64::consts::TAU / 100.0;
    let wave = Raster::from_fn(grid, |_, col| ((col as f64 - 200.0) * wavenumber).cos() as f32);
    for kernel in KERNELS {
        let top = f64::from(smooth(&wave, 15.0, kernel).at(0, 200));
        let expected = 1.0 - wavenumber * wavenumber * 15.0 * 15.0 / 24.0;
        assert!((top - expected).abs() < 1e-3, "{kernel:?}: {top} against {expected}");
    }
}
