//! Small and narrow regions merged into their neighbours until each can be planted.

mod graph;
#[cfg(test)]
mod plain;
#[cfg(test)]
mod tests;

use rayon::prelude::*;

use super::adjacency::edges;
use super::classes::{ClassCode, Classes, Step};
use super::regions::{Regions, renumber_runs};
use super::walls::Walls;
use super::widest::hold_square;
use crate::site::{MOST_BANDS, Treatment};
use graph::Graph;

/// Ladders on which a class has a position.
const POSITIONS: usize = 6 + MOST_BANDS;

/// Positions are counted in twelfths of a ladder, so that every step is whole and sums are exact.
const LADDER: u32 = 12;

/// What zones must come to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Least {
    /// Cells of a zone.
    pub(super) cells: u32,
    /// Side of a square that fits somewhere into it, in cells.
    pub(super) side: u16,
}

/// Merges every region that is smaller, or nowhere as wide, as `least` by the cheapest merge over
/// the region adjacency graph. `regions` are renumbered as zones, in scan order.
///
/// `codes` gives each region's class (position 0 unused), `None` for one that stays as it is. The
/// cost of a merge is n₁n₂ ÷ (n₁ + n₂) × |m₁ − m₂|² ÷ shared border, with n the cells of both and m
/// the means of their class positions. Limits rise by doubling; up to each, a region goes by its
/// cheapest merge where that is the other's cheapest too, or the other is large enough already; then
/// again, until none is left. So the order in which regions are numbered makes no difference.
/// Equals go by longer border, smaller area, and nearness to the middle of the ground; so a turned
/// grid gives turned zones. A region without a neighbour stays as it is.
///
/// Returns the zone of each region, and the cells of each zone.
///
/// Cost: a pass over the cells for the graph and one for each look at widths; r log r in regions.
///
/// # References
/// Redding, Crisp, Tang & Newsam 1999, An efficient algorithm for Mumford–Shah segmentation and its
/// application to SAR imagery (the cost).
pub(super) fn merge(
    regions: &mut Regions,
    cols: usize,
    codes: &[Option<ClassCode>],
    least: Least,
    walls: &Walls,
) -> (Vec<u32>, Vec<u32>) {
    let ladders: Vec<Option<[u32; POSITIONS]>> =
        codes.iter().map(|code| code.map(|code| positions(code.unpack()))).collect();
    merge_by_position(regions, cols, &ladders, least, walls)
}

/// Cells that one thread renumbers at a time.
const CHUNK: usize = 1 << 16;

fn merge_by_position(
    regions: &mut Regions,
    cols: usize,
    positions: &[Option<[u32; POSITIONS]>],
    least: Least,
    walls: &Walls,
) -> (Vec<u32>, Vec<u32>) {
    let edges = edges(&regions.cells, cols, walls);
    let mut graph = Graph::new(edges, &std::mem::take(&mut regions.facts), positions);
    let mut limit = 2;
    while limit < least.cells {
        graph.merge_below(limit);
        limit = limit.saturating_mul(2);
    }
    graph.merge_below(least.cells);
    let mut zone_of: Vec<u32> = (0..=regions.count as u32).collect();
    loop {
        let zones = graph.renumber();
        regions.cells.par_chunks_mut(CHUNK).for_each(|cells| {
            renumber_runs(cells, |label| zones[label as usize]);
        });
        regions.count = graph.cells.len() - 1;
        for zone in &mut zone_of {
            *zone = zones[*zone as usize];
        }
        if least.side <= 1 {
            return (zone_of, graph.cells);
        }
        let holds = hold_square(&regions.cells, cols, regions.count, least.side, walls);
        if !graph.merge_marked(holds.into_iter().map(|holds| !holds).collect()) {
            return (zone_of, graph.cells);
        }
    }
}

/// Positions of classes on their ladders, on one scale: the whole ladder of a factor counts 1,
/// and planting against infilling counts as much as a whole ladder. A step that is not known lies
/// in the middle, as far from either end. Weights: ours, no source.
fn positions(classes: Classes) -> [u32; POSITIONS] {
    let Classes { slope, wetness, sun, exposure, frost, bands, treatment } = classes;
    let mut positions = [0; POSITIONS];
    positions[0] = slope as u32 * LADDER / 6;
    positions[1] = if treatment == Treatment::Infill { LADDER } else { 0 };
    let steps = [wetness, sun, exposure, frost].into_iter().chain(bands);
    for (position, step) in positions[2..].iter_mut().zip(steps) {
        *position = step.unwrap_or(Step::Middle) as u32 * LADDER / 2;
    }
    positions
}
