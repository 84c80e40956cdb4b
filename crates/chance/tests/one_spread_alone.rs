//! Each spread by itself, all others 0: what it moves, how far, and what it leaves as it is.
//!
//! Chances are worked out by hand from the normal curve (tables, any textbook: 15.87 % lie over 1, 10.56 % over
//! 1.25); with 8,000 draws a share strays by less than 0.0056 in two out of three runs, so 0.025 is ample.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

use std::f64::consts::PI;

use chance::{Block, Line, NEVER, Offer, Outcome, Risk, Scene, Spreads, Zone, draws};
use cover::{AgeCurve, Pattern, Planting};

const COUNT: usize = 8_000;
const OFF: f64 = 0.025;

const LINE: Line = Line { richness: 1.0, richness_error: 0.0, supply: None, bloom: None };
const PLANTING: Planting = Planting { year: 0.0, planted_per_ha: 1_000.0, alive: 0.8 };

fn block(line: usize) -> Block {
    Block { line, winter: 0, seedlings: 800.0, ordered: 1_000.0, alive: 0.8, area_ha: 1.0 }
}

fn zone(slope_deg: f64, blocks: Vec<Block>) -> Zone {
    Zone { area_ha: 1.0, slope_deg, offers: vec![None; 3], blocks, risk: None }
}

/// A zone that is nothing but ground that may slip, all of it open.
fn risky(area_ha: f64, plantings: &[(usize, Planting)]) -> Zone {
    let risk = Risk {
        area_ha,
        stays: 0.0,
        gaps: 1.0,
        grown: 1.0,
        plantings: plantings.iter().map(|one| one.1).collect(),
        lines: plantings.iter().map(|one| one.0).collect(),
    };
    Zone { risk: Some(risk), ..zone(0.0, Vec::new()) }
}

fn offering(worths: [f64; 2], order: f64) -> Zone {
    let offer = |worth_per_ha| Some(Offer { worth_per_ha, by_richness_per_ha: 0.0, order });
    Zone { offers: vec![offer(worths[0]), offer(worths[1]), None], ..zone(0.0, Vec::new()) }
}

/// Three lines; crowns are 1 m wide from the start, so that cover is that of the plants alone.
fn scene(zones: Vec<Zone>) -> Scene {
    Scene {
        zones,
        lines: vec![LINE; 3],
        on_ground: true,
        winters: 3,
        flying_h: vec![5.0; 365],
        day_hours: 3.0,
        crown_radius_m: AgeCurve::new(&[(0.0, 1.0)]).unwrap(),
        pattern: Pattern::Random,
        target: 0.1,
        by_years: 5,
        enough: 1.0,
    }
}

/// Share under discs of 1 m around plants set down at random: 1 − exp(−λ π r²).
fn random_cover(per_ha: f64) -> f64 {
    1.0 - (-per_ha / 1e4 * PI).exp()
}

fn share(outcomes: &[Outcome], is_so: impl Fn(&Outcome) -> bool) -> f64 {
    outcomes.iter().filter(|one| is_so(one)).count() as f64 / outcomes.len() as f64
}

fn assert_share(outcomes: &[Outcome], expected: f64, is_so: impl Fn(&Outcome) -> bool) {
    let found = share(outcomes, is_so);
    assert!((found - expected).abs() < OFF, "{found} {expected}");
}

/// Share of a line's plants that live.
fn alive(outcome: &Outcome, line: usize) -> f64 {
    outcome.lines[line].alive / 1_000.0
}

fn log_odds(alive: f64) -> f64 {
    (alive / (1.0 - alive)).ln()
}

