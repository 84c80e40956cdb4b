//! Random properties on the globe: still without gap and overlap, after RFC 7946.

use std::collections::{BTreeMap, BTreeSet};

use geo::{
    Area, Contains, CoordsIter, InteriorPoint, LineString, MapCoords, MultiPolygon, Validation,
    Winding,
};
use partition::{Lattice, Layer, Place, Polygon, partition};
use proptest::prelude::*;

use super::lon_lat::all_on_globe;
use crate::problem::Problem;
use crate::read::Crs;
use crate::zones::from_partition;

/// Corner of the ground, easting and northing in EPSG:2193, whose longitude and latitude PROJ tells.
const WEST: f64 = 1_832_000.0;
const NORTH: f64 = 5_612_000.0;

#[expect(clippy::unnecessary_wraps, reason = "the shape of a transform")]
fn to_lon_lat(points: &mut [(f64, f64)]) -> Result<(), Problem> {
    thread_local! {
        // Looking a system up takes long.
        static SYSTEMS: [Crs; 2] =
            [Crs::from_user("EPSG:2193").unwrap(), Crs::longitude_latitude().unwrap()];
    }
    SYSTEMS.with(|[plan, globe]| plan.transform_points(globe, points).unwrap());
    Ok(())
}

/// A star with ragged rays about ground of some size, drawn to the millimetre.
fn star(size_m: f64) -> impl Strategy<Value = Polygon> {
    let rays = prop::collection::vec(0.3_f64..1.0, 5..14);
    (rays, -0.2_f64..1.2, -0.2_f64..1.2).prop_map(move |(rays, x, y)| {
        let corner = |(at, ray): (usize, &f64)| {
            let (sin, cos) = (at as f64 / rays.len() as f64 * std::f64::consts::TAU).sin_cos();
            let exact = |metres: f64| (metres * 1000.0).round() / 1000.0;
            [exact(WEST + size_m * (x + ray * cos)), exact(NORTH - size_m * (y + ray * sin))]
        };
        Polygon { shell: rays.iter().enumerate().map(corner).collect(), holes: vec![] }
    })
}

/// Zones (labels 0 and 1), stands (label 2) and ground kept clear of a property, by key.
///
/// Cells of 2 m are usual; those of some centimetres bring corners within a rounding (11 mm) of
/// borders that pass them by, which on a large property happens somewhere.
fn site() -> impl Strategy<Value = Vec<MultiPolygon<f64>>> {
    let layer =
        |size_m| prop::collection::vec(star(size_m), 1..3).prop_map(|polygons| Layer { polygons });
    let cells = prop_oneof![Just(2.0), Just(0.2), Just(0.05)];
    let drawn = cells.prop_flat_map(move |cell_m| {
        let labels = prop::collection::vec(0_u32..3, 64);
        (Just(cell_m), labels, layer(8.0 * cell_m), layer(8.0 * cell_m), 0.0_f64..1.5)
    });
    drawn.prop_map(|(cell_m, labels, property, clear, straighten_cells)| {
        let lattice = Lattice {
            cols: 8,
            rows: 8,
            west: WEST,
            north: NORTH,
            cell_width: cell_m,
            cell_height: cell_m,
        };
        let key = |place: Place| {
            let ground = place.label.map_or(4, u64::from);
            place.layers.contains(0).then(|| if place.layers.contains(1) { 3 } else { ground })
        };
        let (layers, straighten_m) = ([property, clear], straighten_cells * cell_m);
        let parted = partition(&labels, &lattice, straighten_m, &layers, &[], key, None).unwrap();
        parted.pieces.iter().map(|piece| from_partition(&piece.polygons)).collect()
    })
}

/// A corner in steps of 1e-7 degree.
type Node = [i64; 2];

fn edges(area: &MultiPolygon<f64>) -> Vec<[Node; 2]> {
    let node = |c: geo::Coord<f64>| {
        let steps = [c.x, c.y].map(|degrees| degrees * 1e7);
        assert!(steps.iter().all(|steps| (steps - steps.round()).abs() < 1e-4), "{c:?}");
        steps.map(|steps| steps.round() as i64)
    };
    let rings = area.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    rings.flat_map(|ring| ring.lines().map(|side| [node(side.start), node(side.end)])).collect()
}

