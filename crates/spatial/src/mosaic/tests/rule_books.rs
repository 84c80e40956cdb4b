//! Seasons, lots, budgets, weeks in flower, ground that is left and ground that must be planted.

use proptest::prelude::*;

use super::super::{Hindrance, InFlower, Limit, MosaicError, Programme, Weeks, solve};
use super::{broken_rule, programme, rule_books, shares, solved, worth};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn every_rule_of_the_book_is_kept_and_the_worth_is_as_said(programme in rule_books(0..14, 0..5)) {
        let programme = Programme { gap: 1e-3, time_limit_s: 1.0, ..programme };
        match solve(&programme) {
            Ok(answer) => {
                prop_assert_eq!(broken_rule(&programme, &answer.given), None);
                let worth = worth(&programme, &answer.given);
                prop_assert!((worth - answer.objective).abs() <= 1e-9 * worth.max(1.0));
                prop_assert!(answer.bound >= worth * (1.0 - 1e-9));
                prop_assert!(answer.stopped.is_some() || answer.gap <= 1e-3, "{}", answer.gap);
            }
            Err(MosaicError::Impossible { .. } | MosaicError::OutOfTime { .. }) => {}
            Err(error) => prop_assert!(may_be_given_up(&programme, &error), "{error}"),
        }
    }

    #[test]
    fn a_rule_less_never_lowers_the_worth(programme in rule_books(1..8, 1..4)) {
        let programme = Programme { time_limit_s: 1.0, ..programme };
        let Ok(strict) = solve(&programme) else { return Ok(()) };
        let slack = 3e-6 * strict.objective.max(1e-3);
        let mut loose = programme.clone();
        for line in &mut loose.lines {
            line.min_lot = 0.0;
        }
        let no_lots = solve(&loose).expect("fewer rules");
        prop_assert!(no_lots.bound >= strict.objective - slack);
        let free = Programme { budget: None, season_budget: None, flowering: None, ..loose };
        let free = solve(&free).expect("fewer rules still");
        prop_assert!(free.bound >= no_lots.objective - slack);
    }
}

/// Whether a search that gave up may have: only ground that must be planted and weeks that must be in
/// flower stand in the way of leaving everything as it is.
fn may_be_given_up(programme: &Programme, error: &MosaicError) -> bool {
    let owes_something =
        programme.flowering.is_some() || programme.zones.iter().any(|zone| zone.must_plant);
    matches!(error, MosaicError::GaveUp { .. }) && owes_something
}

#[test]
fn a_search_seldom_gives_up() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut given_up = 0;
    for _ in 0..300 {
        let programme = rule_books(0..14, 0..5).new_tree(&mut runner).expect("drawn").current();
        let programme = Programme { gap: 1e-3, time_limit_s: 1.0, ..programme };
        given_up += usize::from(matches!(solve(&programme), Err(MosaicError::GaveUp { .. })));
    }
    assert!(given_up <= 3, "{given_up} of 300");
}

/// One zone of 10 ha and two lines, 1,000 plants a hectare, worth 1 and 0.4.
fn pair() -> Programme {
    let row = vec![Some((1.0, 1_000.0)), Some((0.4, 1_000.0))];
    programme(&[10.0], &[row], &[None, None])
}

#[test]
fn a_line_that_comes_later_holds_ground_for_its_season() {
    let mut programme = Programme { seasons: 3, wait: 0.1, ..pair() };
    programme.lines[0].by_season = vec![Some(0.0), Some(0.0), Some(6_000.0)];
    let answer = solved(&programme);
    // 0.81 a hectare in the third season beats 0.4 now, for as many plants as there are.
    let parts: Vec<_> = answer.given[0].iter().map(|p| (p.line, p.season, p.share)).collect();
    assert_eq!(parts.len(), 2, "{parts:?}");
    assert_eq!((parts[0].0, parts[0].1, parts[1].0, parts[1].1), (0, 2, 1, 0));
    assert!((parts[0].2 - 0.6).abs() < 1e-9 && (parts[1].2 - 0.4).abs() < 1e-9);
    assert!((answer.objective - (6.0 * 0.81 + 4.0 * 0.4)).abs() < 1e-9);
    assert_eq!(answer.binding[0].limit, Limit::SeasonSupply { line: 0, season: 2 });
    let impatient = Programme { wait: 0.5, ..programme };
    assert_eq!(shares(&impatient, &solved(&impatient)), [[0.0, 1.0]]);
}

