//! A tile of ground with a ring of its neighbours' cells, worked on by itself.

use std::sync::atomic::Ordering::Relaxed;
use std::sync::atomic::{AtomicU32, AtomicU64};

use super::accumulate::{Waiting, Water};
use super::borders::{Borders, outermost};
use super::flats::{self, Flats, UNREACHED};
use super::ground::{Ground, Rule};
use super::in_memory::cells;
use super::pool::{self, Given, Pool};
use super::{Routing, receivers};
use crate::padded::Padded;
use crate::{Grid, Sink, Source, Window};

/// What runs from one tile to a cell of another.
#[derive(Clone, Copy)]
pub(super) struct Parcel {
    /// Row and column in the whole grid.
    pub(super) row: u32,
    pub(super) col: u32,
    given: u64,
}

/// Cells in rows of two more than the tile has.
pub(super) struct Tile {
    window: Window,
    /// Left out while nothing asks for them.
    levels: Vec<f32>,
    /// Across levels, until flow starts.
    ways: Vec<AtomicU32>,
    /// Pools from then on; those of the ring hold what runs to the tiles beside.
    water: Water<AtomicU64>,
    /// Cells that are not holes and have not been taken.
    untaken: usize,
}

impl Tile {
    /// Bytes in memory for each cell, when a tile has all it may have.
    pub(super) const MOST_BYTES: usize = 13;

    /// Reads a tile and works out its receivers, levels left open.
    pub(super) fn read<S: Source>(
        source: &S,
        window: Window,
        rule: Rule,
    ) -> Result<Self, S::Error> {
        let levels = Padded::of_window(source, window)?.cells;
        let (receivers, ways) = receivers::downhill(&Ground::new(&levels, window.cols + 2, rule));
        let water = Water { receivers, pools: Vec::new() };
        Ok(Self { window, levels, ways, water, untaken: 0 })
    }

    pub(super) fn bytes(&self) -> usize {
        let Water { receivers, pools } = &self.water;
        4 * (self.levels.len() + self.ways.len()) + receivers.len() + 8 * pools.len()
    }

    /// The tile's own cells among all that it has.
    fn inner(&self) -> Window {
        Window { row: 1, col: 1, ..self.window }
    }

    fn width(&self) -> usize {
        self.window.cols + 2
    }

    /// Works out ways across levels from the tile's own cells and those around it.
    pub(super) fn begin(&mut self, borders: &Borders, rule: Rule) {
        self.settle(borders, rule, |flats, inner| flats.begin(inner) | flats.go_on(inner));
    }

    /// Shortens ways by those of the cells around; the sides at which any became shorter.
    #[expect(clippy::redundant_closure_for_method_calls, reason = "the method fits one lifetime")]
    pub(super) fn go_on(&mut self, borders: &Borders, rule: Rule) -> u8 {
        self.settle(borders, rule, |flats, inner| flats.go_on(inner))
    }

    fn settle(&mut self, borders: &Borders, rule: Rule, work: impl Fn(&Flats, Window) -> u8) -> u8 {
        self.levels = Vec::new();
        self.take_ways(borders);
        let ground = Ground::new(&self.levels, self.width(), rule);
        let (level, ways) = (&self.water.receivers, &self.ways);
        work(&Flats { ground: &ground, level, ways }, self.inner())
    }

    fn take_ways(&mut self, borders: &Borders) {
        for (cell, place) in borders.ring(self.window) {
            *self.ways[cell].get_mut() = place.map_or(UNREACHED, |place| borders.way(place));
        }
    }

    /// The outermost levels, while they are here.
    pub(super) fn border_levels(&self) -> Vec<f32> {
        self.outermost().map(|cell| self.levels[cell]).collect()
    }

    pub(super) fn border_ways(&self) -> Vec<u32> {
        self.outermost().map(|cell| self.ways[cell].load(Relaxed)).collect()
    }

    pub(super) fn border_receivers(&self) -> Vec<u8> {
        self.outermost().map(|cell| self.water.receivers[cell]).collect()
    }

    fn outermost(&self) -> impl Iterator<Item = usize> {
        let width = self.width();
        outermost(self.window).map(move |(row, col)| (row + 1) * width + col + 1)
    }

    /// Gives level cells their receivers, now that all ways are known.
    pub(super) fn drain(&mut self, borders: &Borders, rule: Rule) {
        self.take_ways(borders);
        let (width, inner) = (self.width(), self.inner());
        let receivers = &mut self.water.receivers;
        flats::drain(&Ground::new(&[], width, rule), &self.ways, receivers, inner);
    }
}

