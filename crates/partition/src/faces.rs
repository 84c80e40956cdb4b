//! The faces of a plane graph, found by walking round them.

use crate::bins::Bins;
use crate::precision::{Point, turn};
use crate::segment::Segment;

/// The face that reaches to infinity.
pub(crate) const UNBOUNDED: u32 = 0;

/// Faces of a graph whose edges meet only in nodes. A dangling edge or a bridge has the same face on
/// both sides.
///
/// Edge `e` from `u` to `v` is two half-edges: `2e` runs from `u` to `v`, `2e + 1` back. Each has
/// its face on the left, so outer borders are walked counter-clockwise and inner ones clockwise.
pub(crate) struct Faces {
    next: Vec<u32>,
    face: Vec<u32>,
    borders: Vec<Vec<u32>>,
    doubled_areas: Vec<i128>,
}

/// The half-edge that runs the other way.
pub(crate) fn twin(half_edge: u32) -> u32 {
    half_edge ^ 1
}

/// The node that a half-edge leaves.
pub(crate) fn origin(edges: &[[u32; 2]], half_edge: u32) -> u32 {
    edges[half_edge as usize / 2][half_edge as usize % 2]
}

impl Faces {
    /// Finds the faces; nodes are sorted, and each edge names its lower node first.
    pub(crate) fn new(nodes: &[Point], edges: &[[u32; 2]]) -> Self {
        let next = next_around_faces(nodes, edges);
        let mut faces = Self {
            face: vec![UNBOUNDED; next.len()],
            next,
            borders: vec![Vec::new()],
            doubled_areas: vec![0],
        };
        let inner = faces.take_outer_borders(nodes, edges);
        faces.attach_inner_borders(nodes, edges, inner);
        faces
    }

    /// The number of faces, the unbounded one included.
    pub(crate) fn count(&self) -> usize {
        self.borders.len()
    }

    /// The face on the left of a half-edge.
    pub(crate) fn left_of(&self, half_edge: u32) -> u32 {
        self.face[half_edge as usize]
    }

    /// Twice the area of a face in steps²; not that of the plane for the unbounded one.
    pub(crate) fn doubled_area(&self, face: u32) -> i128 {
        self.doubled_areas[face as usize]
    }

    /// One half-edge of each border of a face, the outer border first if it has one.
    pub(crate) fn borders(&self, face: u32) -> &[u32] {
        &self.borders[face as usize]
    }

    /// Once round a border.
    pub(crate) fn around(&self, start: u32) -> impl Iterator<Item = u32> {
        let onward = move |&h: &u32| Some(self.next[h as usize]).filter(|&n| n != start);
        std::iter::successors(Some(start), onward)
    }

    /// Every half-edge with a face on its left.
    pub(crate) fn half_edges(&self, face: u32) -> impl Iterator<Item = u32> {
        self.borders(face).iter().flat_map(|&start| self.around(start))
    }

    fn attach(&mut self, start: u32, face: u32, doubled_area: i128) {
        self.borders[face as usize].push(start);
        self.doubled_areas[face as usize] += doubled_area;
        let mut half_edge = start;
        loop {
            self.face[half_edge as usize] = face;
            half_edge = self.next[half_edge as usize];
            if half_edge == start {
                return;
            }
        }
    }

    /// Makes a face of each counter-clockwise border; returns the others, one for each connected
    /// component, in the order of their lowest nodes.
    fn take_outer_borders(&mut self, nodes: &[Point], edges: &[[u32; 2]]) -> Vec<InnerBorder> {
        let mut inner = Vec::new();
        let mut seen = vec![false; self.next.len()];
        for start in 0..self.next.len() as u32 {
            if seen[start as usize] {
                continue;
            }
            let (mut doubled_area, mut lowest) = (0, u32::MAX);
            for half_edge in self.around(start) {
                seen[half_edge as usize] = true;
                let from = origin(edges, half_edge);
                lowest = lowest.min(from);
                let (p, q) = (nodes[from as usize], nodes[origin(edges, twin(half_edge)) as usize]);
                doubled_area += i128::from(p.x * q.y - p.y * q.x);
            }
            if doubled_area > 0 {
                let face = self.count() as u32;
                self.borders.push(Vec::new());
                self.doubled_areas.push(0);
                self.attach(start, face, doubled_area);
            } else {
                inner.push(InnerBorder { start, doubled_area, lowest });
            }
        }
        inner.sort_by_key(|border| border.lowest);
        inner
    }