#[test]
fn a_lot_is_ordered_whole_or_not_at_all() {
    let mut programme = pair();
    programme.lines[0].supply = Some(3_000.0);
    programme.lines[0].min_lot = 3_500.0;
    assert_eq!(shares(&programme, &solved(&programme)), [[0.0, 1.0]]);
    // A lot of the poorer line is worth ordering beyond what the better one leaves.
    programme.lines[0] = super::LineLimit { supply: Some(8_000.0), ..Default::default() };
    programme.lines[1].min_lot = 3_000.0;
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][1] - 0.3).abs() < 1e-6, "{answer:?}");
    assert!(answer.binding.iter().any(|b| b.limit == Limit::Lot { line: 1, season: 0 }));
}

#[test]
fn a_budget_buys_the_most_worth_for_the_money() {
    let mut programme = pair();
    for (offer, cost) in programme.zones[0].offers.iter_mut().flatten().zip([4_000.0, 1_000.0]) {
        offer.cost_per_ha = cost;
    }
    // 0.25 for a thousand against 0.4: the cheaper line first.
    programme.budget = Some(10_000.0);
    assert_eq!(shares(&programme, &solved(&programme)), [[0.0, 1.0]]);
    programme.budget = Some(25_000.0);
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][0] - 0.5).abs() < 1e-9);
    assert!((answer.binding[0].shadow_price - 0.6 / 3_000.0).abs() < 1e-9);
    assert_eq!(answer.binding[0].limit, Limit::Budget);
}

#[test]
fn a_poorer_line_is_planted_for_the_weeks_it_flowers() {
    let mut programme = pair();
    for (offer, (first, last)) in
        programme.zones[0].offers.iter_mut().flatten().zip([(46, 49), (48, 51)])
    {
        offer.weeks = Weeks::span(first, last);
    }
    assert_eq!(shares(&programme, &solved(&programme)), [[1.0, 0.0]]);
    programme.flowering = Some(InFlower { weeks: 6, least_ha: 2.0 });
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][1] - 0.2).abs() < 1e-6);
    assert_eq!(answer.in_flower, Weeks::span(46, 51));
    // Where existing cover fills half of the zone, only the other half flowers.
    programme.zones[0].open_share = 0.5;
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][1] - 0.4).abs() < 1e-6);
    programme.zones[0].open_share = 1.0;
    programme.flowering = Some(InFlower { weeks: 7, least_ha: 2.0 });
    assert_eq!(hindrances(&programme), [Hindrance::InFlower]);
}

fn hindrances(programme: &Programme) -> Vec<Hindrance> {
    match solve(programme) {
        Err(MosaicError::Impossible { hindrances, .. }) => hindrances,
        other => panic!("{other:?}"),
    }
}

#[test]
fn rules_that_stand_in_the_way_are_named() {
    let mut programme = pair();
    programme.zones[0].must_plant = true;
    for line in &mut programme.lines {
        line.supply = Some(4_000.0);
    }
    assert_eq!(hindrances(&programme), [Hindrance::MustPlant, Hindrance::Supply]);
    let short = Programme { budget: Some(0.0), ..programme };
    // money is not in the way where nothing costs anything
    assert_eq!(hindrances(&short), [Hindrance::MustPlant, Hindrance::Supply]);
    let mut dear = pair();
    dear.zones[0].must_plant = true;
    for offer in dear.zones[0].offers.iter_mut().flatten() {
        offer.cost_per_ha = 1_000.0;
    }
    dear.budget = Some(9_000.0);
    assert_eq!(hindrances(&dear), [Hindrance::MustPlant, Hindrance::Budget]);
    dear.seasons = 2;
    (dear.budget, dear.season_budget) = (None, Some(4_500.0));
    assert_eq!(hindrances(&dear), [Hindrance::MustPlant, Hindrance::SeasonBudget]);
    // A hectare takes 3 days, and there is half a day.
    let mut slow = Programme { season_budget: None, ..dear.clone() };
    for offer in slow.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut().flatten()) {
        offer.days_per_ha = 3.0;
    }
    slow.season_days = Some(0.5);
    assert_eq!(hindrances(&slow), [Hindrance::MustPlant, Hindrance::SeasonDays]);
    let capped = Programme { line_cap: 0.4, season_budget: None, ..dear };
    assert_eq!(hindrances(&capped), [Hindrance::MustPlant, Hindrance::Cap]);
}

