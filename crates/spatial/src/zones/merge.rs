//! Small and narrow regions merged into their neighbours until each can be planted.

use std::cmp::Ordering;

use rayon::prelude::*;

use super::adjacency::{Edge, edges, summed};
use super::classes::{ClassCode, Classes, Step};
use super::regions::{NO_REGION, Region, Regions, renumber_runs};
use super::walls::Walls;
use super::widest::hold_square;
use crate::site::{MOST_BANDS, Treatment};

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

/// Regions while they grow: those merged into another are only known by their parent.
struct Graph {
    cells: Vec<u32>,
    /// Ladders on which regions differ, and for each region the sums over its cells of the
    /// positions on those.
    ladders: usize,
    sums: Vec<u32>,
    /// Sums over cells of twice their column and row, from the middle of the grid.
    places: Vec<[i64; 2]>,
    /// Middle of the ground, in the same measure.
    middle: [f64; 2],
    parents: Vec<u32>,
    /// Between regions without a parent, in order.
    edges: Vec<Edge>,
}

/// Edges of which an end still wants to merge, and those of which none does: what one of the latter
/// leads between stays as it is, so they need not be looked at again.
#[derive(Default)]
struct Open {
    edges: Vec<Edge>,
    /// In order, apart from what was laid aside since.
    at_rest: Vec<Edge>,
    /// Room for an edge of each region, none between rounds.
    best: Vec<u32>,
}

impl Open {
    /// Lays aside the edges that are not wanted.
    fn rest(&mut self, is_wanted: impl Fn(&Edge) -> bool) {
        let at_rest = &mut self.at_rest;
        self.edges.retain(|edge| {
            let stays = is_wanted(edge);
            if !stays {
                at_rest.push(*edge);
            }
            stays
        });
    }

    /// Lets edges lead to what their ends became part of.
    fn lead_to(&mut self, parents: &[u32]) {
        for edge in &mut self.edges {
            let [a, b] = edge.pair.map(|one| parents[one as usize]);
            edge.pair = [a.min(b), a.max(b)];
        }
        self.edges.retain(|edge| edge.pair[0] != edge.pair[1]);
        self.edges = summed(std::mem::take(&mut self.edges));
    }

    /// All of them, in order.
    fn all(mut self) -> Vec<Edge> {
        self.at_rest.append(&mut self.edges);
        summed(self.at_rest)
    }
}

impl Graph {
    fn new(
        mut edges: Vec<Edge>,
        regions: &[Region],
        positions: &[Option<[u32; POSITIONS]>],
    ) -> Self {
        edges.retain(|edge| edge.pair.iter().all(|one| positions[*one as usize].is_some()));
        let differ = |ladder: usize| {
            let mut all = positions.iter().flatten().map(|position| position[ladder]);
            let first = all.next();
            all.any(|position| Some(position) != first)
        };
        let ladders: Vec<usize> = (0..POSITIONS).filter(|ladder| differ(*ladder)).collect();
        let cells: Vec<u32> = regions.iter().map(|region| region.cells).collect();
        let places: Vec<[i64; 2]> = regions.iter().map(|region| region.place).collect();
        let mut sums = Vec::with_capacity(cells.len() * ladders.len());
        for (position, cells) in positions.iter().zip(&cells) {
            let position = position.unwrap_or_default();
            sums.extend(ladders.iter().map(|ladder| position[*ladder] * cells));
        }
        let (mut ground, mut middle) = (0.0, [0.0; 2]);
        for (cells, place) in cells.iter().zip(&places).skip(1) {
            ground += f64::from(*cells);
            middle[0] += place[0] as f64;
            middle[1] += place[1] as f64;
        }
        let middle = middle.map(|sum| sum / ground);
        let parents = (0..cells.len() as u32).collect();
        Self { cells, ladders: ladders.len(), sums, places, middle, parents, edges }
    }

