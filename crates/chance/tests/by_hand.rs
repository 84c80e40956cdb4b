//! What a plan comes to where nothing is off, worked out by hand.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

use chance::{
    Block, Line, NEVER, Offer, Outcome, Risk, Scene, Spreads, Zone, choose, draws, interval,
};
use cover::{AgeCurve, Pattern, Planting};

const LINE: Line = Line { richness: 1.0, richness_error: 0.0, supply: None, bloom: None };

fn zone(blocks: Vec<Block>) -> Zone {
    Zone { area_ha: 1.0, slope_deg: 20.0, offers: vec![None; 3], blocks, risk: None }
}

fn block(line: usize, area_ha: f64) -> Block {
    Block { line, winter: 0, seedlings: 900.0, ordered: 1_000.0, alive: 0.9, area_ha }
}

/// Ground that is bare up to the year of its planting and wholly covered from then on.
fn covered_from(year: f64, area_ha: f64) -> Zone {
    let planting = Planting { year, planted_per_ha: 1_000.0, alive: 1.0 };
    let risk = Risk {
        area_ha,
        stays: 0.0,
        gaps: 1.0,
        grown: 1.0,
        plantings: vec![planting],
        lines: vec![0],
    };
    Zone { risk: Some(risk), ..zone(Vec::new()) }
}

/// Ground without plants of which a share stays covered.
fn unplanted(stays: f64, area_ha: f64) -> Zone {
    let risk = Risk {
        area_ha,
        stays,
        gaps: 1.0 - stays,
        grown: 1.0,
        plantings: Vec::new(),
        lines: Vec::new(),
    };
    Zone { risk: Some(risk), ..zone(Vec::new()) }
}

fn scene(zones: Vec<Zone>) -> Scene {
    Scene {
        zones,
        lines: vec![LINE; 3],
        on_ground: true,
        winters: 2,
        flying_h: Vec::new(),
        day_hours: 3.0,
        crown_radius_m: AgeCurve::new(&[(0.0, 50.0)]).unwrap(),
        pattern: Pattern::Square,
        target: 0.5,
        by_years: 5,
        enough: 0.9,
    }
}

fn told(scene: &Scene) -> Outcome {
    draws(scene, &Spreads::NONE, 1, 1).remove(0)
}

/// 2 ha are covered from year 3, 4 more from year 5, 1 more from year 7; 3 ha without plants never are.
#[test]
fn a_plan_is_covered_when_enough_of_its_planted_ground_is() {
    let zones = vec![
        covered_from(7.0, 1.0),
        covered_from(3.0, 2.0),
        unplanted(0.2, 3.0),
        covered_from(5.0, 4.0),
        zone(Vec::new()),
    ];
    let of = |enough: f64, by_years: i32| {
        let one = told(&Scene { enough, by_years, ..scene(zones.clone()) });
        (one.cover_years, one.covered_in_time)
    };
    assert_eq!(of(2.0 / 7.0, 5), (3.0, 0.6));
    assert_eq!(of(0.3, 4), (5.0, 0.2));
    assert_eq!(of(6.0 / 7.0, 2), (5.0, 0.0));
    assert_eq!(of(0.9, 7), (7.0, 0.7));
    assert_eq!(of(1.0, 60), (7.0, 0.7));
    assert_eq!(of(1.1, 61).0, NEVER);
}

#[test]
fn cover_counts_from_the_first_planting_to_its_sixtieth_year() {
    for (year, expected) in [(0.0, 0.0), (1.0, 1.0), (59.0, 59.0), (60.0, 60.0), (61.0, NEVER)] {
        assert_eq!(told(&scene(vec![covered_from(year, 1.0)])).cover_years, expected);
    }
}

/// What stays covered counts, at the target too; ground that nobody plants asks for no year.
#[test]
fn ground_that_stays_covered_is_in_time_and_no_ground_is_too() {
    let of = |zones: Vec<Zone>| {
        let one = told(&Scene { by_years: 0, ..scene(zones) });
        (one.cover_years, one.covered_in_time)
    };
    assert_eq!(of(vec![unplanted(0.5, 1.0), unplanted(0.4, 3.0)]), (0.0, 0.25));
    assert_eq!(of(vec![zone(Vec::new())]), (0.0, 1.0));
    assert_eq!(of(vec![covered_from(0.0, 0.0)]), (0.0, 1.0));
}

/// 3 ha of 1 and 1 ha of 0.4: 3.4 over 4.
#[test]
fn richness_is_the_mean_over_planted_hectares() {
    let mut scene =
        scene(vec![zone(vec![block(0, 1.0), block(1, 1.0)]), zone(vec![block(0, 2.0)])]);
    scene.lines[1].richness = 0.4;
    assert!((told(&scene).richness - 0.85).abs() < 1e-12);
    scene.zones.clear();
    assert_eq!(told(&scene).richness, 0.0);
}

