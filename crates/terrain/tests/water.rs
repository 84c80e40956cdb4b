//! Hollows, flow and wetness against slow, obvious versions and their laws.

#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests say what they mean exactly")]

mod ground_support;

use ground_support::{around, grid, places, rough, surface};
use proptest::prelude::*;
use terrain::{LEAST_TANGENT, Raster, Routing, fill_hollows, flow_area_m2, wetness_index};

const BOTH: [Routing; 2] = [Routing::SteepestDescent, Routing::MULTIPLE];

/// Whether water leaves the known ground here.
fn is_way_out(ground: &Raster<f32>, row: usize, col: usize) -> bool {
    let near = around(ground, row, col);
    near.len() < 8 || near.iter().any(|(r, c, _)| ground.get(*r, *c).is_none())
}

/// Slow and obvious: start full to the brim and let water out until nothing changes
/// (Planchon & Darboux 2001, without the slope).
fn fill_slowly(ground: &Raster<f32>) -> Raster<f32> {
    let mut water = Raster::from_fn(*ground.grid(), |row, col| match ground.get(row, col) {
        None => f32::NAN,
        Some(metres) if is_way_out(ground, row, col) => metres,
        Some(_) => f32::INFINITY,
    });
    loop {
        let before = water.clone();
        for (row, col) in places(ground) {
            let Some(metres) = ground.get(row, col) else { continue };
            let lowest = around(ground, row, col)
                .iter()
                .filter_map(|(r, c, _)| water.get(*r, *c))
                .fold(f32::INFINITY, f32::min);
            let at = ground.grid().index(row, col);
            let here = &mut water.cells_mut()[at];
            *here = here.min(lowest.max(metres));
        }
        if water.cells().iter().zip(before.cells()).all(|(a, b)| a == b || a.is_nan()) {
            return water;
        }
    }
}

/// Sum of area over the cells where a drop of water ends, following steepest descent from every
/// cell by hand; only where each step is the one steepest drop to a lower cell.
fn steepest(ground: &Raster<f32>, row: usize, col: usize) -> Option<(usize, usize)> {
    let own = ground.get(row, col)?;
    let mut best: Option<((usize, usize), f64)> = None;
    let mut tie = false;
    for (r, c, metres) in around(ground, row, col) {
        let Some(theirs) = ground.get(r, c) else { continue };
        let drop = f64::from(own - theirs) / metres;
        if drop <= 0.0 {
            continue;
        }
        match best {
            Some((_, most)) if (drop - most).abs() < 1e-9 => tie = true,
            Some((_, most)) if drop < most => {}
            _ => (best, tie) = (Some(((r, c), drop)), false),
        }
    }
    best.filter(|_| !tie).map(|(place, _)| place)
}

/// Source: the example of a textbook flow grid: all cells drain to the lowest corner of a plane.
#[test]
fn a_tilted_plane_drains_row_by_row() {
    let plane = surface(grid(4, 5, 10.0), |_, y| y);
    let flow = flow_area_m2(&plane, Routing::SteepestDescent);
    for row in 0..5 {
        for col in 0..4 {
            assert_eq!(flow.get(row, col), Some((row as f32 + 1.0) * 100.0));
        }
    }
}

#[test]
fn multiple_flow_spreads_evenly_from_a_cone() {
    let cone = surface(grid(21, 21, 1.0), |x, y| -(x - 10.5).hypot(y - 10.5));
    let flow = flow_area_m2(&cone, Routing::MULTIPLE);
    let (north, east) = (flow.get(3, 10).unwrap(), flow.get(10, 17).unwrap());
    assert!((north / east - 1.0).abs() < 1e-4, "{north} {east}");
}

#[test]
fn steeper_by_distance_beats_lower() {
    // The lowest neighbour is across the corner (drop 10), the steepest is beside (drop 9).
    let cells = vec![20.0, 20.0, 20.0, 20.0, 15.0, 6.0, 20.0, 20.0, 5.0];
    let ground = Raster::new(grid(3, 3, 1.0), cells).unwrap();
    let flow = flow_area_m2(&ground, Routing::SteepestDescent);
    assert!(flow.get(1, 2).unwrap() > 1.0, "the centre drains east");
}

