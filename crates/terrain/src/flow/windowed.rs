//! Flow over ground that need not be in memory as a whole.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use thiserror::Error;

use super::Routing;
use super::borders::{Border, Borders};
use super::ground::Rule;
use super::store::{Failed, Store};
use super::tile::{Parcel, Tile};
use crate::{Scratch, Sink, Source, Tiling};

/// How much of the ground is in memory at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// Side of the square pieces that are worked on, in cells; 0 counts as 1.
    pub tile_side: usize,
    /// Bytes that pieces in memory may take together; at least one is always kept.
    pub memory_bytes: usize,
}

impl Default for Budget {
    /// Pieces of 512 × 512 cells, 2 GiB.
    fn default() -> Self {
        Self { tile_side: 512, memory_bytes: 2 << 30 }
    }
}

/// Why flow could not be worked out window by window.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum FlowError<R, W, P> {
    /// Elevations could not be read.
    #[error("elevations cannot be read")]
    Read(#[source] R),
    /// Areas could not be written.
    #[error("flow areas cannot be written")]
    Write(#[source] W),
    /// A piece could not be put away or taken back.
    #[error("what was worked out cannot be put away and taken back")]
    PutAway(#[source] P),
    /// What was taken back is not what was put away.
    #[error("piece {tile} was taken back with {found} bytes: expected {expected}")]
    Scratch {
        /// Key of the piece.
        tile: usize,
        /// Bytes taken back.
        found: usize,
        /// Bytes put away.
        expected: usize,
    },
}

/// [`flow_area_m2`] of ground that is read, and areas that are written, a window at a time: the
/// same bytes, within a budget of memory.
///
/// The ground is cut into square pieces. What runs out of a piece is told to the piece that it runs
/// to, until nothing is left to tell; pieces in memory that were told something come
/// first, then those told most. Pieces that the budget has no room for are put away in `scratch`,
/// the longest unused first. Each window is written once; windows are read several times.
///
/// # Units
/// As [`flow_area_m2`].
///
/// # Errors
/// Those of reading, writing and putting away, as they came.
///
/// # Cost
/// Memory: the budget, and some 12 bytes for each cell at the outside of a piece, with what is told
/// from piece to piece. In a piece a cell takes 13 bytes at most, put away 9. All cores.
///
/// # References
/// Barnes 2017, Parallel non-divergent flow accumulation for trillion cell digital elevation
/// models on desktops or clusters. Here flow may diverge too, so pieces are gone on with rather
/// than joined by their outlines.
///
/// [`flow_area_m2`]: crate::flow_area_m2
pub fn flow_area_windowed<S: Source, K: Sink, P: Scratch>(
    elevation_filled: &S,
    area: &K,
    scratch: &P,
    routing: Routing,
    budget: Budget,
) -> Result<(), Failed<S, K::Error, P>> {
    let grid = elevation_filled.grid();
    let tiling = Tiling::new(grid, budget.tile_side);
    let side = tiling.window(0);
    let most_bytes = (side.rows + 2) * (side.cols + 2) * Tile::MOST_BYTES;
    let at_once =
        (budget.memory_bytes / 2 / most_bytes).clamp(1, 16 * rayon::current_num_threads());
    let store = Store::new(elevation_filled, scratch, tiling.count(), budget.memory_bytes);
    let rule = Rule::new(grid.cell_width(), grid.cell_height(), routing);
    let borders = Borders::new(grid, tiling);
    let told = (0..tiling.count()).map(|_| Vec::new()).collect();
    let source = elevation_filled;
    let mut run =
        Run { source, sink: area, store, tiling, rule, borders, told, at_once, most_bytes };
    run.read()?;
    run.settle()?;
    run.drain_and_start()?;
    run.deliver()
}

struct Run<'a, S, K, P> {
    source: &'a S,
    sink: &'a K,
    store: Store<'a, S, P>,
    tiling: Tiling,
    rule: Rule,
    borders: Borders,
    /// What was told to each tile and not delivered yet.
    told: Vec<Vec<Parcel>>,
    /// Tiles that are worked on at once.
    at_once: usize,
    most_bytes: usize,
}

impl<S: Source, K: Sink, P: Scratch> Run<'_, S, K, P> {
    /// Reads every tile, with ways across levels as far as tiles before it tell.
    fn read(&mut self) -> Result<(), Failed<S, K::Error, P>> {
        let (source, tiling, rule) = (self.source, self.tiling, self.rule);
        let tiles: Vec<usize> = (0..tiling.count()).collect();
        for batch in tiles.chunks(self.at_once) {
            let borders = &self.borders;
            let found = self.store.work(batch, self.most_bytes, |tile, _| {
                let read = Tile::read(source, tiling.window(tile), rule);
                let mut read = read.map_err(FlowError::Read)?;
                let levels = read.border_levels();
                read.begin(borders, rule);
                let ways = read.border_ways();
                Ok((Some(read), Border { levels, ways, receivers: Vec::new() }))
            })?;
            for (&tile, border) in batch.iter().zip(found) {
                *self.borders.of_mut(tile) = border;
            }
        }
        Ok(())
    }

    /// Shortens ways across levels until none is left that a tile beside could shorten.
    fn settle(&mut self) -> Result<(), Failed<S, K::Error, P>> {
        let rule = self.rule;
        let mut maybe: BTreeSet<usize> = (0..self.tiling.count()).collect();
        loop {
            maybe.retain(|tile| self.borders.can_shorten(*tile));
            let batch = self.first(maybe.iter().map(|tile| (*tile, 0)));
            if batch.is_empty() {
                return Ok(());
            }
            let borders = &self.borders;
            let found = self.store.work(&batch, self.most_bytes, |_, kept| {
                let Some(mut kept) = kept else { return Ok((None, (0, Vec::new()))) };
                let sides = kept.go_on(borders, rule);
                let ways = kept.border_ways();
                Ok((Some(kept), (sides, ways)))
            })?;
            for (tile, (sides, ways)) in batch.into_iter().zip(found) {
                self.borders.of_mut(tile).ways = ways;
                maybe.extend(self.tiling.beside(tile, sides));
            }
        }
    }

    /// Gives level cells their receivers, a row of tiles at a time, and starts flow in the row
    /// before, all around which receivers are known then.
    fn drain_and_start(&mut self) -> Result<(), Failed<S, K::Error, P>> {
        let across = self.tiling.across();
        for row in 0..=self.tiling.down() {
            let tiles: Vec<usize> = (row * across..(row + 1) * across).collect();
            let last = if row < self.tiling.down() { tiles.len() } else { 0 };
            for batch in tiles[..last].chunks(self.at_once) {
                self.drain(batch)?;
            }
            let before: Vec<usize> =
                tiles.iter().filter_map(|tile| tile.checked_sub(across)).collect();
            for batch in before.chunks(self.at_once) {
                self.start(batch)?;
            }
        }
        Ok(())
    }

    fn drain(&mut self, batch: &[usize]) -> Result<(), Failed<S, K::Error, P>> {
        let (borders, rule) = (&self.borders, self.rule);
        let found = self.store.work(batch, self.most_bytes, |_, kept| {
            let Some(mut kept) = kept else { return Ok((None, Vec::new())) };
            kept.drain(borders, rule);
            let receivers = kept.border_receivers();
            Ok((Some(kept), receivers))
        })?;
        for (&tile, receivers) in batch.iter().zip(found) {
            self.borders.of_mut(tile).receivers = receivers;
        }
        Ok(())
    }

    fn start(&mut self, batch: &[usize]) -> Result<(), Failed<S, K::Error, P>> {
        let (source, rule) = (self.source, self.rule);
        self.flow(batch, |kept, borders, told| {
            let started = kept.start(source, borders, rule);
            let mut tells = started.map_err(FlowError::Read)?;
            tells.extend(kept.deliver(told, rule));
            Ok(tells)
        })
    }

    /// Tells tiles what runs to them, until nothing is left to tell.
    fn deliver(&mut self) -> Result<(), Failed<S, K::Error, P>> {
        let rule = self.rule;
        loop {
            let told = self.told.iter().enumerate().filter(|(_, told)| !told.is_empty());
            let batch = self.first(told.map(|(tile, told)| (tile, told.len())));
            if batch.is_empty() {
                return Ok(());
            }
            self.flow(&batch, |kept, _, told| Ok(kept.deliver(told, rule)))?;
        }
    }

    /// Goes on with flow in some tiles, writes those that are done and passes on what they tell.
    fn flow(
        &mut self,
        batch: &[usize],
        job: impl Fn(&mut Tile, &Borders, &[Parcel]) -> Result<Vec<Parcel>, Failed<S, K::Error, P>>
        + Sync,
    ) -> Result<(), Failed<S, K::Error, P>> {
        let (source, sink) = (self.source, self.sink);
        let (borders, told) = (&self.borders, &self.told);
        let found = self.store.work(batch, self.most_bytes, |tile, kept| {
            let Some(mut kept) = kept else { return Ok((None, Vec::new())) };
            let tells = job(&mut kept, borders, &told[tile])?;
            if kept.is_done() {
                kept.write(sink, source.grid()).map_err(FlowError::Write)?;
                return Ok((None, tells));
            }
            Ok((Some(kept), tells))
        })?;
        for tile in batch {
            self.told[*tile] = Vec::new();
        }
        for parcel in found.into_iter().flatten() {
            let to = self.tiling.tile_of(parcel.row as usize, parcel.col as usize);
            self.told[to].push(parcel);
        }
        Ok(())
    }

    /// The tiles to work on next: of those in memory, or else of all, the ones with most.
    fn first(&self, tiles: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
        let mut tiles: Vec<(bool, usize, usize)> =
            tiles.map(|(tile, most)| (self.store.is_in_memory(tile), most, tile)).collect();
        tiles.sort_unstable_by_key(|(in_memory, most, tile)| (!in_memory, Reverse(*most), *tile));
        let in_memory = tiles.first().is_some_and(|first| first.0);
        let first = tiles.into_iter().take_while(|tile| tile.0 == in_memory);
        first.map(|(_, _, tile)| tile).take(self.at_once).collect()
    }
}
