//! Flow over ground that is in memory as a whole, all cores at once.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicU32, AtomicU64};

use rayon::prelude::*;

use super::accumulate::{Waiting, Water};
use super::ground::{Ground, Rule};
use super::pool::{self, Pool};
use super::{Routing, flats, receivers};
use crate::{Grid, Raster, Tiling, Window};

/// Side of the pieces that a thread works through.
const SIDE: usize = 256;

pub(super) fn flow_area_m2(elevation_filled: &Raster<f32>, routing: Routing) -> Raster<f32> {
    let grid = *elevation_filled.grid();
    let rule = Rule::new(grid.cell_width(), grid.cell_height(), routing);
    let ground = Ground::new(elevation_filled.cells(), grid.cols(), rule);
    let (receivers, ways) = receivers(&ground);
    if routing == Routing::SteepestDescent && grid.len() < 1 << AtomicU32::DONORS {
        return accumulate(grid, &ground, Water { receivers, pools: ways });
    }
    drop(ways);
    let pools = vec![0_u64; grid.len()].into_iter().map(AtomicU64::new).collect();
    accumulate(grid, &ground, Water { receivers, pools })
}

fn accumulate<P: Pool>(grid: Grid, ground: &Ground, mut water: Water<P>) -> Raster<f32> {
    receivers::begin_pools(ground, &water.receivers, &mut water.pools);
    let tiling = Tiling::new(&grid, SIDE);
    (0..tiling.count()).into_par_iter().for_each_init(Waiting::default, |waiting, tile| {
        for cell in cells(tiling.window(tile), ground.cols) {
            if water.is_source(cell) {
                water.follow(ground, cell, waiting);
            }
        }
    });
    let pools = water.pools.into_par_iter().with_min_len(4096);
    let area = pools.map(|pool| (pool::cells::<P>(pool.get()) * grid.cell_area()) as f32);
    Raster::from_cells(grid, area.collect())
}

/// Receivers of every cell, levels drained; and cells' ways across levels, no longer needed.
pub(super) fn receivers(ground: &Ground) -> (Vec<u8>, Vec<AtomicU32>) {
    let (mut receivers, ways) = receivers::downhill(ground);
    settle(&flats::Flats { ground, level: &receivers, ways: &ways });
    let whole = Window { row: 0, col: 0, rows: ground.rows(), cols: ground.cols };
    flats::drain(ground, &ways, &mut receivers, whole);
    (receivers, ways)
}

/// Shortens ways piece by piece until none is left that another's change could shorten.
fn settle(flats: &flats::Flats) {
    let tiling = Tiling::of(flats.ground.rows(), flats.ground.cols, SIDE);
    let first = (0..tiling.count()).into_par_iter();
    let mut shorter: Vec<_> = first.map(|tile| (tile, flats.begin(tiling.window(tile)))).collect();
    while !shorter.is_empty() {
        let touched = shorter.into_iter().flat_map(|(tile, sides)| tiling.beside(tile, sides));
        let touched: BTreeSet<usize> = touched.collect();
        let round = touched.into_par_iter();
        shorter = round.map(|tile| (tile, flats.go_on(tiling.window(tile)))).collect();
    }
}

/// Positions of a window's cells in rows of `cols`.
pub(super) fn cells(window: Window, cols: usize) -> impl Iterator<Item = usize> {
    let rows = window.row..window.row + window.rows;
    rows.flat_map(move |row| row * cols + window.col..row * cols + window.col + window.cols)
}
