//! Where water goes: hollows filled by priority flood (Barnes, Lehman & Mulla 2014), one receiver
//! a cell (O'Callaghan & Mark 1984), areas summed downstream.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::field::Field;

/// Least rise a metre across filled hollows, so that water always finds its way.
const RISE: f64 = 1e-5;

/// The way of water over a field.
pub(crate) struct Drainage {
    /// The cell that each cell flows into; an outlet flows into itself.
    pub(crate) receiver: Vec<u32>,
    /// Every cell, each after the one it flows into.
    pub(crate) upstream_order: Vec<u32>,
}

impl Drainage {
    /// Routes water to the outlets; `favour` (about 1) tilts the choice between two ways down.
    pub(crate) fn new(
        ground: &Field,
        outlet: impl Fn(usize) -> bool,
        favour: impl Fn(usize, usize) -> f64,
    ) -> Self {
        let (filled, upstream_order) = flood(ground, &outlet);
        let way_down = |i: usize| {
            let falls = ground.neighbours(i).map(|(j, distance)| {
                let fall = (filled[i] - filled[j]) / distance;
                (if fall > 0.0 { fall * favour(i, j) } else { fall }, j)
            });
            falls.filter(|&(fall, _)| fall > 0.0).max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let mut receiver: Vec<u32> = (0..ground.values.len() as u32).collect();
        for &cell in upstream_order.iter().filter(|&&cell| !outlet(cell as usize)) {
            if let Some((_, to)) = way_down(cell as usize) {
                receiver[cell as usize] = to as u32;
            }
        }
        Self { receiver, upstream_order }
    }

    /// Adds what each cell holds to every cell downstream of it.
    pub(crate) fn accumulate(&self, mut held: Vec<f64>) -> Vec<f64> {
        for &cell in self.upstream_order.iter().rev() {
            let to = self.receiver[cell as usize];
            if to != cell {
                held[to as usize] += held[cell as usize];
            }
        }
        held
    }

    /// Cells that flow straight into each cell.
    pub(crate) fn donors(&self) -> Vec<Vec<u32>> {
        let mut donors = vec![Vec::new(); self.receiver.len()];
        for (cell, &to) in self.receiver.iter().enumerate() {
            if to as usize != cell {
                donors[to as usize].push(cell as u32);
            }
        }
        donors
    }
}

/// Elevations without hollows, and the cells in the order in which the flood reached them.
fn flood(ground: &Field, outlet: impl Fn(usize) -> bool) -> (Vec<f64>, Vec<u32>) {
    let count = ground.values.len();
    let mut filled = vec![f64::NAN; count];
    let mut order = Vec::with_capacity(count);
    let mut shore = BinaryHeap::new();
    for i in (0..count).filter(|&i| outlet(i)) {
        filled[i] = ground.values[i];
        shore.push(Reverse((sortable(filled[i]), i as u32)));
    }
    while let Some(Reverse((_, cell))) = shore.pop() {
        order.push(cell);
        for (j, distance) in ground.neighbours(cell as usize) {
            if filled[j].is_nan() {
                filled[j] = ground.values[j].max(filled[cell as usize] + RISE * distance);
                shore.push(Reverse((sortable(filled[j]), j as u32)));
            }
        }
    }
    (filled, order)
}

/// Bits in the order of the numbers, for elevations above −10 km.
fn sortable(elevation: f64) -> u64 {
    (elevation + 10_000.0).to_bits()
}
