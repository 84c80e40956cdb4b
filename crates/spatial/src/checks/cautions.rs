//! The usual cautions, beside the ground they concern. Local rules and licensed people decide.

use geo::{Area, BooleanOps, BoundingRect, Intersects};
use rayon::prelude::*;

use crate::plan::Caution;
use crate::read::{KeepClearArea, Ready};
use crate::site::{KeepClearRule, Site};
use crate::units::PlanHectares;
use crate::zones::{Zone, Zones};

/// What is said of ground steeper than each of the caution slopes. Common practice, numbers from
/// memory; worded as a question to be settled on site, never as permission.
const STEEP: [(&str, &str); 3] = [
    ("slopes over 15°", "wheeled machines need a site safety plan here"),
    ("slopes over 22°", "tracked machines need a site safety plan here"),
    (
        "slopes over 35°",
        "planting by hand needs a site safety plan here; keep people off ground above bluffs",
    ),
];

/// Every caution of a plan: steep ground by slope, then the features that say "ask first".
#[must_use]
pub fn cautions(zones: &Zones, ready: &Ready, site: &Site) -> Vec<Caution> {
    let steep = STEEP.iter().enumerate().filter_map(|(at, (about, text))| {
        caution(about, text, &zones.zones, |zone| zone.statistics.steeper_m2[at])
    });
    let asks = ready.keep_clear.iter().filter_map(|area| ask(area, zones, site));
    steep.chain(asks).collect()
}

/// A feature whose surroundings planters must ask about.
fn ask(area: &KeepClearArea, zones: &Zones, site: &Site) -> Option<Caution> {
    let rule = &site.keep_clear[area.rule];
    let around = area.ask.as_ref()?;
    let reach = around.bounding_rect()?;
    let within = |zone: &Zone| {
        let near = zone.geometry.bounding_rect().is_some_and(|bounds| bounds.intersects(&reach));
        if near { zone.geometry.intersection(around).unsigned_area() } else { 0.0 }
    };
    let about = within_words(rule);
    let text = rule.caution.clone().unwrap_or_else(|| rule.reason.clone());
    caution(&about, &text, &zones.zones, within)
}

/// What is said of the drop points of these zones; `None` where none has one.
#[must_use]
pub(crate) fn of_drop_points(
    zones: &Zones,
    has_one: impl Fn(&Zone) -> bool + Sync,
) -> Option<Caution> {
    let text = "a drop point is a place on the map: whether a vehicle can get there and turn safely \
                is settled by people on site";
    caution(
        "drop points",
        text,
        &zones.zones,
        |zone| if has_one(zone) { zone.plan_m2 } else { 0.0 },
    )
}

/// Where a rule asks planters to ask, in words: `within 20 m of power line`.
#[must_use]
pub fn within_words(rule: &KeepClearRule) -> String {
    let metres = rule.ask_within.map_or(0.0, |distance| distance.0);
    format!("within {metres} m of {}", rule.name)
}

/// A caution over the zones where `area_m2` finds ground; `None` when there is none.
pub(super) fn caution(
    about: &str,
    text: &str,
    zones: &[Zone],
    area_m2: impl Fn(&Zone) -> f64 + Sync,
) -> Option<Caution> {
    let areas = zones.par_iter().map(|zone| (zone, area_m2(zone)));
    let concerned: Vec<(&Zone, f64)> = areas.filter(|(_, area)| *area > 0.5).collect();
    let area = concerned.iter().map(|(_, area)| area).sum();
    (!concerned.is_empty()).then(|| Caution {
        about: about.to_owned(),
        zones: concerned.iter().map(|(zone, _)| zone.id.clone()).collect(),
        zone_areas_m2: concerned.iter().map(|(_, area)| *area).collect(),
        plan_area_ha: PlanHectares::from_m2(area),
        text: format!("{}; local rules and licensed people decide", text.trim_end_matches('.')),
    })
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, Rect};
    use terrain::Grid;

    use super::*;
    use crate::offers::fixture::{self, CORNER};

    fn told(caution: &Caution) -> (&str, Vec<&str>, Vec<u32>) {
        let zones = caution.zones.iter().map(String::as_str).collect();
        let areas = caution.zone_areas_m2.iter().map(|area| area.round() as u32).collect();
        (&caution.about, zones, areas)
    }

    /// Steep ground of two zones, and the surroundings of a line that cross a quarter of the second and all of the third,
    /// 4 ha each. Half a square metre is told of nobody.
    #[test]
    fn cautions_stand_beside_the_ground_they_concern() {
        let mut zones = fixture::zones(&[100.0, 200.0, 300.0]);
        zones.zones[0].statistics.steeper_m2 = [9_000.0, 700.0, 0.4];
        zones.zones[1].statistics.steeper_m2 = [0.3, 0.0, 0.0];
        zones.zones[2].statistics.steeper_m2 = [20_000.0, 300.0, 80.0];
        let [west, south] = CORNER;
        let around = Rect::new((west + 1_150.0, south - 50.0), (west + 5_000.0, south + 900.0));
        let grid = Grid::new(2, 2, west, south, 1.0, 1.0).unwrap();
        let corner = MultiPolygon::from(Rect::new((west, south), (west + 1.0, south + 1.0)));
        let mut ready = Ready::bare(grid, corner.clone());
        let area = |ask: Option<Rect<f64>>| KeepClearArea {
            rule: 0,
            geometry: corner.clone(),
            ask: ask.map(MultiPolygon::from),
        };
        ready.keep_clear = vec![area(None), area(Some(around))];
        for (further, words) in [
            ("ask_within_m = 20", "power; local rules and licensed people decide"),
            (
                "ask_within_m = 20\ncaution = \"Ask the owner.\"",
                "Ask the owner; local rules and licensed people decide",
            ),
        ] {
            let site = fixture::site(&fixture::keep_clear("line", "power", further));
            let found = cautions(&zones, &ready, &site);
            let [gentle, steeper, steepest, line] = &found[..] else { panic!("{found:?}") };
            assert_eq!(
                told(gentle),
                ("slopes over 15°", vec!["Z001", "Z003"], vec![9_000, 20_000])
            );
            assert!((gentle.plan_area_ha.0 - 2.9).abs() < 1e-9, "{gentle:?}");
            assert_eq!(told(steeper), ("slopes over 22°", vec!["Z001", "Z003"], vec![700, 300]));
            assert_eq!(told(steepest), ("slopes over 35°", vec!["Z003"], vec![80]));
            assert_eq!(
                told(line),
                ("within 20 m of line", vec!["Z002", "Z003"], vec![10_000, 40_000])
            );
            assert_eq!(line.text, words);
        }
        ready.keep_clear.clear();
        assert!(cautions(&fixture::zones(&[100.0]), &ready, &fixture::site("")).is_empty());
    }

    #[test]
    fn drop_points_are_told_where_there_are_some() {
        let zones = fixture::zones(&[100.0, 200.0]);
        let found = of_drop_points(&zones, |zone| zone.id == "Z002").unwrap();
        assert_eq!(told(&found), ("drop points", vec!["Z002"], vec![40_000]));
        assert!(of_drop_points(&zones, |_| false).is_none());
    }
}