/// Two zones, of the first line and of the first two: what moves everywhere at once moves all alike; what moves by
/// line moves a line alike in both zones; what moves by zone moves both lines of a zone alike.
#[test]
fn survival_moves_everywhere_by_line_or_by_zone() {
    let lived = |spreads: Spreads, zones: [Vec<Block>; 2]| {
        let outcomes =
            draws(&scene(zones.map(|blocks| zone(0.0, blocks)).to_vec()), &spreads, 2, COUNT);
        // Of each line by how much the log-odds of 0.8 moved, in deviations.
        let by = |one: &Outcome, line| (log_odds(alive(one, line)) - 4.0_f64.ln()) / 0.4;
        let moves: Vec<[f64; 2]> = outcomes.iter().map(|one| [by(one, 0), by(one, 1)]).collect();
        assert_share(&outcomes, 0.1587, |one| by(one, 0) > 1.0);
        assert_share(&outcomes, 0.1587, |one| by(one, 1) < -1.0);
        let product: f64 = moves.iter().map(|one| one[0] * one[1]).sum::<f64>() / COUNT as f64;
        (moves, product)
    };
    let together = || [vec![block(0), block(1)], Vec::new()];
    let apart = || [vec![block(0)], vec![block(1)]];
    let is_alike = |moves: Vec<[f64; 2]>| moves.iter().all(|one| (one[0] - one[1]).abs() < 1e-9);
    let by_year = Spreads { survival_year: 0.4, ..Spreads::NONE };
    let by_line = Spreads { survival_line: 0.4, ..Spreads::NONE };
    let by_zone = Spreads { survival_zone: 0.4, ..Spreads::NONE };
    assert!(is_alike(lived(by_year, together()).0) && is_alike(lived(by_year, apart()).0));
    assert!(is_alike(lived(by_zone, together()).0));
    // Independent of each other: the mean product of two is 0.
    for (_, product) in
        [lived(by_zone, apart()), lived(by_line, together()), lived(by_line, apart())]
    {
        assert!(product.abs() < 0.06, "{product}");
    }
    // One line in two zones: as one block of both would live.
    let twice = [vec![block(0), block(1)], vec![block(0)]];
    for one in draws(&scene(twice.map(|blocks| zone(0.0, blocks)).to_vec()), &by_line, 2, 50) {
        let half = one.lines[0].alive / 2.0;
        assert!((one.lines[0].needed - 2.0 * 800.0 / (half / 1_000.0)).abs() < 1e-6);
    }
}

/// Plants needed are those in the ground over the share that lives, draw by draw; where none lives, none are asked
/// for.
#[test]
fn plants_needed_are_those_in_the_ground_over_the_share_that_lives() {
    let dead = Block { alive: 0.0, ..block(1) };
    let spreads = Spreads { survival_year: 0.3, area: 0.1, slope_deg: 2.0, ..Spreads::NONE };
    for one in draws(&scene(vec![zone(30.0, vec![block(0), dead])]), &spreads, 1, 200) {
        let line = one.lines[0];
        assert!((line.needed * alive(&one, 0) - line.seedlings).abs() < 1e-6);
        assert!(line.seedlings != 800.0);
        assert_eq!((one.lines[1].needed, one.lines[1].alive), (0.0, 0.0));
        assert_eq!(one.lines[1].seedlings, line.seedlings);
    }
}

/// 0.2 of area: over 1.2 in 15.87 % of draws, on every zone at once, whatever its slope. No area falls below 0.
#[test]
fn areas_move_all_plants_alike() {
    let zones = || vec![zone(0.0, vec![block(0)]), zone(40.0, vec![block(1)])];
    let ratio = |one: &Outcome| one.lines[0].seedlings / 800.0;
    let outcomes = draws(&scene(zones()), &Spreads { area: 0.2, ..Spreads::NONE }, 3, COUNT);
    assert_share(&outcomes, 0.1587, |one| ratio(one) > 1.2);
    assert_share(&outcomes, 0.5, |one| ratio(one) > 1.0);
    assert!(outcomes.iter().all(|one| (one.lines[1].seedlings / 800.0 - ratio(one)).abs() < 1e-12));
    let wild = draws(&scene(zones()), &Spreads { area: 1.0, ..Spreads::NONE }, 3, COUNT);
    assert_share(&wild, 0.1587, |one| ratio(one) == 0.0);
}

