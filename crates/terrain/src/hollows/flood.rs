//! Filling the hollows of one tile, and telling through which border cell each cell drains.

use super::rims::Rims;
use super::spills::OUTSIDE;

/// Neighbours in the order of the bits of a mask: the row to the north from the west, west and
/// east, the row to the south from the west.
const SIDES: usize = 8;

/// A tile being filled as if its border drained; its room serves one tile after another.
///
/// Every border cell drains somewhere, if only out of the tile there. A cell's label says by which
/// border cell ([`OUTSIDE`]: by which hole within the tile) it drains at the level it is filled
/// to; cells of one label will share one further rise, once it is known how high the water stands
/// at that border cell.
#[derive(Default)]
pub(super) struct Flood {
    /// Cells in a row, with one more at either end.
    width: usize,
    rows: usize,
    /// Filled where settled, else the ground as it was; NaN in the ring around the tile.
    levels: Vec<f32>,
    /// 1 where it is not yet known how the cell drains, else 0; three more at the end.
    unsettled: Vec<u8>,
    /// For each cell a bit for every neighbour that is not lower.
    not_lower: Vec<u8>,
    labels: Vec<u16>,
    offsets: [usize; SIDES],
    /// The last label given.
    label: u16,
    /// Settled cells whose neighbours are to be looked at.
    rising: Vec<u32>,
    /// Settled cells that had lower ground behind them when they were looked at.
    maybe_rims: Vec<u32>,
    /// Settled cells with lower ground behind them, lowest first.
    rims: Rims,
}

