//! Streams against a textbook grid, a textbook network and orders worked out cell by cell.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use terrain::{
    Grid, GridError, Raster, Routing, StreamLine, fill_hollows, flow_area_m2, stream_cells,
    stream_lines,
};

mod ground;

/// A stream from 4 upstream cells on, read off the counts and directions that the Esri `ArcGIS`
/// documentation prints ("How Flow Direction works").
#[test]
fn the_textbook_grid_has_the_streams_that_its_counts_draw() {
    let grid = Grid::new(6, 6, 0.0, 6.0, 1.0, 1.0).unwrap();
    let ground = Raster::new(grid, ground::TEXTBOOK.map(f32::from).to_vec()).unwrap();
    let lines = stream_lines(&ground, 5.0).unwrap();
    let at = |row: usize, col: usize| grid.centre(row, col);
    let expected = [
        (vec![at(2, 2), at(3, 3)], 1, 8.0),
        (vec![at(2, 3), at(3, 3)], 1, 6.0),
        (vec![at(2, 4), at(3, 3)], 1, 5.0),
        (vec![at(3, 3), at(4, 4), at(5, 4)], 2, 25.0),
        (vec![at(5, 2), at(5, 3), at(5, 4)], 1, 8.0),
        (vec![at(5, 4)], 2, 36.0),
    ];
    let expected = expected.map(|(points, order, area_m2)| StreamLine { points, order, area_m2 });
    assert_eq!(lines, expected);
}

/// A network as Strahler 1957, Quantitative analysis of watershed geomorphology, orders it: two
/// firsts make a second, a first joining a second changes nothing, two seconds make a third.
#[test]
fn orders_follow_strahler() {
    #[rustfmt::skip]
    let valleys = [
        "k...k.k...k",
        ".h.h...h.h.",
        "..e.....e..",
        "..d.....d..",
        "hgc.....c..",
        "..b.....b..",
        "...a...a...",
        "....9.9....",
        ".....8.....",
        ".....7.....",
    ];
    let grid = Grid::new(11, 10, 0.0, 10.0, 1.0, 1.0).unwrap();
    let level = |row: usize, col: usize| {
        valleys[row][col..=col].chars().next().unwrap().to_digit(36).map_or(f32::NAN, |z| z as f32)
    };
    let lines = stream_lines(&Raster::from_fn(grid, level), 1.0).unwrap();
    let found: Vec<_> = lines
        .iter()
        .map(|line| {
            (grid.cell_at(line.points[0].0, line.points[0].1).unwrap(), line.order, line.area_m2)
        })
        .collect();
    let expected = [
        ((0, 0), 1, 2.0),
        ((0, 4), 1, 2.0),
        ((0, 6), 1, 2.0),
        ((0, 10), 1, 2.0),
        ((2, 2), 2, 6.0),
        ((2, 8), 2, 10.0),
        ((4, 0), 1, 2.0),
        ((4, 2), 2, 12.0),
        ((8, 5), 3, 24.0),
    ];
    assert_eq!(found, expected);
}

type Cell = (usize, usize);

/// Cells of each line, after a look at whether its points are cell centres.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn cells_of(lines: &[StreamLine], grid: &Grid) -> Vec<Vec<Cell>> {
    let cell = |(x, y): &(f64, f64)| {
        let cell = grid.cell_at(*x, *y).unwrap();
        assert_eq!(grid.centre(cell.0, cell.1), (*x, *y));
        cell
    };
    lines.iter().map(|line| line.points.iter().map(cell).collect()).collect()
}

/// The steepest way down from a cell, where no two are alike.
fn slow_receiver(ground: &Raster<f32>, cell: Cell) -> Option<Cell> {
    let grid = ground.grid();
    let here = ground::known(ground, Some(cell))?;
    let lower = ground::neighbours(grid, cell.0, cell.1).into_iter().flatten().filter_map(|to| {
        let across = to.1.abs_diff(cell.1) as f64 * grid.cell_width();
        let along = to.0.abs_diff(cell.0) as f64 * grid.cell_height();
        let drop = f64::from(here - ground::known(ground, Some(to))?) / across.hypot(along);
        (drop > 0.0).then_some((to, drop))
    });
    lower.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(to, _)| to)
}

