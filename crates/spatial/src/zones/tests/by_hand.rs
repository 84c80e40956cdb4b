//! Properties so simple that everything about them is known.

use geo::{LineString, Polygon};

use super::super::Neighbour;
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