    /// Gives each component to the face that its lowest node lies in. The edge below that node is
    /// of a component with a lower node still, so its face is known by then.
    fn attach_inner_borders(
        &mut self,
        nodes: &[Point],
        edges: &[[u32; 2]],
        inner: Vec<InnerBorder>,
    ) {
        let mut below = None;
        for (position, border) in inner.into_iter().enumerate() {
            let mut face = UNBOUNDED;
            if position > 0 {
                let below = below.get_or_insert_with(|| Below::new(nodes, edges));
                let edge = below.nearest(nodes[border.lowest as usize]);
                face = edge.map_or(UNBOUNDED, |edge| self.left_of(2 * edge));
            }
            self.attach(border.start, face, border.doubled_area);
        }
    }
}

/// A clockwise border: the outside of a connected component.
struct InnerBorder {
    start: u32,
    doubled_area: i128,
    lowest: u32,
}

/// For each half-edge the one that follows it round the face on its left: at the node it reaches,
/// the first one clockwise from its own twin.
fn next_around_faces(nodes: &[Point], edges: &[[u32; 2]]) -> Vec<u32> {
    // Half-edges by the node they leave: those of node n from first[n] to first[n + 1].
    let mut first = vec![0_u32; nodes.len() + 2];
    for node in edges.iter().flatten() {
        first[*node as usize + 2] += 1;
    }
    for node in 2..first.len() {
        first[node] += first[node - 1];
    }
    let mut leaving = vec![0_u32; 2 * edges.len()];
    for half_edge in 0..2 * edges.len() as u32 {
        let place = &mut first[origin(edges, half_edge) as usize + 1];
        leaving[*place as usize] = half_edge;
        *place += 1;
    }
    let mut next = vec![0; leaving.len()];
    for (node, fan) in nodes.iter().zip(first.windows(2)) {
        let fan = &mut leaving[fan[0] as usize..fan[1] as usize];
        let end = |half_edge: u32| nodes[origin(edges, twin(half_edge)) as usize];
        fan.sort_unstable_by(|&a, &b| counter_clockwise(*node, end(a), end(b)));
        for (i, &half_edge) in fan.iter().enumerate() {
            let clockwise = if i == 0 { fan[fan.len() - 1] } else { fan[i - 1] };
            next[twin(half_edge) as usize] = clockwise;
        }
    }
    next
}

/// Compares the bearings from a node to two others, counter-clockwise from south to south.
fn counter_clockwise(centre: Point, a: Point, b: Point) -> std::cmp::Ordering {
    // lexicographically greater: from just after south round by east to north
    let western = |p: Point| p < centre;
    western(a).cmp(&western(b)).then_with(|| 0.cmp(&turn(centre, a, b)))
}

/// Finds the edge straight below a point.
struct Below {
    bins: Bins,
    segments: Vec<Segment>,
}

impl Below {
    fn new(nodes: &[Point], edges: &[[u32; 2]]) -> Self {
        let segment = |&[low, high]: &[u32; 2]| Segment {
            from: nodes[low as usize],
            to: nodes[high as usize],
            source: 0,
        };
        let segments: Vec<_> = edges.iter().map(segment).collect();
        let bins = Bins::of_segments(&segments, Bins::size_for(&segments));
        Self { bins, segments }
    }

    /// The highest edge that passes below a point, or below just east of it.
    fn nearest(&self, p: Point) -> Option<u32> {
        let mut best: Option<(Height, i64, u32)> = None;
        for &((_, row), edge) in self.bins.downward(p) {
            if best.as_ref().is_some_and(|(_, best_row, _)| row < *best_row) {
                break;
            }
            let segment = &self.segments[edge as usize];
            if let Some(height) = Height::of(segment, p)
                && best.as_ref().is_none_or(|(highest, ..)| *highest < height)
            {
                let row = self.bins.bin_of(Point { x: p.x, y: height.floor() }).1;
                best = Some((height, row, edge));
            }
        }
        best.map(|(.., edge)| edge)
    }
}

/// The height of an edge at an easting, and its slope there: exact fractions over one divisor.
#[derive(PartialEq, Eq)]
struct Height {
    scaled: i64,
    rise: i64,
    run: i64,
}

