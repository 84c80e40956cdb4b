//! Laws of a partition, on random labels and random surveyed lines, against slow and obvious checks.

#![expect(clippy::unwrap_used, reason = "a failed test may panic")]

mod oracle;

use oracle::{Node, check_coverage, covers, doubled_area, doubled_areas, key_at, near_edge, rings};
use partition::{
    Lattice, Layer, Partition, Piece, Place, Polygon, SliverRule, cell_fractions, partition,
    snapped,
};
use proptest::prelude::*;
use std::collections::BTreeMap;

const WEST: f64 = 1_800_000.0;
const NORTH: f64 = 5_600_000.0;

fn lattice(cols: u32, rows: u32) -> Lattice {
    Lattice { cols, rows, west: WEST, north: NORTH, cell_width: 2.0, cell_height: 2.0 }
}

/// A lattice side and labels; three labels in speckle or in patches.
fn labelled(most: u32) -> impl Strategy<Value = (Lattice, Vec<u32>)> {
    (1..=most, 1..=most, 1_u32..=4).prop_flat_map(|(cols, rows, patch)| {
        let cells = proptest::collection::vec(0_u32..3, (cols * rows) as usize);
        cells.prop_map(move |coarse| {
            let at = |i: u32| coarse[((i / cols / patch) * cols + (i % cols) / patch) as usize];
            (lattice(cols, rows), (0..cols * rows).map(at).collect())
        })
    })
}

/// A star-shaped polygon about the lattice, with a hole when there is room.
fn star(reach: f64) -> impl Strategy<Value = Polygon> {
    let radii = proptest::collection::vec(0.3_f64..1.0, 5..14);
    (radii, -0.3_f64..1.3, -0.3_f64..1.3, any::<bool>()).prop_map(move |(radii, x, y, holed)| {
        let ring = |scale: f64| {
            let corner = |(i, r): (usize, &f64)| {
                let bearing = i as f64 / radii.len() as f64 * std::f64::consts::TAU;
                let exact = |v: f64| (v * 1000.0).round() / 1000.0;
                [
                    exact(WEST + reach * (x + scale * r * bearing.cos())),
                    exact(NORTH - reach * (y + scale * r * bearing.sin())),
                ]
            };
            radii.iter().enumerate().map(corner).collect::<Vec<_>>()
        };
        Polygon { shell: ring(1.0), holes: if holed { vec![ring(0.4)] } else { vec![] } }
    })
}

/// Closed linework that crosses itself at will, on metres and half metres: touches and shared lines
/// are common.
fn scrawl() -> impl Strategy<Value = Polygon> {
    let point = (-4_i32..24, -4_i32..24)
        .prop_map(|(x, y)| [WEST + f64::from(x) / 2.0, NORTH - f64::from(y) / 2.0]);
    proptest::collection::vec(point, 0..12).prop_map(|shell| Polygon { shell, holes: vec![] })
}

fn layer(polygon: impl Strategy<Value = Polygon>) -> impl Strategy<Value = Layer> {
    proptest::collection::vec(polygon, 0..3).prop_map(|polygons| Layer { polygons })
}

/// The label plus one, or 0 off the lattice; a hundred more for the second layer, and so on.
fn key(place: Place) -> u64 {
    let layer = |l: usize| u64::from(place.layers.contains(l)) * 100 * (1 << l);
    place.label.map_or(0, |label| u64::from(label) + 1) + layer(1) + layer(2)
}

/// Keeps what lies in the first layer, the property.
fn in_property(place: Place) -> Option<u64> {
    place.layers.contains(0).then(|| key(place))
}

/// A map that turns and shrinks, as a projection does to a property.
fn turned([x, y]: [f64; 2], shrink: f64) -> [f64; 2] {
    let (east, north) = ((x - WEST) * shrink, (y - NORTH) * shrink);
    [500.0 + 0.8 * east - 0.1 * north, 900.0 + 0.12 * east + north]
}

fn cell_areas(labels: &[u32]) -> BTreeMap<u64, i128> {
    let mut areas = BTreeMap::new();
    for &label in labels {
        *areas.entry(u64::from(label)).or_default() += 2 * 2000 * 2000;
    }
    areas
}

fn of_labels(labels: &[u32], lattice: &Lattice, straighten_m: f64) -> Partition {
    partition(labels, lattice, straighten_m, &[], &[], |p| p.label.map(u64::from), None).unwrap()
}

fn total(parted: &Partition) -> i128 {
    doubled_areas(parted).values().sum()
}