    /// Merges until no region with a neighbour has fewer cells than the limit.
    fn merge_below(&mut self, limit: u32) {
        let mut open = Open::default();
        std::mem::swap(&mut open.edges, &mut self.edges);
        while self.round(&mut open, |graph, one| graph.cells[one as usize] < limit).is_some() {}
        self.edges = open.all();
    }

    /// Merges every marked region with some other, where it has a neighbour; whether any was.
    fn merge_marked(&mut self, mut marked: Vec<bool>) -> bool {
        let mut open = Open::default();
        std::mem::swap(&mut open.edges, &mut self.edges);
        let mut any = false;
        while let Some(merged) = self.round(&mut open, |_, one| marked[one as usize]) {
            any = true;
            for (from, into) in merged {
                (marked[from as usize], marked[into as usize]) = (false, false);
            }
        }
        self.edges = open.all();
        any
    }

    /// One round: the merges made, each from a region into another. `None` when no region that
    /// `wants` to merge has a neighbour left. None may want to later that does not now.
    ///
    /// Cost: n log n in the open edges.
    fn round(
        &mut self,
        open: &mut Open,
        wants: impl Fn(&Self, u32) -> bool + Sync,
    ) -> Option<Vec<(u32, u32)>> {
        /// No edge.
        const NONE: u32 = u32::MAX;
        /// Edges that one thread looks at, at least.
        const FEW: usize = 4096;
        open.rest(|edge| edge.pair.iter().any(|one| wants(self, *one)));
        let graph = &*self;
        let edges = &open.edges;
        let few = edges.par_iter().with_min_len(FEW);
        let costs: Vec<f64> = few.map(|edge| graph.cost(*edge)).collect();
        let cheaper = |one: usize, other: usize| {
            graph.is_cheaper((edges[one], costs[one]), (edges[other], costs[other]))
        };
        // The cheapest edge of each region that wants to merge.
        let best = &mut open.best;
        best.resize(self.cells.len(), NONE);
        let mut wanting = Vec::new();
        for (at, edge) in edges.iter().enumerate() {
            for one in edge.pair.into_iter().filter(|one| wants(graph, *one)) {
                let known = &mut best[one as usize];
                if *known == NONE {
                    wanting.push(one);
                    *known = at as u32;
                } else if cheaper(at, *known as usize) {
                    *known = at as u32;
                }
            }
        }
        let mut merged = Vec::new();
        for one in &wanting {
            let at = best[*one as usize];
            let [a, b] = edges[at as usize].pair;
            let other = if a == *one { b } else { a };
            let of_other = best[other as usize];
            // Of two that choose each other the lower stays; of one that chooses a larger, that.
            if of_other == NONE || (of_other == at && other < *one) {
                merged.push((*one, other));
            }
        }
        for one in wanting {
            best[one as usize] = NONE;
        }
        if merged.is_empty() {
            return None;
        }
        for (from, into) in &merged {
            self.absorb(*from as usize, *into as usize);
        }
        open.lead_to(&self.parents);
        Some(merged)
    }

    fn absorb(&mut self, from: usize, into: usize) {
        self.parents[from] = into as u32;
        self.cells[into] += self.cells[from];
        for ladder in 0..self.ladders {
            self.sums[into * self.ladders + ladder] += self.sums[from * self.ladders + ladder];
        }
        let [x, y] = self.places[from];
        self.places[into][0] += x;
        self.places[into][1] += y;
    }

    fn cost(&self, edge: Edge) -> f64 {
        let [a, b] = edge.pair.map(|one| one as usize);
        let [n, m] = [a, b].map(|one| f64::from(self.cells[one]));
        let of = |one: usize| &self.sums[one * self.ladders..(one + 1) * self.ladders];
        let apart: f64 = of(a)
            .iter()
            .zip(of(b))
            .map(|(a, b)| (f64::from(*a) / n - f64::from(*b) / m).powi(2))
            .sum();
        n * m / (n + m) * apart / f64::from(edge.border)
    }

