//! Offers against sums worked by hand.

use std::path::Path;

use geo::{MultiPolygon, Rect};

use super::fixture::{CORNER, DEMAND, demands, library, programmed, site, zones};
use super::{Seasons, Sourcing, no_winter, unknown};
use crate::mosaic::{InFlower, Offer, Weeks};
use crate::overrides::{Override, Overrides, outside, read};
use crate::read::{Crs, SeedZones};
use crate::units::StemsPerHectare;

/// A cultivar with rich nectar, one with half of it, and home seed of which nothing is known.
const LINES: &str = "\
[[stock]]\nid = \"rich\"\nname = \"Rich\"\nkind = \"cultivar\"\nprice_nzd = 1.2\nmin_lot = 500\n\
supply = { 2027 = 4000, 2029 = 9000 }\n\
[stock.nectar]\nratio_mean = 0.012\nratio_sd = 0.004\ntrees = 20\n\
[stock.flowering]\nbegins = \"12-20\"\nends = \"01-10\"\nelevation_m = 100\nshift_days_per_100m = 3.5\n\
[[stock]]\nid = \"plain\"\nname = \"Plain\"\nkind = \"cultivar\"\nprice_nzd = 0.6\nsupply = 7000\n\
status = \"being_raised\"\nfirst_season = 2028\n\
[stock.nectar]\nratio_mean = 0.006\nratio_sd = 0.004\ntrees = 20\n\
[[stock]]\nid = \"home\"\nname = \"Home\"\nkind = \"seed_line\"\n";

fn offers(mosaic: &str, by_line: &[f64]) -> Vec<Option<Offer>> {
    let zones = zones(&[100.0]);
    let programme = programmed(
        &site(&format!("[mosaic]\n{mosaic}")),
        &library(LINES),
        &zones,
        by_line,
        &Overrides::default(),
    );
    programme.zones[0].offers.clone()
}

fn worths(mosaic: &str) -> Vec<f64> {
    let worth = |offer: &Option<Offer>| offer.map_or(f64::NAN, |offer| offer.worth_per_ha);
    offers(mosaic, &[0.8, 1.0, 0.9]).iter().map(worth).collect()
}

fn near(found: &[f64], expected: &[f64]) {
    let is_near = |(a, b): (&f64, &f64)| (a - b).abs() < 1e-9 || (a.is_nan() && b.is_nan());
    let same = found.len() == expected.len() && found.iter().zip(expected).all(is_near);
    assert!(same, "{found:?} is not {expected:?}");
}

/// A hectare has 0.75 ha open to planting: 750 plants in the ground, 937.5 to order.
#[test]
fn worth_is_what_the_weights_make_of_fit_nectar_area_and_cost() {
    let open = 0.75;
    // by fit alone; home seed counts 0.6
    near(&worths(""), &[0.8 * open, 1.0 * open, 0.9 * 0.6 * open]);
    // nectar of the richest counts wholly, half of it half, unknown not at all
    let nectar = "weight_fit = 0\nweight_nectar = 1\n";
    near(&worths(nectar), &[0.8 * open, 0.5 * open, f64::NAN]);
    let both = "weight_fit = 0.5\nweight_nectar = 0.5\nseed_line_weight = 1\n";
    near(&worths(both), &[0.8 * open, 0.75 * open, 0.45 * open]);
    let area = "weight_fit = 1\nweight_area = 0.2\n";
    near(&worths(area), &[1.0 * open, 1.2 * open, 0.74 * open]);
    // the dearest hectare has 937.5 plants at 1.20 and 750 times 0.40 of planting: 1,425
    let (rich, plain, home) = (1_425.0, 937.5 * 0.6 + 300.0, 300.0);
    let cost = "weight_cost = 0.3\nplanting_nzd = 0.4\n";
    let less = |cost: f64| 0.3 * cost / rich;
    near(&worths(cost), &[0.6 - less(rich), 0.75 - less(plain), 0.405 - less(home)]);
    // what costs more than it counts for is not offered
    let dear = "weight_fit = 0\nweight_area = 0.3\nweight_cost = 0.5\n";
    near(&worths(dear), &[f64::NAN, f64::NAN, 0.3 * open]);
}