impl Flood {
    /// Fills a tile given row by row, at least one row of at least one cell.
    pub(super) fn fill<'a>(&mut self, lines: impl ExactSizeIterator<Item = &'a [f32]>) {
        self.take(lines);
        self.compare();
        self.drain_into_holes();
        self.drain_over_border();
        while let Some((level, rim)) = self.rims.pop_lowest() {
            self.rising.push(rim);
            self.rise(level);
        }
        self.rims.restart();
    }

    /// The number of labels, [`OUTSIDE`] included.
    pub(super) fn labels_given(&self) -> u32 {
        u32::from(self.label) + 1
    }

    /// A row of filled levels and one of labels. A hole is NaN and has the label [`OUTSIDE`].
    pub(super) fn row(&self, row: usize) -> (&[f32], &[u16]) {
        let from = (row + 1) * self.width + 1;
        let cells = from..from + self.width - 2;
        (&self.levels[cells.clone()], &self.labels[cells])
    }

    fn take<'a>(&mut self, lines: impl ExactSizeIterator<Item = &'a [f32]>) {
        let mut lines = lines.peekable();
        self.rows = lines.len();
        self.width = lines.peek().map_or(0, |line| line.len()) + 2;
        let (width, cells) = (self.width, self.width * (self.rows + 2));
        let (back, diagonal, other) = (usize::wrapping_neg, width + 1, width - 1);
        self.offsets =
            [back(diagonal), back(width), back(other), back(1), 1, other, width, diagonal];
        self.levels.clear();
        self.levels.resize(width, f32::NAN);
        for line in lines {
            self.levels.push(f32::NAN);
            let known = |level: &f32| if level.is_finite() { *level } else { f32::NAN };
            self.levels.extend(line.iter().map(known));
            self.levels.push(f32::NAN);
        }
        self.levels.resize(cells, f32::NAN);
        self.unsettled.clear();
        self.unsettled.extend(self.levels.iter().map(|level| u8::from(!level.is_nan())));
        self.unsettled.resize(cells + 3, 0);
        self.labels.clear();
        self.labels.resize(cells, OUTSIDE as u16);
        self.label = OUTSIDE as u16;
    }

    fn compare(&mut self) {
        let (width, inner) = (self.width, self.width - 2);
        self.not_lower.clear();
        self.not_lower.resize(self.levels.len(), 0);
        for row in 1..=self.rows {
            let from = row * width + 1;
            let here = &self.levels[from..from + inner];
            let masks = &mut self.not_lower[from..from + inner];
            let beside = self.offsets.map(|offset| {
                let from = from.wrapping_add(offset);
                &self.levels[from..from + inner]
            });
            for (bit, beside) in beside.into_iter().enumerate() {
                for ((mask, here), beside) in masks.iter_mut().zip(here).zip(beside) {
                    *mask |= u8::from(beside >= here) << bit;
                }
            }
        }
    }

    /// Settles what drains into holes of the tile, the ring apart.
    fn drain_into_holes(&mut self) {
        for row in 1..=self.rows {
            for hole in row * self.width + 1..(row + 1) * self.width - 1 {
                if self.levels[hole].is_nan() {
                    let around = self.unsettled_around(hole as u32);
                    self.settle(hole as u32, around, OUTSIDE as u16);
                }
            }
        }
        self.rise(f32::NEG_INFINITY);
    }

    /// Settles every border cell, and what lies uphill of it.
    fn drain_over_border(&mut self) {
        let border = self.border();
        let level = |at: usize| self.levels[border[at % border.len()] as usize];
        // One of each run of lowest cells along the border; the others lie uphill of it.
        let is_low = |at: &usize| {
            let (before, here, after) = (level(at + border.len() - 1), level(*at), level(at + 1));
            here < before && here <= after
        };
        let low: Vec<u32> = (0..border.len()).filter(is_low).map(|at| border[at]).collect();
        for cell in low {
            self.start_label(cell);
        }
        self.rise(f32::NEG_INFINITY);
        for cell in border {
            self.start_label(cell);
            self.rise(f32::NEG_INFINITY);
        }
    }

    fn start_label(&mut self, cell: u32) {
        if self.unsettled[cell as usize] == 1 {
            self.label += 1;
            self.unsettled[cell as usize] = 0;
            self.labels[cell as usize] = self.label;
            self.rising.push(cell);
        }
    }

    /// Positions of the border cells, clockwise from the north-west; those of a single row or
    /// column come twice.
    fn border(&self) -> Vec<u32> {
        let (width, rows, cols) = (self.width, self.rows, self.width - 2);
        let north = (1..=cols).map(|col| width + col);
        let east = (1..=rows).map(|row| row * width + cols);
        let south = (1..=cols).rev().map(|col| rows * width + col);
        let west = (1..=rows).rev().map(|row| row * width + 1);
        north.chain(east).chain(south).chain(west).map(|cell| cell as u32).collect()
    }

    /// Settles all that is reached from `rising` without going down, and floods what lies under
    /// `water`, the lowest level at which anything unseen can drain.
    fn rise(&mut self, water: f32) {
        while let Some(cell) = self.rising.pop() {
            let around = self.unsettled_around(cell);
            if around == 0 {
                continue;
            }
            let level = self.levels[cell as usize];
            let label = self.labels[cell as usize];
            if level <= water {
                self.flood(cell, around, level);
                self.settle(cell, around, label);
            } else {
                let uphill = around & u32::from(self.not_lower[cell as usize]);
                self.settle(cell, uphill, label);
                if uphill != around {
                    self.maybe_rims.push(cell);
                }
            }
        }
        self.keep_rims();
    }

    fn settle(&mut self, cell: u32, around: u32, label: u16) {
        let mut left = around;
        while left != 0 {
            let beside = self.beside(cell, left.trailing_zeros());
            self.unsettled[beside] = 0;
            self.labels[beside] = label;
            self.rising.push(beside as u32);
            left &= left - 1;
        }
    }

    /// Raises neighbours to a level. The level of a lake at zero is never the negative zero.
    fn flood(&mut self, cell: u32, around: u32, level: f32) {
        let mut left = around;
        while left != 0 {
            let beside = self.beside(cell, left.trailing_zeros());
            if self.levels[beside] < level {
                self.levels[beside] = level + 0.0;
            }
            left &= left - 1;
        }
    }

    /// Queues the cells that still have unseen ground below them, now that all above is settled.
    fn keep_rims(&mut self) {
        while let Some(cell) = self.maybe_rims.pop() {
            if self.unsettled_around(cell) != 0 {
                self.rims.push(self.levels[cell as usize], cell);
            }
        }
    }

    fn beside(&self, cell: u32, bit: u32) -> usize {
        (cell as usize).wrapping_add(self.offsets[(bit & 7) as usize])
    }

    /// A bit for each neighbour that is not settled.
    #[inline]
    fn unsettled_around(&self, cell: u32) -> u32 {
        let west = (cell as usize).wrapping_sub(1);
        let three = |from: usize| match self.unsettled.get(from..).and_then(<[u8]>::first_chunk) {
            Some(bytes) => {
                let bytes = u32::from_le_bytes(*bytes);
                (bytes | bytes >> 7 | bytes >> 14) & 0b111
            }
            None => 0,
        };
        let north = three(west.wrapping_sub(self.width));
        let (here, south) = (three(west), three(west.wrapping_add(self.width)));
        north | (here & 1) << 3 | (here & 4) << 2 | south << 5
    }
}
