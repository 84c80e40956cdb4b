//! A sparse grid of bins that finds what lies near a segment.

use rayon::prelude::*;

use crate::precision::Point;
use crate::segment::Segment;

/// A bin: column and row, in bin sizes from the origin.
pub(crate) type Bin = (i64, i64);

/// Segments that one thread files at a time.
const CHUNK: usize = 1 << 12;

/// Items sorted by the bins they lie in, column by column.
///
/// Bins are as wide as the mean segment, so that the entries grow with the items however the items
/// are spread; nothing is stored for an empty bin.
pub(crate) struct Bins {
    size: i64,
    entries: Vec<(Bin, u32)>,
}

impl Bins {
    /// A bin size that suits segments: their mean extent.
    pub(crate) fn size_for(segments: &[Segment]) -> i64 {
        let extent = |s: &Segment| (s.to.x - s.from.x).abs().max((s.to.y - s.from.y).abs());
        let total: i64 = segments.iter().map(extent).sum();
        (total / segments.len().max(1) as i64).max(8)
    }

    /// Files each segment under every bin that it passes.
    pub(crate) fn of_segments(segments: &[Segment], size: i64) -> Self {
        let filed = |(number, chunk): (usize, &[Segment])| {
            let mut entries = Vec::with_capacity(3 * chunk.len());
            for (item, segment) in (number * CHUNK..).zip(chunk) {
                each_bin_along(segment, size, |bin| entries.push((bin, item as u32)));
            }
            entries
        };
        let chunks = segments.par_chunks(CHUNK).enumerate();
        let mut entries: Vec<_> = chunks.flat_map_iter(filed).collect();
        entries.par_sort_unstable();
        Self { size, entries }
    }

    /// Files further segments, numbered after those that are filed, under the bins that are there.
    pub(crate) fn with_those_beside(mut self, segments: &[Segment]) -> Self {
        let mut bins: Vec<Bin> = self.entries.iter().map(|entry| entry.0).collect();
        bins.dedup();
        let first = self.entries.iter().map(|entry| entry.1 as usize + 1).max().unwrap_or(0);
        let filed = |(number, chunk): (usize, &[Segment])| {
            let mut entries = Vec::new();
            for (item, segment) in (first + number * CHUNK..).zip(chunk) {
                each_bin_along(segment, self.size, |bin| {
                    if bins.binary_search(&bin).is_ok() {
                        entries.push((bin, item as u32));
                    }
                });
            }
            entries
        };
        self.entries.par_extend(segments.par_chunks(CHUNK).enumerate().flat_map_iter(filed));
        self.entries.par_sort_unstable();
        self
    }

    /// Files each point under its bin.
    pub(crate) fn of_points(points: &[Point], size: i64) -> Self {
        let filed = |(item, p): (usize, &Point)| (bin_of(*p, size), item as u32);
        let mut entries: Vec<_> = points.par_iter().enumerate().map(filed).collect();
        entries.par_sort_unstable();
        Self { size, entries }
    }

    /// What is found of every two items that share a bin, in order; two that share several are looked
    /// at several times.
    pub(crate) fn of_pairs<T: Send>(&self, find: impl Fn(u32, u32) -> Option<T> + Sync) -> Vec<T> {
        let in_bin = |bin: &[(Bin, u32)]| {
            let mut found = Vec::new();
            for (i, (_, first)) in bin.iter().enumerate() {
                found.extend(bin[i + 1..].iter().filter_map(|(_, second)| find(*first, *second)));
            }
            found
        };
        self.entries.par_chunk_by(|a, b| a.0 == b.0).flat_map_iter(in_bin).collect()
    }

    /// Visits the items in every bin that a segment passes, or passes within one step of.
    pub(crate) fn each_near(&self, segment: &Segment, mut visit: impl FnMut(u32)) {
        each_bin_along(segment, self.size, |bin| {
            self.starting_at(bin).iter().take_while(|e| e.0 == bin).for_each(|e| visit(e.1));
        });
    }

    /// Visits the items in every bin of a rectangle.
    pub(crate) fn each_within(&self, low: Point, high: Point, mut visit: impl FnMut(u32)) {
        let (first, last) = (bin_of(low, self.size), bin_of(high, self.size));
        for col in first.0..=last.0 {
            let in_rows = |e: &&(Bin, u32)| e.0 <= (col, last.1);
            self.starting_at((col, first.1)).iter().take_while(in_rows).for_each(|e| visit(e.1));
        }
    }

    /// The entries of a point's bin and of those below it in its column, from the top down.
    pub(crate) fn downward(&self, p: Point) -> impl Iterator<Item = &(Bin, u32)> {
        let (col, row) = bin_of(p, self.size);
        let end = self.entries.partition_point(|e| e.0 <= (col, row));
        self.entries[..end].iter().rev().take_while(move |e| e.0.0 == col)
    }

    /// The bin that a point lies in.
    pub(crate) fn bin_of(&self, p: Point) -> Bin {
        bin_of(p, self.size)
    }

    fn starting_at(&self, bin: Bin) -> &[(Bin, u32)] {
        &self.entries[self.entries.partition_point(|e| e.0 < bin)..]
    }
}

fn bin_of(p: Point, size: i64) -> Bin {
    (p.x.div_euclid(size), p.y.div_euclid(size))
}

/// Visits every bin within one step of a segment, column by column.
fn each_bin_along(segment: &Segment, size: i64, mut visit: impl FnMut(Bin)) {
    let (low, high) = segment.ends_in_order();
    let (dx, dy) = (high.x - low.x, high.y - low.y);
    let height = |x: i64| low.y + ((x - low.x) * dy).div_euclid(dx.max(1));
    for col in (low.x - 1).div_euclid(size)..=(high.x + 1).div_euclid(size) {
        let west = (col * size - 1).clamp(low.x, high.x);
        let east = ((col + 1) * size + 1).clamp(low.x, high.x);
        let (start, end) = if dx == 0 { (low.y, high.y) } else { (height(west), height(east)) };
        let (bottom, top) = (start.min(end) - 1, start.max(end) + 2);
        for row in bottom.div_euclid(size)..=top.div_euclid(size) {
            visit((col, row));
        }
    }
}