/// Rings of each key as sets of nodes, for comparison whatever they start with.
fn shapes(parted: &Partition, turned: impl Fn(Node) -> Node) -> Vec<(u64, Vec<Vec<Node>>)> {
    let mut all = Vec::new();
    for piece in &parted.pieces {
        for polygon in &piece.polygons {
            let mut rings = rings(polygon);
            for ring in &mut rings {
                for node in &mut *ring {
                    *node = turned(*node);
                }
                let lowest = (0..ring.len()).min_by_key(|&i| ring[i]).unwrap();
                ring.rotate_left(lowest);
            }
            rings[1..].sort();
            all.push((piece.key, rings));
        }
    }
    all.sort();
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn unstraightened_pieces_are_their_cells((lattice, labels) in labelled(9)) {
        let parted = of_labels(&labels, &lattice, 0.0);
        check_coverage(&parted.pieces);
        prop_assert_eq!(doubled_areas(&parted), cell_areas(&labels));
        for (i, &label) in (0_u32..).zip(&labels) {
            let (col, row) = (i % lattice.cols, i / lattice.cols);
            let centre = [WEST + 2.0 * f64::from(col) + 1.0, NORTH - 2.0 * f64::from(row) - 1.0];
            prop_assert_eq!(key_at(&parted, centre), Some(u64::from(label)));
        }
    }

    #[test]
    fn straightening_loses_no_piece_and_opens_no_gap(
        (lattice, labels) in labelled(14),
        tolerance in 0.1_f64..12.0,
    ) {
        let parted = of_labels(&labels, &lattice, tolerance);
        check_coverage(&parted.pieces);
        let before = of_labels(&labels, &lattice, 0.0);
        let parts = |p: &Partition| p.pieces.iter().map(|p| (p.key, p.polygons.len())).collect::<Vec<_>>();
        prop_assert_eq!(parts(&parted), parts(&before));
        prop_assert_eq!(total(&parted), total(&before));
        let pairs = |p: &Partition| p.borders.iter().map(|b| b.keys).collect::<Vec<_>>();
        prop_assert_eq!(pairs(&parted), pairs(&before));
    }

    #[test]
    fn pieces_fill_the_property(
        (lattice, labels) in labelled(12),
        property in layer(star(16.0)),
        others in proptest::collection::vec(layer(star(9.0)), 2),
        tolerance in prop_oneof![Just(0.0), 0.5_f64..5.0],
    ) {
        let layers = [std::slice::from_ref(&property), others.as_slice()].concat();
        let parted = partition(&labels, &lattice, tolerance, &layers, &[], in_property, None).unwrap();
        check_coverage(&parted.pieces);
        let whole = partition(&[], &super_lattice(), 0.0, &[property], &[], |p| p.layers.contains(0).then_some(1), None).unwrap();
        let (sum, expected) = (total(&parted), total(&whole));
        // each cut of a border moves it by less than a millimetre
        prop_assert!((sum - expected).abs() as f64 <= 1e-6 * expected as f64 + 4e5, "{sum} {expected}");
    }

    #[test]
    fn each_place_has_the_key_of_its_cell_and_layers(
        (lattice, labels) in labelled(10),
        layers in proptest::collection::vec(layer(star(12.0)), 3),
        places in proptest::collection::vec((-4.0_f64..24.0, -4.0_f64..24.0), 60),
    ) {
        let parted = partition(&labels, &lattice, 0.0, &layers, &[], in_property, None).unwrap();
        for (east, south) in places {
            let at = [WEST + east, NORTH - south];
            let unsure = layers.iter().flat_map(|l| &l.polygons).any(|p| near_edge(p, at))
                || [east, south].iter().any(|v| (v / 2.0 - (v / 2.0).round()).abs() < 2e-3);
            if unsure {
                continue;
            }
            let (col, row) = ((east / 2.0).floor(), (south / 2.0).floor());
            let on = col >= 0.0 && row >= 0.0 && col < f64::from(lattice.cols) && row < f64::from(lattice.rows);
            let label = on.then(|| labels[row as usize * lattice.cols as usize + col as usize]);
            let over = |l: usize| covers(&layers[l], at);
            let expected = over(0).then(|| {
                label.map_or(0, |l| u64::from(l) + 1) + u64::from(over(1)) * 200 + u64::from(over(2)) * 400
            });
            prop_assert_eq!(key_at(&parted, at), expected, "at {:?}", at);
        }
    }

    #[test]
    fn scrawled_layers_still_give_a_coverage(
        (lattice, labels) in labelled(9),
        layers in proptest::collection::vec(layer(scrawl()), 0..4),
        tolerance in prop_oneof![Just(0.0), 0.5_f64..5.0],
    ) {
        let parted = partition(&labels, &lattice, tolerance, &layers, &[], |p| Some(key(p)), None).unwrap();
        check_coverage(&parted.pieces);
        // everything but the unbounded face is kept
        let bounds = partition(&labels, &lattice, tolerance, &layers, &[], |_| Some(1), None).unwrap();
        prop_assert_eq!(total(&parted), total(&bounds));
        if let [only] = &bounds.pieces[..] {
            prop_assert!(only.polygons.iter().all(|p| p.holes.is_empty()));
        }
    }

    #[test]
    fn turning_the_labels_turns_the_pieces((lattice, labels) in labelled(9)) {
        let Lattice { cols, rows, .. } = lattice;
        // clockwise: the westernmost column becomes the northernmost row
        let turned: Vec<u32> = (0..cols * rows)
            .map(|i| labels[((rows - 1 - i % rows) * cols + i / rows) as usize])
            .collect();
        let square = |cols, rows| Lattice { west: 0.0, north: 0.0, ..self::lattice(cols, rows) };
        let before = of_labels(&labels, &square(cols, rows), 0.0);
        let after = of_labels(&turned, &square(rows, cols), 0.0);
        let height = i64::from(rows) * 2000;
        prop_assert_eq!(shapes(&before, |(x, y)| (y + height, -x)), shapes(&after, |n| n));
    }

    #[test]
    fn crumbs_are_handed_over_and_nothing_else_changes(
        (lattice, labels) in labelled(10),
        property in layer(star(14.0)),
        smallest in 1.0_f64..30.0,
    ) {
        let join = |from: u64, to: u64| from != 2 && to != 2;
        let rule = SliverRule { smaller_than_m2: smallest, may_join: &join, must_leave: &|_| false, left_as: &|key| key };
        let layers = [property];
        let before = partition(&labels, &lattice, 1.0, &layers, &[], in_property, None).unwrap();
        let after = partition(&labels, &lattice, 1.0, &layers, &[], in_property, Some(&rule)).unwrap();
        check_coverage(&after.pieces);
        // joined pieces lose nodes inside straight runs, which takes no area
        prop_assert_eq!(total(&before), total(&after));
        prop_assert_eq!(doubled_areas(&before).remove(&2), doubled_areas(&after).remove(&2));
        for piece in &after.pieces {
            for polygon in &piece.polygons {
                if piece.key != 2 && polygon.area_m2() < smallest {
                    let alone = neighbours_of(&after, polygon).into_iter().all(|k| !join(piece.key, k));
                    prop_assert!(alone, "a crumb stayed beside a taker");
                }
            }
        }
    }

    #[test]
    fn fractions_add_up_to_areas_and_to_full_cells(
        (lattice, labels) in labelled(10),
        property in layer(star(14.0)),
    ) {
        let parted = partition(&labels, &lattice, 1.0, &[property], &[], |p| p.label.map(|_| key(p) + u64::from(p.layers.contains(0))), None).unwrap();
        let mut cells = vec![0.0; lattice.cells()];
        for piece in &parted.pieces {
            let spans = cell_fractions(&piece.polygons, &lattice);
            let share: f64 = spans.iter().map(|s| f64::from(s.cols) * s.fraction).sum();
            let area: f64 = piece.polygons.iter().map(Polygon::area_m2).sum();
            prop_assert!((share * lattice.cell_area_m2() - area).abs() <= 1e-9 * area + 1e-9);
            for span in spans {
                for col in span.first_col..span.first_col + span.cols {
                    cells[(span.row * lattice.cols + col) as usize] += span.fraction;
                }
            }
        }
        for (i, sum) in cells.iter().enumerate() {
            prop_assert!((sum - 1.0).abs() < 1e-9, "cell {i}: {sum}");
        }
    }

    #[test]
    fn fractions_are_clipped_areas(polygon in star(14.0), (lattice, _) in labelled(10)) {
        let spans = cell_fractions(std::slice::from_ref(&polygon), &lattice);
        let mut found = vec![0.0; lattice.cells()];
        for s in &spans {
            (s.first_col..s.first_col + s.cols).for_each(|c| found[(s.row * lattice.cols + c) as usize] = s.fraction);
        }
        for (i, fraction) in (0_u32..).zip(found) {
            let (col, row) = (f64::from(i % lattice.cols), f64::from(i / lattice.cols));
            let expected = clipped_area(&polygon, WEST + 2.0 * col, NORTH - 2.0 * row - 2.0, 2.0) / 4.0;
            prop_assert!((fraction - expected).abs() < 1e-7, "cell {i}: {fraction} {expected}");
        }
    }
}

