//! Costs by hand, laws of sums, and every fault of the tables.

use proptest::prelude::*;
use stock::{Library, Stock, StockKind};

use super::cash::{Case, Cash};
use super::costs::Costs;
use super::planted::{Block, Planted};
use super::stage::Stage;
use super::table::{read_carbon, read_income};
use crate::problem::Problem;
use crate::site::{BlankingPlants, MoneyRules, Site};

fn block(zone: usize, year: usize, plan_ha: f64, seedlings: u64, order_qty: u64) -> Block {
    Block { zone, stock_id: "a".to_owned(), year, plan_ha, seedlings, order_qty, survival: 0.8 }
}

fn plan(blocks: Vec<Block>) -> Planted {
    Planted {
        site: "Fold".to_owned(),
        blocks,
        told_cost_nzd: 0.0,
        zones: vec!["Z001".to_owned(), "Z002".to_owned()],
        first_year: Some(2027),
    }
}

fn site(change: impl FnOnce(&mut Site)) -> Site {
    let text = "[site]\nname = \"Fold\"\n[layers.boundary]\nfile = \"b.gpkg\"\n[layers.elevation]\nfile = \"e.tif\"\n[stock]\nfile = \"s.toml\"\n";
    let (mut site, _) = crate::site::parse(text, std::path::Path::new("site.toml")).unwrap();
    change(&mut site);
    site
}

fn library(price_nzd: f64) -> Library {
    let stock = Stock { price_nzd: Some(price_nzd), ..Stock::named("a", "A", StockKind::Cultivar) };
    Library::new(vec![stock]).unwrap()
}

fn stage(costs: &Costs, stage: Stage) -> f64 {
    costs.flows(stage).total()
}

/// By hand, for 2 ha, 2,000 plants in the ground, 2,400 ordered, 400 of which are expected to die.
#[test]
fn costs_by_hand() {
    let plan = plan(vec![block(0, 0, 2.0, 2_000, 2_400)]);
    let site = site(|site| {
        site.mosaic.planting_nzd = 0.60;
        site.money.fence_m = Some(100.0);
    });
    let costs = Costs::of(&plan, &site, &library(0.75)).unwrap();
    let of = |one| stage(&costs, one);
    for (one, expected) in [
        (Stage::Plants, 1_800.0),
        (Stage::Planting, 1_200.0),
        (Stage::Preparation, 600.0),
        (Stage::Release, 1_000.0),
        (Stage::Pests, 360.0),
        (Stage::Fencing, 2_500.0),
        (Stage::Blanking, 240.0), // the order has all 400: planting alone
        (Stage::Overhead, 770.0),
    ] {
        assert!((of(one) - expected).abs() < 1e-9, "{one:?}: {}", of(one));
    }
    assert!((costs.total_nzd() - 8_470.0).abs() < 1e-9);
    assert!((costs.plants_and_planting_nzd() - 3_000.0).abs() < 1e-9);
    assert_eq!(costs.years(), 3);
    let anew = Site {
        money: MoneyRules { blanking_plants: BlankingPlants::New, ..site.money.clone() },
        ..site
    };
    let costs = Costs::of(&plan, &anew, &library(0.75)).unwrap();
    assert!((stage(&costs, Stage::Blanking) - 540.0).abs() < 1e-9);
}

#[test]
fn prices_beyond_reason_are_refused() {
    let plan = plan(vec![block(0, 0, 2.0, 2_000, 2_400)]);
    let refused = Costs::of(&plan, &site(|_| {}), &library(f64::MAX)).unwrap_err();
    assert!(refused.item.contains("plants") && !refused.remedy.is_empty());
}

fn read_both(
    income: &str,
    carbon: &str,
) -> (Result<usize, Vec<Problem>>, Result<f64, Vec<Problem>>) {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let file = folder.path().join(name);
        std::fs::write(&file, text).unwrap();
        file
    };
    let income = read_income(&file("income.csv", income)).map(|rows| rows.len());
    let carbon = read_carbon(&file("carbon.csv", carbon)).map(|table| table.last_age_years());
    (income, carbon)
}

const INCOME: &str =
    "what,year_from,year_to,low_nzd_per_ha,middle_nzd_per_ha,high_nzd_per_ha,note\n";

#[test]
fn faults_of_the_tables_have_their_places_and_remedies() {
    let (income, carbon) = read_both(
        &format!("{INCOME}hives,5,20,100,200.5,300,ours\n"),
        "age_years,tco2_per_ha\n5,8\n10,40\n",
    );
    assert_eq!((income.unwrap(), carbon.unwrap()), (1, 10.0));
    for (row, column, found) in [
        ("hives,5,4,1,2,3,", 3, "before"),
        ("hives,5,20,3,2,4,", 5, "3, 2, 4"),
        (",5,20,1,2,3,", 1, "nothing"),
        ("hives,5.5,20,1,2,3,", 2, "5.5"),
        ("hives,5,20,$1,2,3,", 4, "$1"),
        ("hives,5,20,-1,2,3,", 4, "-1"),
        ("hives,5,20,NaN,2,3,", 4, "NaN"),
        ("hives,5,400,1,2,3,", 3, "400"),
        ("hives,5,20,1,2,3,4,5", 8, "beyond"),
    ] {
        let problems = read_both(&format!("{INCOME}{row}\n"), "").0.unwrap_err();
        assert_eq!(problems.len(), 1, "{row}: {problems:?}");
        assert_eq!(problems[0].place, Some((2, column)), "{row}: {}", problems[0]);
        assert!(problems[0].found.contains(found), "{row}: {}", problems[0]);
        assert!(!problems[0].expected.is_empty() && !problems[0].remedy.is_empty());
    }
    for (text, place) in [
        ("age_years,tco2_per_ha\n5,8\n5,9\n", (3, 1)),
        ("age_years,tco2_per_ha\n5,-8\n", (2, 2)),
        ("age_years,tco2_per_ha\n", (1, 1)),
        ("age_years,tco2\n5,8\n", (1, 2)),
        ("", (1, 1)),
    ] {
        let problems = read_both("", text).1.unwrap_err();
        assert_eq!(problems[0].place, Some(place), "{text}: {}", problems[0]);
    }
}

