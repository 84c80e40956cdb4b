//! Snap rounding: linework cut where it meets, with every cut on the precision grid.
//!
//! The pixel around each end and each crossing is hot; a segment is led through the centre of every
//! hot pixel that it enters. What comes out meets only in shared nodes, no node has moved by more
//! than half a step, and no segment has passed over a node.
//!
//! # References
//! Hobby 1999, Practical segment intersection with finite precision output; Guibas & Marimont 1998,
//! Rounding arrangements dynamically; de Berg, Halperin & Overmars 2007, An intersection-sensitive
//! algorithm for snap rounding.

use rayon::prelude::*;

use crate::bins::Bins;
use crate::precision::Point;
use crate::segment::{Meeting, Segment};

/// A piece of a segment between two neighbouring hot pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Fragment {
    /// The western, or else southern, end.
    pub(crate) low: Point,
    pub(crate) high: Point,
    pub(crate) source: u32,
    /// Whether the source runs from `low` to `high`.
    pub(crate) forward: bool,
}

/// Cuts segments (none of zero length) wherever they meet.
///
/// Takes time near-linear in the segments and crossings, when few segments share a bin; all cores.
pub(crate) fn node(segments: &[Segment]) -> Vec<Fragment> {
    let size = Bins::size_for(segments);
    let hot = hot_pixels(segments, size);
    let bins = Bins::of_points(&hot, size);
    let cut = |chunk: &[Segment]| {
        let mut fragments = Vec::with_capacity(2 * chunk.len());
        let mut stops = Vec::new();
        for segment in chunk {
            stops.clear();
            bins.each_near(segment, |pixel| {
                let centre = hot[pixel as usize];
                if segment.enters_pixel(centre) {
                    stops.push(centre);
                }
            });
            sort_along(segment, &mut stops);
            fragments.extend(stops.windows(2).map(|w| Fragment::new(w[0], w[1], segment.source)));
        }
        fragments
    };
    segments.par_chunks(CHUNK).flat_map_iter(cut).collect()
}

/// Segments that one thread cuts at a time.
const CHUNK: usize = 1 << 12;

impl Fragment {
    fn new(from: Point, to: Point, source: u32) -> Self {
        Self { low: from.min(to), high: from.max(to), source, forward: from < to }
    }
}

/// The ends of all segments and their crossings, rounded; sorted, each once.
fn hot_pixels(segments: &[Segment], size: i64) -> Vec<Point> {
    let mut hot: Vec<Point> = segments.iter().flat_map(|s| [s.from, s.to]).collect();
    hot.extend(Bins::of_segments(segments, size).of_pairs(|i, j| {
        let (a, b) = (&segments[i as usize], &segments[j as usize]);
        (a.meeting(b) == Meeting::Crossing).then(|| a.rounded_crossing(b))
    }));
    hot.par_sort_unstable();
    hot.dedup();
    hot
}