#[test]
fn plants_cost_and_weeks_are_of_one_map_hectare() {
    let offers = offers("planting_nzd = 0.4\n", &[0.8, 0.19, 0.2]);
    let rich = offers[0].expect("offered");
    near(&[rich.plants_per_ha, rich.cost_per_ha, rich.days_per_ha], &[937.5, 1_425.0, 3.0]);
    assert_eq!(rich.weeks, Weeks::span(50, 1), "20 December to 10 January, over the new year");
    assert_eq!(offers[1], None, "below the floor");
    let home = offers[2].expect("at the floor");
    near(&[home.cost_per_ha], &[300.0]);
    assert!(home.weeks.is_empty(), "nothing is known of its flowering");
}

#[test]
fn limits_are_those_of_the_site_and_the_stock() {
    let rules = "seasons = 3\nwait_loss = 0.1\nbudget_nzd = 9000\nseason_budget_nzd = 5000\n\
        weeks_in_flower = 4\nflower_least_ha = 2\nregenerate_worth = 0.2\nmin_share = 0.3\nline_cap = 0.5\n";
    let site = site(&format!("[mosaic]\n{rules}"));
    let library = library(LINES);
    let programme = programmed(&site, &library, &zones(&[100.0]), &[1.0; 3], &Overrides::default());
    assert_eq!((programme.seasons, programme.budget), (3, Some(9_000.0)));
    near(&[programme.wait, programme.min_share, programme.line_cap], &[0.1, 0.3, 0.5]);
    assert_eq!(programme.season_budget, Some(5_000.0));
    assert_eq!(programme.flowering, Some(InFlower { weeks: 4, least_ha: 2.0 }));
    near(&[programme.zones[0].left_worth_per_ha], &[0.2 * 0.75]);
    near(&[programme.zones[0].open_share], &[0.75]);
    assert_eq!(Seasons::of(&site, &library).first, Some(2027), "the earliest that is named");
    let [rich, plain, home] = &programme.lines[..] else { panic!("three lines") };
    assert_eq!((rich.supply, rich.min_lot), (Some(13_000.0), 500.0));
    assert_eq!(rich.by_season, [Some(4_000.0), Some(0.0), Some(9_000.0)]);
    assert_eq!(plain.by_season, [Some(0.0), Some(7_000.0), Some(7_000.0)], "raised until 2028");
    assert_eq!((plain.supply, home.supply), (Some(7_000.0), None));
}

fn choice(zone: usize, one: Override) -> Overrides {
    Overrides { placed: vec![(zone, one)] }
}

/// A choice that chooses nothing yet, read from text.
fn blank(at: [f64; 2], words: &str) -> Override {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("overrides.toml");
    std::fs::write(&file, format!("\n[[zone]]\nat = [{}, {}]\n{words}\n", at[0], at[1])).unwrap();
    read(&file, &library(LINES)).unwrap_or_else(|problems| panic!("{problems:?}")).remove(0)
}

#[test]
fn a_line_fixed_by_hand_is_the_only_offer_and_a_forbidden_one_is_none() {
    let (site, library, zones) = (site(""), library(LINES), zones(&[100.0, 100.0]));
    let with = |overrides: &Overrides| {
        programmed(&site, &library, &zones, &[0.8, 0.05, 0.9], overrides).zones
    };
    let fixed = with(&choice(1, blank(CORNER, "line = \"plain\"")));
    let offered: Vec<bool> = fixed[1].offers.iter().map(Option::is_some).collect();
    assert_eq!(offered, [false, true, false], "below the floor, but fixed");
    assert!(fixed[1].must_plant && !fixed[0].must_plant);
    let forbidden = with(&choice(0, blank(CORNER, "forbid = [\"rich\"]")));
    let offered: Vec<bool> = forbidden[0].offers.iter().map(Option::is_some).collect();
    assert_eq!(offered, [false, false, true]);
    assert!(!forbidden[0].must_plant);
    assert_eq!(forbidden[1], with(&Overrides::default())[1], "no other zone is touched");
}