    /// Whether an edge, with its cost, goes before another.
    fn is_cheaper(&self, (a, cost): (Edge, f64), (b, other): (Edge, f64)) -> bool {
        let cells = |edge: Edge| edge.pair.map(|one| self.cells[one as usize]).iter().sum::<u32>();
        let order = cost
            .total_cmp(&other)
            .then_with(|| b.border.cmp(&a.border))
            .then_with(|| cells(a).cmp(&cells(b)))
            .then_with(|| self.distance_squared(a).total_cmp(&self.distance_squared(b)))
            .then_with(|| a.pair.cmp(&b.pair));
        order == Ordering::Less
    }

    /// Square of the distance from the middle of the ground to that of two regions together.
    fn distance_squared(&self, edge: Edge) -> f64 {
        let [a, b] = edge.pair.map(|one| one as usize);
        let cells = f64::from(self.cells[a]) + f64::from(self.cells[b]);
        let away = |axis: usize| {
            (self.places[a][axis] + self.places[b][axis]) as f64 / cells - self.middle[axis]
        };
        away(0).powi(2) + away(1).powi(2)
    }

    /// Leaves out what was merged into another and numbers the rest in the order of their first
    /// regions, which a scan meets first; the new number of each old one.
    fn renumber(&mut self) -> Vec<u32> {
        let old = self.cells.len();
        let mut numbers = vec![NO_REGION; old];
        let mut roots = vec![0];
        for one in 1..old {
            let mut root = one;
            while self.parents[root] as usize != root {
                root = self.parents[root] as usize;
            }
            if numbers[root] == NO_REGION {
                numbers[root] = roots.len() as u32;
                roots.push(root);
            }
            numbers[one] = numbers[root];
        }
        self.cells = roots.iter().map(|root| self.cells[*root]).collect();
        self.places = roots.iter().map(|root| self.places[*root]).collect();
        let of = |root: &usize| root * self.ladders..(root + 1) * self.ladders;
        self.sums = roots.iter().flat_map(|root| &self.sums[of(root)]).copied().collect();
        self.parents = (0..roots.len() as u32).collect();
        for edge in &mut self.edges {
            let [a, b] = edge.pair.map(|one| numbers[one as usize]);
            edge.pair = [a.min(b), a.max(b)];
        }
        self.edges = summed(std::mem::take(&mut self.edges));
        numbers
    }
}

#[cfg(test)]
mod tests {
    use super::super::classes::SlopeGroup;
    use super::super::regions::label_regions;
    use super::*;
    use proptest::prelude::*;

    fn code(slope: u32) -> ClassCode {
        ClassCode::pack(Classes {
            slope: SlopeGroup::ALL[slope as usize],
            wetness: Some(Step::Low),
            sun: Some(Step::Middle),
            exposure: None,
            frost: None,
            bands: [None; MOST_BANDS],
            treatment: Treatment::Plant,
        })
    }

    /// Zones of a grid of slope groups plus 1, 0 for a hard break.
    fn zones(values: &[u32], cols: usize, least: Least) -> Regions {
        let mut regions = label_regions(&values, values.len(), cols, &Walls::none());
        let mut codes = vec![None; regions.count + 1];
        for (value, region) in values.iter().zip(&regions.cells) {
            codes[*region as usize] = value.checked_sub(1).map(code);
        }
        merge(&mut regions, cols, &codes, least, &Walls::none());
        regions
    }

    #[test]
    fn a_speck_joins_the_neighbour_most_like_it() {
        let grid = [1, 1, 1, 6, 5, 5, 1, 1, 1, 5, 5, 5];
        let zones = zones(&grid, 6, Least { cells: 2, side: 1 });
        assert_eq!(zones.cells, [1, 1, 1, 2, 2, 2, 1, 1, 1, 2, 2, 2]);
    }

    #[test]
    fn a_hard_break_is_never_crossed() {
        let zones = zones(&[2, 0, 2, 0], 4, Least { cells: 10, side: 3 });
        assert_eq!((zones.cells, zones.count), (vec![1, 0, 2, 0], 2));
    }

