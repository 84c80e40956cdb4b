//! Input made to hurt: lines along lattice lines, points on nodes, spikes, flat rings, touching rings.

#![expect(clippy::unwrap_used, reason = "a failed test may panic")]

#[expect(dead_code, reason = "each test file uses its part")]
mod oracle;

use oracle::{check_coverage, doubled_areas};
use partition::{Lattice, Layer, Partition, PartitionError, Place, Polygon, SliverRule, partition};
use std::collections::BTreeMap;

/// A checkerboard of cells of 2 m on whole metres: every inner node is a saddle.
const BOARD: Lattice =
    Lattice { cols: 6, rows: 6, west: 0.0, north: 12.0, cell_width: 2.0, cell_height: 2.0 };

fn checkers() -> Vec<u32> {
    (0..36).map(|i| (i + i / 6) % 2).collect()
}

fn ring(points: &[(f64, f64)]) -> Polygon {
    Polygon { shell: points.iter().map(|&(x, y)| [x, y]).collect(), holes: vec![] }
}

fn layer(polygons: &[Polygon]) -> Layer {
    Layer { polygons: polygons.to_vec() }
}

fn over_board(layers: &[Layer]) -> Partition {
    let key = |place: Place| {
        let bits = (0..8).filter(|&l| place.layers.contains(l)).map(|l| 10 << l).sum::<u64>();
        Some(bits + place.label.map_or(2, u64::from))
    };
    let parted = partition(&checkers(), &BOARD, 0.0, layers, &[], key, None).unwrap();
    check_coverage(&parted.pieces);
    parted
}

/// Twice the area in mm² of each key, from square metres.
fn areas(expected: &[(u64, f64)]) -> BTreeMap<u64, i128> {
    expected.iter().map(|&(key, m2)| (key, (m2 * 2e6) as i128)).collect()
}

#[test]
fn a_boundary_along_lattice_lines_makes_no_slivers() {
    let square = ring(&[(2.0, 2.0), (8.0, 2.0), (8.0, 10.0), (2.0, 10.0)]);
    let parted = over_board(&[layer(&[square])]);
    assert_eq!(doubled_areas(&parted), areas(&[(0, 48.0), (1, 48.0), (10, 24.0), (11, 24.0)]));
}

#[test]
fn diagonals_through_saddles_halve_their_cells() {
    let triangle = ring(&[(0.0, 0.0), (12.0, 0.0), (12.0, 12.0)]);
    let parted = over_board(&[layer(&[triangle])]);
    // the diagonal from south-west to north-east runs through the six cells of label 1 there
    assert_eq!(doubled_areas(&parted), areas(&[(0, 36.0), (1, 36.0), (10, 36.0), (11, 36.0)]));
}

#[test]
fn repeated_points_and_spikes_change_nothing() {
    let plain = ring(&[(1.0, 1.0), (9.0, 1.0), (9.0, 7.0)]);
    let fussy = ring(&[
        (1.0, 1.0),
        (1.0, 1.0),
        (5.0, 1.0),
        (5.0, -3.0),
        (5.0, 1.0),
        (9.0, 1.0),
        (9.0, 1.0004),
        (9.0, 7.0),
        (9.0, 11.0),
        (9.0, 7.0),
        (1.0, 1.0),
    ]);
    assert_eq!(over_board(&[layer(&[plain])]), over_board(&[layer(&[fussy])]));
}

#[test]
fn flat_and_empty_rings_change_nothing() {
    let nothing = [
        Polygon::default(),
        ring(&[(3.0, 3.0)]),
        ring(&[(3.0, 3.0), (7.0, 5.0)]),
        ring(&[(1.0, 1.0), (5.0, 5.0), (3.0, 3.0), (9.0, 9.0)]),
        ring(&[(3.0, 3.0), (3.000_1, 3.0), (3.0, 3.000_1)]),
    ];
    assert_eq!(over_board(&[]), over_board(&[layer(&nothing)]));
}

#[test]
fn the_direction_of_rings_makes_no_difference() {
    let mut holed = ring(&[(0.5, 0.5), (11.0, 1.0), (10.0, 11.5), (1.0, 10.0)]);
    holed.holes = vec![vec![[3.0, 3.0], [8.0, 3.5], [7.0, 8.0]]];
    let mut turned = holed.clone();
    turned.shell.reverse();
    turned.holes[0].reverse();
    assert_eq!(over_board(&[layer(&[holed])]), over_board(&[layer(&[turned])]));
}

#[test]
fn polygons_that_overlap_cover_their_union_and_those_that_touch_stay_joined_at_a_point() {
    let square = |x: f64, y: f64, s: f64| ring(&[(x, y), (x + s, y), (x + s, y + s), (x, y + s)]);
    let within = |place: Place| place.layers.contains(0).then_some(1);
    let union = |squares: &[Polygon]| {
        let parted = partition(
            &[],
            &Lattice { cols: 0, rows: 0, ..BOARD },
            0.0,
            &[layer(squares)],
            &[],
            within,
            None,
        );
        let parted = parted.unwrap();
        check_coverage(&parted.pieces);
        parted
    };
    let overlapping = union(&[square(0.0, 0.0, 4.0), square(2.0, 2.0, 4.0)]);
    assert_eq!(doubled_areas(&overlapping), areas(&[(1, 28.0)]));
    let touching = union(&[square(0.0, 0.0, 4.0), square(4.0, 4.0, 4.0)]);
    assert_eq!(touching.pieces[0].polygons.len(), 2);
    // four squares round a hole whose corners they touch: the hole is a hole of none of them
    let round = [
        square(0.0, 2.0, 2.0),
        square(2.0, 0.0, 2.0),
        square(2.0, 4.0, 2.0),
        square(4.0, 2.0, 2.0),
    ];
    assert_eq!(union(&round).pieces[0].polygons.len(), 4);
    // joined on one side, they close a ring that touches itself: one shell and a hole that touches it
    let clasp = [
        square(0.0, 0.0, 2.0),
        square(2.0, 0.0, 2.0),
        square(0.0, 2.0, 2.0),
        square(2.0, 4.0, 2.0),
        square(0.0, 4.0, 2.0),
        square(4.0, 2.0, 2.0),
        square(4.0, 0.0, 2.0),
    ];
    let polygons = &union(&clasp).pieces[0].polygons;
    assert_eq!((polygons.len(), polygons[0].holes.len()), (1, 1));
}

