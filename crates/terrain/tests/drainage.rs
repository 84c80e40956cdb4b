//! Drainage lines and heights above them, against longhand and laws.

#![allow(
    clippy::float_cmp,
    clippy::unwrap_used,
    reason = "tests, and the same subtraction on both sides"
)]

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use terrain::{
    Grid, Raster, Routing, fill_hollows, flow_area_m2, height_above_drainage, stream_cells,
    stream_lines,
};

mod ground;

/// The way down from each cell, read off the growth of the area: the one neighbour that a cell's
/// water reaches is found by pouring from it alone, on ground without ties.
fn receivers(filled: &Raster<f32>) -> BTreeMap<(usize, usize), (usize, usize)> {
    let grid = *filled.grid();
    let mut receivers = BTreeMap::new();
    for cell in ground::cells(grid) {
        let Some(here) = ground::known(filled, Some(cell)) else { continue };
        let drops = ground::neighbours(&grid, cell.0, cell.1).into_iter().flatten();
        let drops = drops.filter_map(|to| {
            let across = to.1.abs_diff(cell.1) as f64 * grid.cell_width();
            let along = to.0.abs_diff(cell.0) as f64 * grid.cell_height();
            let drop = f64::from(here - ground::known(filled, Some(to))?) / across.hypot(along);
            (drop > 0.0).then_some((to, drop))
        });
        if let Some((to, _)) = drops.max_by(|a, b| a.1.total_cmp(&b.1)) {
            receivers.insert(cell, to);
        }
    }
    receivers
}

/// Ground on which no cell is level with a neighbour after filling, so that every way is its own.
fn without_levels(filled: &Raster<f32>) -> bool {
    let levels: Vec<u32> = filled
        .cells()
        .iter()
        .filter(|level| level.is_finite())
        .map(|level| level.to_bits())
        .collect();
    levels.iter().collect::<BTreeSet<_>>().len() == levels.len()
}

/// Elevations all different and without hollows: a tilted plane with a little noise.
fn hillside() -> impl Strategy<Value = Raster<f32>> {
    (3..10_usize, 3..10_usize).prop_flat_map(|(cols, rows)| {
        proptest::collection::vec(0.0..0.9_f32, cols * rows).prop_map(move |noise| {
            let grid = Grid::new(cols, rows, 0.0, 0.0, 2.0, 3.0).unwrap();
            Raster::from_fn(grid, |row, col| {
                100.0 - 2.0 * row as f32 - 0.13 * col as f32 + noise[row * cols + col]
            })
        })
    })
}

proptest! {
    #[test]
    fn heights_are_above_the_first_line_on_the_way_down(
        elevation in hillside(),
        marks in proptest::collection::vec(prop::bool::weighted(0.2), 100),
    ) {
        let filled = fill_hollows(&elevation);
        prop_assume!(without_levels(&filled));
        let grid = *filled.grid();
        let lines = Raster::from_fn(grid, |row, col| u8::from(marks[grid.index(row, col)]));
        let found = height_above_drainage(&filled, &lines).unwrap();
        let down = receivers(&filled);
        let mut without_line = 0;
        for cell in ground::cells(grid) {
            let mut at = cell;
            while lines.at(at.0, at.1) == 0 && down.contains_key(&at) {
                at = down[&at];
            }
            without_line += usize::from(lines.at(at.0, at.1) == 0);
            let expected = filled.at(cell.0, cell.1) - filled.at(at.0, at.1);
            prop_assert_eq!(found.height_m.at(cell.0, cell.1), expected);
        }
        prop_assert_eq!(found.without_line, without_line);
    }

    #[test]
    fn no_height_is_below_its_line(elevation in ground::stepped_ground(), from in 1.0..200.0_f64) {
        let filled = fill_hollows(&elevation);
        let area = flow_area_m2(&filled, Routing::SteepestDescent);
        let lines = stream_cells(&area, from);
        let found = height_above_drainage(&filled, &lines).unwrap();
        for (row, col) in ground::cells(*filled.grid()) {
            match (found.height_m.get(row, col), ground::known(&filled, Some((row, col)))) {
                (Some(height), Some(_)) => {
                    prop_assert!(height >= 0.0);
                    prop_assert!(lines.at(row, col) == 0 || height == 0.0);
                }
                (None, None) => {}
                other => prop_assert!(false, "{:?}", other),
            }
        }
    }

    /// Each stretch of a line is drawn once, and lines meet at their ends alone.
    #[test]
    fn lines_cover_their_cells_once(elevation in ground::stepped_ground(), from in 1.0..300.0_f64) {
        let filled = fill_hollows(&elevation);
        let area = flow_area_m2(&filled, Routing::SteepestDescent);
        let grid = *filled.grid();
        let lines = stream_lines(&filled, from);
        let mut stretches = BTreeSet::new();
        let mut drawn = BTreeSet::new();
        for line in &lines {
            prop_assert!(line.points.len() > 1 && line.area_m2 >= from && line.order >= 1);
            for pair in line.points.windows(2) {
                let ends = [pair[0], pair[1]].map(|(x, y)| grid.cell_at(x, y).unwrap());
                prop_assert!(stretches.insert(ends), "drawn twice");
                drawn.extend(ends);
            }
        }
        for (row, col) in ground::cells(grid) {
            if drawn.contains(&(row, col)) {
                prop_assert!(f64::from(area.at(row, col)) >= from);
            }
        }
    }
}

/// Strahler 1957: two lines of an order make one of the next; a lower one joining changes nothing.
#[test]
fn orders_are_those_of_a_textbook_network() {
    // Four heads on the north edge meet in pairs, and the pairs meet: orders 1, 2 and 3; a fifth
    // head joins the trunk.
    const NO: f32 = f32::NAN; // no ground, so that water keeps to the lines
    #[rustfmt::skip]
    let elevation: [f32; 49] = [
        30., NO, 30., NO, 30., NO, 30.,
        NO, 25., NO, NO, NO, 25., NO,
        NO, NO, 20., NO, 20., NO, NO,
        NO, NO, NO, 15., NO, NO, NO,
        NO, NO, NO, 10., NO, 13., NO,
        NO, NO, NO,  5.,  9., NO, NO,
        NO, NO, NO,  0., NO, NO, NO,
    ];
    let grid = Grid::new(7, 7, 0.0, 7.0, 1.0, 1.0).unwrap();
    let ground = Raster::new(grid, elevation.to_vec()).unwrap();
    let mut orders = BTreeMap::<u8, usize>::new();
    for line in stream_lines(&ground, 1.0) {
        *orders.entry(line.order).or_default() += 1;
    }
    assert_eq!(orders, BTreeMap::from([(1, 5), (2, 2), (3, 1)]));
}
