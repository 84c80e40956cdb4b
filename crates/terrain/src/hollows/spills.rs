//! How high water stands at the borders of tiles: the lowest way from label to label and outside.

use rayon::prelude::*;

use super::flood::Flood;
use super::rims::{Rims, level, order};
use crate::Tiling;

/// The label of what drains into a hole or off the grid.
pub(super) const OUTSIDE: u32 = 0;

/// A pass: two labels that touch, and the lowest level at which water goes from one to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spill {
    from: u32,
    to: u32,
    level: f32,
}

/// What the other tiles must know of a tile.
pub(super) struct Outline {
    labels: u32,
    /// Between the labels of this tile alone.
    spills: Vec<Spill>,
    north: Line,
    south: Line,
    west: Line,
    east: Line,
}

/// Elevation and label along one side of a tile.
type Line = Vec<(f32, u16)>;

impl Outline {
    pub(super) fn of(flood: &Flood, rows: usize) -> Self {
        let line = |row: usize| -> Line {
            let (levels, labels) = flood.row(row);
            levels.iter().copied().zip(labels.iter().copied()).collect()
        };
        let end = |(levels, labels): (&[f32], &[u16]), at: usize| (levels[at], labels[at]);
        let last = flood.row(0).0.len() - 1;
        Self {
            labels: flood.labels_given(),
            spills: within(flood, rows),
            north: line(0),
            south: line(rows - 1),
            west: (0..rows).map(|row| end(flood.row(row), 0)).collect(),
            east: (0..rows).map(|row| end(flood.row(row), last)).collect(),
        }
    }
}

/// Passes between the labels of a tile, the lowest of each pair.
fn within(flood: &Flood, rows: usize) -> Vec<Spill> {
    let mut passes = Passes::default();
    for row in 0..rows {
        let (levels, labels) = flood.row(row);
        for (at, pair) in labels.windows(2).enumerate() {
            if pair[0] != pair[1] {
                passes.add(pair[0], pair[1], levels[at].max(levels[at + 1]));
            }
        }
        if row + 1 < rows {
            let (levels_below, labels_below) = flood.row(row + 1);
            passes.add_between((levels, labels), (levels_below, labels_below));
        }
    }
    passes.lowest()
}

/// Passes as numbers that sort by pair, then by level.
#[derive(Default)]
struct Passes {
    found: Vec<u64>,
    pair: u64,
}

impl Passes {
    #[inline]
    fn add(&mut self, a: u16, b: u16, level: f32) {
        let pair = u64::from(a.min(b)) << 48 | u64::from(a.max(b)) << 32;
        let pass = pair | u64::from(order(level));
        match self.found.last_mut() {
            Some(last) if self.pair == pair => *last = pass.min(*last),
            _ => self.found.push(pass),
        }
        self.pair = pair;
    }

    /// Passes between a row and the next.
    fn add_between(&mut self, above: (&[f32], &[u16]), below: (&[f32], &[u16])) {
        const RUN: usize = 16;
        let cols = above.1.len();
        for from in (0..cols).step_by(RUN) {
            let run = from..(from + RUN).min(cols);
            let wide = from.saturating_sub(1)..(from + RUN + 1).min(cols);
            let label = above.1[from];
            let same =
                |labels: &[u16]| labels.iter().fold(0, |any, other| any | other ^ label) == 0;
            if same(&above.1[run.clone()]) && same(&below.1[wide.clone()]) {
                continue;
            }
            for col in run {
                for beside in col.saturating_sub(1)..(col + 2).min(cols) {
                    let (a, b) = (above.1[col], below.1[beside]);
                    if a != b {
                        self.add(a, b, above.0[col].max(below.0[beside]));
                    }
                }
            }
        }
    }

    fn lowest(mut self) -> Vec<Spill> {
        self.found.sort_unstable();
        self.found.dedup_by_key(|pass| *pass >> 32);
        let spill = |pass: &u64| Spill {
            from: (pass >> 48) as u32,
            to: (pass >> 32) as u32 & 0xffff,
            level: level(*pass as u32),
        };
        self.found.iter().map(spill).collect()
    }
}

/// The level at which water stands at every label's border cell.
pub(super) struct Levels {
    /// Where each tile's labels begin.
    first: Vec<usize>,
    levels: Vec<f32>,
}

impl Levels {
    /// The lowest level by which each label drains outside, from what all tiles say.
    pub(super) fn solve(tiling: &Tiling, outlines: Vec<Outline>) -> Self {
        let mut labels = 0;
        let first = outlines.iter().map(|outline| {
            labels += outline.labels as usize;
            labels - outline.labels as usize
        });
        let first: Vec<usize> = first.collect();
        let seams = Seams { tiling, outlines: &outlines, first: &first };
        let mut spills = seams.spills();
        for (outline, first) in outlines.into_iter().zip(&first) {
            spills.extend(outline.spills.iter().map(|spill| Spill {
                from: number(*first, spill.from),
                to: number(*first, spill.to),
                level: spill.level,
            }));
        }
        Self { levels: lowest_ways_out(labels, &spills), first }
    }

    /// Levels by label of one tile.
    pub(super) fn of_tile(&self, tile: usize) -> &[f32] {
        &self.levels[self.first[tile]..]
    }
}