    #[test]
    fn a_strip_as_wide_as_one_cell_joins_a_neighbour() {
        let grid = [1, 1, 3, 2, 2, 1, 1, 3, 2, 2, 1, 1, 3, 2, 2];
        let least = Least { cells: 2, side: 2 };
        assert_eq!(zones(&grid, 5, least).count, 2);
        assert_eq!(zones(&grid, 5, Least { side: 1, ..least }).count, 3);
    }

    fn turned<T: Copy>(values: &[T], cols: usize) -> Vec<T> {
        let rows = values.len() / cols;
        let at = |row: usize, col: usize| values[(rows - 1 - col) * cols + row];
        (0..cols).flat_map(|row| (0..rows).map(move |col| at(row, col))).collect()
    }

    /// The parts that cells fall into, whatever their numbers.
    fn parts(cells: &[u32]) -> Vec<usize> {
        let first = |one: &u32| cells.iter().position(|other| other == one).unwrap_or(0);
        cells.iter().map(|one| if *one == 0 { usize::MAX } else { first(one) }).collect()
    }

    proptest! {
        #[test]
        fn every_zone_is_large_and_wide_enough_unless_it_stands_alone(
            cols in 2_usize..9,
            values in prop::collection::vec(prop_oneof![1 => Just(0), 6 => 1_u32..8], 4..90),
            cells in 1_u32..9,
            side in 1_u16..4,
        ) {
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            let zones = zones(values, cols, Least { cells, side });
            let ground: Vec<u32> = values.iter().map(|value| u32::from(*value > 0)).collect();
            let islands = label_regions(&&ground[..], ground.len(), cols, &Walls::none()).cells;
            let wide = hold_square(&zones.cells, cols, zones.count, side, &Walls::none());
            for zone in 1..=zones.count as u32 {
                let own: Vec<usize> = (0..values.len()).filter(|at| zones.cells[*at] == zone).collect();
                let island = islands[own[0]];
                prop_assert!(own.iter().all(|at| islands[*at] == island), "crossed a break");
                let alone = (0..values.len()).all(|at| islands[at] != island || zones.cells[at] == zone);
                prop_assert!((own.len() as u32 >= cells && wide[zone as usize]) || alone);
            }
            for (zone, value) in zones.cells.iter().zip(values) {
                prop_assert_eq!(*zone == 0, *value == 0);
            }
        }

        /// Positions drawn at random, so that no two merges cost the same.
        #[test]
        fn a_turned_or_renumbered_grid_gives_the_same_zones(
            cols in 2_usize..9,
            values in prop::collection::vec(0_u32..7, 4..90),
            ladders in prop::collection::vec(prop::array::uniform10(0_u32..100_000), 90),
            cells in 1_u32..9,
            side in 1_u16..3,
        ) {
            let rows = values.len() / cols;
            let values = &values[..rows * cols];
            let zones = |values: &[u32], ladders: &[[u32; POSITIONS]], cols: usize| {
                let mut regions = label_regions(&values, values.len(), cols, &Walls::none());
                let mut positions = vec![None; regions.count + 1];
                for (at, region) in regions.cells.iter().enumerate().rev() {
                    // That of its least cell, which a turned grid has too.
                    let known = positions[*region as usize].get_or_insert(ladders[at]);
                    *known = (*known).min(ladders[at]);
                }
                let least = Least { cells, side };
                merge_by_position(&mut regions, cols, &positions, least, &Walls::none());
                regions.cells
            };
            let values: Vec<u32> = values.iter().map(|value| value + 1).collect();
            let ladders = &ladders[..values.len()];
            let straight = zones(&values, ladders, cols);
            let round = zones(&turned(&values, cols), &turned(ladders, cols), rows);
            prop_assert_eq!(parts(&turned(&straight, cols)), parts(&round));
        }
    }
}
