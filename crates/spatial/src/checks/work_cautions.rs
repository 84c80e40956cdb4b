//! Cautions of the work that follows planting: spray, water, stock, fire, plant health. One line a subject, over
//! the ground that it concerns.

use super::cautions::caution;
use crate::ground::Ground;
use crate::plan::Caution;
use crate::zones::{Step, Zone, Zones, mapped_wetness};

/// What is said of spray. Common practice, no source.
const SPRAY: &str = "is anything sprayed here? Agrichemical rules, the label and the council's plan say by whom, how and how far from \
                     water, neighbours and hives; drift carries; nothing is sprayed while it or what grows under it is in flower, \
                     and beekeepers near by are told days before";

/// What is said of wet ground. National freshwater standard: earthworks within 100 m that drain a natural wetland are
/// controlled (council summary, trade press).
const WET: &str = "is this a natural wetland? It may be protected, and clearing, planting and earthworks in and near it limited; \
                   earthworks that drain one are controlled within 100 m (national freshwater standard): ask the council first";

/// What is said of stock. Regulations on stock exclusion of 2020, as amended; which animals and slopes they name has changed.
const STOCK: &str = "which stock must be kept out of streams and wetlands here, and how far from the bed does the fence stand? \
                     Regulations on stock exclusion and the council's plan say; a fence below flood level goes with the flood";

/// What is said of fire. Common practice, no source.
const FIRE: &str = "mānuka burns readily: are low-fuel strips left, about 10 m at tracks and the boundary and 20 to 30 m at \
                    buildings, with water and a way out? Ask the fire authority, and watch for its bans on hot work";

/// What is said of plant health. Myrtle rust is in the country since 2017; the rest is common practice, no source.
const HEALTH: &str = "plants of the myrtle family may carry myrtle rust: ask the nursery for its declaration, look plants over as they \
                      come, and touch none that is rusty but report it; boots, tools and vehicles come clean; never mix seed \
                      origins";

