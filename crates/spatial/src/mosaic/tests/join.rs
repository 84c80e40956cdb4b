//! Neighbours given one line: what it may cost, what it must keep.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::super::{Assignment, Border, Given, Moved, Offer, Programme, join, solve};
use super::{broken_rule, programme, rule_books, worth};

/// Borders between zones of a programme, drawn by their places modulo its zones.
fn borders(zones: usize, drawn: &[(usize, usize, f64)]) -> Vec<Border> {
    let pair = |&(one, other, metres): &(usize, usize, f64)| {
        let (one, other) = (one % zones, other % zones);
        (one != other).then_some(Border { zones: [one.min(other), one.max(other)], metres })
    };
    if zones == 0 { Vec::new() } else { drawn.iter().filter_map(pair).collect() }
}

/// Border between unlike lines, by hand: a metre counts by the ground on both sides that is not of
/// one line.
fn unlike(given: &[Vec<Given>], borders: &[Border]) -> f64 {
    let lines = |zone: usize| {
        let mut shares: BTreeMap<usize, f64> = BTreeMap::new();
        for part in &given[zone] {
            *shares.entry(part.line).or_default() += part.share;
        }
        shares
    };
    let one = |border: &Border| {
        let (here, there) = (lines(border.zones[0]), lines(border.zones[1]));
        let like: f64 =
            here.iter().map(|(line, share)| share.min(*there.get(line).unwrap_or(&0.0))).sum();
        border.metres * (1.0 - like)
    };
    borders.iter().map(one).sum()
}

fn answered(programme: &Programme) -> Option<Assignment> {
    solve(&Programme { gap: 1e-3, time_limit_s: 1.0, ..programme.clone() }).ok()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn joining_keeps_every_rule_and_loses_no_more_than_it_may(
        programme in rule_books(0..12, 1..4),
        drawn in prop::collection::vec((0_usize..12, 0_usize..12, 1.0..500.0_f64), 0..30),
        share in prop_oneof![Just(0.0), Just(0.01), 0.0..0.5_f64, Just(1.0)],
    ) {
        let Some(before) = answered(&programme) else { return Ok(()) };
        let borders = borders(programme.zones.len(), &drawn);
        let mut after = before.clone();
        let may_lose = share * before.objective;
        let joined = join(&programme, &mut after, &borders, may_lose);
        prop_assert_eq!(broken_rule(&programme, &after.given), None);
        // worth, from the shares themselves
        let (was, is) = (worth(&programme, &before.given), worth(&programme, &after.given));
        let rounding = 1e-9 * was.max(1.0);
        prop_assert!(was - is <= may_lose + rounding, "{} of {} were lost", was - is, may_lose);
        prop_assert!((joined.worth_lost - (was - is)).abs() <= rounding);
        prop_assert!((joined.moved.iter().map(|moved| moved.loss).sum::<f64>() - (was - is)).abs() <= rounding);
        prop_assert_eq!(joined.gap_before.to_bits(), before.gap.to_bits());
        prop_assert!((after.objective - is).abs() <= rounding);
        prop_assert!(after.bound >= is - rounding);
        // borders, counted another way
        let metres = (unlike(&before.given, &borders), unlike(&after.given, &borders));
        prop_assert!((joined.metres_before - metres.0).abs() <= 1e-6);
        prop_assert!((joined.metres_after - metres.1).abs() <= 1e-6);
        prop_assert!(metres.1 <= metres.0 + 1e-6, "{:?}", metres);
        // a zone stays in its season, is never split, and no zone is left or taken up
        for (was, is) in before.given.iter().zip(&after.given) {
            let shape = |parts: &[Given]| -> Vec<_> {
                parts.iter().map(|part| (part.season, part.share.to_bits())).collect()
            };
            prop_assert_eq!(shape(was), shape(is));
        }
        // a runner-up is never the line that stands there
        for (given, runner_up) in after.given.iter().zip(&after.runner_up) {
            if let Some(runner_up) = runner_up {
                prop_assert!(given.iter().all(|part| part.line != runner_up.line));
            }
        }
        let mut again = before.clone();
        let twice = join(&programme, &mut again, &borders, may_lose);
        prop_assert_eq!(format!("{joined:?} {after:?}"), format!("{twice:?} {again:?}"));
    }
}

/// Three zones in a row, 10 ha each; the middle one fits line 1 a little better.
fn row(middle: f64) -> (Programme, Vec<Border>) {
    let side = vec![Some((1.0, 1_000.0)), Some((0.2, 1_000.0))];
    let odd = vec![Some((0.8, 1_000.0)), Some((middle, 1_000.0))];
    let programme = programme(&[10.0; 3], &[side.clone(), odd, side], &[None, None]);
    let beside = |zones| Border { zones, metres: 300.0 };
    (programme, vec![beside([0, 1]), beside([1, 2])])
}

fn lines(answer: &Assignment) -> Vec<usize> {
    answer.given.iter().map(|parts| parts[0].line).collect()
}

#[test]
fn an_odd_zone_between_two_joins_them_when_that_is_cheap_enough() {
    let (programme, borders) = row(0.83);
    let mut answer = solve(&programme).expect("sound");
    assert_eq!(lines(&answer), [0, 1, 0]);
    let kept = answer.clone();
    let joined = join(&programme, &mut answer, &borders, 0.29);
    assert_eq!((joined.metres_after, answer), (600.0, kept.clone()), "0.3 would be lost");
    let mut answer = kept;
    let joined = join(&programme, &mut answer, &borders, 0.31);
    assert_eq!(lines(&answer), [0, 0, 0]);
    assert_eq!((joined.metres_before, joined.metres_after), (600.0, 0.0));
    assert!((joined.worth_lost - 0.3).abs() < 1e-9 && (answer.objective - 28.0).abs() < 1e-9);
    assert_eq!(answer.runner_up[1].map(|second| second.line), Some(1), "what it gave up");
    let [moved] = &joined.moved[..] else { panic!("{joined:?}") };
    assert!(moved.zone == 1 && (moved.loss - 0.3).abs() < 1e-9, "{joined:?}");
    // At a tie nothing is given up.
    let (programme, borders) = row(0.8);
    let mut answer = solve(&programme).expect("sound");
    answer.given[1][0].line = 1;
    let joined = join(&programme, &mut answer, &borders, 0.0);
    assert_eq!(joined.moved, [Moved { zone: 1, loss: 0.0 }]);
}

