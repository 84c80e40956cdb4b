//! Slow, obvious checks on pieces, in whole millimetres.

use partition::{Layer, Partition, Piece, Polygon};
use std::collections::{BTreeMap, BTreeSet};

pub(crate) type Node = (i64, i64);

/// The rings of a polygon in millimetres, the shell first.
pub(crate) fn rings(polygon: &Polygon) -> Vec<Vec<Node>> {
    let millimetres = |ring: &Vec<[f64; 2]>| {
        ring.iter().map(|[x, y]| ((x * 1e3).round() as i64, (y * 1e3).round() as i64)).collect()
    };
    std::iter::once(&polygon.shell).chain(&polygon.holes).map(millimetres).collect()
}

fn polygons(pieces: &[Piece]) -> impl Iterator<Item = &Polygon> {
    pieces.iter().flat_map(|piece| &piece.polygons)
}

pub(crate) fn edges(ring: &[Node]) -> Vec<(Node, Node)> {
    (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])).collect()
}

fn turn(a: Node, b: Node, c: Node) -> i128 {
    let d = |p: i64, q: i64| i128::from(q - p);
    d(a.0, b.0) * d(a.1, c.1) - d(a.1, b.1) * d(a.0, c.0)
}

pub(crate) fn doubled_area(ring: &[Node]) -> i128 {
    edges(ring).iter().map(|&(p, q)| turn(ring[0], p, q)).sum()
}

/// Whether a node lies on an edge, its ends left out.
fn lies_inside(p: Node, (a, b): (Node, Node)) -> bool {
    let between = |u: i64, v: i64, w: i64| (u.min(w)..=u.max(w)).contains(&v);
    p != a && p != b && turn(a, b, p) == 0 && between(a.0, p.0, b.0) && between(a.1, p.1, b.1)
}

fn cross(e: (Node, Node), f: (Node, Node)) -> bool {
    let sides = |(a, b): (Node, Node), (c, d): (Node, Node)| {
        turn(a, b, c).signum() * turn(a, b, d).signum() < 0
    };
    sides(e, f) && sides(f, e)
}

fn inside(ring: &[Node], p: Node) -> bool {
    let mut odd = false;
    for (a, b) in edges(ring) {
        let (low, high) = if a.1 < b.1 { (a, b) } else { (b, a) };
        if low.1 <= p.1 && p.1 < high.1 && turn(low, high, p) > 0 {
            odd = !odd;
        }
    }
    odd
}

/// A ring passes no node twice, meets itself nowhere, and encloses something.
fn check_ring(ring: &[Node]) {
    assert!(ring.len() >= 3, "{ring:?}");
    assert_eq!(ring.iter().collect::<BTreeSet<_>>().len(), ring.len(), "a node twice: {ring:?}");
    for e in edges(ring) {
        for f in edges(ring) {
            assert!(!cross(e, f), "{e:?} crosses {f:?}");
            assert!(!lies_inside(e.0, f), "{:?} lies on {f:?}", e.0);
        }
    }
}

/// Shell counter-clockwise, holes clockwise and inside it, rings touching at single nodes, and no
/// way of touching rings that parts the interior.
fn check_polygon(polygon: &Polygon) {
    let rings = rings(polygon);
    for ring in &rings {
        check_ring(ring);
    }
    assert!(doubled_area(&rings[0]) > 0, "the shell runs clockwise");
    let mut group: Vec<usize> = (0..rings.len()).collect();
    let find = |group: &[usize], mut i: usize| {
        while group[i] != i {
            i = group[i];
        }
        i
    };
    let mut passed: BTreeMap<Node, usize> = BTreeMap::new();
    for (i, ring) in rings.iter().enumerate() {
        if i > 0 {
            assert!(doubled_area(ring) < 0, "a hole runs counter-clockwise");
            let free = ring.iter().find(|n| !rings[0].contains(n));
            assert!(free.is_some_and(|n| inside(&rings[0], *n)), "a hole lies outside");
            for other in &rings[1..] {
                if let Some(node) = ring.iter().find(|n| !other.contains(n)) {
                    assert!(!inside(other, *node), "a hole in a hole");
                }
            }
        }
        // touching rings may not form a cycle: each touch joins two groups
        let mut joined = BTreeSet::new();
        for node in ring {
            if let Some(&other) = passed.get(node) {
                let (a, b) = (find(&group, i), find(&group, other));
                if joined.insert((*node, b)) {
                    assert_ne!(a, b, "the interior is parted at {node:?}");
                }
                group[a] = b;
            }
            passed.insert(*node, i);
        }
    }
}

/// Every ring is valid; each edge is used once in each direction, or once against nothing; edges of
/// all pieces meet in shared nodes alone. So there is no overlap, and no gap but what was dropped.
pub(crate) fn check_coverage(pieces: &[Piece]) {
    polygons(pieces).for_each(check_polygon);
    let all: Vec<_> = polygons(pieces).flat_map(rings).collect();
    let every: Vec<_> = all.iter().flat_map(|ring| edges(ring)).collect();
    let distinct: BTreeSet<_> = every.iter().copied().collect();
    assert_eq!(every.len(), distinct.len(), "an edge is used twice in one direction");
    let nodes: BTreeSet<_> = all.iter().flatten().copied().collect();
    for e in &distinct {
        for f in &distinct {
            assert!(!cross(*e, *f), "{e:?} crosses {f:?}");
        }
        for node in &nodes {
            assert!(
                !lies_inside(*node, *e),
                "{node:?} lies on {e:?}, whose piece does not know it"
            );
        }
    }
}

/// Twice the area of each key, in mm².
pub(crate) fn doubled_areas(parted: &Partition) -> BTreeMap<u64, i128> {
    let area = |p: &Polygon| rings(p).iter().map(|r| doubled_area(r)).sum::<i128>();
    parted.pieces.iter().map(|p| (p.key, p.polygons.iter().map(area).sum())).collect()
}

/// Whether a polygon layer covers a place: inside a shell and in none of that polygon's holes.
pub(crate) fn covers(layer: &Layer, [x, y]: [f64; 2]) -> bool {
    let within = |ring: &Vec<[f64; 2]>| {
        let mut odd = false;
        for i in 0..ring.len() {
            let ([x0, y0], [x1, y1]) = (ring[i], ring[(i + 1) % ring.len()]);
            if (y0 <= y) != (y1 <= y) && x < x0 + (y - y0) / (y1 - y0) * (x1 - x0) {
                odd = !odd;
            }
        }
        odd
    };
    layer.polygons.iter().any(|p| within(&p.shell) && !p.holes.iter().any(within))
}

/// The key of the piece over a place.
pub(crate) fn key_at(parted: &Partition, at: [f64; 2]) -> Option<u64> {
    let over = |piece: &&Piece| covers(&Layer { polygons: piece.polygons.clone() }, at);
    let mut found = parted.pieces.iter().filter(over);
    let first = found.next().map(|piece| piece.key);
    assert!(found.next().is_none(), "two pieces over {at:?}");
    first
}

/// Whether a point lies so near an edge that rounding decides its side.
pub(crate) fn near_edge(polygon: &Polygon, [x, y]: [f64; 2]) -> bool {
    std::iter::once(&polygon.shell).chain(&polygon.holes).any(|ring| {
        (0..ring.len()).any(|i| {
            let ([x0, y0], [x1, y1]) = (ring[i], ring[(i + 1) % ring.len()]);
            let (dx, dy) = (x1 - x0, y1 - y0);
            let t = (((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
            (x - x0 - t * dx).hypot(y - y0 - t * dy) < 2e-3
        })
    })
}
