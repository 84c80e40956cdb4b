//! Rims in order of height, for water that only ever rises.

/// A queue of cells by level from which nothing lower than the last one taken is ever asked: a
/// radix heap, which moves entries in runs where a binary heap would jump about.
///
/// Source: Ahuja, Mehlhorn, Orlin & Tarjan 1990, Faster algorithms for the shortest path problem.
pub(super) struct Rims {
    /// Bucket `b` holds the entries whose highest bit that differs from `last` is bit `b − 1`.
    buckets: [Vec<(u32, usize)>; 33],
    last: u32,
}

impl Default for Rims {
    fn default() -> Self {
        Self { buckets: std::array::from_fn(|_| Vec::new()), last: 0 }
    }
}

impl Rims {
    /// Adds a cell whose level is at least that of the last one taken.
    pub(super) fn push(&mut self, level: f32, cell: usize) {
        let order = order(level);
        debug_assert!(order >= self.last, "water never falls");
        self.buckets[self.bucket(order)].push((order, cell));
    }

    /// Takes a cell of the lowest level.
    pub(super) fn pop_lowest(&mut self) -> Option<usize> {
        if self.buckets[0].is_empty() {
            let nearest = self.buckets.iter().position(|bucket| !bucket.is_empty())?;
            let moving = std::mem::take(&mut self.buckets[nearest]);
            self.last = moving.iter().map(|(order, _)| *order).min()?;
            for &(order, cell) in &moving {
                self.buckets[self.bucket(order)].push((order, cell));
            }
        }
        self.buckets[0].pop().map(|(_, cell)| cell)
    }

    fn bucket(&self, order: u32) -> usize {
        (u32::BITS - (order ^ self.last).leading_zeros()) as usize
    }
}

/// An integer that sorts as the number does (the two zeros alike).
fn order(level: f32) -> u32 {
    let bits = (level + 0.0).to_bits();
    if bits >> 31 == 1 { !bits } else { bits | 1 << 31 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn cells_come_out_lowest_first(levels in proptest::collection::vec(-50.0..50.0_f32, 0..60)) {
            let mut rims = Rims::default();
            let (early, late) = levels.split_at(levels.len() / 2);
            for (cell, level) in early.iter().enumerate() {
                rims.push(*level, cell);
            }
            let mut taken = Vec::new();
            let mut late = (early.len()..).zip(late);
            while let Some(cell) = rims.pop_lowest() {
                taken.push(levels[cell]);
                if let Some((cell, level)) = late.find(|(_, level)| **level >= levels[cell]) {
                    rims.push(*level, cell);
                }
            }
            prop_assert!(taken.len() >= early.len());
            prop_assert!(taken.is_sorted());
        }
    }
}