/// Ground of slope s takes 1 / cos s plants for each on the map. From how many more 30 degrees take, the degrees that a
/// draw put on follow, and from them how many more 45 degrees take.
#[test]
fn steeper_ground_takes_more_plants_by_the_cosine_of_its_slope() {
    let scene = scene(vec![zone(30.0, vec![block(0)]), zone(45.0, vec![block(1)])]);
    let ratio = |one: &Outcome, line: usize| one.lines[line].seedlings / 800.0;
    let cos = |deg: f64| deg.to_radians().cos();
    let steeper = |one: &Outcome, line: usize, deg: f64| {
        (cos(deg) / ratio(one, line)).acos().to_degrees() - deg
    };
    let outcomes = draws(&scene, &Spreads { slope_deg: 4.0, ..Spreads::NONE }, 4, COUNT);
    assert_share(&outcomes, 0.1587, |one| ratio(one, 0) > cos(30.0) / cos(34.0));
    for one in &outcomes {
        let expected = cos(45.0) / cos(45.0 + steeper(one, 0, 30.0));
        assert!((ratio(one, 1) - expected).abs() < 1e-9);
    }
    // By zone: each its own.
    let outcomes = draws(&scene, &Spreads { slope_zone_deg: 4.0, ..Spreads::NONE }, 4, COUNT);
    assert_share(&outcomes, 0.1587, |one| ratio(one, 0) > cos(30.0) / cos(34.0));
    assert_share(&outcomes, 0.1587, |one| ratio(one, 1) < cos(45.0) / cos(41.0));
    let product = |one: &Outcome| steeper(one, 0, 30.0) * steeper(one, 1, 45.0) / 16.0;
    let mean = outcomes.iter().map(product).sum::<f64>() / COUNT as f64;
    assert!(mean.abs() < 0.06, "{mean}");
    // Both: they add up, to a deviation of 5.
    let both = Spreads { slope_deg: 3.0, slope_zone_deg: 4.0, ..Spreads::NONE };
    let outcomes = draws(&scene, &both, 4, COUNT);
    assert_share(&outcomes, 0.1587, |one| ratio(one, 0) > cos(30.0) / cos(35.0));
    let flat = Scene { on_ground: false, ..scene };
    assert!(draws(&flat, &both, 4, 50).iter().all(|one| ratio(one, 0) == 1.0));
}

/// Half of the draws are short, and then by anything from all to 0.6 of the supply: a zone that asks for 0.8 of it
/// is let down in a quarter of all draws, one that asks for 0.6 never, and one that asks for all of it in half.
#[test]
fn a_line_that_is_not_delivered_whole_lies_evenly_between_its_least_and_all() {
    let spreads = Spreads { short_chance: 0.5, short_least: 0.6, ..Spreads::NONE };
    for (order, expected) in [(800.0, 0.25), (600.0, 0.0), (700.0, 0.125), (1_000.0, 0.5)] {
        let mut scene = scene(vec![offering([1.0, 0.0], order)]);
        scene.lines[0].supply = Some(1_000.0);
        let outcomes = draws(&scene, &spreads, 5, COUNT);
        assert_share(&outcomes, expected, |one| one.chosen == [None]);
        assert!(expected > 0.0 || outcomes.iter().all(|one| one.chosen == [Some(0)]));
    }
}