/// The cautions of the work that follows planting.
#[must_use]
pub(crate) fn of_work(zones: &Zones, ground: &Ground) -> Vec<Caution> {
    let grid = ground.grid();
    let near = &ground.near;
    let area_of = |zone: &Zone, is_near: &(dyn Fn(usize) -> bool + Sync)| -> f64 {
        let near = zone.cells.iter().filter(|cell| is_near(cell.at as usize));
        near.map(|cell| f64::from(cell.share)).sum::<f64>() * grid.cell_area()
    };
    let at_stream = |at: usize| near.stream.as_ref().is_some_and(|near| near[at]);
    let is_wet = |at: usize| {
        ground.drainage.as_ref().is_some_and(|one| mapped_wetness(one.cells()[at]) == Step::High)
    };
    let wet_m2 = |zone: &Zone| {
        if ground.drainage.is_some() {
            return area_of(zone, &is_wet);
        }
        // Without mapped drainage what the zones are told by.
        let classes = zone.statistics.by_class.iter();
        let wet = classes.filter(|(code, _)| code.unpack().wetness == Some(Step::High));
        wet.map(|(_, m2)| m2).sum()
    };
    let whole = |zone: &Zone| zone.plan_m2;
    // Where no stream is mapped, water may be anywhere: then all of it is asked about.
    let (spray, stock) = if near.stream.is_some() {
        let spray = caution("spraying near water and the boundary", SPRAY, &zones.zones, |zone| {
            area_of(zone, &|at| at_stream(at) || near.boundary[at])
        });
        let stock = caution("stock near streams and on wet ground", STOCK, &zones.zones, |zone| {
            area_of(zone, &|at| at_stream(at) || is_wet(at))
        });
        (spray, stock)
    } else {
        let all = |about, text| caution(about, text, &zones.zones, whole);
        (all("spraying", SPRAY), all("stock near water", STOCK))
    };
    // Even far from both, spray is asked about.
    let spray = spray.or_else(|| caution("spraying", SPRAY, &zones.zones, whole));
    let wet = caution("wet ground", WET, &zones.zones, wet_m2);
    let fire = caution("fire", FIRE, &zones.zones, whole);
    let health = caution("plant health", HEALTH, &zones.zones, whole);
    [spray, wet, stock, fire, health].into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::sync::Arc;

    use terrain::Raster;

    use super::*;
    use crate::ground::Near;
    use crate::offers::fixture;
    use crate::zones::{ClassCode, Classes, cell_shares};

    /// Two zones; of each the cells, from the west, along a stream, beside the boundary, and that are poorly drained.
    struct Case {
        stream: Option<[usize; 2]>,
        boundary: [usize; 2],
        drained: Option<[usize; 2]>,
        /// Ground that is wet by the index, square metres.
        wet_m2: [f64; 2],
    }

    /// Level open ground of one wetness.
    fn code(step: Step) -> ClassCode {
        ClassCode::pack(Classes { wetness: Some(step), ..Classes::OPEN })
    }

    fn told(case: &Case) -> BTreeMap<String, (Vec<String>, u32)> {
        let grid = fixture::grid(2);
        let mut zones = fixture::zones(&[100.0, 200.0]);
        for (zone, wet_m2) in zones.zones.iter_mut().zip(case.wet_m2) {
            zone.cells = cell_shares(&zone.geometry, &grid);
            let dry_m2 = zone.plan_m2 - wet_m2;
            zone.statistics.by_class =
                [(code(Step::Low), dry_m2), (code(Step::High), wet_m2)].into();
        }
        // So many cells of each zone, in each row from its western side.
        let marked = |cells: [usize; 2]| -> Vec<bool> {
            let is_in = |col: usize| col < cells[0] || (50..50 + cells[1]).contains(&col);
            (0..grid.len()).map(|at| is_in(at % grid.cols())).collect()
        };
        let level = |value: f32| Arc::new(Raster::filled(grid, value));
        let mut ground = Ground::sloping(level(100.0), level(0.0));
        ground.near =
            Arc::new(Near { stream: case.stream.map(marked), boundary: marked(case.boundary) });
        ground.drainage = case.drained.map(|cells| {
            // Very poor, poor, then imperfect, which is moist.
            let codes = marked(cells).into_iter().enumerate();
            let code = |(at, is_wet): (usize, bool)| if is_wet { 1 + (at % 2) as u8 } else { 3 };
            Arc::new(Raster::new(grid, codes.map(code).collect()).unwrap())
        });
        let told = of_work(&zones, &ground).into_iter().map(|one| {
            assert!(one.text.ends_with("local rules and licensed people decide"), "{}", one.text);
            assert!(!one.text.contains("safe to"), "{}", one.text);
            (one.about, (one.zones, (one.plan_area_ha.0 * 1e4).round() as u32))
        });
        told.collect()
    }

    fn zones_of(ids: &[&str]) -> Vec<String> {
        ids.iter().map(|id| (*id).to_owned()).collect()
    }

    /// Each cell is 400 m², each column of a zone 4,000.
    #[test]
    fn each_subject_is_told_beside_its_ground() {
        let found = told(&Case {
            stream: Some([2, 0]),
            boundary: [3, 1],
            drained: Some([4, 0]),
            wet_m2: [0.0, 100.0],
        });
        let is = |about: &str, ids: &[&str], m2: u32| {
            assert_eq!(found.get(about), Some(&(zones_of(ids), m2)), "{about}: {found:?}");
        };
        is("spraying near water and the boundary", &["Z001", "Z002"], 16_000);
        is("stock near streams and on wet ground", &["Z001"], 16_000);
        is("wet ground", &["Z001"], 16_000);
        is("fire", &["Z001", "Z002"], 80_000);
        is("plant health", &["Z001", "Z002"], 80_000);
        assert_eq!(found.len(), 5, "{found:?}");
    }

    #[test]
    fn without_mapped_streams_all_ground_is_asked_about() {
        let found =
            told(&Case { stream: None, boundary: [3, 1], drained: None, wet_m2: [0.0, 700.0] });
        for about in ["spraying", "stock near water", "fire", "plant health"] {
            let all = (zones_of(&["Z001", "Z002"]), 80_000);
            assert_eq!(found.get(about), Some(&all), "{about}: {found:?}");
        }
        // Without mapped drainage, by the classes of the zones.
        assert_eq!(found.get("wet ground"), Some(&(zones_of(&["Z002"]), 700)));
        assert_eq!(found.len(), 5, "{found:?}");
    }

    /// Far from water and neighbours spray is asked about all the same; of dry ground and of stock there is nothing to tell.
    #[test]
    fn spray_is_asked_about_everywhere() {
        let far =
            Case { stream: Some([0, 0]), boundary: [0, 0], drained: None, wet_m2: [0.0, 0.0] };
        let found = told(&far);
        let about: Vec<&str> = found.keys().map(String::as_str).collect();
        assert_eq!(about, ["fire", "plant health", "spraying"]);
        assert_eq!(found["spraying"].1, 80_000);
    }
}