impl Height {
    /// The height at a point's easting, if the edge spans it (its eastern end left out) and lies below.
    fn of(segment: &Segment, p: Point) -> Option<Self> {
        let (low, high) = segment.ends_in_order();
        let below = low.x <= p.x && p.x < high.x && turn(low, high, p) > 0;
        let (rise, run) = (high.y - low.y, high.x - low.x);
        below.then(|| Self { scaled: low.y * run + (p.x - low.x) * rise, rise, run })
    }

    fn floor(&self) -> i64 {
        self.scaled.div_euclid(self.run)
    }
}

impl PartialOrd for Height {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Height {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let product = |a: i64, b: i64| i128::from(a) * i128::from(b);
        product(self.scaled, other.run)
            .cmp(&product(other.scaled, self.run))
            .then_with(|| product(self.rise, other.run).cmp(&product(other.rise, self.run)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Edges of axis-parallel squares given by their south-western corner and size.
    fn squares(sizes: &[(i64, i64, i64)]) -> (Vec<Point>, Vec<[u32; 2]>) {
        let corners = |&(x, y, s): &(i64, i64, i64)| {
            [(x, y), (x + s, y), (x + s, y + s), (x, y + s)].map(|(x, y)| Point { x, y })
        };
        let mut nodes: Vec<_> = sizes.iter().flat_map(corners).collect();
        nodes.sort_unstable();
        nodes.dedup();
        let at = |p: Point| nodes.binary_search(&p).unwrap() as u32;
        let mut edges = Vec::new();
        for square in sizes {
            let ring = corners(square);
            for i in 0..4 {
                let (a, b) = (at(ring[i]), at(ring[(i + 1) % 4]));
                edges.push([a.min(b), a.max(b)]);
            }
        }
        edges.sort_unstable();
        edges.dedup();
        (nodes, edges)
    }

    #[test]
    fn a_square_in_a_hole_of_a_square_is_three_faces() {
        let (nodes, edges) = squares(&[(0, 0, 10), (2, 2, 6), (4, 4, 2), (20, 0, 1)]);
        let faces = Faces::new(&nodes, &edges);
        let mut areas: Vec<_> = (0..faces.count() as u32).map(|f| faces.doubled_area(f)).collect();
        areas.sort_unstable();
        assert_eq!(areas, [-202, 2, 8, 64, 128]);
        assert_eq!(faces.borders(UNBOUNDED).len(), 2);
    }

    #[test]
    fn squares_that_touch_at_a_corner_are_one_component() {
        let (nodes, edges) = squares(&[(0, 0, 1), (1, 1, 1)]);
        let faces = Faces::new(&nodes, &edges);
        assert_eq!(faces.count(), 3);
        assert_eq!(faces.borders(UNBOUNDED).len(), 1);
        assert_eq!(faces.half_edges(UNBOUNDED).count(), 8);
    }

    #[test]
    fn dangling_edges_and_bridges_have_one_face_on_both_sides() {
        let (mut nodes, mut edges) = squares(&[(0, 0, 10), (4, 4, 2)]);
        // a bridge from the outer square to the inner one, and a twig that hangs free in it
        nodes.extend([Point { x: 50, y: 0 }, Point { x: 51, y: 1 }]);
        let at = |x, y| nodes.binary_search(&Point { x, y }).unwrap() as u32;
        let loose = [[at(0, 0), at(4, 4)], [at(50, 0), at(51, 1)]];
        edges.extend(loose);
        edges.sort_unstable();
        let faces = Faces::new(&nodes, &edges);
        let areas: Vec<_> = (0..faces.count() as u32).map(|f| faces.doubled_area(f)).collect();
        assert_eq!(areas, [-200, 192, 8]);
        assert_eq!([1, 2].map(|face| faces.borders(face).len()), [1, 1]);
        for ends in loose {
            let edge = edges.binary_search(&ends).unwrap() as u32;
            assert_eq!(faces.left_of(2 * edge), faces.left_of(2 * edge + 1));
        }
    }

    #[test]
    fn no_edges_leave_one_face() {
        let faces = Faces::new(&[], &[]);
        assert_eq!((faces.count(), faces.half_edges(UNBOUNDED).count()), (1, 0));
    }
}
