//! Slope and aspect against geometry, a published window and their laws.

#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests say what they mean exactly")]

mod ground_support;

use ground_support::{grid, places, rough, surface};
use proptest::prelude::*;
use terrain::{Grid, Kernel, Raster, SlopeMethod, slope_aspect, smooth};

const BOTH: [SlopeMethod; 2] = [SlopeMethod::Horn, SlopeMethod::ZevenbergenThorne];

/// Degrees between two bearings.
fn between(a: f32, b: f32) -> f32 {
    let apart = (a - b).abs() % 360.0;
    apart.min(360.0 - apart)
}

fn window(cells: [f32; 9], cell: f64) -> Raster<f32> {
    Raster::new(grid(3, 3, cell), cells.to_vec()).unwrap()
}

/// Source: the worked windows of a general GIS's documentation of its slope and aspect tools
/// (ArcGIS, "How Slope works", "How Aspect works"), from memory: 75.26° and 92.64°.
#[test]
fn published_windows_come_out_as_printed() {
    let steep = window([50., 45., 50., 30., 30., 30., 8., 10., 10.], 5.0);
    let slope = slope_aspect(&steep, SlopeMethod::Horn).slope_deg.get(1, 1).unwrap();
    assert!((slope - 75.257_62).abs() < 1e-4, "{slope}");
    let facing = window([101., 92., 85., 101., 92., 85., 101., 91., 84.], 5.0);
    let aspect = slope_aspect(&facing, SlopeMethod::Horn).aspect_deg.get(1, 1).unwrap();
    assert!((aspect - 92.64).abs() < 5e-3, "{aspect}");
}

#[test]
fn a_plane_has_its_own_slope_and_faces_downhill() {
    for bearing in [0.0_f64, 30.0, 90.0, 135.0, 200.0, 270.0, 330.0] {
        for tilt in [1.0_f64, 15.0, 35.0, 60.0] {
            let (east, north) = bearing.to_radians().sin_cos();
            let fall = tilt.to_radians().tan();
            let plane = surface(grid(5, 5, 2.0), |x, y| 300.0 - fall * (x * east + y * north));
            for method in BOTH {
                let found = slope_aspect(&plane, method);
                assert!((found.slope_deg.get(2, 2).unwrap() - tilt as f32).abs() < 2e-3);
                assert!(between(found.aspect_deg.get(2, 2).unwrap(), bearing as f32) < 5e-2);
            }
        }
    }
}

#[test]
fn cells_longer_than_wide_count_as_such() {
    let oblong = Grid::new(3, 3, 0.0, 0.0, 2.0, 8.0).unwrap();
    let plane = Raster::from_fn(oblong, |row, col| 50.0 - 2.0 * col as f32 - 8.0 * row as f32);
    for method in BOTH {
        let found = slope_aspect(&plane, method);
        let expected = 2.0_f32.sqrt().atan().to_degrees();
        assert!((found.slope_deg.get(1, 1).unwrap() - expected).abs() < 1e-4);
        assert!((found.aspect_deg.get(1, 1).unwrap() - 135.0).abs() < 1e-3);
    }
}

#[test]
fn a_paraboloid_steepens_as_its_derivative() {
    let bowl = surface(grid(41, 41, 1.0), |x, y| 0.01 * ((x - 20.5).powi(2) + (y - 20.5).powi(2)));
    for method in BOTH {
        let found = slope_aspect(&bowl, method);
        for (row, col) in [(20, 30), (10, 20), (12, 35)] {
            let (x, y) = (col as f64 - 20.0, 20.0 - row as f64);
            let slope = (0.02 * x.hypot(y)).atan().to_degrees() as f32;
            assert!((found.slope_deg.get(row, col).unwrap() - slope).abs() < 1e-3);
            let inwards = (-x).atan2(-y).to_degrees().rem_euclid(360.0) as f32;
            assert!(between(found.aspect_deg.get(row, col).unwrap(), inwards) < 1e-2);
        }
        assert_eq!(found.aspect_deg.get(20, 20), None, "the bottom faces nowhere");
        assert_eq!(found.slope_deg.get(20, 20), Some(0.0));
    }
}

