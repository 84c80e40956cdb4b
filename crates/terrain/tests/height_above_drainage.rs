//! Height above drainage against following each cell's water down, a step at a time.

use std::collections::BTreeMap;

use proptest::prelude::*;
use terrain::{Grid, GridError, Raster, fill_hollows, height_above_drainage, stream_lines};

mod ground;

type Cell = (usize, usize);

/// Where each cell's water goes next, read off streams that begin in every cell.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn receivers(ground: &Raster<f32>) -> BTreeMap<Cell, Cell> {
    let grid = ground.grid();
    let cell = |point: (f64, f64)| grid.cell_at(point.0, point.1).unwrap();
    let lines = stream_lines(ground, grid.cell_area() / 2.0).unwrap();
    let steps = lines.iter().flat_map(|line| line.points.windows(2));
    steps.map(|step| (cell(step[0]), cell(step[1]))).collect()
}

/// The level that a cell drains to, and whether that is a stream's.
fn slow(
    ground: &Raster<f32>,
    streams: &Raster<bool>,
    receivers: &BTreeMap<Cell, Cell>,
    mut cell: Cell,
) -> (f32, bool) {
    loop {
        let level = ground.at(cell.0, cell.1);
        if streams.at(cell.0, cell.1) {
            return (level, true);
        }
        let Some(next) = receivers.get(&cell) else { return (level, false) };
        cell = *next;
    }
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn check(ground: &Raster<f32>, streams: &Raster<bool>) -> Result<(), TestCaseError> {
    let above = height_above_drainage(ground, streams).unwrap();
    let receivers = receivers(ground);
    let mut without = 0;
    for cell in ground::cells(*ground.grid()) {
        let height = above.height_m.get(cell.0, cell.1);
        let Some(level) = ground::known(ground, Some(cell)) else {
            prop_assert_eq!(height, None);
            continue;
        };
        let (drains_to, is_stream) = slow(ground, streams, &receivers, cell);
        prop_assert_eq!(height, is_stream.then_some(level - drains_to));
        prop_assert!(height.is_none_or(|height| height >= 0.0), "never below its stream");
        without += usize::from(!is_stream);
    }
    prop_assert_eq!(above.cells_without_stream, without);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn fast_agrees_with_slow_and_holes_stay_holes(
        stepped in ground::stepped_ground(), rough in ground::rough_ground(),
        marks in proptest::collection::vec(proptest::bool::weighted(0.1), 144),
    ) {
        for ground in [stepped, rough] {
            let streams = Raster::new(*ground.grid(), marks[..ground.grid().len()].to_vec()).unwrap();
            check(&ground, &streams)?;
            check(&fill_hollows(&ground), &streams)?;
        }
    }

    #[test]
    fn without_streams_there_is_no_height(elevation in ground::rough_ground()) {
        let filled = fill_hollows(&elevation);
        let streams = Raster::filled(*filled.grid(), false);
        let above = height_above_drainage(&filled, &streams).unwrap();
        let known = filled.cells().iter().filter(|level| level.is_finite()).count();
        prop_assert_eq!(above.cells_without_stream, known);
        prop_assert!(above.height_m.cells().iter().all(|height| height.is_nan()));
    }
}

/// A valley with even sides: height is the side's slope times the distance from the stream,
/// whatever the fall of the valley itself.
#[test]
fn an_even_valley_rises_evenly_from_its_stream() {
    let grid = Grid::new(21, 30, 0.0, 0.0, 4.0, 2.0).unwrap();
    let valley =
        Raster::from_fn(grid, |row, col| col.abs_diff(10) as f32 * 8.0 - row as f32 * 0.25);
    let streams = Raster::from_fn(grid, |_, col| col == 10);
    let above = height_above_drainage(&valley, &streams).unwrap();
    assert_eq!(above.cells_without_stream, 0);
    for (row, col) in ground::cells(grid) {
        let height = above.height_m.at(row, col);
        let steps = col.abs_diff(10) as f32;
        // 2.00 along the row, 1.85 down the diagonal: the row it is.
        assert!((height - steps * 8.0).abs() < 1e-4, "{height} at {row}, {col}");
    }
}

#[test]
fn another_grid_is_refused() {
    let ground = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 1.0, 1.0).unwrap(), 1.0);
    let streams = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 1.0, 2.0).unwrap(), true);
    let refused = height_above_drainage(&ground, &streams);
    assert!(matches!(refused, Err(GridError::Mismatch { .. })));
}
