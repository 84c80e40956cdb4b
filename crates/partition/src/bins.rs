//! A sparse grid of bins that finds what lies near a segment.

use crate::precision::Point;
use crate::segment::Segment;

/// A bin: column and row, in bin sizes from the origin.
pub(crate) type Bin = (i64, i64);

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
        let mut entries = Vec::with_capacity(3 * segments.len());
        for (item, segment) in segments.iter().enumerate() {
            each_bin_along(segment, size, |bin| entries.push((bin, item as u32)));
        }
        entries.sort_unstable();
        Self { size, entries }
    }

    /// Files each point under its bin.
    pub(crate) fn of_points(points: &[Point], size: i64) -> Self {
        let filed = |(item, p): (usize, &Point)| (bin_of(*p, size), item as u32);
        let mut entries: Vec<_> = points.iter().enumerate().map(filed).collect();
        entries.sort_unstable();
        Self { size, entries }
    }

    /// Visits every two items that share a bin; two that share several are visited several times.
    pub(crate) fn each_pair(&self, mut visit: impl FnMut(u32, u32)) {
        for bin in self.entries.chunk_by(|a, b| a.0 == b.0) {
            for (i, (_, first)) in bin.iter().enumerate() {
                bin[i + 1..].iter().for_each(|(_, second)| visit(*first, *second));
            }
        }
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
