//! A tile of ground with a ring of its neighbours' cells, worked on by itself.

use std::sync::atomic::Ordering::Relaxed;
use std::sync::atomic::{AtomicU16, AtomicU32};

use super::accumulate::Water;
use super::borders::{Borders, outermost};
use super::flats::{self, Flats, UNREACHED, is_within};
use super::ground::{Ground, Rule, directions};
use super::in_memory::cells;
use super::{HOLE, Routing, receivers};
use crate::padded::Padded;
use crate::{Grid, Sink, Source, Window};

/// For a cell of the ring: more donors to come than any cell has.
const WAITING: u32 = HOLE / 2;

/// What has run through a cell, told to a tile whose ring it is in.
#[derive(Clone, Copy)]
pub(super) struct Mail {
    /// Row and column in the whole grid.
    pub(super) row: u32,
    pub(super) col: u32,
    /// Where it sent its water.
    pub(super) receivers: u8,
    slot: u32,
    half: u16,
}

impl Mail {
    pub(super) fn is_of_cell(&self, other: &Self) -> bool {
        (self.row, self.col) == (other.row, other.col)
    }
}

/// Cells in rows of two more than the tile has.
pub(super) struct Tile {
    window: Window,
    /// Left out while nothing asks for them.
    levels: Vec<f32>,
    water: Water,
    /// Cells that are not holes and have not been taken.
    untaken: usize,
}

impl Tile {
    /// Bytes in memory for each cell, when a tile has all it may have.
    pub(super) const MOST_BYTES: usize = 12;

    /// Reads a tile and works out its receivers, levels left open.
    pub(super) fn read<S: Source>(
        source: &S,
        window: Window,
        rule: Rule,
    ) -> Result<Self, S::Error> {
        let levels = Padded::of_window(source, window)?.cells;
        let (receivers, ways) = receivers::downhill(&Ground::new(&levels, window.cols + 2, rule));
        let water = Water { receivers, slots: ways, donors: Vec::new(), halves: Vec::new() };
        Ok(Self { window, levels, water, untaken: 0 })
    }

    pub(super) fn bytes(&self) -> usize {
        let Water { receivers, donors, slots, halves } = &self.water;
        4 * self.levels.len() + receivers.len() + donors.len() + 4 * slots.len() + 2 * halves.len()
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
        let Water { receivers: level, slots: ways, .. } = &self.water;
        work(&Flats { ground: &ground, level, ways }, self.inner())
    }

    fn take_ways(&mut self, borders: &Borders) {
        for (cell, place) in borders.ring(self.window) {
            *self.water.slots[cell].get_mut() = place.map_or(UNREACHED, |place| borders.way(place));
        }
    }

    /// The outermost levels, while they are here.
    pub(super) fn border_levels(&self) -> Vec<f32> {
        self.outermost().map(|cell| self.levels[cell]).collect()
    }

    pub(super) fn border_ways(&self) -> Vec<u32> {
        self.outermost().map(|cell| self.water.slots[cell].load(Relaxed)).collect()
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
        let Water { receivers, slots, .. } = &mut self.water;
        flats::drain(&Ground::new(&[], width, rule), slots, receivers, inner);
    }
}

/// Flow.
impl Tile {
    /// Makes ready for flow, now that the receivers all around are known, and takes the tile's
    /// sources and all that they make ready; what has run to the outermost cells.
    pub(super) fn start<S: Source>(
        &mut self,
        source: &S,
        borders: &Borders,
        rule: Rule,
    ) -> Result<Vec<Mail>, S::Error> {
        self.levels = Padded::of_window(source, self.window)?.cells;
        let mut receivers = std::mem::take(&mut self.water.receivers);
        let mut slots = std::mem::take(&mut self.water.slots);
        for (cell, place) in borders.ring(self.window) {
            receivers[cell] = place.map_or(0, |place| borders.receivers(place));
        }
        let ground = Ground::new(&self.levels, self.window.cols + 2, rule);
        let donors = receivers::donors(&ground, &receivers, &mut slots);
        for (cell, _) in borders.ring(self.window) {
            *slots[cell].get_mut() = WAITING;
        }
        self.water = Water::new(rule.routing, receivers, donors, slots);
        let (inner, width) = (self.inner(), self.width());
        let own = || cells(inner, width);
        self.untaken = own().filter(|cell| self.levels[*cell].is_finite()).count();
        let mut flow = Flow::new(self, rule);
        for cell in own().filter(|cell| self.water.is_source(*cell)) {
            flow.follow(cell);
        }
        let (told, taken) = (flow.told, flow.taken);
        self.untaken -= taken;
        if rule.routing == Routing::SteepestDescent {
            self.levels = Vec::new(); // whole numbers need none
        }
        Ok(told)
    }

    /// Takes what has run to the ring, and all cells that this makes ready; what has run to the
    /// outermost cells.
    pub(super) fn deliver(&mut self, mail: &[Mail], rule: Rule) -> Vec<Mail> {
        let mut flow = Flow::new(self, rule);
        for one in mail {
            let down = one.row as usize + 1 - self.window.row;
            let right = one.col as usize + 1 - self.window.col;
            let from = down * self.width() + right;
            self.water.slots[from].store(one.slot, Relaxed);
            if let Some(half) = self.water.halves.get(from) {
                half.store(one.half, Relaxed);
            }
            for direction in directions(self.water.receivers[from]) {
                // Rows and columns of the ring wrap to what is out of the window.
                let (row, col) = (down.wrapping_sub(1), right.wrapping_sub(1));
                let to = flow.ground.beside(from, direction);
                if is_within(row, col, direction, self.window) && self.water.is_last(to) {
                    flow.follow(to);
                }
            }
        }
        let (told, taken) = (flow.told, flow.taken);
        self.untaken -= taken;
        told
    }