#[test]
fn a_density_set_by_hand_scales_plants_order_and_cost() {
    let (site, library, zones) = (site(""), library(LINES), zones(&[100.0, 100.0]));
    let denser = choice(0, blank(CORNER, "density_sph = 1500"));
    let [usual, set] = [&Overrides::default(), &denser]
        .map(|overrides| programmed(&site, &library, &zones, &[1.0; 3], overrides).zones);
    let (usual_offer, set_offer) = (usual[0].offers[0].unwrap(), set[0].offers[0].unwrap());
    near(
        &[set_offer.plants_per_ha, set_offer.cost_per_ha, set_offer.worth_per_ha],
        &[usual_offer.plants_per_ha * 1.5, usual_offer.cost_per_ha * 1.5, usual_offer.worth_per_ha],
    );
    assert_eq!(usual[1], set[1]);
    let demands = denser.demands(&demands(2, 1));
    let own = demands[0].lines[0];
    assert_eq!(own.density, StemsPerHectare(1_500.0));
    near(&[own.plants, own.order, demands[0].gap_share], &[4_500.0, 5_625.0, 0.75]);
    near(&[own.survival()], &[DEMAND.survival()]);
    assert_eq!(demands[1].lines[0], DEMAND);
}

#[test]
fn choices_find_their_zone_and_strays_are_told() {
    let zones = zones(&[100.0, 100.0]);
    let inside = |zone: f64| [CORNER[0] + 1_000.0 * zone + 50.0, CORNER[1] + 70.0];
    let all = vec![
        blank(inside(1.0), "line = \"rich\""),
        blank([CORNER[0] + 500.0, CORNER[1]], "line = \"rich\""),
        blank(inside(1.0), "density_sph = 900"),
        blank(inside(1.0), "line = \"home\""),
        blank(inside(1.0), "forbid = \"rich\""),
        blank(inside(1.0), "density_sph = 901"),
        blank(inside(0.0), "forbid = \"home\""),
        blank(inside(0.0), "line = \"home\""),
    ];
    let (placed, warnings) = Overrides::place(all.clone(), &zones, Path::new("choices.toml"));
    let heard: Vec<usize> = placed.placed.iter().map(|(zone, _)| *zone).collect();
    assert_eq!(heard, [1, 1, 0], "the earlier of two that differ stands");
    assert_eq!(placed.placed[1].1.density, Some(StemsPerHectare(900.0)));
    assert_eq!(warnings.len(), 5);
    assert!(warnings[0].found.contains("in no planting zone"), "{}", warnings[0]);
    assert!(
        warnings.iter().all(|w| !w.is_error() && w.place == Some((2, 1)) && !w.remedy.is_empty())
    );
    assert!(warnings[1].found.contains("another line is fixed in line 2"), "{}", warnings[1]);
    let strays = outside(&all, &zones.zones[0].geometry, Path::new("choices.toml"));
    assert_eq!(strays.len(), 6);
    assert_eq!(placed.without(0).placed.len(), 2);
}

/// Home seed of a place, the rest as it is said.
fn home(origin: &str) -> String {
    format!(
        "[[stock]]\nid = \"home\"\nname = \"Home\"\nkind = \"seed_line\"\n{origin}\
         [[stock]]\nid = \"bought\"\nname = \"Bought\"\nkind = \"cultivar\"\n\
         [stock.origin]\nelevation_m = 3000\nseed_zone = \"Elsewhere\"\npoint = [1000000, 5000000]\ncrs = \"EPSG:2193\"\n"
    )
}

/// What bars home seed in three zones, 1 km apart, at 100, 300 and 500 m; and the warnings.
fn bars(rules: &str, origin: &str) -> (Vec<Option<String>>, Vec<String>) {
    let zones = zones(&[100.0, 300.0, 500.0]);
    let (site, library) = (site(&format!("[eco_sourcing]\n{rules}")), library(&home(origin)));
    let crs = Crs::from_user("EPSG:2193").unwrap();
    let (sourcing, warnings) = Sourcing::new(&site, &library, &zones, &SeedZones::default(), &crs);
    assert!((0..3).all(|zone| sourcing.bar(zone, 1).is_none()), "cultivars are not held to it");
    let bars: Vec<_> = (0..3).map(|zone| sourcing.bar(zone, 0).map(str::to_owned)).collect();
    let programme = programmed(&site, &library, &zones, &[1.0, 1.0], &Overrides::default());
    for (zone, bar) in programme.zones.iter().zip(&bars) {
        assert_eq!(zone.offers[0].is_none(), bar.is_some(), "barred is not offered");
    }
    (bars, warnings.iter().map(ToString::to_string).collect())
}

