//! Odd shapes and bad numbers.

use super::super::{InFlower, MosaicError, Offer, Programme, Stop, ZoneOffers, solve};
use super::made_up::instance;
use super::{programme, solved};

/// Shares of a programme's answer.
fn shares(programme: &Programme) -> Vec<Vec<f64>> {
    super::shares(programme, &solved(programme))
}

#[test]
fn nothing_to_plant_is_an_answer() {
    let none = solved(&programme(&[], &[], &[Some(5.0)]));
    assert_eq!((none.given.len(), none.gap.to_bits(), none.stopped.is_some()), (0, 0, false));
    assert_eq!(shares(&programme(&[3.0], &[vec![]], &[])), [Vec::<f64>::new()]);
    let flat = programme(&[0.0], &[vec![Some((1.0, 1.0))]], &[None]);
    assert_eq!(shares(&flat), [[0.0]]);
    assert_eq!(shares(&programme(&[1.0], &[vec![None]], &[None])), [[0.0]]);
    assert_eq!(shares(&programme(&[1.0], &[vec![Some((0.0, 1.0))]], &[None])), [[0.0]]);
    let no_cap =
        Programme { line_cap: 0.0, ..programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[None]) };
    assert_eq!(shares(&no_cap), [[0.0]]);
    let sold_out = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(0.0)]);
    assert_eq!(shares(&sold_out), [[0.0]]);
    let next_to_none = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(f64::MIN_POSITIVE)]);
    assert_eq!(shares(&next_to_none), [[0.0]]);
    let costs_no_plants = programme(&[1.0], &[vec![Some((1.0, 0.0))]], &[Some(0.0)]);
    assert_eq!(shares(&costs_no_plants), [[1.0]]);
}

#[test]
fn without_time_there_still_is_a_sound_answer() {
    let hasty = Programme { time_limit_s: 0.0, ..instance(40, 4, 1) };
    let answer = solved(&hasty);
    assert!(answer.objective > 0.0);
    assert_eq!(answer.stopped, Some(Stop::Time));
    let patient = Programme { time_limit_s: f64::MAX, ..hasty };
    assert!(solved(&patient).stopped.is_none());
}

/// More than is ever settled at once, to the last digit: five widths of repair end before that.
#[test]
fn a_search_that_has_tried_all_it_tries_does_not_blame_time() {
    let stopped = |seed: u64| {
        let exacting = Programme { gap: 0.0, time_limit_s: 86_400.0, ..instance(250, 8, seed) };
        solved(&exacting).stopped
    };
    let stopped: Vec<_> = (0..4).map(stopped).collect();
    assert!(stopped.contains(&Some(Stop::Effort)), "{stopped:?}");
    assert!(!stopped.contains(&Some(Stop::Time)), "{stopped:?}");
}

/// Puts a number into one field.
type Spoil = fn(&mut Programme, f64);

#[test]
fn numbers_that_cannot_be_meant_are_refused_by_name() {
    let sound = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[Some(1.0)]);
    let spoils: [(&str, Spoil); 18] = [
        ("min_share", |p, x| p.min_share = x),
        ("line_cap", |p, x| p.line_cap = x),
        ("gap", |p, x| p.gap = x),
        ("time_limit_s", |p, x| p.time_limit_s = x),
        ("supply of line 0", |p, x| p.lines[0].supply = Some(x)),
        ("area_ha of zone 0", |p, x| p.zones[0].area_ha = x),
        ("worth_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { worth_per_ha: x, ..Offer::default() });
        }),
        ("plants_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { plants_per_ha: x, ..Offer::default() });
        }),
        ("cost_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { cost_per_ha: x, ..Offer::default() });
        }),
        ("days_per_ha of line 0 in zone 0", |p, x| {
            p.zones[0].offers[0] = Some(Offer { days_per_ha: x, ..Offer::default() });
        }),
        ("season_days", |p, x| p.season_days = Some(x)),
        ("open_share of zone 0", |p, x| p.zones[0].open_share = x),
        ("left_worth_per_ha of zone 0", |p, x| p.zones[0].left_worth_per_ha = x),
        ("wait", |p, x| p.wait = x),
        ("budget", |p, x| p.budget = Some(x)),
        ("season_budget", |p, x| p.season_budget = Some(x)),
        ("min_lot of line 0", |p, x| p.lines[0].min_lot = x),
        ("flowering.least_ha", |p, x| p.flowering = Some(InFlower { weeks: 1, least_ha: x })),
    ];
    for (name, spoil) in spoils {
        for bad in [f64::NAN, -1.0, f64::INFINITY] {
            let mut spoilt = sound.clone();
            spoil(&mut spoilt, bad);
            match solve(&spoilt) {
                Err(MosaicError::Number { item, .. }) => assert_eq!(item, name),
                other => panic!("{name} = {bad}: {other:?}"),
            }
        }
    }
}

#[test]
fn a_zone_must_have_an_offer_slot_for_each_line() {
    let mut odd = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[None]);
    odd.zones.push(ZoneOffers { area_ha: 1.0, ..ZoneOffers::default() });
    let found = solve(&odd).expect_err("an empty list");
    assert_eq!(
        found.to_string(),
        "offers of zone 1 has 0 entries; expected one for each of 1 lines"
    );
    let mut odd = programme(&[1.0], &[vec![Some((1.0, 1.0))]], &[None]);
    odd.lines[0].by_season = vec![None; 3];
    let found = solve(&odd).expect_err("too many seasons");
    assert_eq!(
        found.to_string(),
        "by_season of line 0 has 3 entries; expected one for each of 1 seasons"
    );
    let odd = Programme { seasons: 0, ..odd };
    assert_eq!(solve(&odd).expect_err("no season").to_string(), "seasons is 0; expected 1 or more");
}