fn super_lattice() -> Lattice {
    lattice(0, 0)
}

/// The keys across the edges of a polygon.
fn neighbours_of(parted: &Partition, polygon: &Polygon) -> Vec<u64> {
    let own: Vec<_> = rings(polygon).iter().flat_map(|r| oracle::edges(r)).collect();
    let mut keys = Vec::new();
    for piece in &parted.pieces {
        for ring in piece.polygons.iter().flat_map(rings) {
            if oracle::edges(&ring).iter().any(|&(a, b)| own.contains(&(b, a))) {
                keys.push(piece.key);
            }
        }
    }
    keys
}

/// The area of a polygon in a square, by clipping each ring at its four sides
/// (Sutherland & Hodgman 1974, Reentrant polygon clipping).
fn clipped_area(polygon: &Polygon, west: f64, south: f64, size: f64) -> f64 {
    let ring_area = |ring: &Vec<[f64; 2]>| {
        let mut local: Vec<[f64; 2]> = ring.iter().map(|[x, y]| [x - west, y - south]).collect();
        for side in 0..4 {
            let depth = |p: [f64; 2]| match side {
                0 => p[0],
                1 => size - p[0],
                2 => p[1],
                _ => size - p[1],
            };
            let mut kept = Vec::new();
            for i in 0..local.len() {
                let (p, q) = (local[i], local[(i + 1) % local.len()]);
                if depth(p) >= 0.0 {
                    kept.push(p);
                }
                if (depth(p) >= 0.0) != (depth(q) >= 0.0) {
                    let t = depth(p) / (depth(p) - depth(q));
                    kept.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
                }
            }
            local = kept;
        }
        let pair = |i: usize| {
            let (p, q) = (local[i], local[(i + 1) % local.len()]);
            p[0] * q[1] - p[1] * q[0]
        };
        ((0..local.len()).map(pair).sum::<f64>() / 2.0).abs()
    };
    ring_area(&polygon.shell) - polygon.holes.iter().map(ring_area).sum::<f64>()
}

