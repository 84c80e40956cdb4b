//! Filling tile by tile against filling the whole.
#![allow(clippy::unwrap_used, reason = "a test that stops has failed")]

use std::sync::Mutex;

use proptest::prelude::*;
use terrain::{FillError, Grid, Raster, Sink, Window, fill_hollows, fill_hollows_windowed};

mod ground;

/// Keeps what is written, and fails from some row on.
struct Kept {
    raster: Mutex<Raster<f32>>,
    good_rows: usize,
}

impl Kept {
    fn new(grid: Grid) -> Self {
        Self { raster: Mutex::new(Raster::filled(grid, -1.0)), good_rows: usize::MAX }
    }
}

impl Sink for Kept {
    type Error = &'static str;

    fn write(&self, window: Window, cells: &[f32]) -> Result<(), Self::Error> {
        if window.row >= self.good_rows {
            return Err("disk full");
        }
        let mut raster = self.raster.lock().unwrap();
        let cols = raster.grid().cols();
        for (row, line) in (window.row..).zip(cells.chunks(window.cols)) {
            let from = row * cols + window.col;
            raster.cells_mut()[from..from + window.cols].copy_from_slice(line);
        }
        Ok(())
    }
}

fn bits(raster: &Raster<f32>) -> Vec<u32> {
    let one_nan = |z: &f32| if z.is_nan() { f32::NAN } else { *z };
    raster.cells().iter().map(|z| one_nan(z).to_bits()).collect()
}

fn on_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(work)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn any_tiles_give_the_same_cells(
        stepped in ground::stepped_ground(),
        rough in ground::rough_ground(),
        zeros in ground::signed_zeros(),
        side in 1..=7_usize,
    ) {
        for elevation in [stepped, rough, zeros] {
            let whole = bits(&fill_hollows(&elevation));
            for threads in [1, 2] {
                let kept = Kept::new(*elevation.grid());
                on_threads(threads, || fill_hollows_windowed(&elevation, &kept, side)).unwrap();
                prop_assert_eq!(&whole, &bits(&kept.raster.into_inner().unwrap()));
            }
        }
    }
}

/// Enough ground for several tiles in memory, with a lake across their seams, basins of all
/// sizes and holes.
fn wide_ground() -> Raster<f32> {
    let grid = Grid::new(601, 530, 0.0, 0.0, 1.0, 1.0).unwrap();
    Raster::from_fn(grid, |row, col| {
        let (x, y) = (col as f32 / 40.0, row as f32 / 55.0);
        let speckle = (row * 7919 + col * 104_729) % 97;
        let bowl = (col as f32 - 256.0).hypot(row as f32 - 256.0) / 20.0;
        if speckle == 0 && row % 11 == 3 {
            return f32::NAN;
        }
        if bowl < 4.0 { bowl - 30.0 } else { 20.0 * (x.sin() + y.cos()) + speckle as f32 / 10.0 }
    })
}

#[test]
fn wide_ground_is_the_same_by_any_tiles_and_threads() {
    let ground = wide_ground();
    let whole = on_threads(1, || bits(&fill_hollows(&ground)));
    assert_eq!(whole, on_threads(2, || bits(&fill_hollows(&ground))));
    assert_ne!(whole, bits(&ground));
    for side in [0, 50, 256, 300, 100_000] {
        let kept = Kept::new(*ground.grid());
        fill_hollows_windowed(&ground, &kept, side).unwrap();
        assert_eq!(whole, bits(&kept.raster.into_inner().unwrap()), "tiles of {side}");
    }
}

/// Planchon & Darboux 2002 on ground of several tiles.
#[test]
fn wide_ground_agrees_with_the_slow_method() {
    let ground = wide_ground();
    assert_eq!(bits(&fill_hollows(&ground)), bits(&ground::slow_fill(&ground)));
}

#[test]
fn failures_come_back() {
    let ground = wide_ground();
    let kept = Kept { good_rows: 200, ..Kept::new(*ground.grid()) };
    let error = fill_hollows_windowed(&ground, &kept, 100).unwrap_err();
    assert!(matches!(error, FillError::Write { window, error: "disk full" } if window.row == 200));
    let error = fill_hollows_windowed(&ground::Torn(*ground.grid()), &kept, 100).unwrap_err();
    assert!(matches!(error, FillError::Read { error: "torn", .. }));
}
