//! A calendar by hand, and laws of all.

use std::collections::BTreeSet;

use almanac::{Hemisphere, Month};
use proptest::prelude::*;
use stock::{Library, Stock, StockKind};

use super::events;
use super::jobs::reached;
use super::needed::Needed;
use super::rows::{Calendar, TaskRow};
use super::{CalendarAsked, told};
use crate::site::Site;

/// A plan of one cultivar and one seed line, each year of `winters`.
fn plan(winters: &[i32]) -> Needed {
    let order = |(id, kind, year): (&str, &str, i32)| {
        serde_json::json!({
            "stock_id": id, "stock_name": id.to_uppercase(), "stock_kind": kind, "season": year, "order_qty": 1_000,
        })
    };
    let lines =
        winters.iter().flat_map(|year| [("c", "cultivar", *year), ("s", "seed_line", *year)]);
    let seasons = winters
        .iter()
        .map(|year| serde_json::json!({"season": year, "seedlings": 900, "crew_days": 25}));
    let told = serde_json::json!({
        "site": "Fold", "line_orders": lines.map(order).collect::<Vec<_>>(), "seasons": seasons.collect::<Vec<_>>(),
        "cautions": [],
    });
    serde_json::from_value(told).unwrap()
}

/// The same, whose planting takes a crew so many days.
fn plan_of_days(crew_days: u64) -> Needed {
    let told = serde_json::json!({
        "site": "Fold",
        "line_orders": [{
            "stock_id": "c", "stock_name": "C", "stock_kind": "cultivar", "season": 2029, "order_qty": 1_000,
        }],
        "seasons": [{"season": 2029, "seedlings": 900, "crew_days": crew_days}],
    });
    serde_json::from_value(told).unwrap()
}

fn site() -> Site {
    let text = "[site]\nname = \"Fold\"\n[layers.boundary]\nfile = \"b.gpkg\"\n[layers.elevation]\nfile = \"e.tif\"\n[stock]\nfile = \"s.toml\"\n";
    crate::site::parse(text, std::path::Path::new("site.toml")).unwrap().0
}

fn library() -> Library {
    let cultivar = Stock::named("c", "C", StockKind::Cultivar);
    let seed = Stock::named("s", "S", StockKind::SeedLine);
    Library::new(vec![cultivar, seed]).unwrap()
}

fn calendar(
    winters: &[i32],
    start: Option<Month>,
    late: Option<u32>,
    hemisphere: Hemisphere,
) -> Calendar {
    let (plan, site, library) = (plan(winters), site(), library());
    let asked = CalendarAsked { plan: None, start, late_seed_months: late };
    plan.check(&asked, &site, &library).unwrap();
    let jobs = reached(&plan, start, &site, &library).unwrap();
    told(&jobs, &plan, Vec::new(), (hemisphere, start), &asked).unwrap()
}

fn task<'c>(calendar: &'c Calendar, id: &str) -> &'c TaskRow {
    calendar.tasks.iter().find(|task| task.id == id).unwrap()
}

/// Planting of two months ends by September 2029, so it begins by August. Plants of the cultivar, 12 months after the order,
/// are ordered by August 2028; local ones, 24 months, by August 2027. Zones are drawn the month before, and nectar for
/// them is last sampled in January.
#[test]
fn back_from_the_winter_by_hand() {
    let found = calendar(&[2029], None, None, Hemisphere::South);
    let latest = |id: &str| task(&found, id).latest.clone();
    for (id, month) in [
        ("plant-2029", "2029-08"),
        ("order-c-2029", "2028-08"),
        ("order-s-2029", "2027-08"),
        ("sow-s-2029", "2028-08"),
        ("collect-s-2029", "2028-07"),
        ("zones", "2027-07"),
        ("erosion", "2027-06"),
        ("nectar", "2027-01"),
        ("visit", "2026-12"),
    ] {
        assert_eq!(latest(id), month, "{id}");
    }
    assert_eq!((found.start.as_str(), found.least_slack_months), ("2026-12", 0));
    assert_eq!(found.warnings, vec![]);
    let earliest = |id: &str| task(&found, id).earliest.clone();
    for (id, month) in [
        ("visit", "2026-12"),
        ("nectar", "2027-01"),
        ("tracks", "2029-02"),
        ("spray-2029", "2029-03"),
        ("walk-2029", "2029-05"),
        ("plant-2029", "2029-06"),
        ("release-2029", "2029-09"),
        ("count-2029", "2030-01"),
        ("blank-2029", "2030-06"),
        ("test-2029", "2031-01"),
        ("hives", "2034-09"),
    ] {
        assert_eq!(earliest(id), month, "{id}");
    }
    assert_eq!(found.critical_path, ["visit", "nectar"]);
    // Zones are drawn in March and the nursery is asked in April. Sown by August 2028 or the winter is missed: gathered by
    // July, 14 months after May 2027.
    let late = &found.late_seed[0];
    assert_eq!(task(&found, "collect-s-2029").earliest, "2027-05");
    assert_eq!(late.may_be_late_months, Some(14));
    assert_eq!((&late.misses_winters[..], &late.plants_in[..]), (&[2029][..], &[2030][..]));
}