/// A short line comes with the rest a year later, so a target that takes all of it is met in year 1, one that takes
/// three quarters in year 0 when as much is delivered, and one that takes more than all never.
#[test]
fn what_is_not_delivered_is_planted_a_year_later() {
    let spreads = Spreads { short_chance: 1.0, short_least: 0.5, ..Spreads::NONE };
    let of = |per_ha: f64| {
        let mut scene = scene(vec![risky(1.0, &[(1, PLANTING)])]);
        scene.target = random_cover(per_ha);
        draws(&scene, &spreads, 6, COUNT)
    };
    let all = 1_000.0 * 0.8;
    assert!(of(all * (1.0 - 1e-9)).iter().all(|one| one.cover_years == 1.0));
    let partly = of(all * 0.75);
    assert_share(&partly, 0.5, |one| one.cover_years == 0.0);
    assert!(partly.iter().all(|one| one.cover_years <= 1.0));
    assert!(of(all * (1.0 + 1e-9)).iter().all(|one| one.cover_years == NEVER));
    // Whole lines are not short: all is there in year 0.
    let mut whole = scene(vec![risky(1.0, &[(1, PLANTING)])]);
    whole.target = random_cover(all * (1.0 - 1e-9));
    assert_eq!(draws(&whole, &Spreads::NONE, 6, 1)[0].cover_years, 0.0);
}

/// A lost winter holds back its own planting and all later ones: with every winter lost, those of years 0, 1 and 2 are
/// planted in 1, 3 and 5, and one past the last winter waits as long as the last.
#[test]
fn a_lost_winter_holds_back_its_own_planting_and_all_later_ones() {
    let at = |year: f64| risky(1.0, &[(0, Planting { year, ..PLANTING })]);
    let lost = Spreads { winter_chance: 1.0, ..Spreads::NONE };
    for (year, expected) in [(0.0, 1.0), (1.0, 3.0), (2.0, 5.0), (9.0, 12.0)] {
        assert_eq!(draws(&scene(vec![at(year)]), &lost, 1, 1)[0].cover_years, expected);
    }
    let some = Spreads { winter_chance: 0.3, ..Spreads::NONE };
    let outcomes = draws(&scene(vec![at(1.0)]), &some, 7, COUNT);
    // Two winters: none, one or both lost.
    assert_share(&outcomes, 0.49, |one| one.cover_years == 1.0);
    assert_share(&outcomes, 0.42, |one| one.cover_years == 2.0);
    assert_share(&outcomes, 0.09, |one| one.cover_years == 3.0);
    // A plan of no winters has one all the same.
    let none = Scene { winters: 0, ..scene(vec![at(0.0)]) };
    assert_eq!(draws(&none, &lost, 1, 1)[0].cover_years, 1.0);
}

/// Crowns of 1.2 of the usual radius, one deviation of 0.2, are reached in 15.87 % of draws; crowns that shrink stop at
/// a tenth.
#[test]
fn growth_widens_crowns() {
    let discs = |radius_m: f64| random_cover(800.0 * radius_m * radius_m);
    let of = |radius_m: f64, growth: f64| {
        let scene = Scene { target: discs(radius_m), ..scene(vec![risky(1.0, &[(0, PLANTING)])]) };
        draws(&scene, &Spreads { growth, ..Spreads::NONE }, 8, COUNT)
    };
    assert_share(&of(1.2, 0.2), 0.1587, |one| one.cover_years == 0.0);
    assert_share(&of(1.0 + 1e-9, 0.2), 0.5, |one| one.cover_years == 0.0);
    // 0.75 lies 1.25 deviations of 0.2 below.
    assert_share(&of(0.75, 0.2), 1.0 - 0.1056, |one| one.cover_years == 0.0);
    assert!(of(0.099, 1.0).iter().all(|one| one.cover_years == 0.0));
    assert_share(&of(0.101, 1.0), 1.0 - 0.1843, |one| one.cover_years == 0.0);
}

/// The plants that cover the ground of a draw are those that live in it.
#[test]
fn ground_is_covered_by_the_plants_that_live_in_the_same_draw() {
    let planted = Zone { blocks: vec![block(1)], ..risky(1.0, &[(1, PLANTING)]) };
    let scene = Scene { target: random_cover(790.0), ..scene(vec![planted]) };
    let spreads =
        Spreads { survival_year: 0.2, survival_line: 0.3, survival_zone: 0.2, ..Spreads::NONE };
    let outcomes = draws(&scene, &spreads, 9, 2_000);
    for one in &outcomes {
        let years = if alive(one, 1) >= 0.79 { 0.0 } else { NEVER };
        assert_eq!(one.cover_years, years, "{}", alive(one, 1));
    }
    assert_share(&outcomes, 0.56, |one| one.cover_years == 0.0);
}

