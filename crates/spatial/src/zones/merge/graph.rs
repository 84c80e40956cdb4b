//! The graph of regions that touch, which shrinks as they merge.

use std::cmp::Ordering;

use rayon::prelude::*;

use super::super::adjacency::{Edge, summed};
use super::super::regions::{NO_REGION, Region};
use super::POSITIONS;

/// Regions while they grow: those merged into another are only known by their parent.
pub(super) struct Graph {
    /// Cells of each region; position 0: none.
    pub(super) cells: Vec<u32>,
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
    pub(super) fn new(
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
    pub(super) fn merge_below(&mut self, limit: u32) {
        let mut open = Open::default();
        std::mem::swap(&mut open.edges, &mut self.edges);
        while self.round(&mut open, |graph, one| graph.cells[one as usize] < limit).is_some() {}
        self.edges = open.all();
    }

    /// Merges every marked region with some other, where it has a neighbour; whether any was.
    pub(super) fn merge_marked(&mut self, mut marked: Vec<bool>) -> bool {
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
    pub(super) fn renumber(&mut self) -> Vec<u32> {
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