/// Flow.
impl Tile {
    /// Makes ready for flow, now that the receivers all around are known, and takes on the tile's
    /// sources and all that they fill; what runs out of the tile.
    pub(super) fn start<S: Source>(
        &mut self,
        source: &S,
        borders: &Borders,
        rule: Rule,
    ) -> Result<Vec<Parcel>, S::Error> {
        self.ways = Vec::new();
        self.levels = Padded::of_window(source, self.window)?.cells;
        for (cell, place) in borders.ring(self.window) {
            self.water.receivers[cell] = place.map_or(0, |place| borders.receivers(place));
        }
        let ground = Ground::new(&self.levels, self.width(), rule);
        self.water.pools.resize_with(self.levels.len(), AtomicU64::default);
        receivers::begin_pools(&ground, &self.water.receivers, &mut self.water.pools);
        for (cell, _) in borders.ring(self.window) {
            self.water.pools[cell].set(0);
        }
        let own = cells(self.inner(), self.width());
        self.untaken = own.filter(|cell| self.levels[*cell].is_finite()).count();
        let (water, mut waiting) = (&self.water, Waiting::default());
        let sources = cells(self.inner(), self.width()).filter(|cell| water.is_source(*cell));
        let taken: usize = sources.map(|cell| water.follow(&ground, cell, &mut waiting)).sum();
        self.untaken -= taken;
        let out = self.run_out(waiting);
        if rule.routing == Routing::SteepestDescent {
            self.levels = Vec::new(); // all goes to one receiver, whatever the drop
        }
        Ok(out)
    }

    /// Adds what runs into the tile, and takes on all cells that this fills; what runs out of it.
    pub(super) fn deliver(&mut self, parcels: &[Parcel], rule: Rule) -> Vec<Parcel> {
        let ground = Ground::new(&self.levels, self.width(), rule);
        let (water, mut waiting, mut taken) = (&self.water, Waiting::default(), 0);
        for Parcel { row, col, given } in parcels {
            let down = *row as usize + 1 - self.window.row;
            let right = *col as usize + 1 - self.window.col;
            let to = down * ground.cols + right;
            if pool::give(&water.pools[to], *given) == Given::All {
                taken += water.follow(&ground, to, &mut waiting);
            }
        }
        self.untaken -= taken;
        self.run_out(waiting)
    }

    /// Empties what is held for cells of the ring into parcels.
    fn run_out(&mut self, Waiting { beyond, .. }: Waiting) -> Vec<Parcel> {
        let (first, width) = ([self.window.row, self.window.col], self.width());
        let pools = &mut self.water.pools;
        let parcels = beyond.into_iter().filter_map(|cell| {
            let given = std::mem::take(pools[cell].get_mut());
            // Of a ring cell inside the grid, so not the one before the first row or column.
            let [row, col] = [first[0] + cell / width - 1, first[1] + cell % width - 1];
            (given != 0).then_some(Parcel { row: row as u32, col: col as u32, given })
        });
        parcels.collect()
    }

    /// Whether every cell has been taken.
    pub(super) fn is_done(&self) -> bool {
        self.untaken == 0
    }

    /// Writes the areas, every cell having been taken.
    pub(super) fn write<K: Sink>(&self, sink: &K, grid: &Grid) -> Result<(), K::Error> {
        let areas = cells(self.inner(), self.width()).map(|cell| {
            let held = self.water.pools[cell].get();
            (pool::cells::<AtomicU64>(held) * grid.cell_area()) as f32
        });
        sink.write(self.window, &areas.collect::<Vec<f32>>())
    }
}

/// Putting away.
impl Tile {
    /// All but levels, which can be read again.
    pub(super) fn to_bytes(&self) -> Vec<u8> {
        let Water { receivers, pools } = &self.water;
        let mut bytes = Vec::with_capacity(self.bytes());
        bytes.extend_from_slice(receivers);
        bytes.extend(self.ways.iter().flat_map(|way| way.load(Relaxed).to_le_bytes()));
        bytes.extend(pools.iter().flat_map(|pool| pool.get().to_le_bytes()));
        bytes
    }

    /// What a tile that is put away is remembered by.
    pub(super) fn label(&self) -> Label {
        let [has_levels, has_pools] =
            [self.levels.is_empty(), self.water.pools.is_empty()].map(|none| !none);
        Label { window: self.window, untaken: self.untaken, has_levels, has_pools }
    }

    /// A tile taken back, from as many bytes as its label says.
    pub(super) fn restore<S: Source>(
        label: Label,
        bytes: &[u8],
        source: &S,
    ) -> Result<Self, S::Error> {
        let Label { window, untaken, has_levels, has_pools } = label;
        let (receivers, numbers) = bytes.split_at(label.cells());
        let receivers = receivers.to_vec();
        let (mut ways, mut pools) = (Vec::new(), Vec::new());
        if has_pools {
            let numbers = numbers.as_chunks().0.iter();
            pools.extend(numbers.map(|pool| AtomicU64::new(u64::from_le_bytes(*pool))));
        } else {
            let numbers = numbers.as_chunks().0.iter();
            ways.extend(numbers.map(|way| AtomicU32::new(u32::from_le_bytes(*way))));
        }
        let levels = if has_levels { Padded::of_window(source, window)?.cells } else { Vec::new() };
        Ok(Self { window, levels, ways, water: Water { receivers, pools }, untaken })
    }
}

/// What is remembered of a tile that is put away.
#[derive(Clone, Copy)]
pub(super) struct Label {
    window: Window,
    untaken: usize,
    has_levels: bool,
    has_pools: bool,
}

impl Label {
    /// Number of bytes that are put away.
    pub(super) fn bytes(&self) -> usize {
        self.cells() * if self.has_pools { 9 } else { 5 }
    }

    /// Cells with the ring.
    fn cells(&self) -> usize {
        (self.window.rows + 2) * (self.window.cols + 2)
    }
}
