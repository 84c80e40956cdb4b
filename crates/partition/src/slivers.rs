//! Connected pieces too small to stand alone, or in the wrong place, handed to a neighbour.

use crate::arrangement::Arrangement;
use crate::faces::{Faces, UNBOUNDED, twin};
use crate::precision::doubled_steps_squared;
use std::collections::{BTreeMap, BTreeSet};

/// Which pieces are handed over, and who may take them.
///
/// A connected piece below the area (a crumb), or of a key that must leave (a stray), goes to the
/// neighbour with the longest shared border among those that may take it (then the larger, then that
/// of the lower key); smallest pieces first. Strays take nothing, nor does what is dropped take or
/// give. A piece without a taker waits until a neighbour has been taken by one that may take it too;
/// in the end none is left beside a possible taker. A crumb that never had one stays as it is, and a
/// stray gets the key of last resort.
#[derive(Clone, Copy)]
pub struct SliverRule<'a> {
    /// Pieces smaller than this, in square metres, are crumbs.
    pub smaller_than_m2: f64,
    /// Whether a piece of the first key may be given to a piece of the second.
    pub may_join: &'a dyn Fn(u64, u64) -> bool,
    /// Whether pieces of a key are strays, to be handed over whatever their size.
    pub must_leave: &'a dyn Fn(u64) -> bool,
    /// The key of last resort of a stray's key.
    pub left_as: &'a dyn Fn(u64) -> u64,
}

/// Rewrites the keys of faces in crumbs and strays.
pub(crate) fn hand_over(
    keys: &mut [Option<u64>],
    arrangement: &Arrangement,
    faces: &Faces,
    rule: &SliverRule,
) {
    let (region_of, mut regions) = Regions::of(keys, arrangement, faces, rule);
    while let Some((_, giver)) = regions.givers.pop_first() {
        if let Some(taker) = regions.taker(giver, rule.may_join) {
            regions.give(giver, taker);
            regions.join_equals(taker);
        }
    }
    for (key, region) in keys.iter_mut().zip(region_of) {
        let Region { key: standing, is_stray, .. } = regions.all[regions.standing(region) as usize];
        *key = if is_stray { standing.map(rule.left_as) } else { standing };
    }
}

/// A connected set of faces of one key.
struct Region {
    key: Option<u64>,
    is_stray: bool,
    doubled_area: i128,
    /// The length of border shared with each neighbour.
    borders: BTreeMap<u32, f64>,
    taken_by: Option<u32>,
}

struct Regions {
    all: Vec<Region>,
    /// The crumbs and strays to look at, smallest first.
    givers: BTreeSet<(i128, u32)>,
    /// Twice the area that crumbs are below, in steps².
    limit: i128,
}

impl Regions {
    /// Joins neighbouring faces of one key; also tells the region of each face.
    fn of(
        keys: &[Option<u64>],
        arrangement: &Arrangement,
        faces: &Faces,
        rule: &SliverRule,
    ) -> (Vec<u32>, Self) {
        let mut region_of = vec![u32::MAX; keys.len()];
        let mut all = Vec::new();
        for face in 0..keys.len() as u32 {
            if region_of[face as usize] == u32::MAX {
                let region = all.len() as u32;
                let mut gathered = gather(face, region, keys, faces, &mut region_of);
                gathered.is_stray = gathered.key.is_some_and(rule.must_leave);
                all.push(gathered);
            }
        }
        for edge in 0..arrangement.edges.len() as u32 {
            let sides = [2 * edge, 2 * edge + 1].map(|h| region_of[faces.left_of(h) as usize]);
            if sides[0] != sides[1] {
                let length = arrangement.length(edge);
                *all[sides[0] as usize].borders.entry(sides[1]).or_default() += length;
                *all[sides[1] as usize].borders.entry(sides[0]).or_default() += length;
            }
        }
        let limit = doubled_steps_squared(rule.smaller_than_m2);
        let mut regions = Self { all, givers: BTreeSet::new(), limit };
        (0..regions.all.len() as u32).for_each(|region| regions.list(region));
        (region_of, regions)
    }

    /// Lists a region if it is a crumb or a stray.
    fn list(&mut self, region: u32) {
        let Region { key, is_stray, doubled_area, taken_by, .. } = self.all[region as usize];
        if key.is_some() && taken_by.is_none() && (is_stray || doubled_area < self.limit) {
            self.givers.insert((doubled_area, region));
        }
    }

    /// The neighbour that may take a region and shares the longest border with it.
    fn taker(&self, giver: u32, may_join: &dyn Fn(u64, u64) -> bool) -> Option<u32> {
        let giver = &self.all[giver as usize];
        let mut best: Option<(f64, i128, u64, u32)> = None;
        for (&neighbour, &shared) in &giver.borders {
            let Region { key: Some(key), is_stray: false, doubled_area, .. } =
                self.all[neighbour as usize]
            else {
                continue;
            };
            let better = best.is_none_or(|(most, area, lowest, _)| {
                (shared, doubled_area, lowest) > (most, area, key)
            });
            if giver.key.is_some_and(|own| may_join(own, key)) && better {
                best = Some((shared, doubled_area, key, neighbour));
            }
        }
        best.map(|(.., taker)| taker)
    }

    /// Makes one region part of another. Its neighbours are looked at again, for they have a new one.
    fn give(&mut self, given: u32, taker: u32) {
        let doubled_area = self.all[given as usize].doubled_area;
        let borders = std::mem::take(&mut self.all[given as usize].borders);
        self.givers.remove(&(doubled_area, given));
        self.givers.remove(&(self.all[taker as usize].doubled_area, taker));
        self.all[given as usize].taken_by = Some(taker);
        self.all[taker as usize].doubled_area += doubled_area;
        self.all[taker as usize].borders.remove(&given);
        for (neighbour, length) in borders {
            self.all[neighbour as usize].borders.remove(&given);
            if neighbour != taker {
                *self.all[neighbour as usize].borders.entry(taker).or_default() += length;
                *self.all[taker as usize].borders.entry(neighbour).or_default() += length;
                self.list(neighbour);
            }
        }
        self.list(taker);
    }

    /// Joins a region with the neighbours of its own key that it has come to touch.
    fn join_equals(&mut self, region: u32) {
        while let Some(neighbour) = self.equal_neighbour(region) {
            self.give(neighbour, region);
        }
    }

    fn equal_neighbour(&self, region: u32) -> Option<u32> {
        let Region { key, ref borders, .. } = self.all[region as usize];
        borders.keys().copied().find(|&neighbour| self.all[neighbour as usize].key == key)
    }

    /// The region that a region has become part of.
    fn standing(&self, region: u32) -> u32 {
        let onward = |&r: &u32| self.all[r as usize].taken_by;
        std::iter::successors(Some(region), onward).last().unwrap_or(region)
    }
}

/// Spreads a region from a face over edges with the same key on both sides.
fn gather(
    start: u32,
    region: u32,
    keys: &[Option<u64>],
    faces: &Faces,
    region_of: &mut [u32],
) -> Region {
    let key = keys[start as usize];
    let mut doubled_area = 0;
    let mut open = vec![start];
    region_of[start as usize] = region;
    while let Some(face) = open.pop() {
        if face != UNBOUNDED {
            doubled_area += faces.doubled_area(face);
        }
        for half_edge in faces.half_edges(face) {
            let across = faces.left_of(twin(half_edge)) as usize;
            if keys[across] == key && region_of[across] == u32::MAX {
                region_of[across] = region;
                open.push(across as u32);
            }
        }
    }
    Region { key, is_stray: false, doubled_area, borders: BTreeMap::new(), taken_by: None }
}