/// Income is counted by the age of each winter's ground, carbon by what a year adds.
#[test]
fn cash_by_hand() {
    let plan = plan(vec![block(0, 0, 2.0, 0, 0), block(1, 1, 3.0, 0, 0)]);
    let free = site(|site| {
        site.money.preparation_nzd_per_ha = 100.0;
        (site.money.release_times, site.money.pest_years) = (0, 0);
        site.money.overhead_share = 0.5;
        site.money.years = 4;
        site.money.carbon_price_nzd = Some([10.0, 20.0, 40.0]);
    });
    let costs = Costs::of(&plan, &free, &library(0.0)).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let income = folder.path().join("income.csv");
    std::fs::write(&income, format!("{INCOME}hives,2,2,10,20,30,\n")).unwrap();
    let carbon = folder.path().join("carbon.csv");
    std::fs::write(&carbon, "age_years,tco2_per_ha\n2,4\n3,10\n").unwrap();
    let (income, carbon) = (read_income(&income).unwrap(), read_carbon(&carbon).unwrap());
    let cash = Cash::new(&costs, &plan, &free.money, income, Some(carbon));
    let flows: Vec<f64> = cash.flows(&cash.of(Case::Middle)).iter().collect();
    let expected = [
        -300.0,
        -450.0 + 2.0 * 2.0 * 20.0,
        2.0 * 20.0 + 2.0 * 2.0 * 20.0 + 3.0 * 2.0 * 20.0,
        3.0 * 20.0 + 2.0 * 6.0 * 20.0 + 3.0 * 2.0 * 20.0,
        3.0 * 6.0 * 20.0,
    ];
    for (found, expected) in flows.iter().zip(expected) {
        assert!((found - expected).abs() < 1e-9, "{flows:?}");
    }
    let low: Vec<f64> = cash.flows(&cash.of(Case::Low)).iter().collect();
    assert!((low[0] + 360.0).abs() < 1e-9 && (low[4] - 180.0).abs() < 1e-9);
    let late = super::cash::Assumed { late_years: 1, ..cash.of(Case::Middle) };
    let late: Vec<f64> = cash.flows(&late).iter().collect();
    assert!((late[1] + 450.0).abs() < 1e-9 && (late[2] - (flows[1] + 450.0)).abs() < 1e-9);
}

proptest! {
    #[test]
    fn every_table_of_costs_adds_up_to_the_cent(
        blocks in proptest::collection::vec((0_usize..2, 0_usize..4, 0.0..50.0_f64, 0_u64..50_000, 0_u64..9_000), 1..12),
        price in 0.0..3.0_f64, planting in 0.0..2.0_f64, fence in 0.0..5_000.0_f64, share in 0.0..0.5_f64,
    ) {
        let blocks = blocks.into_iter().map(|(zone, year, ha, plants, more)| block(zone, year, ha, plants, plants + more));
        let plan = plan(blocks.collect());
        let site = site(|site| {
            site.mosaic.planting_nzd = planting;
            site.money.fence_m = Some(fence);
            site.money.overhead_share = share;
        });
        let costs = Costs::of(&plan, &site, &library(price)).unwrap();
        let cents = |nzd: f64| (nzd * 100.0).round() as i64;
        let total = cents(costs.total_nzd());
        let sum = |sums: Vec<f64>| sums.into_iter().map(cents).sum::<i64>();
        prop_assert_eq!(sum(costs.stage_rows().iter().map(|row| row.cost_nzd).collect()), total);
        prop_assert_eq!(sum(costs.zone_rows(&plan).iter().map(|row| row.cost_nzd).collect()), total);
        prop_assert_eq!(sum(costs.rows(&plan).iter().map(|row| row.cost_nzd).collect()), total);
        // One rounding a stage and year, against sums that were never rounded.
        let exact: f64 = plan.blocks.iter().map(|one| one.order_qty as f64 * price + one.seedlings as f64 * planting).sum();
        prop_assert!((costs.plants_and_planting_nzd() - exact).abs() < 0.005 * 8.0 + 1e-6);
        let cash = Cash::new(&costs, &plan, &site.money, vec![], None);
        prop_assert!((cash.flows(&cash.of(Case::Middle)).total() + costs.total_nzd()).abs() < 1e-6);
    }
}
