//! Places side by side, factor by factor, as the fit of many at once asks for them.

use crate::{DRAINAGE_CLASSES, Factor};

/// Places side by side, factor by factor: at most [`Strip::CELLS`] of them. 41 kB, made once, then
/// cleared and filled again and again.
#[derive(Debug, Clone)]
pub struct Strip {
    /// By numeric factor, in its unit; NaN where not known.
    pub(crate) numeric: Box<[[f64; Strip::CELLS]]>,
    is_filled: [bool; Factor::NUMERIC.len()],
    /// Least and greatest known value of each block, by numeric factor; the other
    /// way round where none is.
    pub(crate) extremes: [[(f32, f32); Strip::BLOCKS]; Factor::NUMERIC.len()],
    /// Whether a value that was filled into a block is not known, by numeric factor.
    has_hole: [[bool; Strip::BLOCKS]; Factor::NUMERIC.len()],
    /// Step of [`DRAINAGE_CLASSES`]; one more where not known.
    pub(crate) drainage: Option<Box<[u8; Strip::CELLS]>>,
    /// Drainage classes of each block since it was cleared: a bit for each.
    pub(crate) classes: [u8; Strip::BLOCKS],
}

impl Strip {
    /// Places in a strip: few enough that all its factors stay in a core's own memory.
    pub const CELLS: usize = 512;
    /// Places in a block: neighbours, which are much alike on real ground.
    pub const BLOCK: usize = 64;
    pub(crate) const BLOCKS: usize = Self::CELLS / Self::BLOCK;
    const NO_EXTREMES: [[(f32, f32); Self::BLOCKS]; Factor::NUMERIC.len()] =
        [[(f32::INFINITY, f32::NEG_INFINITY); Self::BLOCKS]; Factor::NUMERIC.len()];

    /// Nothing is known.
    #[must_use]
    pub fn new() -> Self {
        Self {
            numeric: vec![[f64::NAN; Self::CELLS]; Factor::NUMERIC.len()].into_boxed_slice(),
            is_filled: [false; Factor::NUMERIC.len()],
            extremes: Self::NO_EXTREMES,
            has_hole: Default::default(),
            drainage: None,
            classes: [0; Self::BLOCKS],
        }
    }

    /// Forgets what was filled: nothing is known.
    pub fn clear(&mut self) {
        for (column, is_filled) in self.numeric.iter_mut().zip(&mut self.is_filled) {
            if std::mem::take(is_filled) {
                column.fill(f64::NAN);
            }
        }
        self.extremes = Self::NO_EXTREMES;
        self.has_hole = Default::default();
        if let Some(drainage) = &mut self.drainage {
            drainage.fill(DRAINAGE_CLASSES.len() as u8);
        }
        self.classes = [0; Self::BLOCKS];
    }

    /// Values of a numeric factor from place `from` on, NaN where not known. What reaches beyond the
    /// strip is left out; drainage, which is no number, is left alone.
    pub fn fill(&mut self, factor: Factor, from: usize, values: &[f32]) {
        let Some(column) = self.numeric.get_mut(factor.index()) else { return };
        for (slot, value) in column.iter_mut().skip(from).zip(values) {
            *slot = f64::from(*value);
        }
        self.is_filled[factor.index()] = true;
        let (mut at, mut rest) = (from, values);
        while at < Self::CELLS && !rest.is_empty() {
            let room = Self::BLOCK - at % Self::BLOCK;
            let (head, tail) = rest.split_at(room.min(rest.len()));
            let (least, greatest) = &mut self.extremes[factor.index()][at / Self::BLOCK];
            let (low, high) = extremes(head);
            (*least, *greatest) = (least.min(low), greatest.max(high));
            self.has_hole[factor.index()][at / Self::BLOCK] |= has_hole(head);
            (at, rest) = (at + head.len(), tail);
        }
    }

    /// Drainage classes from place `from` on, as steps of [`DRAINAGE_CLASSES`]; `None` where not known.
    pub fn fill_drainage(&mut self, from: usize, classes: impl Iterator<Item = Option<u8>>) {
        let unknown = DRAINAGE_CLASSES.len() as u8;
        let column = self.drainage.get_or_insert_with(|| Box::new([unknown; Self::CELLS]));
        for ((at, slot), class) in column.iter_mut().enumerate().skip(from).zip(classes) {
            *slot = class.unwrap_or(unknown).min(unknown);
            self.classes[at / Self::BLOCK] |= 1 << *slot;
        }
    }

    /// Sum of the weights of places where a factor is not known; place after place from 0, as many as
    /// were filled.
    #[must_use]
    pub fn weight_not_known(&self, factor: Factor, weights: &[f64]) -> f64 {
        let blocks = weights.chunks(Self::BLOCK).enumerate();
        let open = blocks.filter(|(block, _)| self.may_be_unknown(factor, *block));
        let of_block = |(block, weights): (usize, &[f64])| {
            let places = (block * Self::BLOCK..).zip(weights);
            let open = places.filter(|(at, _)| self.is_unknown(factor, *at));
            open.map(|(_, weight)| weight).sum::<f64>()
        };
        open.map(of_block).sum()
    }

    fn may_be_unknown(&self, factor: Factor, block: usize) -> bool {
        let index = factor.index();
        match self.is_filled.get(index) {
            Some(is_filled) => !is_filled || self.has_hole[index][block],
            None => self.drainage.is_none() || self.classes[block] >> DRAINAGE_CLASSES.len() != 0,
        }
    }

    /// Whether a factor is not known at a place.
    #[must_use]
    pub fn is_unknown(&self, factor: Factor, at: usize) -> bool {
        match self.numeric.get(factor.index()) {
            Some(column) => column[at].is_nan(),
            None => self
                .drainage
                .as_ref()
                .is_none_or(|column| usize::from(column[at]) >= DRAINAGE_CLASSES.len()),
        }
    }
}

impl Default for Strip {
    fn default() -> Self {
        Self::new()
    }
}

/// Whether some number is NaN, looked for without stopping early, several in one step.
fn has_hole(values: &[f32]) -> bool {
    values.iter().fold(false, |found, value| found | value.is_nan())
}

/// Least and greatest of some numbers, NaN left out; the other way round when there are none.
fn extremes(values: &[f32]) -> (f32, f32) {
    const LANES: usize = 8;
    let mut least = [f32::INFINITY; LANES];
    let mut greatest = [f32::NEG_INFINITY; LANES];
    let (whole, rest) = values.as_chunks::<LANES>();
    let mut take = |lane: usize, value: f32| {
        // Comparisons with NaN are false, so it is never taken.
        least[lane] = if value < least[lane] { value } else { least[lane] };
        greatest[lane] = if value > greatest[lane] { value } else { greatest[lane] };
    };
    for chunk in whole {
        for (lane, value) in chunk.iter().enumerate() {
            take(lane, *value);
        }
    }
    for (lane, value) in rest.iter().enumerate() {
        take(lane, *value);
    }
    (
        least.into_iter().fold(f32::INFINITY, f32::min),
        greatest.into_iter().fold(f32::NEG_INFINITY, f32::max),
    )
}