fn barred(bars: &[Option<String>]) -> Vec<bool> {
    bars.iter().map(Option::is_some).collect()
}

#[test]
fn home_seed_is_held_to_a_distance_by_point_and_by_polygon_in_any_system() {
    // 200 m west of the first zone, so 200, 1,200 and 2,200 m from the three
    let (x, y) = (CORNER[0] - 200.0, CORNER[1] + 100.0);
    let crs = Crs::from_user("EPSG:2193").unwrap();
    let globe = Crs::longitude_latitude().unwrap();
    let degrees = |x: f64, y: f64| {
        let mut points = [(x, y)];
        crs.transform_points(&globe, &mut points).unwrap();
        points[0]
    };
    let (lon, lat) = degrees(x, y);
    // Longitudes there lie beyond the 180th meridian; either name of one will do.
    assert!(lat < -39.0 && lat > -41.0, "{lon} {lat}");
    let corners = [(-300.0, -50.0), (0.0, -50.0), (0.0, 50.0), (-300.0, 50.0), (-300.0, -50.0)];
    let ring: Vec<String> = corners
        .iter()
        .map(|(east, north)| degrees(x + east, y + north))
        .map(|(lon, lat)| format!("[{lon:.9}, {lat:.9}]"))
        .collect();
    let origins = [
        format!("[stock.origin]\npoint = [{x}, {y}]\ncrs = \"EPSG:2193\"\n"),
        format!("[stock.origin]\npoint = [{lon:.9}, {lat:.9}]\ncrs = \"EPSG:4326\"\n"),
        format!("[stock.origin]\npolygon = [[{}]]\ncrs = \"EPSG:4326\"\n", ring.join(", ")),
    ];
    for origin in &origins {
        for (most_km, expected) in [
            (0.19, [true, true, true]),
            (0.21, [false, true, true]),
            (1.19, [false, true, true]),
            (1.21, [false, false, true]),
            (2.21, [false, false, false]),
        ] {
            let (bars, warnings) = bars(&format!("max_distance_km = {most_km}\n"), origin);
            assert_eq!(barred(&bars), expected, "{most_km} km of {origin}: {bars:?}");
            assert!(warnings.is_empty(), "{warnings:?}");
        }
    }
    let (bars, _) = bars("max_distance_km = 1.5\n", &origins[1]);
    let words = "its seed was gathered 2.2 km away; at most 1.5 km";
    assert_eq!(bars[2].as_deref(), Some(words));
}

#[test]
fn home_seed_gathered_in_the_midst_of_a_stand_is_near_the_zone_in_it() {
    let (x, y) = (CORNER[0], CORNER[1]);
    let around = format!(
        "[stock.origin]\npolygon = [[[{}, {}], [{}, {}], [{}, {}], [{}, {}], [{}, {}]]]\ncrs = \"EPSG:2193\"\n",
        x - 500.0,
        y - 500.0,
        x + 500.0,
        y - 500.0,
        x + 500.0,
        y + 500.0,
        x - 500.0,
        y + 500.0,
        x - 500.0,
        y - 500.0
    );
    let (bars, _) = bars("max_distance_km = 0.1\n", &around);
    assert_eq!(barred(&bars), [false, true, true]);
}

#[test]
fn home_seed_is_held_to_a_height() {
    let (found, _) = bars("max_height_difference_m = 150\n", "[stock.origin]\nelevation_m = 320\n");
    assert_eq!(barred(&found), [true, false, true]);
    let words = "the zone lies 220 m lower than its seed was gathered; at most 150 m";
    assert_eq!(found[0].as_deref(), Some(words));
    let (found, _) = bars("max_height_difference_m = 200\n", "[stock.origin]\nelevation_m = 300\n");
    assert_eq!(barred(&found), [false; 3], "200 m is still within 200 m");
}

