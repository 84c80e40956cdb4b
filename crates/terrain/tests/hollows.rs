//! Filling against the slowest method that is obviously right.

use proptest::prelude::*;
use terrain::{Raster, fill_hollows};

mod ground;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn fast_agrees_with_slow(stepped in ground::stepped_ground(), rough in ground::rough_ground()) {
        for elevation in [stepped, rough] {
            let (fast, slow) = (fill_hollows(&elevation), slow_fill(&elevation));
            for (row, col) in ground::cells(*elevation.grid()) {
                prop_assert_eq!(fast.get(row, col), slow.get(row, col), "row {} column {}", row, col);
            }
        }
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "nothing is computed the second time")]
    fn filling_twice_changes_nothing(elevation in ground::rough_ground()) {
        let once = fill_hollows(&elevation);
        let twice = fill_hollows(&once);
        for (a, b) in once.cells().iter().zip(twice.cells()) {
            prop_assert!(a == b || (a.is_nan() && b.is_nan()));
        }
    }
}

/// Planchon & Darboux 2002, A fast, simple and versatile algorithm to fill the depressions of
/// digital elevation models: flood all of it, then let the water off until nothing moves.
fn slow_fill(elevation: &Raster<f32>) -> Raster<f32> {
    let grid = *elevation.grid();
    let mut water = elevation.map(|z| if z.is_finite() { f32::INFINITY } else { f32::NAN });
    let mut moved = true;
    while moved {
        moved = false;
        for (row, col) in ground::cells(grid) {
            let Some(level) = ground::known(elevation, Some((row, col))) else { continue };
            let outlet = |cell: Option<(usize, usize)>| match cell {
                Some((row, col)) if elevation.at(row, col).is_finite() => water.at(row, col),
                _ => f32::NEG_INFINITY,
            };
            let lowest = ground::neighbours(&grid, row, col)
                .map(outlet)
                .into_iter()
                .fold(f32::INFINITY, f32::min);
            let drained = level.max(lowest);
            if drained < water.at(row, col) {
                water.cells_mut()[row * grid.cols() + col] = drained;
                moved = true;
            }
        }
    }
    water
}