#[test]
fn ground_is_left_where_leaving_is_worth_more_unless_it_must_be_planted() {
    let mut programme = pair();
    programme.lines[0].supply = Some(5_000.0);
    programme.zones[0].left_worth_per_ha = 0.5;
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][0] - 0.5).abs() < 1e-9);
    assert!((answer.objective - 7.5).abs() < 1e-9);
    programme.zones[0].must_plant = true;
    let answer = solved(&programme);
    assert!((shares(&programme, &answer)[0][1] - 0.5).abs() < 1e-9);
    assert!((answer.objective - 7.0).abs() < 1e-9);
    programme.lines[1].supply = Some(0.0);
    assert!(matches!(solve(&programme), Err(MosaicError::Impossible { .. })));
}

/// The budget pays for 10 ha, 8 of which must be planted with what is worth nothing there, where leaving
/// would be worth 4; and for the 2 left nothing else is large enough. There is no other plan: no gap.
#[test]
fn a_plan_that_is_worth_nothing_has_no_gap() {
    let zone = |worth: f64, plants: f64| vec![Some((worth, plants))];
    let rows = [zone(0.5, 1_500.0), zone(0.0, 0.0), zone(0.5, 1_000.0), zone(0.95, 1_800.0)];
    let mut programme = programme(&[16.0, 8.0, 13.0, 16.0], &rows, &[Some(8_000.0)]);
    for offer in programme.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut().flatten()) {
        offer.cost_per_ha = 1_000.0;
    }
    (programme.zones[1].must_plant, programme.zones[1].left_worth_per_ha) = (true, 0.45);
    let programme = Programme { budget: Some(10_000.0), min_share: 0.2, gap: 1e-3, ..programme };
    let answer = solved(&programme);
    assert_eq!(shares(&programme, &answer), [[0.0], [1.0], [0.0], [0.0]]);
    assert!(answer.objective.abs() < 1e-9 && answer.stopped.is_none(), "{answer:?}");
    assert!(answer.gap <= 1e-3, "{answer:?}");
}

#[test]
fn the_runner_up_is_named_with_what_it_would_cost() {
    let row = vec![Some((1.0, 1_000.0)), Some((0.7, 1_000.0)), Some((0.9, 1_000.0)), None];
    let answer = solved(&programme(&[10.0, 5.0], &[row, vec![None; 4]], &[None; 4]));
    let runner_up = answer.runner_up[0].expect("two other lines");
    assert_eq!(runner_up.line, 2);
    assert!((runner_up.less_per_ha - 0.1).abs() < 1e-9);
    assert_eq!(answer.runner_up[1], None);
}

#[test]
#[ignore = "for release builds"]
fn by_hand_slowest_books() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    for at in 0..3_000 {
        let programme = rule_books(0..14, 0..5).new_tree(&mut runner).expect("drawn").current();
        let programme = Programme { gap: 1e-3, time_limit_s: 3.0, ..programme };
        let start = std::time::Instant::now();
        let answer = solve(&programme);
        let took = start.elapsed().as_secs_f64();
        if took > 0.5 || answer.as_ref().is_ok_and(|answer| answer.stopped.is_some()) {
            println!(
                "{at}: {took:.2} s, {} zones, {} lines, {} seasons, gap {:?}, least {}, lots {:?} {:?}",
                programme.zones.len(),
                programme.lines.len(),
                programme.seasons,
                answer.map(|answer| (answer.objective, answer.gap)),
                programme.min_share,
                programme.lines.iter().map(|line| line.min_lot).collect::<Vec<_>>(),
                programme.flowering,
            );
        }
    }
}
