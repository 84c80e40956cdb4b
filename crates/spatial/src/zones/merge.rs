//! Small regions merged into their neighbours until each is large enough to plant.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::classes::{ClassCode, Classes, Step};
use super::regions::NO_REGION;
use crate::site::{MOST_BANDS, Treatment};

/// Ladders on which a class has a position.
const POSITIONS: usize = 6 + MOST_BANDS;

/// Regions after merging.
pub(super) struct Merged {
    /// For each region before merging (position 0 unused): its zone, from 1 in scan order.
    pub(super) zone_of: Vec<u32>,
    /// Number of zones.
    pub(super) zones: usize,
}

/// A region while it grows.
struct Region {
    cells: u32,
    /// Sum over cells of the class positions, so that sum / cells is the mean.
    sums: [f64; POSITIONS],
    /// Shared border with each neighbour, cell edges.
    borders: BTreeMap<u32, u32>,
}

/// Merges every region below `min_cells` by the cheapest merge over the region adjacency graph:
/// dissimilarity × area ÷ shared border, smallest region first (after Redding et al. 1999).
///
/// `regions` numbers the cells from 1 (0: no region, a hard break), `codes` gives each region's
/// class (position 0 unused). A region without a neighbour stays as it is. The order is fixed by
/// area, then number: the same input gives the same zones. Cost: O(r log r + borders).
pub(super) fn merge_small(
    regions: &[u32],
    cols: usize,
    codes: &[ClassCode],
    min_cells: u32,
) -> Merged {
    let mut graph = adjacency(regions, cols, codes);
    let mut parents: Vec<u32> = (0..codes.len() as u32).collect();
    let mut queue: BinaryHeap<_> = (1..codes.len() as u32)
        .filter(|one| graph[*one as usize].cells < min_cells)
        .map(|one| Reverse((graph[one as usize].cells, one)))
        .collect();
    while let Some(Reverse((cells, one))) = queue.pop() {
        let stale = parents[one as usize] != one || graph[one as usize].cells != cells;
        if stale {
            continue;
        }
        let Some(into) = cheapest(&graph, one) else { continue };
        absorb(&mut graph, into, one);
        parents[one as usize] = into;
        if graph[into as usize].cells < min_cells {
            queue.push(Reverse((graph[into as usize].cells, into)));
        }
    }
    number_zones(regions, &mut parents)
}

/// The regions with their sizes, class sums and shared borders.
fn adjacency(regions: &[u32], cols: usize, codes: &[ClassCode]) -> Vec<Region> {
    let mut graph: Vec<Region> = codes
        .iter()
        .map(|_| Region { cells: 0, sums: [0.0; POSITIONS], borders: BTreeMap::new() })
        .collect();
    for (at, &one) in regions.iter().enumerate() {
        if one == NO_REGION {
            continue;
        }
        graph[one as usize].cells += 1;
        let west = (at % cols > 0).then(|| regions[at - 1]);
        let north = (at >= cols).then(|| regions[at - cols]);
        for other in [west, north].into_iter().flatten() {
            if other != NO_REGION && other != one {
                *graph[one as usize].borders.entry(other).or_default() += 1;
                *graph[other as usize].borders.entry(one).or_default() += 1;
            }
        }
    }
    for (region, code) in graph.iter_mut().zip(codes) {
        let cells = f64::from(region.cells);
        region.sums = positions(code.unpack()).map(|position| position * cells);
    }
    graph
}

/// Positions of classes on their ladders, on one scale: the whole ladder of a factor counts 1,
/// and planting against infilling counts as much as a whole ladder. A step that is not known lies
/// in the middle, as far from either end. Weights: ours, no source.
fn positions(classes: Classes) -> [f64; POSITIONS] {
    let Classes { slope, wetness, sun, exposure, frost, bands, treatment } = classes;
    let infill = f64::from(u8::from(treatment == Treatment::Infill));
    let mut positions = [0.0; POSITIONS];
    positions[0] = f64::from(slope as u8) / 6.0;
    positions[1] = infill;
    let steps = [Some(wetness), Some(sun), exposure, frost].into_iter().chain(bands);
    for (position, step) in positions[2..].iter_mut().zip(steps) {
        *position = f64::from(step.unwrap_or(Step::Middle) as u8) / 2.0;
    }
    positions
}

/// The neighbour into which a merge costs least; the lowest number among equals.
fn cheapest(graph: &[Region], one: u32) -> Option<u32> {
    let region = &graph[one as usize];
    let cost = |(&other, &border): (&u32, &u32)| {
        let neighbour = &graph[other as usize];
        let mean = |region: &Region, k: usize| region.sums[k] / f64::from(region.cells);
        let apart: f64 = (0..POSITIONS).map(|k| (mean(region, k) - mean(neighbour, k)).abs()).sum();
        (apart * f64::from(region.cells) / f64::from(border), other)
    };
    region
        .borders
        .iter()
        .map(cost)
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        .map(|(_, other)| other)
}