/// Order of a cell by its donors' orders, without links.
fn slow_order(donors: &BTreeMap<Cell, Vec<Cell>>, cell: Cell) -> u8 {
    let mut orders: Vec<u8> =
        donors.get(&cell).into_iter().flatten().map(|from| slow_order(donors, *from)).collect();
    orders.sort_unstable_by(|a, b| b.cmp(a));
    match orders[..] {
        [] => 1,
        [most, next, ..] if most == next => most + 1,
        [most, ..] => most,
    }
}

/// Every stream cell on one line, lines joined end to start, orders and areas as cell by cell.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn check(ground: &Raster<f32>, threshold_cells: u32) -> Result<(), TestCaseError> {
    let grid = *ground.grid();
    let threshold = f64::from(threshold_cells) * grid.cell_area();
    let area = flow_area_m2(ground, Routing::SteepestDescent);
    let streams = stream_cells(&area, threshold).unwrap();
    let lines = stream_lines(ground, threshold).unwrap();
    let cells = cells_of(&lines, &grid);
    let starts: BTreeSet<Cell> = cells.iter().map(|line| line[0]).collect();
    prop_assert!(cells.windows(2).all(|two| two[0][0] < two[1][0]), "row by row");
    let mut donors: BTreeMap<Cell, Vec<Cell>> = BTreeMap::new();
    let mut own = Vec::new();
    for line in &cells {
        let joins = line.len() > 1 && starts.contains(&line[line.len() - 1]);
        own.extend_from_slice(&line[..line.len() - usize::from(joins)]);
        for step in line.windows(2) {
            prop_assert!(ground::neighbours(&grid, step[0].0, step[0].1).contains(&Some(step[1])));
            prop_assert!(ground.at(step[1].0, step[1].1) <= ground.at(step[0].0, step[0].1));
            donors.entry(step[1]).or_default().push(step[0]);
        }
    }
    own.sort_unstable();
    let marked: Vec<Cell> = ground::cells(grid).filter(|cell| streams.at(cell.0, cell.1)).collect();
    prop_assert_eq!(own, marked);
    for (line, cells) in lines.iter().zip(&cells) {
        prop_assert_eq!(line.order, slow_order(&donors, cells[0]));
        let joins = cells.len() > 1 && starts.contains(&cells[cells.len() - 1]);
        let last = cells[cells.len() - 1 - usize::from(joins)];
        let area = f64::from(area.at(last.0, last.1));
        prop_assert!((line.area_m2 - area).abs() < 1e-9, "{} against {area}", line.area_m2);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn every_stream_cell_is_on_one_line(
        stepped in ground::stepped_ground(), rough in ground::rough_ground(), threshold in 1..12_u32,
    ) {
        for ground in [stepped.clone(), fill_hollows(&stepped), rough.clone(), fill_hollows(&rough)] {
            check(&ground, threshold)?;
        }
    }

    #[test]
    fn lines_follow_the_steepest_way_down(ground in ground::rough_ground()) {
        let lines = stream_lines(&ground, ground.grid().cell_area()).unwrap();
        for line in cells_of(&lines, ground.grid()) {
            for step in line.windows(2) {
                prop_assert_eq!(slow_receiver(&ground, step[0]), Some(step[1]));
            }
        }
    }
}

#[test]
fn a_threshold_that_is_none_is_refused() {
    let area = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 1.0, 1.0).unwrap(), 1.0);
    for threshold in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(stream_cells(&area, threshold), Err(GridError::Setting { .. })));
        assert!(matches!(stream_lines(&area, threshold), Err(GridError::Setting { .. })));
    }
}

#[test]
fn one_thread_gives_the_same_lines_as_four() {
    let grid = Grid::new(120, 90, 0.0, 0.0, 2.0, 3.0).unwrap();
    let ground = Raster::from_fn(grid, |row, col| ((row * 7919 + col * 104_729) % 251) as f32);
    let filled = fill_hollows(&ground);
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| stream_lines(&filled, 300.0).unwrap())
    };
    assert_eq!(run(1), run(4));
}