/// Sorts pixel centres in the order a segment enters them: that of their projections on it, since
/// along a segment neither coordinate of the pixels ever turns back.
fn sort_along(segment: &Segment, stops: &mut [Point]) {
    let (dx, dy) = (segment.to.x - segment.from.x, segment.to.y - segment.from.y);
    stops.sort_unstable_by_key(|p| p.x * dx.signum() + p.y * dy.signum());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::precision::turn;
    use proptest::prelude::*;

    fn segment(from: (i64, i64), to: (i64, i64), source: u32) -> Segment {
        let point = |(x, y)| Point { x, y };
        Segment { from: point(from), to: point(to), source }
    }

    /// Whether two fragments meet other than in shared ends or by being equal, the slow way.
    fn badly_met(a: &Fragment, b: &Fragment) -> bool {
        let as_segment = |f: &Fragment| Segment { from: f.low, to: f.high, source: 0 };
        (a.low, a.high) != (b.low, b.high)
            && matches!(
                as_segment(a).meeting(&as_segment(b)),
                Meeting::Crossing | Meeting::Touching
            )
    }

    fn linework(extent: i64, most: usize) -> impl Strategy<Value = Vec<Segment>> {
        let point = (-extent..extent, -extent..extent);
        proptest::collection::vec((point.clone(), point), 1..most).prop_map(|pairs| {
            let made = |(i, (from, to))| segment(from, to, i as u32);
            let mut all: Vec<_> = pairs.into_iter().enumerate().map(made).collect();
            all.retain(|s| s.from != s.to);
            all
        })
    }

    /// The pixels of a segment that a slow search over all pixels finds.
    fn slow_stops(s: &Segment, hot: &[Point]) -> Vec<Point> {
        let mut stops: Vec<_> = hot.iter().copied().filter(|&p| s.enters_pixel(p)).collect();
        let (dx, dy) = (s.to.x - s.from.x, s.to.y - s.from.y);
        stops.sort_by_key(|p| (p.x - s.from.x) * dx + (p.y - s.from.y) * dy);
        stops
    }

    fn slow_hot(segments: &[Segment]) -> Vec<Point> {
        let mut hot: Vec<_> = segments.iter().flat_map(|s| [s.from, s.to]).collect();
        for (i, a) in segments.iter().enumerate() {
            for b in &segments[..i] {
                if a.meeting(b) == Meeting::Crossing {
                    hot.push(a.rounded_crossing(b));
                }
            }
        }
        hot.sort_unstable();
        hot.dedup();
        hot
    }

    fn check(segments: &[Segment]) -> Result<(), TestCaseError> {
        let fragments = node(segments);
        let hot = slow_hot(segments);
        let mut rest = fragments.as_slice();
        for s in segments {
            let stops = slow_stops(s, &hot);
            prop_assert_eq!(stops.first(), Some(&s.from));
            prop_assert_eq!(stops.last(), Some(&s.to));
            let (own, others) = rest.split_at(stops.len() - 1);
            let expected: Vec<_> =
                stops.windows(2).map(|w| Fragment::new(w[0], w[1], s.source)).collect();
            prop_assert_eq!(own, &expected[..]);
            rest = others;
        }
        prop_assert!(rest.is_empty());
        for (i, a) in fragments.iter().enumerate() {
            for b in &fragments[..i] {
                prop_assert!(!badly_met(a, b), "{a:?} {b:?}");
            }
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]
        #[test]
        fn crowded_linework_meets_only_in_nodes(segments in linework(12, 14)) {
            check(&segments)?;
        }

        #[test]
        fn wide_linework_meets_only_in_nodes(segments in linework(1 << 29, 40)) {
            check(&segments)?;
        }

        #[test]
        fn middling_linework_meets_only_in_nodes(segments in linework(300, 40)) {
            check(&segments)?;
        }
    }

    #[test]
    fn a_cross_of_two_segments_is_cut_in_the_middle() {
        let fragments = node(&[segment((0, 0), (10, 10), 0), segment((0, 10), (10, 0), 1)]);
        assert_eq!(fragments.len(), 4);
        assert!(fragments.iter().all(|f| [f.low, f.high].contains(&Point { x: 5, y: 5 })));
        assert_eq!(turn(fragments[0].low, fragments[0].high, fragments[1].high), 0);
    }

    #[test]
    fn fifty_thousand_segments_with_a_far_one_are_noded() {
        // a net of 158 × 158 meshes, each with both diagonals, and one segment far off
        let (side, mesh) = (158_i64, 1000);
        let mut segments = vec![segment((-500_000_000, -7), (-499_999_000, 9), 0)];
        for i in 0..side * side {
            let (x, y) = (i % side * mesh, i / side * mesh);
            segments.push(segment((x, y), (x + mesh, y + mesh), 1));
            segments.push(segment((x, y + mesh), (x + mesh, y), 2));
        }
        assert_eq!(segments.len(), 49_929);
        assert_eq!(node(&segments).len(), 2 * 49_928 + 1);
    }
}