#[test]
fn home_seed_of_another_seed_zone_is_barred() {
    let hills = "[stock.origin]\nseed_zone = \"Hills\"\n";
    let (found, _) = bars("seed_zone = \"Coast\"\n", hills);
    let words = Some("its seed is of Hills, this zone lies in Coast".to_owned());
    assert_eq!(found, [words.clone(), words.clone(), words]);
    assert_eq!(barred(&bars("seed_zone = \"Hills\"\n", hills).0), [false; 3]);
}

/// The first zone in Coast, the second a tenth in Coast and the rest in Hills, the third in none.
fn mapped() -> SeedZones {
    let (x, y) = (CORNER[0], CORNER[1]);
    let ground = |west, east| {
        MultiPolygon::new(vec![Rect::new((west, y - 9.0), (east, y + 900.0)).to_polygon()])
    };
    let zones = vec![
        ("Coast".to_owned(), ground(x - 50_000.0, x + 1_020.0)),
        ("Hills".to_owned(), ground(x + 1_020.0, x + 1_900.0)),
    ];
    SeedZones::new(zones, Rect::new((x, y), (x + 2_200.0, y + 200.0)))
}

fn barred_by_map(rules: &str, origin: &str) -> ([bool; 3], Vec<String>) {
    let zones = zones(&[100.0, 300.0, 500.0]);
    let (site, library) = (site(rules), library(&home(origin)));
    let crs = Crs::from_user("EPSG:2193").unwrap();
    let (sourcing, warnings) = Sourcing::new(&site, &library, &zones, &mapped(), &crs);
    assert!((0..3).all(|zone| sourcing.bar(zone, 1).is_none()), "cultivars are not held to it");
    let warnings = warnings.iter().map(ToString::to_string);
    ([0, 1, 2].map(|zone| sourcing.bar(zone, 0).is_some()), warnings.collect())
}

#[test]
fn home_seed_keeps_to_its_seed_zone_on_the_map() {
    let of = |name: &str| format!("[stock.origin]\nseed_zone = \"{name}\"\n");
    let (coast, warnings) = barred_by_map("", &of("Coast"));
    assert_eq!(coast, [false, true, false], "where no seed zone is known, any may go");
    assert_eq!(warnings.len(), 1);
    assert!(warnings[0].contains("lie in no seed zone: 1"), "{warnings:?}");
    assert_eq!(barred_by_map("", &of("Hills")).0, [true, false, false]);
    let rest = "[eco_sourcing]\nseed_zone = \"Hills\"\n";
    let (coast, warnings) = barred_by_map(rest, &of("Coast"));
    assert_eq!((coast, warnings.len()), ([false, true, true], 0), "the key says it for the rest");
    let other = "[eco_sourcing]\nseed_zone = \"Valley\"\n";
    let (valley, warnings) = barred_by_map(other, &of("Valley"));
    assert_eq!((valley, warnings.len()), ([true, true, false], 0), "the key is a name too");
    let (strange, warnings) = barred_by_map("", &of("Valley"));
    assert_eq!(strange, [true, true, false]);
    assert!(warnings[0].contains("barred wherever another seed zone is known"), "{warnings:?}");
    assert!(warnings[1].contains("no seed zone is held to there"), "{warnings:?}");
    let (typing, warnings) = barred_by_map(rest, &of("hills"));
    assert_eq!((typing, warnings.len()), ([true; 3], 1));
    assert!(warnings[0].contains("one of Coast, Hills"), "{warnings:?}");
}

#[test]
fn the_map_tells_the_seed_zone_of_a_place() {
    let (x, y) = (CORNER[0], CORNER[1]);
    let point =
        |east: f64| format!("[stock.origin]\npoint = [{}, {y}]\ncrs = \"EPSG:2193\"\n", x + east);
    assert_eq!(barred_by_map("", &point(-40_000.0)).0, [false, true, false], "off the property");
    assert_eq!(barred_by_map("", &point(1_500.0)).0, [true, false, false]);
    let (nowhere, warnings) = barred_by_map("", &point(5_000.0));
    assert_eq!(nowhere, [false; 3]);
    assert!(warnings[0].contains("no seed zone"), "{warnings:?}");
}

