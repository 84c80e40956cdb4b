//! Curvature against closed forms and laws.

#![allow(
    clippy::float_cmp,
    clippy::unwrap_used,
    clippy::manual_midpoint,
    reason = "tests, in plain formulas"
)]

use proptest::prelude::*;
use terrain::{Curvature, Grid, Raster, curvature};

mod ground;

/// A surface in metres, x east and y north of the grid's middle.
fn surface(grid: Grid, z: impl Fn(f64, f64) -> f64) -> Curvature {
    let middle =
        (f64::midpoint(grid.west(), grid.east()), f64::midpoint(grid.south(), grid.north()));
    curvature(&Raster::from_fn(grid, |row, col| {
        let (x, y) = grid.centre(row, col);
        z(x - middle.0, y - middle.1) as f32
    }))
}

fn grid(width: f64, height: f64) -> Grid {
    Grid::new(41, 31, 1000.0, 2000.0, width, height).unwrap()
}

#[test]
fn a_plane_is_not_bent() {
    let bend = surface(grid(2.0, 3.0), |x, y| 0.25 * x - 0.5 * y);
    for (row, col) in [(1, 1), (15, 20), (29, 39)] {
        assert!(bend.profile_per_m.at(row, col).abs() < 1e-6);
        assert!(bend.plan_per_m.at(row, col).abs() < 1e-6);
    }
    assert_eq!(bend.plan_per_m.get(0, 5), None);
}

/// z = −k (x² + y²): the slope is 2 k r, so both second derivatives are −2 k everywhere.
#[test]
fn a_dome_bends_alike_along_and_across() {
    for (width, height) in [(2.0, 2.0), (2.0, 3.5)] {
        let bend = surface(grid(width, height), |x, y| -0.01 * (x * x + y * y));
        for (row, col) in [(3, 4), (10, 33), (28, 20)] {
            assert!((bend.profile_per_m.at(row, col) - 0.02).abs() < 1e-4);
            assert!((bend.plan_per_m.at(row, col) - 0.02).abs() < 1e-4);
        }
    }
}

/// A cone z = −s r is straight down its sides; across them the contour of radius r bends z'' by
/// −s / r.
#[test]
fn a_cone_bends_across_alone() {
    let bend = surface(grid(1.0, 1.0), |x, y| -0.5 * x.hypot(y));
    for (row, col) in [(15, 2), (2, 20), (3, 6)] {
        let (x, y) = (col as f64 - 20.0, 15.0 - row as f64);
        let expected = 0.5 / x.hypot(y);
        assert!((f64::from(bend.plan_per_m.at(row, col)) / expected - 1.0).abs() < 0.01);
        assert!(bend.profile_per_m.at(row, col).abs() < 1e-3);
    }
}

/// A valley that falls southward gathers water and is straight downhill.
#[test]
fn a_valley_gathers() {
    let bend = surface(grid(2.0, 2.0), |x, y| 0.01 * x * x + 0.3 * y);
    assert!((bend.plan_per_m.at(15, 20) + 0.02).abs() < 1e-4);
    assert!(bend.profile_per_m.at(15, 20).abs() < 1e-5);
}

/// The same nine cells in plain formulas, one cell at a time.
fn slow(elevation: &Raster<f32>, row: usize, col: usize) -> Option<(f64, f64)> {
    let grid = elevation.grid();
    let z = |down: isize, right: isize| {
        let cell = (row.checked_add_signed(down)?, col.checked_add_signed(right)?);
        let inside = cell.0 < grid.rows() && cell.1 < grid.cols();
        ground::known(elevation, inside.then_some(cell)).map(f64::from)
    };
    let (w, h) = (grid.cell_width(), grid.cell_height());
    let (z1, z2, z3) = (z(-1, -1)?, z(-1, 0)?, z(-1, 1)?);
    let (z4, z5, z6) = (z(0, -1)?, z(0, 0)?, z(0, 1)?);
    let (z7, z8, z9) = (z(1, -1)?, z(1, 0)?, z(1, 1)?);
    let d = ((z4 + z6) / 2.0 - z5) / w.powi(2);
    let e = ((z2 + z8) / 2.0 - z5) / h.powi(2);
    let f = (-z1 + z3 + z7 - z9) / (4.0 * w * h);
    let (g, k) = ((-z4 + z6) / (2.0 * w), (z2 - z8) / (2.0 * h));
    let steep = g * g + k * k;
    if steep == 0.0 {
        return Some((0.0, 0.0));
    }
    Some((
        -2.0 * (d * g * g + e * k * k + f * g * k) / steep,
        -2.0 * (d * k * k + e * g * g - f * g * k) / steep,
    ))
}

proptest! {
    #[test]
    fn fast_agrees_with_slow(elevation in ground::rough_ground()) {
        let fast = curvature(&elevation);
        for (row, col) in ground::cells(*elevation.grid()) {
            let slow = slow(&elevation, row, col);
            let found = fast.profile_per_m.get(row, col).zip(fast.plan_per_m.get(row, col));
            prop_assert_eq!(found.is_some(), slow.is_some());
            if let (Some(found), Some(slow)) = (found, slow) {
                prop_assert!((f64::from(found.0) - slow.0).abs() <= 1e-5 * (1.0 + slow.0.abs()));
                prop_assert!((f64::from(found.1) - slow.1).abs() <= 1e-5 * (1.0 + slow.1.abs()));
            }
        }
    }

    /// Turning the grid a quarter turn changes neither.
    #[test]
    fn a_quarter_turn_changes_nothing(elevation in ground::rough_ground()) {
        let grid = *elevation.grid();
        let turned_grid = Grid::new(
            grid.rows(), grid.cols(), 0.0, 0.0, grid.cell_height(), grid.cell_width(),
        ).unwrap();
        let turned = Raster::from_fn(turned_grid, |row, col| elevation.at(grid.rows() - 1 - col, row));
        let (bend, turned) = (curvature(&elevation), curvature(&turned));
        for (row, col) in ground::cells(grid) {
            let (row_after, col_after) = (col, grid.rows() - 1 - row);
            for (before, after) in [
                (&bend.profile_per_m, &turned.profile_per_m),
                (&bend.plan_per_m, &turned.plan_per_m),
            ] {
                match (before.get(row, col), after.get(row_after, col_after)) {
                    (Some(a), Some(b)) => prop_assert!((a - b).abs() <= 1e-5 * (1.0 + a.abs())),
                    (a, b) => prop_assert_eq!(a, b),
                }
            }
        }
    }
}
