//! Breaching against longhand and against filling.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests; no number is computed twice")]

use proptest::prelude::*;
use terrain::{BreachLimits, Grid, Raster, breach_hollows, fill_hollows};

mod ground;

type Cell = (usize, usize);

/// Breaching by Bellman 1958, On a routing problem: each way is shortened until none can be.
/// For ground without ties, and channels of any length.
fn slow_breach(elevation: &Raster<f32>, deepest_m: f32) -> (Raster<f32>, usize) {
    let mut ground = elevation.map(|z| if z.is_finite() { *z } else { f32::NAN });
    let mut left = 0;
    let mut pits: Vec<Cell> = ground::cells(*ground.grid()).collect();
    pits.retain(|cell| is_pit(&ground, *cell));
    pits.sort_by(|a, b| ground.at(a.0, a.1).total_cmp(&ground.at(b.0, b.1)));
    for pit in pits {
        let level = ground.at(pit.0, pit.1);
        if !is_pit(&ground, pit) || level != elevation.at(pit.0, pit.1) {
            continue;
        }
        let Some(way) = slow_way(&ground, pit, deepest_m) else {
            left += 1;
            continue;
        };
        for (row, col) in way {
            let cols = ground.grid().cols();
            let cell = &mut ground.cells_mut()[row * cols + col];
            *cell = cell.min(level);
        }
    }
    (ground, left)
}

fn is_pit(ground: &Raster<f32>, cell: Cell) -> bool {
    let Some(level) = ground::known(ground, Some(cell)) else { return false };
    let around = ground::neighbours(ground.grid(), cell.0, cell.1);
    around.into_iter().all(|beside| ground::known(ground, beside).is_some_and(|z| z >= level))
}

fn slow_way(ground: &Raster<f32>, pit: Cell, deepest_m: f32) -> Option<Vec<Cell>> {
    let grid = *ground.grid();
    let level = ground.at(pit.0, pit.1);
    let at = |(row, col): Cell| row * grid.cols() + col;
    let is_end = |(row, col): Cell| {
        let around = ground::neighbours(&grid, row, col);
        ground.at(row, col) < level
            || around.into_iter().any(|cell| ground::known(ground, cell).is_none())
    };
    let mut ways: Vec<Option<(f64, f64, Cell)>> = vec![None; grid.len()];
    ways[at(pit)] = Some((0.0, 0.0, pit));
    let mut moved = true;
    while moved {
        moved = false;
        for cell in ground::cells(grid) {
            let Some((removed, length, _)) = ways[at(cell)] else { continue };
            if is_end(cell) {
                continue;
            }
            for beside in ground::neighbours(&grid, cell.0, cell.1).into_iter().flatten() {
                let Some(z) = ground::known(ground, Some(beside)) else { continue };
                let cut = (z - level).max(0.0);
                let across = beside.1.abs_diff(cell.1) as f64 * grid.cell_width();
                let along = beside.0.abs_diff(cell.0) as f64 * grid.cell_height();
                let way = (removed + f64::from(cut), length + across.hypot(along));
                let shorter = ways[at(beside)].is_none_or(|(r, l, _)| way < (r, l));
                if cut <= deepest_m && shorter {
                    ways[at(beside)] = Some((way.0, way.1, cell));
                    moved = true;
                }
            }
        }
    }
    let ends = ground::cells(grid).filter(|cell| is_end(*cell) && ways[at(*cell)].is_some());
    let key = |cell: &Cell| ways[at(*cell)].map_or((f64::INFINITY, 0.0), |way| (way.0, way.1));
    let mut cell = ends.min_by(|a, b| key(a).partial_cmp(&key(b)).unwrap())?;
    let mut way = vec![cell];
    while cell != pit {
        cell = ways[at(cell)].unwrap().2;
        way.push(cell);
    }
    Some(way)
}

fn has_no_hollow(ground: &Raster<f32>) -> bool {
    same(ground, &fill_hollows(ground))
}

fn same(a: &Raster<f32>, b: &Raster<f32>) -> bool {
    a.cells().iter().zip(b.cells()).all(|(a, b)| a == b || (!a.is_finite() && !b.is_finite()))
}