/// Moves region `one` into region `into`.
fn absorb(graph: &mut [Region], into: u32, one: u32) {
    let eaten = std::mem::replace(
        &mut graph[one as usize],
        Region { cells: 0, sums: [0.0; POSITIONS], borders: BTreeMap::new() },
    );
    for (&neighbour, &border) in &eaten.borders {
        let theirs = &mut graph[neighbour as usize].borders;
        theirs.remove(&one);
        if neighbour != into {
            *theirs.entry(into).or_default() += border;
            *graph[into as usize].borders.entry(neighbour).or_default() += border;
        }
    }
    let whole = &mut graph[into as usize];
    whole.cells += eaten.cells;
    for (sum, more) in whole.sums.iter_mut().zip(eaten.sums) {
        *sum += more;
    }
}

/// Numbers the merged regions in the order in which a scan meets them.
fn number_zones(regions: &[u32], parents: &mut [u32]) -> Merged {
    let mut zone_of = vec![NO_REGION; parents.len()];
    let mut of_root = vec![NO_REGION; parents.len()];
    let mut zones = 0;
    for &one in regions {
        if one == NO_REGION || zone_of[one as usize] != NO_REGION {
            continue;
        }
        let mut root = one;
        while parents[root as usize] != root {
            root = parents[root as usize];
        }
        parents[one as usize] = root;
        if of_root[root as usize] == NO_REGION {
            zones += 1;
            of_root[root as usize] = zones;
        }
        zone_of[one as usize] = of_root[root as usize];
    }
    Merged { zone_of, zones: zones as usize }
}

#[cfg(test)]
mod tests {
    use super::super::classes::SlopeGroup;
    use super::super::regions::label_regions;
    use super::*;
    use proptest::prelude::*;

    fn code(slope: usize) -> ClassCode {
        ClassCode::pack(Classes {
            slope: SlopeGroup::ALL[slope],
            wetness: Step::Low,
            sun: Step::Middle,
            exposure: None,
            frost: None,
            bands: [None; MOST_BANDS],
            treatment: Treatment::Plant,
        })
    }

    /// Zones of a grid of slope groups, `None` for a hard break.
    fn zones(values: &[Option<usize>], cols: usize, min_cells: u32) -> (Vec<u32>, usize) {
        let (regions, count) = label_regions(values, cols);
        let mut codes = vec![code(0); count + 1];
        for (value, region) in values.iter().zip(&regions) {
            if let Some(slope) = value {
                codes[*region as usize] = code(*slope);
            }
        }
        let merged = merge_small(&regions, cols, &codes, min_cells);
        let labels = regions.iter().map(|one| merged.zone_of[*one as usize]).collect();
        (labels, merged.zones)
    }

    #[test]
    fn a_speck_joins_the_neighbour_most_like_it() {
        let f = Some(5);
        let (a, e) = (Some(0), Some(4));
        let grid = [a, a, a, f, e, e, a, a, a, e, e, e];
        let (labels, count) = zones(&grid, 6, 2);
        assert_eq!(count, 2);
        assert_eq!(labels, [1, 1, 1, 2, 2, 2, 1, 1, 1, 2, 2, 2]);
    }

    #[test]
    fn a_hard_break_is_never_crossed() {
        let grid = [Some(1), None, Some(1), None];
        assert_eq!(zones(&grid, 4, 10), (vec![1, 0, 2, 0], 2));
    }

    proptest! {
        #[test]
        fn every_zone_is_large_enough_unless_it_stands_alone(
            cols in 2_usize..9,
            values in prop::collection::vec(prop::option::weighted(0.85, 0_usize..7), 4..90),
            min_cells in 1_u32..9,
        ) {
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            let (labels, count) = zones(values, cols, min_cells);
            let islands = label_regions(
                &values.iter().map(|v| v.map(|_| ())).collect::<Vec<_>>(), cols).0;
            for zone in 1..=count as u32 {
                let cells: Vec<usize> = (0..labels.len()).filter(|at| labels[*at] == zone).collect();
                let island = islands[cells[0]];
                prop_assert!(cells.iter().all(|at| islands[*at] == island), "crossed a break");
                let alone = (0..labels.len()).all(|at| islands[at] != island || labels[at] == zone);
                prop_assert!(cells.len() as u32 >= min_cells || alone);
            }
            for (label, value) in labels.iter().zip(values) {
                prop_assert_eq!(*label == 0, value.is_none());
            }
        }
    }
}