#[test]
fn joining_orders_no_plant_that_cannot_be_had_and_breaks_no_lot() {
    let (mut programme, borders) = row(0.83);
    programme.lines[0].supply = Some(25_000.0);
    let mut answer = solve(&programme).expect("sound");
    assert_eq!(lines(&answer), [0, 1, 0]);
    let joined = join(&programme, &mut answer, &borders, 1.0);
    assert_eq!(lines(&answer), [0, 1, 0], "no plants for the middle, and {joined:?}");
    // Two zones of line 1, whose lot is all they order: neither may go alone.
    let side = vec![Some((1.0, 1_000.0)), Some((0.2, 1_000.0))];
    let odd = vec![Some((0.8, 1_000.0)), Some((0.83, 1_000.0))];
    let rows = [side.clone(), odd.clone(), side, odd];
    let mut four = super::programme(&[10.0; 4], &rows, &[None, None]);
    four.lines[1].min_lot = 15_000.0;
    let borders = [[0, 1], [1, 2], [2, 3]].map(|zones| Border { zones, metres: 300.0 });
    let mut answer = solve(&four).expect("sound");
    assert_eq!(lines(&answer), [0, 1, 0, 1]);
    join(&four, &mut answer, &borders, 0.5);
    assert_eq!(broken_rule(&four, &answer.given), None);
    assert_eq!(lines(&answer), [0, 1, 0, 1]);
}

/// Worked by hand: the second zone may go to the line that half of the first has. Each limit that its gain could
/// break lets it go when there is just enough, and keeps it when a millionth part is missing.
#[test]
fn joining_takes_no_more_of_any_limit_than_there_is() {
    type Set = fn(&mut Programme, f64);
    let offer = |worth_per_ha, plants_per_ha, cost_per_ha, days_per_ha| {
        Some(Offer { worth_per_ha, plants_per_ha, cost_per_ha, days_per_ha, ..Offer::default() })
    };
    let mut two = programme(&[2.0, 3.0], &[vec![], vec![]], &[None, None]);
    two.seasons = 2;
    two.zones[0].offers = vec![offer(0.9, 1_000.0, 700.0, 4.0), None];
    two.zones[1].offers = vec![offer(0.85, 800.0, 900.0, 5.0), offer(0.9, 700.0, 800.0, 4.0)];
    let mut before = Assignment::none(2);
    before.given[0] = vec![Given { line: 0, season: 0, share: 0.5 }];
    before.given[1] = vec![Given { line: 1, season: 1, share: 1.0 }];
    let beside = [Border { zones: [0, 1], metres: 100.0 }];
    let is_moved = |limited: &Programme| {
        let mut after = before.clone();
        !join(limited, &mut after, &beside, 1.0).moved.is_empty()
    };
    assert!(is_moved(&two));
    let limits: [(&str, f64, Set); 6] = [
        ("supply", 1.0 * 1_000.0 + 3.0 * 800.0, |one, most| one.lines[0].supply = Some(most)),
        ("supply of a winter", 3.0 * 800.0, |one, most| {
            one.lines[0].by_season = vec![None, Some(most)];
        }),
        ("share of the ground", (1.0 + 3.0) / (2.0 + 3.0), |one, most| one.line_cap = most),
        ("budget", 1.0 * 700.0 + 3.0 * 900.0, |one, most| one.budget = Some(most)),
        ("budget of a winter", 3.0 * 900.0, |one, most| one.season_budget = Some(most)),
        ("days of a winter", 3.0 * 5.0, |one, most| one.season_days = Some(most)),
    ];
    for (limit, needed, set) in limits {
        let mut enough = two.clone();
        set(&mut enough, needed);
        assert!(is_moved(&enough), "{limit} of {needed}");
        let mut too_little = two.clone();
        set(&mut too_little, needed * (1.0 - 1e-6));
        assert!(!is_moved(&too_little), "{limit} of less than {needed}");
    }
}

#[test]
fn what_all_moves_cost_together_stays_within_what_may_be_lost() {
    let even = vec![Some((1.0, 1_000.0)), Some((0.2, 1_000.0))];
    let odd = vec![Some((0.8, 1_000.0)), Some((0.83, 1_000.0))];
    let rows: Vec<_> =
        (0..9).map(|at| if at % 2 == 0 { even.clone() } else { odd.clone() }).collect();
    let programme = programme(&[10.0; 9], &rows, &[None, None]);
    let borders: Vec<Border> =
        (0..8).map(|at| Border { zones: [at, at + 1], metres: 300.0 }).collect();
    let before = solve(&programme).expect("sound");
    // each of the four odd zones costs 0.3
    for (may_lose, moved) in [(0.29, 0), (0.59, 1), (0.61, 2), (1.19, 3), (1.21, 4)] {
        let mut answer = before.clone();
        let joined = join(&programme, &mut answer, &borders, may_lose);
        assert_eq!(joined.moved.len(), moved, "{may_lose}: {joined:?}");
        assert!((joined.metres_after - 600.0 * (4.0 - moved as f64)).abs() < 1e-9);
    }
}