/// A tile's label among those of all tiles.
fn number(first: usize, label: u32) -> u32 {
    if label == OUTSIDE { OUTSIDE } else { first as u32 + label }
}

/// The lines along which tiles meet, and those along the edge of the grid.
struct Seams<'a> {
    tiling: &'a Tiling,
    outlines: &'a [Outline],
    first: &'a [usize],
}

impl Seams<'_> {
    fn spills(&self) -> Vec<Spill> {
        let (across, down) = (self.tiling.across(), self.tiling.down());
        let level: Vec<_> = (0..=down).into_par_iter().map(|seam| self.level_seam(seam)).collect();
        let upright = (0..down * (across + 1)).into_par_iter();
        let upright =
            upright.map(|seam| self.upright_seam(seam / (across + 1), seam % (across + 1)));
        let upright: Vec<_> = upright.collect();
        level.into_iter().chain(upright).flatten().collect()
    }

    /// Passes between a row of tiles and the one above it, across the whole grid.
    fn level_seam(&self, below: usize) -> Vec<Spill> {
        let row = |tiles: usize, side: fn(&Outline) -> &Line| -> Vec<(f32, u32)> {
            let tiles = tiles * self.tiling.across()..(tiles + 1) * self.tiling.across();
            tiles.flat_map(|tile| self.line(tile, side)).collect()
        };
        let upper = if below > 0 { row(below - 1, |outline| &outline.south) } else { vec![] };
        let has_lower = below < self.tiling.down();
        let lower = if has_lower { row(below, |outline| &outline.north) } else { vec![] };
        join(&upper, &lower)
    }

    /// Passes between a tile and the one west of it.
    fn upright_seam(&self, row: usize, col: usize) -> Vec<Spill> {
        let tile = row * self.tiling.across() + col;
        let column = |tile: usize, side: fn(&Outline) -> &Line| self.line(tile, side).collect();
        let left: Vec<_> = if col > 0 { column(tile - 1, |outline| &outline.east) } else { vec![] };
        let has_right = col < self.tiling.across();
        let right = if has_right { column(tile, |outline| &outline.west) } else { vec![] };
        join(&left, &right)
    }

    fn line(
        &self,
        tile: usize,
        side: fn(&Outline) -> &Line,
    ) -> impl Iterator<Item = (f32, u32)> + '_ {
        let cells = side(&self.outlines[tile]).iter();
        cells.map(move |(level, label)| (*level, number(self.first[tile], u32::from(*label))))
    }
}

/// Passes between two lines of cells side by side; an empty one stands for ground beyond the grid.
fn join(left: &[(f32, u32)], right: &[(f32, u32)]) -> Vec<Spill> {
    let hole = (f32::NAN, OUTSIDE);
    let mut spills: Vec<Spill> = Vec::new();
    let length = left.len().max(right.len());
    for at in 0..length {
        let a = left.get(at).copied().unwrap_or(hole);
        for beside in at.saturating_sub(1)..(at + 2).min(length) {
            let b = right.get(beside).copied().unwrap_or(hole);
            // The greater of a number and NaN is the number: water leaves over the known cell.
            let (from, to, level) = (a.1.min(b.1), a.1.max(b.1), a.0.max(b.0));
            match spills.last_mut() {
                _ if from == to => {}
                Some(last) if (last.from, last.to) == (from, to) => {
                    last.level = last.level.min(level);
                }
                _ => spills.push(Spill { from, to, level }),
            }
        }
    }
    spills
}

/// For every label the lowest level at which water gets from it to [`OUTSIDE`], −∞ for that.
///
/// Labels are reached from outside, always over the lowest pass (Prim 1957, Shortest connection
/// networks and some generalizations).
fn lowest_ways_out(labels: usize, spills: &[Spill]) -> Vec<f32> {
    let (starts, passes) = by_label(labels, spills);
    let mut levels = vec![f32::NEG_INFINITY; labels];
    let mut reached = vec![false; labels];
    let mut rims = Rims::default();
    rims.push(f32::NEG_INFINITY, OUTSIDE);
    while let Some((water, label)) = rims.pop_lowest() {
        let label = label as usize;
        if std::mem::replace(&mut reached[label], true) {
            continue;
        }
        levels[label] = water;
        for &(beside, level) in &passes[starts[label]..starts[label + 1]] {
            if !reached[beside as usize] {
                rims.push(level.max(water), beside);
            }
        }
    }
    levels
}

/// The passes of every label in one list, and where those of each begin.
fn by_label(labels: usize, spills: &[Spill]) -> (Vec<usize>, Vec<(u32, f32)>) {
    let mut starts = vec![0; labels + 1];
    for spill in spills {
        starts[spill.from as usize + 1] += 1;
        starts[spill.to as usize + 1] += 1;
    }
    for label in 0..labels {
        starts[label + 1] += starts[label];
    }
    let mut next = starts.clone();
    let mut passes = vec![(OUTSIDE, 0.0); spills.len() * 2];
    for spill in spills {
        for (label, beside) in [(spill.from, spill.to), (spill.to, spill.from)] {
            let at = &mut next[label as usize];
            passes[*at] = (beside, spill.level);
            *at += 1;
        }
    }
    (starts, passes)
}
