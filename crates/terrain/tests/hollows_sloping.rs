//! Filling with a slope against its definition.

use proptest::prelude::*;
use terrain::{Grid, Raster, fill_hollows, fill_hollows_sloping};

mod ground;

/// Whether a cell lies at the edge of the grid or beside a hole.
fn is_outlet(elevation: &Raster<f32>, row: usize, col: usize) -> bool {
    let around = ground::neighbours(elevation.grid(), row, col);
    around.into_iter().any(|cell| ground::known(elevation, cell).is_none())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn every_cell_runs_down(stepped in ground::stepped_ground(), rough in ground::rough_ground()) {
        for elevation in [stepped, rough] {
            let (sloping, level) = (fill_hollows_sloping(&elevation), fill_hollows(&elevation));
            for (row, col) in ground::cells(*elevation.grid()) {
                let Some(z) = sloping.get(row, col) else {
                    prop_assert!(!elevation.at(row, col).is_finite());
                    continue;
                };
                prop_assert!(z >= level.at(row, col));
                let around = ground::neighbours(elevation.grid(), row, col);
                let lower = around.into_iter().flatten().any(|(row, col)| sloping.at(row, col) < z);
                prop_assert!(lower || is_outlet(&elevation, row, col), "row {} column {}", row, col);
            }
        }
    }

    #[test]
    fn no_lower_surface_runs_down(stepped in ground::stepped_ground(), rough in ground::rough_ground()) {
        for elevation in [stepped, rough] {
            let (fast, slow) = (fill_hollows_sloping(&elevation), slow_fill(&elevation));
            for (row, col) in ground::cells(*elevation.grid()) {
                prop_assert_eq!(fast.get(row, col), slow.get(row, col));
            }
        }
    }
}

/// Planchon & Darboux 2002 with the least step a number can take.
fn slow_fill(elevation: &Raster<f32>) -> Raster<f32> {
    let grid = *elevation.grid();
    let mut water = elevation.map(|z| if z.is_finite() { f32::INFINITY } else { f32::NAN });
    let mut moved = true;
    while moved {
        moved = false;
        for (row, col) in ground::cells(grid) {
            let Some(level) = ground::known(elevation, Some((row, col))) else { continue };
            let around = ground::neighbours(&grid, row, col);
            let lowest = around.into_iter().flatten();
            let lowest = lowest.fold(f32::INFINITY, |low, (row, col)| low.min(water.at(row, col)));
            let dry = is_outlet(elevation, row, col);
            let drained = if dry { level } else { level.max(lowest.next_up()) };
            if drained < water.at(row, col) {
                water.cells_mut()[row * grid.cols() + col] = drained;
                moved = true;
            }
        }
    }
    water
}

#[test]
fn a_lake_rises_by_a_number_a_step() {
    let grid = Grid::new(7, 7, 0.0, 0.0, 1.0, 1.0).unwrap();
    let bowl = Raster::from_fn(grid, |row, col| {
        let edge = row.min(col).min(6 - row).min(6 - col);
        if (row, col) == (3, 0) {
            5.0
        } else if edge == 0 {
            9.0
        } else {
            1.0
        }
    });
    let filled = fill_hollows_sloping(&bowl);
    let mut level = 5.0_f32;
    for col in 0..6 {
        assert_eq!(filled.get(3, col), Some(level));
        level = level.next_up();
    }
}
