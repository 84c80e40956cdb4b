//! How a cell's water is shared among its lower neighbours.
//!
//! Source: Freeman 1991, Calculating catchment area with divergent flow based on a regular grid.

use super::ground::Ground;
use crate::padded::DIRECTIONS;
use crate::series::{exp2, log2};

/// The share of each receiver: its drop per distance to the power, by the sum of those; equal
/// shares on a level. 0 in other directions.
#[inline]
pub(super) fn by_drop(ground: &Ground, cell: usize, receivers: u8) -> [f64; DIRECTIONS] {
    /// 2⁻⁴⁰ and 2⁴⁰, about 10⁻¹² and 10¹².
    const LEAST: f32 = 1.0 / MOST;
    const MOST: f32 = 1_099_511_627_776.0;
    /// 2 to this is nothing beside 1, and nothing is what other directions get.
    const NOTHING: f32 = -120.0;
    let level = ground.levels[cell];
    let beside = ground
        .offsets
        .map(|offset| ground.levels.get(cell.wrapping_add(offset)).copied().unwrap_or(level));
    // One simple step after another, so that each is done for several directions at a time.
    let mut powers = [0.0_f32; DIRECTIONS];
    for (direction, power) in powers.iter_mut().enumerate() {
        let drop = (level - beside[direction]) * ground.rule.per_metre[direction];
        let drop = if drop > LEAST { drop } else { LEAST };
        let drop = if drop < MOST { drop } else { MOST };
        *power = ground.rule.exponent * log2(drop);
    }
    let mut most = f32::NEG_INFINITY;
    for (direction, power) in powers.iter_mut().enumerate() {
        *power = if receivers >> direction & 1 == 0 { f32::NEG_INFINITY } else { *power };
        most = if *power > most { *power } else { most };
    }
    for power in &mut powers {
        *power -= most;
        *power = if *power > NOTHING { *power } else { NOTHING };
    }
    let weights = powers.map(exp2);
    let mut shares = weights.map(f64::from);
    let [a, b, c, d, e, f, g, h] = shares;
    let per_weight = 1.0 / (((a + b) + (c + d)) + ((e + f) + (g + h)));
    for share in &mut shares {
        *share *= per_weight;
    }
    shares
}
