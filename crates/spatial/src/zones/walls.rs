//! Hard breaks that run between cells.

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
