//! Flow window by window gives the very bytes of flow in memory.

use std::collections::BTreeMap;
use std::sync::Mutex;

use proptest::prelude::*;
use terrain::{
    Budget, FlowError, Grid, Raster, Routing, Scratch, Sink, Window, fill_hollows, flow_area_m2,
    flow_area_windowed,
};

mod ground;

/// A raster that is written a window at a time; each cell once.
struct Written {
    cells: Mutex<(Vec<f32>, Vec<u8>)>,
    cols: usize,
}

impl Written {
    fn new(grid: &Grid) -> Self {
        let cells = Mutex::new((vec![-1.0; grid.len()], vec![0; grid.len()]));
        Self { cells, cols: grid.cols() }
    }
}

impl Sink for Written {
    type Error = &'static str;

    fn write(&self, window: Window, cells: &[f32]) -> Result<(), Self::Error> {
        let mut written = self.cells.lock().map_err(|_poisoned| "poisoned")?;
        for (row, cells) in (window.row..).zip(cells.chunks(window.cols)) {
            for (col, value) in (window.col..).zip(cells) {
                written.0[row * self.cols + col] = *value;
                written.1[row * self.cols + col] += 1;
            }
        }
        Ok(())
    }
}

/// Bytes by key, and how often any were put.
#[derive(Default)]
struct Shelf {
    kept: Mutex<BTreeMap<usize, Vec<u8>>>,
    puts: Mutex<usize>,
}

impl Scratch for Shelf {
    type Error = &'static str;

    fn put(&self, key: usize, bytes: &[u8]) -> Result<(), Self::Error> {
        *self.puts.lock().map_err(|_poisoned| "poisoned")? += 1;
        self.kept.lock().map_err(|_poisoned| "poisoned")?.insert(key, bytes.to_vec());
        Ok(())
    }

    fn take(&self, key: usize, bytes: &mut Vec<u8>) -> Result<(), Self::Error> {
        let kept = self.kept.lock().map_err(|_poisoned| "poisoned")?.remove(&key);
        bytes.extend(kept.ok_or("never put")?);
        Ok(())
    }
}

/// Asserts that windows of a side give what memory does, and returns how often pieces were put away.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn puts(ground: &Raster<f32>, routing: Routing, budget: Budget) -> usize {
    let (written, shelf) = (Written::new(ground.grid()), Shelf::default());
    flow_area_windowed(ground, &written, &shelf, routing, budget).unwrap();
    let (cells, times) = written.cells.into_inner().unwrap();
    assert!(times.iter().all(|times| *times == 1), "every cell is written once");
    let whole = flow_area_m2(ground, routing);
    for (at, (cell, whole)) in cells.iter().zip(whole.cells()).enumerate() {
        assert_eq!(cell.to_bits(), whole.to_bits(), "cell {at}: {cell} and {whole}, {budget:?}");
    }
    shelf.puts.into_inner().unwrap()
}

const ROUTINGS: [Routing; 4] = [
    Routing::SteepestDescent,
    Routing::MULTIPLE_FLOW,
    Routing::MultipleFlow { exponent: 6.5 },
    Routing::DInfinity,
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn windows_give_the_same_bytes(
        stepped in ground::stepped_ground(),
        rough in ground::rough_ground(),
        is_filled: bool,
        tile_side in 1..=7_usize,
        memory_bytes in prop_oneof![Just(0), 0..40_000_usize],
    ) {
        for ground in [stepped, rough] {
            let ground = if is_filled { fill_hollows(&ground) } else { ground };
            for routing in ROUTINGS {
                let puts = puts(&ground, routing, Budget { tile_side, memory_bytes });
                let pieces = ground.grid().cols().div_ceil(tile_side) * ground.grid().rows().div_ceil(tile_side);
                prop_assert!(memory_bytes > 0 || puts + 1 >= pieces, "the budget has room for none");
            }
        }
    }
}

/// A winding lake over many pieces, whose shortest ways cross borders back and forth.
#[test]
fn a_maze_of_level_ground_drains_alike() {
    let grid = Grid::new(61, 47, 0.0, 0.0, 2.0, 3.0).unwrap();
    let maze = Raster::from_fn(grid, |row, col| {
        let wall = row % 4 == 3 && (if row % 8 == 3 { col < 58 } else { col > 2 });
        if row == 0 || col == 0 || row == 46 || col == 60 || wall { 9.0 } else { 1.0 }
    });
    let mut maze = maze;
    maze.cells_mut()[61 * 46 + 30] = 1.0;
    for routing in ROUTINGS {
        for tile_side in [3, 8, 16, 64] {
            puts(&fill_hollows(&maze), routing, Budget { tile_side, memory_bytes: 20_000 });
        }
    }
}

#[test]
fn hills_pass_with_room_for_a_few_pieces() {
    let grid = Grid::new(300, 260, 0.0, 0.0, 2.0, 2.0).unwrap();
    let hills = Raster::from_fn(grid, |row, col| {
        let (y, x) = (row as f32 / 17.0, col as f32 / 23.0);
        ((x.sin() + y.cos() + (x * y).sin()) * 40.0).round()
            + ((row * 7919 + col * 104_729) % 11) as f32
    });
    for routing in ROUTINGS {
        let budget = Budget { tile_side: 32, memory_bytes: 200_000 };
        assert!(puts(&fill_hollows(&hills), routing, budget) > 80, "most pieces are put away");
    }
}

/// A place that loses what it is given, a ground that cannot be read and a result that cannot be
/// written come back as what they are.
#[test]
fn failures_come_back() {
    struct Lossy;
    impl Scratch for Lossy {
        type Error = &'static str;
        fn put(&self, _: usize, _: &[u8]) -> Result<(), Self::Error> {
            Ok(())
        }
        fn take(&self, _: usize, _: &mut Vec<u8>) -> Result<(), Self::Error> {
            Ok(())
        }
    }
    struct Full;
    impl Sink for Full {
        type Error = &'static str;
        fn write(&self, _: Window, _: &[f32]) -> Result<(), Self::Error> {
            Err("full")
        }
    }
    let grid = Grid::new(9, 9, 0.0, 0.0, 1.0, 1.0).unwrap();
    let ramp = Raster::from_fn(grid, |row, col| (row + col) as f32);
    let budget = Budget { tile_side: 3, memory_bytes: 0 };
    let (written, shelf) = (Written::new(&grid), Shelf::default());
    let routing = Routing::SteepestDescent;
    let lost = flow_area_windowed(&ramp, &written, &Lossy, routing, budget);
    assert!(matches!(lost, Err(FlowError::Scratch { found: 0, .. })));
    let torn = flow_area_windowed(&ground::Torn(grid), &written, &shelf, routing, budget);
    assert!(matches!(torn, Err(FlowError::Read("torn"))));
    let full = flow_area_windowed(&ramp, &Full, &shelf, routing, budget);
    assert!(matches!(full, Err(FlowError::Write("full"))));
}