/// Begun in 2028, local plants are not there in 2029: the job that cannot be is told, and what it holds up.
#[test]
fn a_start_that_is_too_late_is_told() {
    let start = Some(Month { year: 2028, month: 3 });
    let found = calendar(&[2029], start, None, Hemisphere::South);
    assert!(found.least_slack_months < 0);
    let plant = task(&found, "plant-2029");
    assert_eq!((plant.earliest.as_str(), plant.slack_months), ("2031-06", -22));
    assert!(
        found.warnings.iter().any(|one| one.item.contains("plant-2029") && !one.remedy.is_empty())
    );
}

/// By hand: 20 days a month and four months a winter are 80 days; 81 take a fifth month.
#[test]
fn planting_that_is_longer_than_its_winter_is_told() {
    let told_of = |crew_days: u64| {
        let (plan, site, library) = (plan_of_days(crew_days), site(), library());
        let asked = CalendarAsked { plan: None, start: None, late_seed_months: None };
        let jobs = reached(&plan, None, &site, &library).unwrap();
        told(&jobs, &plan, Vec::new(), (Hemisphere::South, None), &asked).unwrap()
    };
    let enough = told_of(80);
    assert_eq!((task(&enough, "plant-2029").months, enough.warnings.len()), (4, 0));
    let long = told_of(81);
    assert_eq!((task(&long, "plant-2029").months, long.warnings.len()), (4, 1));
    let warning = &long.warnings[0];
    assert!(warning.item.contains("2029") && warning.found.contains("5 months"), "{warning}");
    assert!(warning.expected.contains("4 months") && warning.remedy.contains("labour.days"));
    assert!(told_of(u64::MAX).warnings[0].found.contains("months"), "no figure is too large");
}

#[test]
fn no_release_is_asked_for_where_the_site_pays_for_none() {
    for (times, expected) in [
        (0, &[][..]),
        (1, &["release-2029"]),
        (3, &["release-2029", "release-2029-2", "release-2029-3"]),
    ] {
        let (plan, mut site, library) = (plan(&[2029]), site(), library());
        site.money.release_times = times;
        let jobs = reached(&plan, None, &site, &library).unwrap();
        let ids = jobs.rows.iter().map(|job| job.id.as_str());
        assert_eq!(ids.filter(|id| id.starts_with("release")).collect::<Vec<_>>(), expected);
    }
}

#[test]
fn a_line_that_the_stock_file_does_not_have_is_refused() {
    let (plan, site) = (plan(&[2029]), site());
    let asked = CalendarAsked { plan: None, start: None, late_seed_months: None };
    let other = Library::new(vec![Stock::named("c", "C", StockKind::Cultivar)]).unwrap();
    let refused = plan.check(&asked, &site, &other).unwrap_err();
    assert!(refused.found.contains("`s`") && !refused.remedy.is_empty(), "{refused}");
}

#[test]
fn in_the_north_all_lies_six_months_later() {
    let south = calendar(&[2029, 2030], None, Some(7), Hemisphere::South);
    let north = calendar(&[2029, 2030], None, Some(7), Hemisphere::North);
    let later = |text: &str| {
        let month = events::month(text).plus(6);
        format!("{:04}-{:02}", month.year, month.month)
    };
    for (south, north) in south.tasks.iter().zip(&north.tasks) {
        assert_eq!(south.id, north.id);
        assert_eq!(
            (later(&south.earliest), later(&south.latest)),
            (north.earliest.clone(), north.latest.clone())
        );
        assert_eq!(south.slack_months, north.slack_months);
    }
    assert_eq!(task(&north, "plant-2029").season, "Dec to Feb");
    assert_eq!(task(&north, "plant-2029").earliest, "2029-12");
}

proptest! {
    #[test]
    fn laws_of_every_calendar(
        first in 2_000_i32..2_100, more in proptest::collection::btree_set(1_i32..6, 0..3),
        start in proptest::option::of((1_995_i32..2_102, 1_u8..13)), late in proptest::option::of(1_u32..61),
        is_north in any::<bool>(),
    ) {
        let winters: Vec<i32> = std::iter::once(first).chain(more.iter().map(|later| first + later)).collect();
        let start = start.map(|(year, month)| Month { year, month });
        let hemisphere = if is_north { Hemisphere::North } else { Hemisphere::South };
        let found = calendar(&winters, start, late, hemisphere);
        let ids: BTreeSet<&str> = found.tasks.iter().map(|task| task.id.as_str()).collect();
        prop_assert_eq!(ids.len(), found.tasks.len());
        for one in &found.tasks {
            for before in &one.after {
                prop_assert!(task(&found, before).ends < one.earliest, "{} {}", before, one.id);
            }
            let begins = events::month(&one.earliest);
            prop_assert_eq!(events::month(&one.latest).since(begins), one.slack_months);
            prop_assert_eq!(events::month(&one.ends).since(begins) + 1, one.months as i32);
        }
        for year in &winters {
            let id = format!("plant-{year}");
            prop_assert!(ids.contains(id.as_str()));
        }
        if start.is_none() {
            prop_assert_eq!(found.least_slack_months, 0, "as late as can be");
        }
        prop_assert_eq!(found.warnings.is_empty(), found.least_slack_months >= 0);
        for row in &found.late_seed {
            let own = row.slipped.iter().find(|one| one.task == row.task).unwrap();
            prop_assert!(own.months >= row.late_months as i32);
            let most = row.may_be_late_months.unwrap_or(120);
            prop_assert_eq!(!row.misses_winters.is_empty(), row.late_months > most);
        }
    }
}
