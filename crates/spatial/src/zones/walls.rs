//! Hard breaks that run between cells.

use rayon::prelude::*;

/// For each cell, whether a break parts it from the cell west of it and from the one north of it.
#[derive(Debug, Clone, Default)]
pub(super) struct Walls {
    /// A bit a cell; both empty where there is no break at all.
    west: Vec<u64>,
    north: Vec<u64>,
}

impl Walls {
    /// No break anywhere.
    pub(super) fn none() -> Self {
        Self::default()
    }

    /// Whether there is no break anywhere.
    pub(super) fn are_none(&self) -> bool {
        self.west.is_empty()
    }

    /// Breaks between cells of unlike units, `cols` in a row.
    pub(super) fn between(units: &[u32], cols: usize) -> Self {
        let word = |word: usize, is_wall: &dyn Fn(usize) -> bool| {
            let cells = word * 64..units.len().min(word * 64 + 64);
            cells.filter(|at| is_wall(*at)).fold(0, |bits, at| bits | 1 << (at % 64))
        };
        let words = 0..units.len().div_ceil(64);
        let west = |at: usize| !at.is_multiple_of(cols) && units[at] != units[at - 1];
        let north = |at: usize| at >= cols && units[at] != units[at - cols];
        Self {
            west: words.clone().into_par_iter().map(|number| word(number, &west)).collect(),
            north: words.into_par_iter().map(|number| word(number, &north)).collect(),
        }
    }

    /// Whether a break parts a cell from its western neighbour.
    #[inline]
    pub(super) fn is_west(&self, at: usize) -> bool {
        self.west.get(at / 64).is_some_and(|bits| bits >> (at % 64) & 1 == 1)
    }

    /// Whether a break parts a cell from its northern neighbour.
    #[inline]
    pub(super) fn is_north(&self, at: usize) -> bool {
        self.north.get(at / 64).is_some_and(|bits| bits >> (at % 64) & 1 == 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wall_stands_between_unlike_units_and_nowhere_else() {
        //  1 1 2
        //  1 2 2
        let walls = Walls::between(&[1, 1, 2, 1, 2, 2], 3);
        let west: Vec<bool> = (0..6).map(|at| walls.is_west(at)).collect();
        let north: Vec<bool> = (0..6).map(|at| walls.is_north(at)).collect();
        assert_eq!(west, [false, false, true, false, true, false]);
        assert_eq!(north, [false, false, false, false, true, false]);
        assert!(!Walls::none().is_west(5));
    }
}