#[test]
fn a_border_does_not_jump_over_an_island() {
    // label 0 above label 1, with a bay of 0 that holds one cell of 2
    let lattice = Lattice { cols: 30, rows: 20, ..BOARD };
    let label = |i: usize| {
        let (col, row) = (i % 30, i / 30);
        let in_bay = (12..17).contains(&col) && row < 13;
        if (col, row) == (14, 11) { 2 } else { u32::from(row >= 10 && !in_bay) }
    };
    let labels: Vec<u32> = (0..600).map(label).collect();
    for tolerance in [0.0, 2.0, 4.0, 8.0, 16.0, 64.0] {
        let parted =
            partition(&labels, &lattice, tolerance, &[], &[], |p| p.label.map(u64::from), None)
                .unwrap();
        check_coverage(&parted.pieces);
        let meets = |a, b| parted.borders.iter().any(|border| border.keys == [Some(a), Some(b)]);
        assert!(meets(0, 2) && !meets(1, 2), "at a tolerance of {tolerance} m");
    }
}

#[test]
fn a_lens_between_two_junctions_does_not_collapse() {
    // a strip of label 2, one cell high, between 0 and 1
    let lattice = Lattice { cols: 12, rows: 9, ..BOARD };
    let label = |i: usize| match (i % 12, i / 12) {
        (3..9, 4) => 2,
        (_, row) => u32::from(row > 4),
    };
    let labels: Vec<u32> = (0..108).map(label).collect();
    for tolerance in [0.0, 2.0, 10.0, 100.0] {
        let parted =
            partition(&labels, &lattice, tolerance, &[], &[], |p| p.label.map(u64::from), None)
                .unwrap();
        check_coverage(&parted.pieces);
        assert_eq!(parted.pieces.len(), 3, "at a tolerance of {tolerance} m");
    }
}

#[test]
fn a_crumb_goes_to_the_longest_border_that_may_take_it() {
    // one cell of 3 with two sides along 1, one along 0, one along 2
    let labels = [0, 0, 1, 1, 3, 1, 2, 2, 1].map(|l| if l == 3 { 3 } else { l });
    let lattice = Lattice { cols: 3, rows: 3, ..BOARD };
    let keys = |may_join: &dyn Fn(u64, u64) -> bool| {
        let rule = SliverRule {
            smaller_than_m2: 5.0,
            may_join,
            must_leave: &|_| false,
            left_as: &|key| key,
        };
        let parted =
            partition(&labels, &lattice, 0.0, &[], &[], |p| p.label.map(u64::from), Some(&rule))
                .unwrap();
        doubled_areas(&parted)
    };
    assert_eq!(keys(&|from, _| from == 3), areas(&[(0, 8.0), (1, 20.0), (2, 8.0)]));
    assert_eq!(keys(&|from, to| from == 3 && to == 2), areas(&[(0, 8.0), (1, 16.0), (2, 12.0)]));
    assert_eq!(keys(&|_, _| false), areas(&[(0, 8.0), (1, 16.0), (2, 8.0), (3, 4.0)]));
}

#[test]
fn bad_input_is_refused_by_name() {
    let run = |labels: &[u32], lattice: Lattice, tolerance: f64, layers: &[Layer]| {
        partition(labels, &lattice, tolerance, layers, &[], |_| Some(1), None).unwrap_err()
    };
    let far = layer(&[Polygon::default(), ring(&[(0.0, 0.0), (1e6, 0.0), (0.0, 1.0)])]);
    let strip = Lattice { cols: 1, rows: 1, ..BOARD };
    assert_eq!(
        run(&[0; 35], BOARD, 0.0, &[]),
        PartitionError::LabelCount { found: 35, expected: 36 }
    );
    assert!(matches!(
        run(&[0], Lattice { cell_width: f64::NAN, ..strip }, 0.0, &[]),
        PartitionError::CellSize { .. }
    ));
    assert!(matches!(
        run(&[0], Lattice { cell_width: 1e6, ..strip }, 0.0, &[]),
        PartitionError::LatticePosition { .. }
    ));
    assert!(matches!(
        run(&[0], Lattice { north: f64::INFINITY, ..strip }, 0.0, &[]),
        PartitionError::LatticePosition { .. }
    ));
    assert_eq!(run(&[0], strip, -1.0, &[]), PartitionError::Tolerance { found: -1.0 });
    let many = vec![Layer::default(); 65];
    assert_eq!(run(&[0], strip, 0.0, &many), PartitionError::TooManyLayers { found: 65 });
    assert_eq!(
        run(&[0], strip, 0.0, &[Layer::default(), far]),
        PartitionError::Position { layer: 1, polygon: 1, point: [1e6, 0.0] }
    );
}
