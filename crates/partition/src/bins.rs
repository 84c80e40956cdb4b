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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::precision::turn;
    use crate::segment::Meeting;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn segment(from: (i64, i64), to: (i64, i64)) -> Segment {
        let point = |(x, y)| Point { x, y };
        Segment { from: point(from), to: point(to), source: 0 }
    }

    fn meet(a: &Segment, b: &Segment) -> bool {
        a.meeting(b) != Meeting::Apart
    }

    #[test]
    fn bins_are_as_wide_as_the_mean_extent() {
        // Extents of 30, 50 and 100 steps, whatever their direction.
        let segments =
            [segment((5, 5), (-25, 10)), segment((0, 0), (0, -50)), segment((-40, 7), (60, 90))];
        assert_eq!(Bins::size_for(&segments), 60);
        assert_eq!(Bins::size_for(&segments[..2]), 40);
        // Never narrower than 8 steps.
        assert_eq!(Bins::size_for(&[segment((0, 0), (3, 1))]), 8);
        assert_eq!(Bins::size_for(&[]), 8);
    }

    /// Whether a segment meets a rectangle, its sides included: their bounds overlap, and not all
    /// corners lie on one side of it.
    fn meets(s: &Segment, low: Point, high: Point) -> bool {
        let apart = |a: i64, b: i64, low: i64, high: i64| a.max(b) < low || a.min(b) > high;
        let corners = [(low.x, low.y), (high.x, low.y), (high.x, high.y), (low.x, high.y)];
        let sides = corners.map(|(x, y)| turn(s.from, s.to, Point { x, y }).signum());
        let beyond =
            apart(s.from.x, s.to.x, low.x, high.x) || apart(s.from.y, s.to.y, low.y, high.y);
        !(beyond || sides == [1; 4] || sides == [-1; 4])
    }

    fn near() -> impl Strategy<Value = Segment> {
        let end = || (-60_i64..60, -60_i64..60);
        (end(), end())
            .prop_map(|(from, to)| segment(from, to))
            .prop_filter("a length", |s| s.from != s.to)
    }

    proptest! {
        /// Slow twin: all bins around, each with the steps that it holds.
        #[test]
        fn the_bins_along_a_segment_are_those_within_a_step_and_few_more(
            s in near(), size in 8_i64..20,
        ) {
            let mut visited = Vec::new();
            each_bin_along(&s, size, |bin| visited.push(bin));
            let found: BTreeSet<Bin> = visited.iter().copied().collect();
            prop_assert_eq!(found.len(), visited.len(), "each once");
            for col in -12..12 {
                for row in -12..12 {
                    let (west, south) = (col * size, row * size);
                    let low = |more: i64| Point { x: west - more, y: south - more };
                    let high = |more: i64| Point { x: west + size + more, y: south + size + more };
                    let is_found = found.contains(&(col, row));
                    // The last step of a bin is one before the next begins.
                    prop_assert!(is_found || !meets(&s, low(1), high(0)), "{col} {row} missed");
                    prop_assert!(!is_found || meets(&s, low(2), high(2)), "{col} {row} too far");
                }
            }
        }

        /// Slow twin: every segment with every other.
        #[test]
        fn segments_that_meet_share_a_bin(
            segments in proptest::collection::vec(near(), 2..40), size in 8_i64..40,
            filed in 0_usize..40,
        ) {
            let of_pairs = |bins: Bins| {
                let pairs = bins.of_pairs(|i, j| {
                    let meets = meet(&segments[i as usize], &segments[j as usize]);
                    (i != j && meets).then_some((i.min(j), i.max(j)))
                });
                pairs.into_iter().collect::<BTreeSet<_>>()
            };
            let slow = |first: usize| {
                let all = 0..segments.len();
                all.clone().flat_map(|j| (0..j).map(move |i| (i, j)))
                    .filter(|(i, j)| *i < first && meet(&segments[*i], &segments[*j]))
                    .map(|(i, j)| (i as u32, j as u32))
                    .collect::<BTreeSet<_>>()
            };
            let all = of_pairs(Bins::of_segments(&segments, size));
            prop_assert_eq!(all, slow(segments.len()));
            // Of those that are filed beside others only such as meet one of these need be found.
            let filed = filed.min(segments.len());
            let (first, others) = segments.split_at(filed);
            let mut beside = of_pairs(Bins::of_segments(first, size).with_those_beside(others));
            beside.retain(|(i, _)| (*i as usize) < filed);
            prop_assert_eq!(beside, slow(filed));
        }

        /// Slow twins: every point by its coordinates.
        #[test]
        fn points_are_found_where_they_lie(
            points in proptest::collection::vec((-60_i64..60, -60_i64..60), 1..60),
            s in near(), size in 8_i64..20, at in (-60_i64..60, -60_i64..60),
        ) {
            let points: Vec<Point> = points.into_iter().map(|(x, y)| Point { x, y }).collect();
            let bins = Bins::of_points(&points, size);
            let bin = |p: Point| (p.x.div_euclid(size), p.y.div_euclid(size));
            let that = |wanted: &dyn Fn(Bin) -> bool| {
                let own = (0..points.len() as u32).filter(|i| wanted(bin(points[*i as usize])));
                own.collect::<Vec<_>>()
            };
            let mut along = BTreeSet::new();
            each_bin_along(&s, size, |bin| { along.insert(bin); });
            let mut found = Vec::new();
            bins.each_near(&s, |i| found.push(i));
            found.sort_unstable();
            prop_assert_eq!(found, that(&|bin| along.contains(&bin)));

            let (low, high) = s.ends_in_order();
            let (bottom, top) = (low.y.min(high.y), low.y.max(high.y));
            let (low, high) = (Point { x: low.x, y: bottom }, Point { x: high.x, y: top });
            let mut found = Vec::new();
            bins.each_within(low, high, |i| found.push(i));
            found.sort_unstable();
            let (first, last) = (bin(low), bin(high));
            let within = that(&|(col, row)| {
                (first.0..=last.0).contains(&col) && (first.1..=last.1).contains(&row)
            });
            prop_assert_eq!(found, within);

            let from = Point { x: at.0, y: at.1 };
            prop_assert_eq!(bins.bin_of(from), bin(from));
            let found: Vec<(Bin, u32)> = bins.downward(from).copied().collect();
            prop_assert!(found.windows(2).all(|pair| pair[0].0.1 >= pair[1].0.1), "from the top");
            let mut items: Vec<u32> = found.iter().map(|entry| entry.1).collect();
            items.sort_unstable();
            let (col, row) = bin(from);
            prop_assert_eq!(items, that(&|bin| bin.0 == col && bin.1 <= row));
        }
    }

    /// More segments than one thread files at a time, of either kind: a row of posts on each of two
    /// lines, every one of which meets its fellow of the other row and no other.
    #[test]
    fn segments_keep_their_numbers_however_many_there_are() {
        let count = 2 * CHUNK as i64 + 77;
        let post = |at: i64, south: i64| segment((20 * at, south), (20 * at, south + 12));
        let posts: Vec<Segment> = (0..count).map(|at| post(at, 0)).collect();
        // Those beside from the last to the first, then as many far off.
        let mut others: Vec<Segment> = (0..count).rev().map(|at| post(at, 10)).collect();
        others.extend((0..count).map(|at| post(at, 5_000)));
        let bins = Bins::of_segments(&posts, 16).with_those_beside(&others);
        let all: Vec<Segment> = posts.iter().chain(&others).copied().collect();
        let mut pairs = bins.of_pairs(|i, j| {
            meet(&all[i as usize], &all[j as usize]).then_some((i.min(j), i.max(j)))
        });
        pairs.sort_unstable();
        pairs.dedup();
        let count = count as u32;
        let expected: Vec<(u32, u32)> =
            (0..count).map(|at| (at, count + (count - 1 - at))).collect();
        assert_eq!(pairs, expected);
        // What is far off is not filed.
        assert!(bins.entries.iter().all(|entry| entry.1 < 2 * count));
    }
}
