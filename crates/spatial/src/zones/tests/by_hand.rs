//! Properties so simple that everything about them is known.

use geo::{Area, BooleanOps, LineString, Polygon, Rect};

use super::super::{ClearReason, Neighbour};
use super::made_up::Seed;

/// From 4 m within the first cells to 6 m within the last, and the same from north to south in 2 and 6 m.
fn rectangle() -> Polygon<f64> {
    let ring = [[4.0, 2.0], [176.0, 2.0], [176.0, 118.0], [4.0, 118.0], [4.0, 2.0]];
    Polygon::new(LineString::from(ring.to_vec()), Vec::new())
}

/// Each cell at the edge counts whole, for more than half of it lies within, but the four at the corners: of those it is
/// 0.6 · 0.75. The polygon is exact.
#[test]
fn even_ground_is_one_zone_and_its_drift_what_the_edge_took() {
    let property = Seed::even(rectangle()).property();
    let drawn = property.zones();
    assert!(drawn.stands.is_empty() && drawn.keep_clear.is_empty());
    let [zone] = &drawn.zones[..] else { panic!("{} zones", drawn.zones.len()) };
    assert_eq!(zone.id, "Z001");
    let map_m2 = 172.0 * 116.0;
    assert!((zone.plan_m2 - map_m2).abs() < 1e-6, "{} m²", zone.plan_m2);
    let cells_m2 = (18.0 * 15.0 - 4.0) * 80.0;
    assert!((zone.drift_m2 - (map_m2 - cells_m2)).abs() < 1e-6, "{} m²", zone.drift_m2);
    let beyond_m = zone.neighbours[&Neighbour::Beyond];
    assert!((beyond_m - 2.0 * (172.0 + 116.0)).abs() < 1e-6, "{beyond_m} m");
    assert_eq!(drawn.merging.regions, 1);
}

/// A kept stand from 60 to 90 m, a line at 87 m and a setback from 70 to 100 m that is 40 m high. Up to the line the stand is
/// a stand; of its cells' last 3 m, which lie beyond, what is in the setback is setback, and only the rest is planted.
#[test]
fn a_setback_is_kept_where_a_line_cuts_the_cells_of_a_stand() {
    let strips = [2, 2, 1, 2, 2, 2]; // 30 m each: planted, but for the kept third
    let property = Seed {
        cover: Some(strips.repeat(5)),
        keep_clear: vec![Rect::new((70.0, 40.0), (100.0, 80.0)).to_polygon()],
        line: Some([[87.0, -10.0], [87.0, 130.0]]),
        ..Seed::even(rectangle())
    }
    .property();
    let drawn = property.zones();
    let setback = &property.ready.keep_clear[0].geometry;
    for zone in &drawn.zones {
        let within = zone.geometry.intersection(setback).unsigned_area();
        assert!(within < 1e-6, "{}: {within} m²", zone.id);
    }
    let [clear] = &drawn.keep_clear[..] else { panic!("{:?}", drawn.keep_clear) };
    assert_eq!(clear.reason, ClearReason::Setback(vec![0]));
    assert!((clear.geometry.unsigned_area() - 13.0 * 40.0).abs() < 1e-6);
    let [stand] = &drawn.stands[..] else { panic!("{} stands", drawn.stands.len()) };
    assert!((stand.geometry.unsigned_area() - 27.0 * 116.0).abs() < 1e-6);
    let planted_m2: f64 = drawn.zones.iter().map(|zone| zone.geometry.unsigned_area()).sum();
    assert!((planted_m2 - (172.0 - 27.0) * 116.0 + 13.0 * 40.0).abs() < 1e-6, "{planted_m2} m²");
}
