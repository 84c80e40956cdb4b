//! Which piece lies where.

use geo::{BooleanOps, Contains, Distance, Euclidean, InteriorPoint, MultiPolygon, Point};
use proptest::prelude::*;

use super::super::{Area, ClearReason, Zones, rings};
use super::made_up::{Seed, seeds};
use super::{CRUMB, Kind, middle, own, sizes};

/// Whether a place lies on the border of an area, to two millimetres.
fn is_near(area: &MultiPolygon<f64>, place: Point<f64>) -> bool {
    area.iter().flat_map(rings).any(|ring| Euclidean.distance(ring, &place) < 0.002)
}

/// What a place is drawn as, and the cover of a stand or of ground that is never planted.
#[derive(Debug, PartialEq)]
enum Drawn {
    Zone,
    Stand(u8),
    Clear(ClearReason),
}

fn all(drawn: &Zones) -> Vec<(Drawn, &MultiPolygon<f64>)> {
    let zones = drawn.zones.iter().map(|zone| (Drawn::Zone, &zone.geometry));
    let stands = drawn.stands.iter().map(|stand| (Drawn::Stand(stand.cover), &stand.geometry));
    let clear =
        drawn.keep_clear.iter().map(|clear| (Drawn::Clear(clear.reason.clone()), &clear.geometry));
    zones.chain(stands).chain(clear).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// The property, no more and no less; setbacks by the rules that meet there.
    #[test]
    fn pieces_fill_the_property_and_setbacks_are_exact(seed in seeds()) {
        let property = seed.property();
        let ready = &property.ready;
        let drawn = property.zones();
        let pieces = all(&drawn);
        let sum: f64 = pieces.iter().map(|(_, area)| area.unsigned_area()).sum();
        let whole = ready.boundary.unsigned_area();
        // Half a millimetre along a border of some 600 m, where a corner of a cell lies upon it.
        prop_assert!((sum - whole).abs() < 0.3, "{sum} of {whole} m²");
        for (kind, area) in &pieces {
            for polygon in *area {
                let inside = polygon.interior_point().expect("every part has an inside");
                prop_assert!(ready.boundary.contains(&inside), "{inside:?} of {kind:?}");
            }
        }
        // Crumbs of zones may go to a setback, and never a setback to a zone.
        let grid = property.ground.grid();
        for middle in (0..grid.len()).map(|at| middle(grid, at)) {
            let mut rules: Vec<usize> = Vec::new();
            for area in &ready.keep_clear {
                if area.geometry.contains(&middle) {
                    rules.push(area.rule);
                }
            }
            // What lies on a line to the millimetre lies on either side of it.
            let is_on_line = ready.keep_clear.iter().any(|area| is_near(&area.geometry, middle));
            if is_on_line || is_near(&ready.boundary, middle) {
                continue;
            }
            let under = pieces.iter().find(|(_, area)| area.contains(&middle));
            match under.map(|(kind, _)| kind) {
                None | Some(Drawn::Stand(_)) => {}
                Some(Drawn::Clear(ClearReason::Setback(own))) if rules.is_empty() => {
                    prop_assert!(own.iter().all(|rule| *rule < ready.keep_clear.len()));
                }
                Some(Drawn::Clear(ClearReason::Setback(own))) => prop_assert_eq!(own, &rules),
                Some(kind) => prop_assert!(rules.is_empty(), "{kind:?} within {rules:?}"),
            }
        }
        for zone in &drawn.zones {
            for area in &ready.keep_clear {
                // Two millimetres along the border of a triangle.
                let within = zone.geometry.intersection(&area.geometry).unsigned_area();
                prop_assert!(within < 0.4, "{within} m² of rule {} in {}", area.rule, zone.id);
            }
            prop_assert!((zone.plan_m2 - zone.geometry.unsigned_area()).abs() < 1e-9);
            let cells = (zone.plan_m2 - zone.drift_m2) / property.ground.grid().cell_area();
            prop_assert!(cells > 0.5 && (cells - cells.round()).abs() < 1e-6, "{cells} cells");
        }
    }

    /// Where nothing is straightened and no patch is too small to draw, each cell is drawn as what it is.
    #[test]
    fn cells_are_drawn_as_what_they_are(seed in seeds()) {
        let seed = Seed { is_plain: true, min_patch_m2: 0.0, line: None, drawn: None, ..seed };
        let property = seed.property();
        let grid = property.ground.grid();
        let drawn = property.zones();
        let pieces = all(&drawn);
        let own = own(&property);
        let number = |kind: &Option<Kind>| {
            kind.and(own.iter().position(|other| other == kind)).map_or(0, |first| first as u32 + 1)
        };
        let sizes = sizes(&own.iter().map(number).collect::<Vec<_>>());
        for (at, kind) in own.iter().enumerate() {
            let Some(kind) = kind else { continue };
            let middle = middle(grid, at);
            let under: Vec<_> = pieces.iter().filter(|(_, area)| area.contains(&middle)).collect();
            prop_assert_eq!(under.len(), 1, "cell {} lies in one piece", at);
            let expected = match kind {
                // Crumbs go to what lies beside them.
                Kind::Planted(_) if sizes[at] < CRUMB => continue,
                Kind::Planted(_) => Drawn::Zone,
                Kind::Kept(cover) => Drawn::Stand(*cover),
                Kind::Never(cover) => Drawn::Clear(ClearReason::Cover(*cover)),
                Kind::Unknown => Drawn::Clear(ClearReason::Unknown),
            };
            prop_assert_eq!(&under[0].0, &expected, "cell {}: {:?}", at, kind);
        }
    }
}
