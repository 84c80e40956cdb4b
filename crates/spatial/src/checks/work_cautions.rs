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
