//! What lies along the border of a zone, edge by edge.

use std::collections::BTreeMap;

use geo::{LineString, MultiPolygon};
use proptest::prelude::*;

use super::super::{ClearReason, Neighbour, rings};
use super::made_up::seeds;

/// An edge from one of its ends to the other, by the bits of their coordinates.
type Edge = [[u64; 2]; 2];

fn edges(area: &MultiPolygon<f64>) -> Vec<(Edge, f64)> {
    let bits = |at: geo::Coord<f64>| [at.x.to_bits(), at.y.to_bits()];
    let edge = |line: geo::Line<f64>| {
        let length = (line.end.x - line.start.x).hypot(line.end.y - line.start.y);
        ([bits(line.start), bits(line.end)], length)
    };
    area.iter().flat_map(rings).flat_map(LineString::lines).map(edge).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Each edge of a zone is, the other way round, an edge of what lies beside it, or of nothing.
    #[test]
    fn neighbours_are_those_edge_by_edge(seed in seeds()) {
        let property = seed.property();
        let drawn = property.zones();
        let mut owners: BTreeMap<Edge, Neighbour> = BTreeMap::new();
        let mut add = |area: &MultiPolygon<f64>, as_what: &Neighbour| {
            for (edge, _) in edges(area) {
                let before = owners.insert(edge, as_what.clone());
                assert_eq!(before, None, "two pieces on one side of an edge");
            }
        };
        for zone in &drawn.zones {
            add(&zone.geometry, &Neighbour::Zone);
        }
        for stand in &drawn.stands {
            add(&stand.geometry, &Neighbour::Stand);
        }
        for clear in &drawn.keep_clear {
            add(&clear.geometry, &match &clear.reason {
                ClearReason::Setback(rules) => Neighbour::Setback(rules.clone()),
                ClearReason::Cover(_) => Neighbour::Never,
                ClearReason::Unknown => Neighbour::Unknown,
            });
        }
        for zone in &drawn.zones {
            let mut expected: BTreeMap<Neighbour, f64> = BTreeMap::new();
            for ([from, to], length) in edges(&zone.geometry) {
                let beside = owners.get(&[to, from]).cloned().unwrap_or(Neighbour::Beyond);
                *expected.entry(beside).or_default() += length;
            }
            prop_assert_eq!(
                zone.neighbours.keys().collect::<Vec<_>>(),
                expected.keys().collect::<Vec<_>>()
            );
            for (beside, length) in &expected {
                let found = zone.neighbours[beside];
                prop_assert!((found - length).abs() < 1e-6, "{beside:?}: {found} for {length} m");
            }
        }
    }
}
