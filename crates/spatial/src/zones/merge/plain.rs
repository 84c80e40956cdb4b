//! Merging as it is said, with everything worked out anew from the cells before each round.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::super::walls::Walls;
use super::super::widest::hold_square;
use super::{Least, POSITIONS};

/// Ground whose cells lie in zones; 0: in none.
struct Plain<'a> {
    cells: Vec<u32>,
    cols: usize,
    /// The region of each cell, and the positions of each region, `None` for one that stays as it is.
    regions: &'a [u32],
    positions: &'a [Option<[u32; POSITIONS]>],
}

/// The zone of each cell, numbered as a scan meets them.
pub(super) fn plain_merge(
    regions: &[u32],
    cols: usize,
    positions: &[Option<[u32; POSITIONS]>],
    least: Least,
) -> Vec<u32> {
    let mut plain = Plain { cells: regions.to_vec(), cols, regions, positions };
    let doublings = std::iter::successors(Some(2), |limit| Some(limit * 2));
    for limit in doublings.take_while(|limit| *limit < least.cells).chain([least.cells]) {
        while plain.round(|plain, zone| plain.size(zone) < limit).is_some() {}
    }
    plain.number();
    if least.side <= 1 {
        return plain.cells;
    }
    loop {
        let zones = plain.zones();
        let holds = hold_square(&plain.cells, cols, zones.len(), least.side, &Walls::none());
        let mut narrow: Vec<u32> =
            zones.into_iter().filter(|zone| !holds[*zone as usize]).collect();
        let mut any = false;
        while let Some(merged) = plain.round(|_, zone| narrow.contains(&zone)) {
            any = true;
            narrow.retain(|zone| !merged.iter().any(|merge| merge.contains(zone)));
        }
        plain.number();
        if !any {
            return plain.cells;
        }
    }
}

impl Plain<'_> {
    fn of(&self, zone: u32) -> impl Iterator<Item = usize> {
        (0..self.cells.len()).filter(move |at| self.cells[*at] == zone)
    }

    fn size(&self, zone: u32) -> u32 {
        self.of(zone).count() as u32
    }

    /// Those with cells, in the order of their numbers.
    fn zones(&self) -> Vec<u32> {
        let mut zones: Vec<u32> = self.cells.iter().copied().filter(|zone| *zone > 0).collect();
        zones.sort_unstable();
        zones.dedup();
        zones
    }

    fn number(&mut self) {
        // A zone is met first where the first region is that it is made of.
        let mut numbers = BTreeMap::new();
        for at in 0..self.cells.len() {
            let next = numbers.len() as u32 + 1;
            if self.cells[at] > 0 {
                self.cells[at] = *numbers.entry(self.cells[at]).or_insert(next);
            }
        }
    }

    /// Sides of cells that lie between two zones, for each two that may merge.
    fn borders(&self) -> BTreeMap<[u32; 2], u32> {
        let mut borders = BTreeMap::new();
        let stays = |at: usize| self.positions[self.regions[at] as usize].is_none();
        for at in 0..self.cells.len() {
            let east = (at % self.cols + 1 < self.cols).then_some(at + 1);
            let south = (at + self.cols < self.cells.len()).then_some(at + self.cols);
            for next in [east, south].into_iter().flatten() {
                let [a, b] = [self.cells[at], self.cells[next]];
                if a != b && !stays(at) && !stays(next) {
                    *borders.entry([a.min(b), a.max(b)]).or_default() += 1;
                }
            }
        }
        borders
    }

    /// What a merge costs; then what goes by among equals: the border, cells, and the distance.
    fn rank(&self, pair: [u32; 2], border: u32) -> (f64, u32, u32, f64) {
        let [n, m] = pair.map(|zone| f64::from(self.size(zone)));
        let mean = |zone: u32, ladder: usize| {
            let positions = self.of(zone).map(|at| {
                self.positions[self.regions[at] as usize].map_or(0, |position| position[ladder])
            });
            f64::from(positions.sum::<u32>()) / f64::from(self.size(zone))
        };
        let apart: f64 = (0..POSITIONS)
            .map(|ladder| (mean(pair[0], ladder) - mean(pair[1], ladder)).powi(2))
            .sum();
        let cost = n * m / (n + m) * apart / f64::from(border);
        let [x, y] = self.middle(&|zone| pair.contains(&zone));
        let [middle_x, middle_y] = self.middle(&|zone| zone > 0);
        let distance_squared = (x - middle_x).powi(2) + (y - middle_y).powi(2);
        (cost, border, pair.iter().map(|zone| self.size(*zone)).sum(), distance_squared)
    }

    /// The middle of some zones, in half cells from the middle of the grid.
    fn middle(&self, is_one: &dyn Fn(u32) -> bool) -> [f64; 2] {
        let rows = self.cells.len() / self.cols;
        let (mut x, mut y, mut cells) = (0_i64, 0_i64, 0_i64);
        for at in (0..self.cells.len()).filter(|at| is_one(self.cells[*at])) {
            x += 2 * (at % self.cols) as i64 + 1 - self.cols as i64;
            y += 2 * (at / self.cols) as i64 + 1 - rows as i64;
            cells += 1;
        }
        [x as f64 / cells as f64, y as f64 / cells as f64]
    }

    /// Merges every zone that wants to by its best merge, where that is the other's best too or the
    /// other does not want to; `None` when none has a neighbour.
    fn round(&mut self, wants: impl Fn(&Self, u32) -> bool) -> Option<Vec<[u32; 2]>> {
        let wanting: Vec<u32> =
            self.zones().into_iter().filter(|zone| wants(self, *zone)).collect();
        let borders = self.borders();
        let ranked: Vec<_> =
            borders.iter().map(|(pair, border)| (*pair, self.rank(*pair, *border))).collect();
        let best_of = |zone: u32| {
            let own = ranked.iter().filter(|(pair, _)| pair.contains(&zone));
            let best = own.min_by(|(a, first), (b, second)| {
                let by_cost: Ordering = first.0.total_cmp(&second.0);
                by_cost
                    .then(second.1.cmp(&first.1))
                    .then(first.2.cmp(&second.2))
                    .then(first.3.total_cmp(&second.3))
                    .then(a.cmp(b))
            });
            best.map(|(pair, _)| *pair)
        };
        let mut merged = Vec::new();
        for zone in &wanting {
            let Some(pair) = best_of(*zone) else { continue };
            let other = pair[usize::from(pair[0] == *zone)];
            if !wanting.contains(&other) || best_of(other) == Some(pair) && other < *zone {
                merged.push([*zone, other]);
            }
        }
        for [from, into] in &merged {
            let now = |zone: &mut u32| *zone = if zone == from { *into } else { *zone };
            self.cells.iter_mut().for_each(now);
        }
        (!merged.is_empty()).then_some(merged)
    }
}