#[test]
fn a_cone_has_one_slope_all_round() {
    let cone = surface(grid(101, 101, 1.0), |x, y| 80.0 - 0.5 * (x - 50.5).hypot(y - 50.5));
    let found = slope_aspect(&cone, SlopeMethod::Horn);
    for (row, col) in [(10, 50), (50, 90), (20, 20), (80, 30)] {
        let slope = found.slope_deg.get(row, col).unwrap();
        assert!((slope - 0.5_f32.atan().to_degrees()).abs() < 0.02, "{slope}");
        let (x, y) = (col as f64 - 50.0, 50.0 - row as f64);
        let outwards = x.atan2(y).to_degrees().rem_euclid(360.0) as f32;
        assert!(between(found.aspect_deg.get(row, col).unwrap(), outwards) < 0.1);
    }
}

#[test]
fn smoothing_takes_roughness_out_and_leaves_planes_alone() {
    let plane = |x: f64, y: f64| 100.0 + 0.4 * x - 0.2 * y;
    let bumps = |x: f64, y: f64| plane(x, y) + 0.5 * (x * 3.1).sin() * (y * 2.9).cos();
    for kernel in [Kernel::Mean, Kernel::Gaussian] {
        let smoothed = smooth(&surface(grid(60, 60, 1.0), plane), 8.0, kernel);
        assert!((smoothed.get(30, 30).unwrap() - plane(30.5, 29.5) as f32).abs() < 1e-3);
        let rough = surface(grid(60, 60, 1.0), bumps);
        let slope = |raster: &Raster<f32>| {
            slope_aspect(raster, SlopeMethod::Horn).slope_deg.get(30, 30).unwrap()
        };
        let expected = (0.4_f32.hypot(0.2)).atan().to_degrees();
        assert!((slope(&smooth(&rough, 8.0, kernel)) - expected).abs() < 1.0);
    }
    let rough = surface(grid(20, 20, 1.0), bumps);
    assert_eq!(smooth(&rough, 0.0, Kernel::Gaussian), rough);
}

proptest! {
    #[test]
    fn a_hole_anywhere_in_the_window_is_a_hole(ground in rough()) {
        for method in BOTH {
            let found = slope_aspect(&ground, method);
            for (row, col) in places(&ground) {
                let around = ground_support::around(&ground, row, col);
                let whole = around.len() == 8
                    && ground.get(row, col).is_some()
                    && around.iter().all(|(r, c, _)| ground.get(*r, *c).is_some());
                prop_assert_eq!(found.slope_deg.get(row, col).is_some(), whole);
                let level = found.slope_deg.get(row, col) == Some(0.0);
                prop_assert_eq!(found.aspect_deg.get(row, col).is_some(), whole && !level);
            }
        }
    }

    #[test]
    fn a_quarter_turn_turns_aspect_and_leaves_slope(ground in rough()) {
        let (cols, rows) = (ground.grid().cols(), ground.grid().rows());
        // Clockwise: what was north is now east.
        let turned = Raster::from_fn(grid(rows, cols, ground.grid().cell_width()), |row, col| {
            ground.at(rows - 1 - col, row)
        });
        for method in BOTH {
            let (before, after) = (slope_aspect(&ground, method), slope_aspect(&turned, method));
            for (row, col) in places(&ground) {
                let there = (col, rows - 1 - row);
                match (before.slope_deg.get(row, col), after.slope_deg.get(there.0, there.1)) {
                    (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-4),
                    (a, b) => prop_assert_eq!(a.is_some(), b.is_some()),
                }
                if let Some(aspect) = before.aspect_deg.get(row, col) {
                    let other = after.aspect_deg.get(there.0, there.1).unwrap();
                    prop_assert!(between(aspect + 90.0, other) < 1e-2);
                }
            }
        }
    }

    #[test]
    fn smoothing_keeps_holes_and_stays_between_lowest_and_highest(
        ground in rough(),
        scale in 0.0_f64..30.0,
    ) {
        let known = || ground.cells().iter().copied().filter(|cell| !cell.is_nan());
        let (low, high) = (known().fold(f32::MAX, f32::min), known().fold(f32::MIN, f32::max));
        for kernel in [Kernel::Mean, Kernel::Gaussian] {
            let smoothed = smooth(&ground, scale, kernel);
            for (before, after) in ground.cells().iter().zip(smoothed.cells()) {
                prop_assert_eq!(before.is_nan(), after.is_nan());
                prop_assert!(after.is_nan() || (low - 1e-3..=high + 1e-3).contains(after));
            }
        }
    }
}