    /// Whether every cell has been taken.
    pub(super) fn is_done(&self) -> bool {
        self.untaken == 0
    }

    /// Writes the areas, every cell having been taken.
    pub(super) fn write<K: Sink>(&self, sink: &K, grid: &Grid, rule: Rule) -> Result<(), K::Error> {
        let ground = Ground::new(&self.levels, self.width(), rule);
        let areas = cells(self.inner(), self.width()).map(|cell| {
            let slot = self.water.slots[cell].load(Relaxed);
            (self.water.cells_through(&ground, cell, slot) * grid.cell_area()) as f32
        });
        sink.write(self.window, &areas.collect::<Vec<f32>>())
    }
}

/// Cells of a tile that are being taken.
struct Flow<'a> {
    water: &'a Water,
    ground: Ground<'a>,
    window: Window,
    ready: Vec<usize>,
    told: Vec<Mail>,
    taken: usize,
}

impl<'a> Flow<'a> {
    fn new(tile: &'a Tile, rule: Rule) -> Self {
        let ground = Ground::new(&tile.levels, tile.width(), rule);
        let (ready, told) = (Vec::new(), Vec::new());
        Self { water: &tile.water, ground, window: tile.window, ready, told, taken: 0 }
    }

    fn follow(&mut self, from: usize) {
        let Self { water, ground, window, ready, told, taken } = self;
        let width = ground.cols as u32;
        water.follow(ground, from, ready, |cell| {
            *taken += 1;
            let [row, col] = [cell as u32 / width - 1, cell as u32 % width - 1];
            let edges = [0, window.rows as u32 - 1, window.cols as u32 - 1];
            if row == 0 || col == 0 || row == edges[1] || col == edges[2] {
                let slot = water.slots[cell].load(Relaxed);
                let half = water.halves.get(cell).map_or(0, |half| half.load(Relaxed));
                let (row, col) = (window.row as u32 + row, window.col as u32 + col);
                told.push(Mail { row, col, slot, half, receivers: water.receivers[cell] });
            }
        });
    }
}

/// Putting away.
impl Tile {
    /// All but levels, which can be read again.
    pub(super) fn to_bytes(&self) -> Vec<u8> {
        let Water { receivers, donors, slots, halves } = &self.water;
        let mut bytes = Vec::with_capacity(self.bytes());
        bytes.extend_from_slice(receivers);
        bytes.extend_from_slice(donors);
        bytes.extend(slots.iter().flat_map(|slot| slot.load(Relaxed).to_le_bytes()));
        bytes.extend(halves.iter().flat_map(|half| half.load(Relaxed).to_le_bytes()));
        bytes
    }

    /// What a tile that is put away is remembered by.
    pub(super) fn label(&self) -> Label {
        let Water { donors, halves, .. } = &self.water;
        let [has_levels, has_donors, has_halves] =
            [self.levels.is_empty(), donors.is_empty(), halves.is_empty()].map(|none| !none);
        Label { window: self.window, untaken: self.untaken, has_levels, has_donors, has_halves }
    }

    /// A tile taken back, from as many bytes as its label says.
    pub(super) fn restore<S: Source>(
        label: Label,
        bytes: &[u8],
        source: &S,
    ) -> Result<Self, S::Error> {
        let Label { window, untaken, has_levels, has_donors, has_halves } = label;
        let count = (window.rows + 2) * (window.cols + 2);
        let (receivers, bytes) = bytes.split_at(count);
        let (donors, bytes) = bytes.split_at(if has_donors { count } else { 0 });
        let (slots, bytes) = bytes.split_at(4 * count);
        let slots =
            slots.as_chunks().0.iter().map(|slot| AtomicU32::new(u32::from_le_bytes(*slot)));
        let halves = bytes.split_at(if has_halves { 2 * count } else { 0 }).0.as_chunks().0;
        let halves = halves.iter().map(|half| AtomicU16::new(u16::from_le_bytes(*half)));
        let water = Water {
            receivers: receivers.to_vec(),
            donors: donors.to_vec(),
            slots: slots.collect(),
            halves: halves.collect(),
        };
        let levels = if has_levels { Padded::of_window(source, window)?.cells } else { Vec::new() };
        Ok(Self { window, levels, water, untaken })
    }
}

/// What is remembered of a tile that is put away.
#[derive(Clone, Copy)]
pub(super) struct Label {
    window: Window,
    untaken: usize,
    has_levels: bool,
    has_donors: bool,
    has_halves: bool,
}

impl Label {
    /// Number of bytes that are put away.
    pub(super) fn bytes(&self) -> usize {
        let each = 5 + usize::from(self.has_donors) + 2 * usize::from(self.has_halves);
        (self.window.rows + 2) * (self.window.cols + 2) * each
    }
}