#[test]
fn the_oracle_sees_an_overlap_a_gap_and_an_unknown_node() {
    let square = |x: f64, w: f64| Polygon {
        shell: vec![[x, 0.0], [x + w, 0.0], [x + w, 1.0], [x, 1.0]],
        holes: vec![],
    };
    let pieces = |polygons: Vec<Polygon>| {
        polygons
            .into_iter()
            .zip(0..)
            .map(|(p, key)| partition::Piece { key, polygons: vec![p] })
            .collect::<Vec<_>>()
    };
    check_coverage(&pieces(vec![square(0.0, 1.0), square(1.0, 1.0)]));
    let fails = |p: Vec<Polygon>| std::panic::catch_unwind(|| check_coverage(&pieces(p))).is_err();
    assert!(fails(vec![square(0.0, 1.0), square(0.0, 1.0)]));
    assert!(fails(vec![square(0.0, 1.0), square(0.5, 1.0)]));
    let mut tall = square(1.0, 1.0);
    tall.shell[3] = [1.0, 2.0];
    assert!(fails(vec![square(0.0, 1.0), tall]));
    let bow =
        Polygon { shell: vec![[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]], holes: vec![] };
    assert!(fails(vec![bow]));
    assert!(doubled_area(&rings(&square(0.0, 1.0))[0]) == 2_000_000);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    /// Steps of up to a fifth of a cell, so that corners often lie within a step of other borders.
    #[test]
    fn a_partition_that_was_turned_and_rounded_is_still_one(
        (lattice, labels) in labelled(8),
        property in layer(star(16.0)),
        other in layer(star(10.0)),
        shrink in prop_oneof![Just(0.1), Just(0.01), Just(0.0025)],
        straighten in prop_oneof![Just(0.0), Just(2.0)],
    ) {
        let layers = [property, other];
        let parted = partition(&labels, &lattice, straighten, &layers, &[], in_property, None).unwrap();
        let moved = |ring: &Vec<[f64; 2]>| ring.iter().map(|p| turned(*p, shrink)).collect();
        let area = |piece: &Piece| -> Vec<Polygon> {
            let polygons = piece.polygons.iter();
            polygons.map(|p| Polygon { shell: moved(&p.shell), holes: p.holes.iter().map(moved).collect() }).collect()
        };
        let areas: Vec<Vec<Polygon>> = parted.pieces.iter().map(area).collect();
        let fitted = snapped(&areas).unwrap();
        prop_assert_eq!(fitted.len(), areas.len());
        let pieces: Vec<Piece> = parted.pieces.iter().zip(&fitted)
            .map(|(piece, polygons)| Piece { key: piece.key, polygons: polygons.clone() }).collect();
        check_coverage(&pieces);
        // No gap: each area is as large as before, to the length of its border times a step.
        for (before, after) in areas.iter().zip(&fitted) {
            let size = |all: &[Polygon]| all.iter().map(Polygon::area_m2).sum::<f64>();
            let border: f64 = before.iter().flat_map(|p| std::iter::once(&p.shell).chain(&p.holes))
                .map(|ring| (0..ring.len()).map(|i| {
                    let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                    (b[0] - a[0]).hypot(b[1] - a[1])
                }).sum::<f64>()).sum();
            prop_assert!((size(before) - size(after)).abs() <= 0.0015 * border + 1e-6);
        }
    }
}