/// A line whose nectar turns out rich enough is chosen: 1.1 is beaten by 1 + 0.5 (richness − 0.6) from a richness of
/// 0.8 on.
#[test]
fn a_richer_line_is_worth_more_by_as_much_as_richness_makes() {
    let mut zone = offering([1.1, 1.0], 1.0);
    zone.offers[1].as_mut().unwrap().by_richness_per_ha = 0.5;
    zone.blocks = vec![block(1)];
    let mut scene = scene(vec![zone]);
    scene.lines[1] = Line { richness: 0.6, richness_error: 0.5, ..LINE };
    let outcomes = draws(&scene, &Spreads::NONE, 10, COUNT);
    for one in &outcomes {
        let line = usize::from(one.richness > 0.8);
        assert_eq!(one.chosen, [Some(line)], "{}", one.richness);
    }
    // The error is half of 0.6: 0.9 lies one deviation up, 0 two down.
    assert_share(&outcomes, 0.1587, |one| one.richness > 0.9);
    assert_share(&outcomes, 0.0228, |one| one.richness == 0.0);
}

/// Worths of 1.1 and 1 that are off by a tenth of themselves: the lesser wins where 0.1 a − 0.11 b > 0.1, a normal
/// figure of deviation 0.1487, so over 0.6727 deviations: in 25.06 % of draws. Zones draw for themselves.
#[test]
fn worths_that_fit_cannot_tell_are_off_by_zone_and_line() {
    let zones = vec![offering([1.1, 1.0], 1.0); 3];
    let outcomes = draws(&scene(zones), &Spreads { worth: 0.1, ..Spreads::NONE }, 11, COUNT);
    for zone in 0..3 {
        assert_share(&outcomes, 0.2506, |one| one.chosen[zone] == Some(1));
        let other = (zone + 1) % 3;
        let both = |one: &Outcome| one.chosen[zone] == Some(1) && one.chosen[other] == Some(1);
        assert_share(&outcomes, 0.2506 * 0.2506, both);
    }
}

/// Bloom of one day from day 100 on. Bees fly up to day 109: a bloom ten days late on average is still seen up to 9.5
/// days late, 0.95 deviations (82.89 %).
#[test]
fn dates_of_bloom_move_all_lines_at_once_or_each() {
    let two = || {
        let mut scene = scene(vec![zone(0.0, vec![block(0), block(1)])]);
        for line in &mut scene.lines {
            line.bloom = Some((100.0, 1));
        }
        scene
    };
    let mut until = two();
    until.flying_h = (0..365).map(|day| if day <= 109 { 3.0 } else { 0.0 }).collect();
    let at_once = Spreads { bloom_days: 10.0, ..Spreads::NONE };
    assert_share(&draws(&until, &at_once, 12, COUNT), 0.8289, |one| one.flying_days == 1.0);
    assert!(draws(&two(), &at_once, 12, COUNT).iter().all(|one| one.flying_days == 1.0));
    // Each by itself: both seen in 0.8289² of draws and none in 0.1711², but for those that meet in a day.
    let each = Spreads { bloom_line_days: 10.0, ..Spreads::NONE };
    assert_share(&draws(&until, &each, 13, COUNT), 0.0293, |one| one.flying_days == 0.0);
    // Two days of the same normal curve meet in 1 / (2 √π 10) of draws.
    assert_share(&draws(&two(), &each, 13, COUNT), 0.0282, |one| one.flying_days == 1.0);
    assert!(draws(&two(), &each, 13, COUNT).iter().all(|one| one.flying_days >= 1.0));
}