#[test]
fn an_origin_that_is_not_known_bars_nothing_and_is_told() {
    let all = "max_distance_km = 1\nmax_height_difference_m = 10\nseed_zone = \"Coast\"\n";
    let (found, warnings) = bars(all, "");
    assert_eq!(barred(&found), [false; 3]);
    assert_eq!(warnings.len(), 1);
    assert!(warnings[0].contains("home: origin") && warnings[0].contains("planted anywhere"));
    let (found, warnings) = bars(all, "[stock.origin]\nmothers = 40\n");
    assert_eq!(barred(&found), [false; 3]);
    for (warning, word) in warnings.iter().zip(["no height", "no place", "no seed zone"]) {
        assert!(warning.contains(word), "{warning}");
    }
    assert_eq!(warnings.len(), 3);
    let (_, warnings) = bars("max_distance_km = 1\n", "[stock.origin]\nelevation_m = 1\n");
    assert_eq!(warnings.len(), 1, "only what a rule asks for: {warnings:?}");
    let nowhere = "[stock.origin]\npoint = [1, 2]\ncrs = \"EPSG:999999\"\n";
    let (found, warnings) = bars("max_distance_km = 1\n", nowhere);
    assert_eq!((barred(&found), warnings.len()), (vec![false; 3], 1));
    assert_eq!(bars("", "").1, Vec::<String>::new(), "no rule, no question");
}

fn told(mosaic: &str, lines: &str) -> Vec<String> {
    let (site, library) = (site(&format!("[mosaic]\n{mosaic}")), library(lines));
    unknown(&site, &library).iter().map(ToString::to_string).collect()
}

#[test]
fn missing_prices_nectar_flowering_and_winters_are_told() {
    let all = "seasons = 3\n";
    assert!(told(all, LINES).is_empty(), "{:?}", told(all, LINES));
    for key in ["budget_nzd = 100\n", "season_budget_nzd = 100\n", "weight_cost = 0.1\n"] {
        let told = told(&format!("{all}{key}"), LINES);
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].contains("no price for Home"), "{}", told[0]);
        assert!(told[0].contains(key.split(' ').next().unwrap()), "{}", told[0]);
    }
    let told_nectar = told("seasons = 2\nweight_nectar = 1\n", LINES);
    assert!(told_nectar[0].contains("no nectar known of Home"), "{told_nectar:?}");
    let told_weeks = told("seasons = 2\nweeks_in_flower = 2\n", LINES);
    assert!(told_weeks[0].contains("no flowering known of Plain, Home"), "{told_weeks:?}");
    let too_early = told("seasons = 1\nfirst_season = 2028\n", LINES);
    assert!(too_early[0].contains("there are no plants of Rich"), "{too_early:?}");
    let raised = "[[stock]]\nid = \"new\"\nname = \"New\"\nkind = \"cultivar\"\n\
        status = \"being_raised\"\nfirst_season = 2028\n";
    let told_raised = told("", raised);
    assert!(told_raised[0].contains("being raised are New"), "{told_raised:?}");
    let (site, library) = (site("[mosaic]\nseasons = 2\n"), library(raised));
    let error = no_winter(&site, &library).unwrap_err();
    assert!(error.is_error() && error.remedy.contains("first_season"), "{error}");
}

#[test]
fn plants_of_other_winters_are_told() {
    let told_outside = told("seasons = 2\n", LINES);
    assert_eq!(told_outside.len(), 1, "{told_outside:?}");
    let words = ["9000 plants of Rich come in winters outside the plan", "alone: 2027, 2028"];
    assert!(words.iter().all(|word| told_outside[0].contains(word)), "{told_outside:?}");
}

#[test]
fn keys_that_change_nothing_are_told() {
    let lonely = told("seasons = 3\nflower_least_ha = 2\n", LINES);
    assert_eq!(lonely.len(), 1, "{lonely:?}");
    assert!(lonely[0].contains("set mosaic.weeks_in_flower"), "{lonely:?}");
    let weightless = told("seasons = 3\nweight_fit = 0\n", LINES);
    assert_eq!(weightless.len(), 1, "{weightless:?}");
    assert!(weightless[0].contains("until then nothing is planted"), "{weightless:?}");
    assert!(told("seasons = 3\nweight_fit = 0\nweight_area = 0.1\n", LINES).is_empty());
}
