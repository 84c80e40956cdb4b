//! Rims in order of height, for water that only ever rises.

/// A queue of cells by level from which nothing lower than the last one taken is ever asked: a
/// radix heap, which moves entries in runs where a binary heap would jump about.
///
/// Source: Ahuja, Mehlhorn, Orlin & Tarjan 1990, Faster algorithms for the shortest path problem.
pub(super) struct Rims {
    /// Bucket `b` holds the entries whose highest bit that differs from `last` is bit `b − 1`.
    buckets: [Vec<(u32, u32)>; 33],
    last: u32,
}

impl Default for Rims {
    fn default() -> Self {
        Self { buckets: std::array::from_fn(|_| Vec::new()), last: 0 }
    }
}

impl Rims {
    /// Adds a cell whose level is at least that of the last one taken.
    pub(super) fn push(&mut self, level: f32, cell: u32) {
        let order = order(level);
        debug_assert!(order >= self.last, "water never falls");
        self.buckets[self.bucket(order)].push((order, cell));
    }

    /// Takes a cell of the lowest level, and that level.
    pub(super) fn pop_lowest(&mut self) -> Option<(f32, u32)> {
        if self.buckets[0].is_empty() {
            let nearest = self.buckets.iter().position(|bucket| !bucket.is_empty())?;
            let mut moving = std::mem::take(&mut self.buckets[nearest]);
            self.last = moving.iter().map(|(order, _)| *order).min()?;
            for (order, cell) in moving.drain(..) {
                self.buckets[self.bucket(order)].push((order, cell));
            }
            self.buckets[nearest] = moving; // empty, its room kept
        }
        self.buckets[0].pop().map(|(order, cell)| (level(order), cell))
    }

    /// Forgets the last level taken; only an empty queue may start again.
    pub(super) fn restart(&mut self) {
        debug_assert!(self.buckets.iter().all(Vec::is_empty), "rims are left");
        self.last = 0;
    }

    fn bucket(&self, order: u32) -> usize {
        (u32::BITS - (order ^ self.last).leading_zeros()) as usize
    }
}

/// An integer that sorts as the number does (the two zeros alike).
pub(super) fn order(level: f32) -> u32 {
    let bits = (level + 0.0).to_bits();
    if bits >> 31 == 1 { !bits } else { bits | 1 << 31 }
}

/// The number that [`order`] made.
pub(super) fn level(order: u32) -> f32 {
    f32::from_bits(if order >> 31 == 1 { order & !(1 << 31) } else { !order })
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
            for (cell, level) in (0..).zip(early) {
                rims.push(*level, cell);
            }
            let mut taken = Vec::new();
            let mut late = (early.len() as u32..).zip(late);
            while let Some((level, cell)) = rims.pop_lowest() {
                prop_assert_eq!(order(level), order(levels[cell as usize]));
                taken.push(level);
                if let Some((cell, level)) = late.find(|(_, level)| **level >= levels[cell as usize]) {
                    rims.push(*level, cell);
                }
            }
            prop_assert!(taken.len() >= early.len());
            prop_assert!(taken.is_sorted());
        }
    }
}