/// Ten days from day 360 go over the new year to day 4; six from day 2, to day 7, overlap. Bees fly on days 0 to 5 and
/// from 362 on: nine days. What is not planted does not flower.
#[test]
fn days_of_bloom_with_flying_weather_are_counted_once_and_over_the_new_year() {
    let mut scene =
        scene(vec![zone(vec![block(0, 1.0), block(1, 1.0)]), zone(vec![block(2, 1.0)])]);
    let flies = |day: usize| day <= 5 || day >= 362;
    scene.flying_h = (0..365).map(|day| if flies(day) { 3.0 } else { 2.9 }).collect();
    scene.lines[0].bloom = Some((360.0, 10));
    assert_eq!(told(&scene).flying_days, 8.0);
    scene.lines[1].bloom = Some((2.0, 6));
    assert_eq!(told(&scene).flying_days, 9.0);
    scene.lines[2].bloom = Some((0.0, 1_000));
    assert_eq!(told(&scene).flying_days, 9.0);
    scene.lines[1].bloom = Some((364.6, 1)); // rounded: day 0
    assert_eq!(told(&scene).flying_days, 9.0);
    scene.zones.truncate(1);
    scene.lines[0].bloom = None;
    assert_eq!(told(&scene).flying_days, 1.0);
    scene.lines[1].bloom = Some((100.0, 400)); // all of the year
    assert_eq!(told(&scene).flying_days, 9.0);
    scene.flying_h.clear();
    assert_eq!(told(&scene).flying_days, 0.0);
}

fn offers(area_ha: f64, orders: [f64; 3]) -> Zone {
    let offer = |order| Some(Offer { worth_per_ha: 0.0, by_richness_per_ha: 0.0, order });
    Zone { area_ha, offers: orders.map(offer).to_vec(), ..zone(Vec::new()) }
}

/// Each row is the worths of a zone's lines with its area; there is enough of the first line for one zone.
fn chosen(rows: &[([f64; 3], f64)]) -> Vec<Option<usize>> {
    let zones: Vec<Zone> = rows.iter().map(|row| offers(row.1, [1.0; 3])).collect();
    choose(&zones, &[Some(1.0), None, None], |zone, line| rows[zone].0[line])
}

#[test]
fn the_zone_with_most_to_lose_chooses_first() {
    // (1.0 − 0.9) × 10 = 1.0 against (0.8 − 0.2) × 2 = 1.2: neither the worth nor the area alone decides.
    let rows = [([1.0, 0.9, 0.0], 10.0), ([0.8, 0.2, 0.0], 2.0)];
    assert_eq!(chosen(&rows), [Some(1), Some(0)]);
    // (0.6 − 0.1) × 4 = 2 against (0.7 − 0.1) × 1 = 0.6.
    let rows = [([0.7, 0.1, 0.0], 1.0), ([0.6, 0.1, 0.0], 4.0)];
    assert_eq!(chosen(&rows), [Some(1), Some(0)]);
    // What comes second counts wherever it stands: 0.9 − 0.7 against 0.8 − 0.5.
    for second in [[0.9, 0.7, 0.1], [0.9, 0.1, 0.7]] {
        assert_eq!(chosen(&[([0.8, 0.5, 0.0], 1.0), (second, 1.0)])[0], Some(0));
    }
    // Equal losses: the first zone.
    assert_eq!(chosen(&[([0.8, 0.5, 0.0], 1.0); 2]), [Some(0), Some(1)]);
}

/// The line that there is too little of may stand last, so that the second comes before the best.
#[test]
fn what_came_before_the_best_is_second_to_it() {
    let worth = [[0.2, 0.7, 0.9], [0.1, 0.5, 0.8]];
    let zones = [offers(1.0, [1.0; 3]), offers(1.0, [1.0; 3])];
    let found = choose(&zones, &[None, None, Some(1.0)], |zone, line| worth[zone][line]);
    assert_eq!(found, [Some(1), Some(2)]);
}

#[test]
fn of_lines_of_equal_worth_the_first_is_chosen_and_one_worth_nothing_is_not() {
    assert_eq!(chosen(&[([0.5, 0.5, 0.4], 1.0)]), [Some(0)]);
    assert_eq!(chosen(&[([0.0, -1.0, 0.0], 1.0)]), [None]);
    // Two of equal worth: nothing is lost without the first, so the other zone goes first.
    let rows = [([0.9, 0.9, 0.0], 1.0), ([0.3, 0.2, 0.0], 1.0)];
    assert_eq!(chosen(&rows), [Some(1), Some(0)]);
}

/// Seven plants: two zones take three each, the third has none left but would have been served by one more.
#[test]
fn a_line_serves_down_to_its_last_plant() {
    let zones = vec![offers(1.0, [3.0; 3]); 3];
    let of = |supply: f64| {
        choose(&zones, &[Some(supply), Some(0.0), None], |_, line| if line < 2 { 1.0 } else { 0.0 })
    };
    assert_eq!(of(8.0), [Some(0), Some(0), None]);
    assert_eq!(of(9.0), [Some(0); 3]);
    assert_eq!(of(2.9), [None; 3]);
}

/// Type 7 by hand: place 0.05 (n − 1) from 0 among the sorted figures, straight between two.
#[test]
fn an_interval_lies_on_the_straight_line_between_two_draws() {
    let of = |figures: &[f64]| {
        let one = interval(figures.iter().copied()).unwrap();
        [one.low, one.middle, one.high]
    };
    let assert_near = |found: [f64; 3], expected: [f64; 3]| {
        let is_near = found.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-12);
        assert!(is_near, "{found:?} {expected:?}");
    };
    assert_near(of(&[10.0, 0.0]), [0.5, 5.0, 9.5]);
    assert_near(of(&[7.0]), [7.0; 3]);
    // Places 0.2, 2 and 3.8 among 1, 2, 4, 8, 16.
    assert_near(of(&[16.0, 1.0, 8.0, 2.0, 4.0]), [1.2, 4.0, 14.4]);
    assert_eq!(interval([]), None);
    // Place 1 of 21 is a draw in place: that the next has no bound does not touch it.
    let mut figures = [f64::INFINITY; 21];
    figures[..2].copy_from_slice(&[3.0, 4.0]);
    assert_eq!(of(&figures), [4.0, f64::INFINITY, f64::INFINITY]);
}