#[test]
fn wetness_follows_its_formula() {
    let area = Raster::filled(grid(2, 1, 5.0), 5_000.0);
    let slope = Raster::new(grid(2, 1, 5.0), vec![45.0, 0.0]).unwrap();
    let index = wetness_index(&area, &slope).unwrap();
    assert!((index.get(0, 0).unwrap() - 1_000.0_f32.ln()).abs() < 1e-5);
    assert!((index.get(0, 1).unwrap() - (1_000.0 / LEAST_TANGENT).ln()).abs() < 1e-4);
    let elsewhere = Raster::filled(grid(3, 1, 5.0), 1.0);
    assert!(wetness_index(&elsewhere, &slope).is_err());
}

proptest! {
    #[test]
    fn filling_agrees_with_letting_water_out(ground in rough()) {
        let (fast, slow) = (fill_hollows(&ground), fill_slowly(&ground));
        for (place, (a, b)) in fast.cells().iter().zip(slow.cells()).enumerate() {
            prop_assert!(a == b || (a.is_nan() && b.is_nan()), "cell {}: {} and {}", place, a, b);
        }
    }

    #[test]
    fn filling_twice_changes_nothing_and_never_lowers(ground in rough()) {
        let once = fill_hollows(&ground);
        let twice = fill_hollows(&once);
        for ((before, after), again) in ground.cells().iter().zip(once.cells()).zip(twice.cells()) {
            prop_assert!(before.is_nan() || after >= before);
            prop_assert!(after == again || after.is_nan());
        }
    }

    #[test]
    fn all_water_leaves_and_none_is_made(ground in rough()) {
        let filled = fill_hollows(&ground);
        let known = ground.cells().iter().filter(|cell| !cell.is_nan()).count();
        let all = known as f64 * ground.grid().cell_area();
        for routing in BOTH {
            let flow = flow_area_m2(&filled, routing);
            let ends = |row: usize, col: usize| {
                let own = filled.get(row, col)?;
                let lower = around(&filled, row, col)
                    .iter()
                    .any(|(r, c, _)| filled.get(*r, *c).is_some_and(|theirs| theirs < own));
                (!lower && is_way_out(&filled, row, col)).then(|| flow.get(row, col).unwrap())
            };
            let left: f64 = places(&ground).filter_map(|(r, c)| ends(r, c)).map(f64::from).sum();
            prop_assert!((left - all).abs() <= all * 1e-5, "{} of {} m² left", left, all);
            for (before, area) in ground.cells().iter().zip(flow.cells()) {
                prop_assert_eq!(before.is_nan(), area.is_nan());
                prop_assert!(area.is_nan() || f64::from(*area) >= ground.grid().cell_area() * 0.999_999);
            }
        }
    }

    #[test]
    fn steepest_descent_agrees_with_following_each_drop(
        bumps in prop::collection::vec(0_u16..5_000, 36),
    ) {
        // A slope steep enough that every cell has a lower one, so that nothing is level.
        let down = |(at, bump): (usize, u16)| (at / 6) as f32 * 5_000.0 + f32::from(bump);
        let cells = bumps.into_iter().enumerate().map(down).collect();
        let ground = Raster::new(grid(6, 6, 2.0), cells).unwrap();
        let unique = |row, col| {
            let lower = around(&ground, row, col).iter().any(|(r, c, _)| ground.at(*r, *c) < ground.at(row, col));
            steepest(&ground, row, col).is_some() || (!lower && is_way_out(&ground, row, col))
        };
        prop_assume!(places(&ground).all(|(row, col)| unique(row, col)));
        let mut slow = Raster::filled(*ground.grid(), 0.0_f32);
        for (row, col) in places(&ground) {
            let mut here = Some((row, col));
            while let Some((r, c)) = here {
                let at = ground.grid().index(r, c);
                slow.cells_mut()[at] += 4.0;
                here = steepest(&ground, r, c);
            }
        }
        prop_assert_eq!(flow_area_m2(&ground, Routing::SteepestDescent), slow);
    }
}
