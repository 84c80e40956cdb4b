//! Where water goes, and how much land drains through each cell.

use std::collections::VecDeque;

use crate::Raster;
use crate::neighbours::{neighbours, touches_outside};

/// How a cell hands its water on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Routing {
    /// All of it to the neighbour of steepest drop; the first from east clockwise among equals.
    ///
    /// Source: O'Callaghan & Mark 1984, Computer Vision, Graphics, and Image Processing 28:323–344.
    SteepestDescent,
    /// To every lower neighbour, in proportion to drop / distance to this power.
    ///
    /// Source: Freeman 1991, Computers & Geosciences 17:413–422, who found 1.1 to serve best.
    Multiple {
        /// The power.
        exponent: f32,
    },
}

impl Routing {
    /// Multiple flow with Freeman's exponent, 1.1.
    pub const MULTIPLE: Self = Self::Multiple { exponent: 1.1 };
}

/// Area that drains through each cell, its own included.
///
/// # Units
/// Square metres of map. `filled` should have no hollows ([`crate::fill_hollows`]); water that
/// reaches one stays there. On level ground water goes towards the nearest way out, along rows,
/// columns and diagonals. Holes stay holes, and water that reaches a hole or the edge is gone.
///
/// Law: the areas of the cells where water leaves add up to the area of all known cells.
/// Cost: linear in cells.
#[must_use]
pub fn flow_area_m2(filled: &Raster<f32>, routing: Routing) -> Raster<f32> {
    let level = steps_over_level_ground(filled);
    let mut donors = vec![0_u8; filled.grid().len()];
    for at in 0..donors.len() {
        for_receivers(filled, &level, routing, at, |next, _| donors[next] += 1);
    }
    let mut area = vec![filled.grid().cell_area(); donors.len()];
    let mut ready: Vec<usize> = (0..donors.len()).filter(|at| donors[*at] == 0).collect();
    while let Some(at) = ready.pop() {
        let own = area[at];
        for_receivers(filled, &level, routing, at, |next, share| {
            area[next] += own * f64::from(share);
            donors[next] -= 1;
            if donors[next] == 0 {
                ready.push(next);
            }
        });
    }
    let mut drained = filled.clone();
    for (cell, area) in drained.cells_mut().iter_mut().zip(area) {
        *cell = if cell.is_finite() { area as f32 } else { f32::NAN };
    }
    drained
}

/// Steps from each level cell to the nearest way out over cells of its height; 0 where a cell has a
/// lower neighbour or is itself a way out, `u32::MAX` in a hollow.
#[expect(clippy::float_cmp, reason = "level ground is ground of exactly one height")]
fn steps_over_level_ground(filled: &Raster<f32>) -> Vec<u32> {
    let (grid, cells) = (filled.grid(), filled.cells());
    let lower = |at: usize| neighbours(grid, at).any(|(next, _)| cells[next] < cells[at]);
    let mut steps: Vec<u32> = (0..cells.len())
        .map(|at| {
            let drains = cells[at].is_nan() || lower(at) || touches_outside(filled, at);
            if drains { 0 } else { u32::MAX }
        })
        .collect();
    let beside = |at: usize| neighbours(grid, at).any(|(next, _)| steps[next] == u32::MAX);
    let mut front: VecDeque<usize> =
        (0..cells.len()).filter(|at| steps[*at] == 0 && beside(*at)).collect();
    while let Some(at) = front.pop_front() {
        for (next, _) in neighbours(grid, at) {
            if steps[next] == u32::MAX && cells[next] == cells[at] {
                steps[next] = steps[at] + 1;
                front.push_back(next);
            }
        }
    }
    steps
}

/// Calls `take` with each receiver of a cell and its share of the water; shares add up to 1.
#[expect(clippy::float_cmp, reason = "level ground is ground of exactly one height")]
fn for_receivers(
    filled: &Raster<f32>,
    level: &[u32],
    routing: Routing,
    at: usize,
    mut take: impl FnMut(usize, f32),
) {
    let (grid, cells) = (filled.grid(), filled.cells());
    let own = cells[at];
    if own.is_nan() {
        return;
    }
    let mut drops = [(0_usize, 0.0_f32); 8];
    let mut found = 0;
    for (next, distance) in neighbours(grid, at) {
        let downhill = cells[next] < own;
        let across = level[at] > 0 && cells[next] == own && level[next] < level[at];
        if downhill || across {
            let drop = if downhill { (own - cells[next]) / distance as f32 } else { 1.0 };
            drops[found] = (next, drop);
            found += 1;
        }
    }
    let drops = &mut drops[..found];
    match routing {
        Routing::SteepestDescent => {
            let steepest = drops
                .iter()
                .copied()
                .reduce(|best, next| if next.1 > best.1 { next } else { best });
            if let Some((next, _)) = steepest {
                take(next, 1.0);
            }
        }
        Routing::Multiple { exponent } => {
            for (_, drop) in drops.iter_mut() {
                *drop = drop.powf(exponent);
            }
            let sum: f32 = drops.iter().map(|(_, weight)| weight).sum();
            for (next, weight) in drops.iter() {
                take(*next, weight / sum);
            }
        }
    }
}
