//! Where rings of polygons cross: every pair of edges that may meet, found by an R-tree.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line, MultiPolygon};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// A place where rings meet that must not.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Crossing {
    /// Which ring, for a person.
    pub(super) ring: String,
    /// The other ring, when it is another.
    pub(super) other: Option<String>,
    /// First vertex of each of the two edges, counted from 1 in its ring.
    pub(super) vertices: (usize, usize),
    /// Where.
    pub(super) at: (f64, f64),
}

struct Edge {
    polygon: usize,
    ring: usize,
    /// Position among the ring's edges of some length, and their number.
    place: usize,
    of: usize,
    /// First vertex, from 1.
    vertex: usize,
    line: Line<f64>,
}

/// The first crossing in the order of the vertices; rings may touch other rings in points.
///
/// Cost: O(n log n) for rings that do not crowd.
pub(super) fn first_crossing(shape: &MultiPolygon<f64>) -> Option<Crossing> {
    let edges = edges_of(shape);
    let tree = RTree::bulk_load(
        edges
            .iter()
            .enumerate()
            .map(|(at, edge)| GeomWithData::new(frame(&edge.line), at))
            .collect(),
    );
    edges.iter().enumerate().find_map(|(at, edge)| {
        let near = envelope(&edge.line);
        tree.locate_in_envelope_intersecting(&near)
            .map(|found| found.data)
            .filter(|other| *other > at)
            .filter_map(|other| Some((other, fault(edge, &edges[other])?)))
            .min_by_key(|(other, _)| *other)
            .map(|(other, place)| describe(edge, &edges[other], place))
    })
}

fn edges_of(shape: &MultiPolygon<f64>) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (polygon, area) in shape.iter().enumerate() {
        let rings = std::iter::once(area.exterior()).chain(area.interiors());
        for (ring, outline) in rings.enumerate() {
            let lines = || outline.lines().enumerate().filter(|(_, line)| line.start != line.end);
            let of = lines().count();
            edges.extend(lines().enumerate().map(|(place, (vertex, line))| Edge {
                polygon,
                ring,
                place,
                of,
                vertex: vertex + 1,
                line,
            }));
        }
    }
    edges
}

fn envelope(line: &Line<f64>) -> AABB<[f64; 2]> {
    AABB::from_corners([line.start.x, line.start.y], [line.end.x, line.end.y])
}

fn frame(line: &Line<f64>) -> Rectangle<[f64; 2]> {
    Rectangle::from_aabb(envelope(line))
}

/// Where two edges meet against the rules.
fn fault(one: &Edge, two: &Edge) -> Option<Coord<f64>> {
    let met = line_intersection(one.line, two.line)?;
    let same_ring = (one.polygon, one.ring) == (two.polygon, two.ring);
    let gap = two.place - one.place.min(two.place);
    let neighbours = same_ring && (gap == 1 || gap + 1 == one.of);
    match met {
        LineIntersection::Collinear { intersection } => (intersection.start != intersection.end
            || (same_ring && !neighbours))
            .then_some(intersection.start),
        LineIntersection::SinglePoint { intersection, is_proper } => {
            (is_proper || (same_ring && !neighbours)).then_some(intersection)
        }
    }
}

fn describe(one: &Edge, two: &Edge, at: Coord<f64>) -> Crossing {
    let name = |edge: &Edge| match edge.ring {
        0 => format!("outer ring of part {}", edge.polygon + 1),
        hole => format!("hole {hole} of part {}", edge.polygon + 1),
    };
    let (ring, other) = (name(one), name(two));
    Crossing {
        other: (other != ring).then_some(other),
        ring,
        vertices: (one.vertex, two.vertex),
        at: (at.x, at.y),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{LineString, Polygon, polygon};
    use proptest::prelude::*;

    fn one(polygon: Polygon<f64>) -> Option<Crossing> {
        first_crossing(&MultiPolygon(vec![polygon]))
    }

    #[test]
    fn a_bow_tie_is_found_with_its_place() {
        let tie = polygon![(x: 0., y: 0.), (x: 10., y: 10.), (x: 10., y: 0.), (x: 0., y: 10.)];
        let found = one(tie).unwrap();
        assert_eq!(found.at, (5.0, 5.0));
        assert_eq!(found.vertices, (1, 3));
        assert_eq!(found.other, None);
    }

    #[test]
    fn spikes_touches_and_overlapping_holes_are_found() {
        let spike = polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 20., y: 0.), (x: 9., y: 0.),
            (x: 9., y: 9.)];
        assert!(one(spike).is_some());
        let pinched = polygon![(x: 0., y: 0.), (x: 4., y: 0.), (x: 2., y: 2.), (x: 4., y: 4.),
            (x: 0., y: 4.), (x: 2., y: 2.)];
        assert!(one(pinched).is_some());
        let hole = polygon! {
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
            interiors: [[(x: 5., y: 5.), (x: 12., y: 5.), (x: 5., y: 7.)]],
        };
        assert!(one(hole).unwrap().other.is_some());
    }

    #[test]
    fn sound_shapes_pass_even_with_a_hole_that_touches_and_doubled_vertices() {
        let shape = polygon! {
            exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
            interiors: [[(x: 0., y: 5.), (x: 5., y: 4.), (x: 5., y: 6.)]],
        };
        assert_eq!(one(shape), None);
        assert_eq!(one(polygon![(x: 0., y: 0.), (x: 1., y: 0.), (x: 0., y: 1.)]), None);
    }

    proptest! {
        #[test]
        fn agrees_with_comparing_every_pair(
            points in proptest::collection::vec((0..12_i32, 0..12_i32), 3..14)
        ) {
            let ring: Vec<_> = points.iter().map(|(x, y)| (f64::from(*x), f64::from(*y))).collect();
            let shape = MultiPolygon(vec![Polygon::new(LineString::from(ring), vec![])]);
            let edges = edges_of(&shape);
            let slow = (0..edges.len()).any(|i| {
                (i + 1..edges.len()).any(|j| fault(&edges[i], &edges[j]).is_some())
            });
            prop_assert_eq!(first_crossing(&shape).is_some(), slow);
        }
    }
}