fn moved_m3(from: &Raster<f32>, to: &Raster<f32>) -> f64 {
    let moved = from.cells().iter().zip(to.cells()).map(|(a, b)| f64::from((a - b).abs()));
    moved.filter(|metres| metres.is_finite()).sum::<f64>() * from.grid().cell_area()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn fast_agrees_with_slow(
        elevation in ground::rough_ground(),
        deepest_m in prop_oneof![Just(f32::INFINITY), 0.0..200.0_f32],
    ) {
        let fast = breach_hollows(&elevation, &BreachLimits { deepest_m, ..BreachLimits::NONE });
        let (slow, left) = slow_breach(&elevation, deepest_m);
        prop_assert!(same(&fast.elevation_m, &slow), "{:?}\n{:?}", fast.elevation_m, slow);
        prop_assert_eq!(fast.hollows_left, left);
    }

    #[test]
    fn without_limits_no_hollow_remains(
        stepped in ground::stepped_ground(),
        rough in ground::rough_ground(),
    ) {
        for elevation in [stepped, rough] {
            let breached = breach_hollows(&elevation, &BreachLimits::NONE);
            prop_assert!(has_no_hollow(&breached.elevation_m));
            prop_assert_eq!(breached.hollows_left, 0);
            prop_assert_eq!(breached.hollows_breached == 0, has_no_hollow(&elevation));
        }
    }

    #[test]
    fn cuts_stay_within_limits(
        elevation in prop_oneof![ground::stepped_ground(), ground::rough_ground()],
        longest_m in 0.0..30.0_f64,
        deepest_m in 0.0..100.0_f32,
    ) {
        let limits = BreachLimits { longest_m, deepest_m };
        let breached = breach_hollows(&elevation, &limits);
        let mut cut = 0;
        for (before, after) in elevation.cells().iter().zip(breached.elevation_m.cells()) {
            prop_assert_eq!(before.is_finite(), !after.is_nan());
            prop_assert!(!before.is_finite() || after <= before);
            cut += usize::from(after < before && before.is_finite());
        }
        prop_assert!(breached.cells_cut >= cut);
        let drained = fill_hollows(&breached.elevation_m);
        prop_assert!(has_no_hollow(&drained));
        if breached.hollows_left == 0 {
            prop_assert!(same(&drained, &breached.elevation_m));
        }
    }

    #[test]
    fn zero_limits_change_nothing(elevation in prop_oneof![ground::stepped_ground(), ground::rough_ground()]) {
        let none = [(0.0, f32::INFINITY), (f64::INFINITY, 0.0), (f64::NAN, 9.0), (9.0, f32::NAN)];
        for (longest_m, deepest_m) in none {
            let breached = breach_hollows(&elevation, &BreachLimits { longest_m, deepest_m });
            prop_assert!(same(&breached.elevation_m, &elevation));
            prop_assert_eq!(breached.cells_cut, 0);
        }
    }
}

/// A valley 40 cells long that falls a metre a cell of 3 × 5 m, under a road bank four cells wide.
fn road_over_stream() -> Raster<f32> {
    let grid = Grid::new(40, 21, 0.0, 0.0, 3.0, 5.0).unwrap();
    Raster::from_fn(grid, |row, col| {
        let valley = 60.0 - col as f32 + row.abs_diff(10) as f32 * 2.0;
        if (20..24).contains(&col) { valley.max(52.0) } else { valley }
    })
}

#[test]
fn a_road_is_cut_through_where_the_stream_was() {
    let dammed = road_over_stream();
    let breached = breach_hollows(&dammed, &BreachLimits { longest_m: 15.0, deepest_m: 12.0 });
    assert_eq!((breached.hollows_breached, breached.hollows_left), (1, 0));
    assert_eq!(breached.cells_cut, 4);
    for col in 19..24 {
        assert_eq!(breached.elevation_m.get(10, col), Some(41.0), "column {col}");
    }
    assert!(has_no_hollow(&breached.elevation_m));
    let filled = fill_hollows(&dammed);
    assert!(moved_m3(&dammed, &breached.elevation_m) < moved_m3(&dammed, &filled) / 4.0);
}

/// From the last cell of the lake the far foot is five steps of 3 m away, and the cut 11 m deep.
#[test]
fn a_road_too_wide_or_high_is_left() {
    let dammed = road_over_stream();
    for (longest_m, deepest_m, left) in [(14.9, 12.0, 1), (15.0, 10.9, 1), (15.0, 11.0, 0)] {
        let breached = breach_hollows(&dammed, &BreachLimits { longest_m, deepest_m });
        assert_eq!(breached.hollows_left, left, "{longest_m} m long, {deepest_m} m deep");
        assert_eq!(breached.cells_cut == 0, left == 1);
    }
}