fn turn(a: Node, b: Node, c: Node) -> i128 {
    let [abx, aby] = [i128::from(b[0] - a[0]), i128::from(b[1] - a[1])];
    let [acx, acy] = [i128::from(c[0] - a[0]), i128::from(c[1] - a[1])];
    abx * acy - aby * acx
}

/// Whether a node lies on an edge but is no end of it.
fn lies_inside(node: Node, [a, b]: [Node; 2]) -> bool {
    let between = |axis: usize| (a[axis].min(b[axis])..=a[axis].max(b[axis])).contains(&node[axis]);
    between(0) && between(1) && node != a && node != b && turn(a, b, node) == 0
}

fn cross([a, b]: [Node; 2], [c, d]: [Node; 2]) -> bool {
    let apart = |p: i128, q: i128| p.signum() * q.signum() < 0;
    let overlap = |axis: usize| {
        a[axis].min(b[axis]) <= c[axis].max(d[axis]) && c[axis].min(d[axis]) <= a[axis].max(b[axis])
    };
    overlap(0)
        && overlap(1)
        && apart(turn(a, b, c), turn(a, b, d))
        && apart(turn(c, d, a), turn(c, d, b))
}

/// What makes areas no coverage; empty when nothing does.
fn faults(areas: &[MultiPolygon<f64>]) -> Vec<String> {
    let mut faults = Vec::new();
    let all: Vec<[Node; 2]> = areas.iter().flat_map(edges).collect();
    let nodes: BTreeSet<Node> = all.iter().flatten().copied().collect();
    let mut uses: BTreeMap<[Node; 2], usize> = BTreeMap::new();
    for edge in &all {
        *uses.entry(*edge).or_default() += 1;
    }
    faults.extend(uses.iter().filter(|(_, uses)| **uses > 1).map(|(e, _)| format!("{e:?} twice")));
    let west = |edge: &[Node; 2]| edge[0][0].min(edge[1][0]);
    let east = |edge: &[Node; 2]| edge[0][0].max(edge[1][0]);
    let mut eastward: Vec<[Node; 2]> = uses.into_keys().collect();
    eastward.sort_unstable_by_key(west);
    for (at, edge) in eastward.iter().enumerate() {
        let beside = eastward[at + 1..].iter().take_while(|other| west(other) <= east(edge));
        let crossed = beside.filter(|other| cross(*edge, **other));
        faults.extend(crossed.map(|other| format!("{edge:?} crosses {other:?}")));
        let within = nodes.range([west(edge), i64::MIN]..=[east(edge), i64::MAX]);
        let on = within.filter(|node| lies_inside(**node, *edge));
        faults.extend(on.map(|node| format!("{node:?} lies on {edge:?}")));
    }
    faults
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Source of what is asked of rings: RFC 7946, section 3.1.6.
    #[test]
    fn a_property_on_the_globe_has_neither_gap_nor_overlap(areas in site()) {
        let globe = all_on_globe(&areas, &to_lon_lat).unwrap();
        prop_assert_eq!(globe.len(), areas.len());
        let faults = faults(&globe);
        prop_assert!(faults.is_empty(), "{faults:?}");
        for area in &globe {
            prop_assert!(area.is_valid());
            for polygon in area {
                prop_assert!(polygon.exterior().is_ccw());
                prop_assert!(polygon.interiors().iter().all(Winding::is_cw));
                let inside = polygon.interior_point().unwrap();
                prop_assert_eq!(globe.iter().filter(|other| other.contains(&inside)).count(), 1);
            }
        }
        // No gap: every area is as large as before it was rounded, to a step along its border.
        let corners = areas.iter().flat_map(CoordsIter::coords_iter);
        let mut points: Vec<(f64, f64)> = corners.map(|c| (c.x, c.y)).collect();
        to_lon_lat(&mut points).unwrap();
        let points = std::cell::RefCell::new(points.into_iter());
        for (before, after) in areas.iter().zip(&globe) {
            // Corners are visited in the same order.
            let exact = before.map_coords(|_| points.borrow_mut().next().unwrap().into());
            let border: f64 = exact
                .iter()
                .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
                .flat_map(LineString::lines)
                .map(|side| side.delta().x.hypot(side.delta().y))
                .sum();
            let lost = exact.unsigned_area() - after.unsigned_area();
            prop_assert!(lost.abs() <= 1.5e-7 * border, "{lost} along {border}");
        }
    }
}
