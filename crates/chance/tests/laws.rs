//! Draws of a plan: what they must keep to, whatever they draw.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

use chance::{Block, Line, NEVER, Offer, Risk, Scene, Spreads, Zone, choose, draws, interval};
use cover::{AgeCurve, Growth, Pattern, Planting, shared_cover};
use proptest::prelude::*;

const SPREADS: Spreads = Spreads {
    survival_year: 0.25,
    survival_line: 0.1,
    survival_zone: 0.25,
    slope_deg: 1.0,
    slope_zone_deg: 1.0,
    area: 0.01,
    short_chance: 0.2,
    short_least: 0.3,
    winter_chance: 0.1,
    bloom_days: 10.0,
    bloom_line_days: 4.0,
    growth: 0.15,
    worth: 0.05,
};

fn zone() -> impl Strategy<Value = Zone> {
    let offer = prop::option::weighted(0.8, (0.0..1.0_f64, 0.0..0.5_f64, 100.0..4_000.0_f64));
    let block = (0_usize..3, 0_usize..2, 10.0..3_000.0_f64, 0.3..0.95_f64);
    let risk = prop::option::weighted(0.7, (0.1..5.0_f64, 0.0..0.5_f64, 0.6..1.0_f64));
    (
        0.5..20.0_f64,
        0.0..45.0_f64,
        prop::collection::vec(offer, 3),
        prop::collection::vec(block, 0..3),
        risk,
    )
        .prop_map(|(area_ha, slope_deg, offers, blocks, risk)| {
            let offer = |(worth_per_ha, by_richness_per_ha, order)| Offer {
                worth_per_ha,
                by_richness_per_ha,
                order,
            };
            let blocks: Vec<Block> = blocks
                .into_iter()
                .map(|(line, winter, seedlings, alive)| Block {
                    line,
                    winter,
                    seedlings,
                    ordered: (seedlings / alive).ceil(),
                    alive,
                    area_ha: 1.0,
                })
                .collect();
            let plantings = blocks.iter().map(|block| Planting {
                year: block.winter as f64,
                planted_per_ha: block.seedlings,
                alive: block.alive,
            });
            let risk = risk.map(|(area_ha, stays, grown)| Risk {
                area_ha,
                stays,
                gaps: 1.0 - stays,
                grown,
                plantings: plantings.collect(),
                lines: blocks.iter().map(|block| block.line).collect(),
            });
            Zone {
                area_ha,
                slope_deg,
                offers: offers.into_iter().map(|one| one.map(offer)).collect(),
                blocks,
                risk,
            }
        })
}

fn scene() -> impl Strategy<Value = Scene> {
    let supply = prop::option::weighted(0.7, 0.0..9_000.0_f64);
    let line = (0.0..1.0_f64, 0.0..0.5_f64, supply, 0.0..365.0_f64, 1_u16..80);
    (prop::collection::vec(zone(), 1..12), prop::collection::vec(line, 3), 0.2..0.9_f64).prop_map(
        |(zones, lines, target)| Scene {
            zones,
            lines: lines
                .into_iter()
                .map(|(richness, richness_error, supply, begins, days)| Line {
                    richness,
                    richness_error,
                    supply,
                    bloom: Some((begins, days)),
                })
                .collect(),
            on_ground: true,
            winters: 2,
            flying_h: (0..365).map(|day| if day < 120 { 6.0 } else { 0.0 }).collect(),
            day_hours: 3.0,
            crown_radius_m: AgeCurve::new(&[(0.0, 0.1), (6.0, 0.95), (20.0, 1.9)]).unwrap(),
            pattern: Pattern::Square,
            target,
            by_years: 10,
            enough: 0.9,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_same_on_any_number_of_threads_and_each_draw_by_its_own_number(scene in scene(), seed in 0_u64..9) {
        let all = draws(&scene, &SPREADS, seed, 24);
        for threads in [1, 3] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            prop_assert_eq!(&pool.install(|| draws(&scene, &SPREADS, seed, 24)), &all);
        }
        prop_assert_eq!(&draws(&scene, &SPREADS, seed, 9)[..], &all[..9]);
    }

    #[test]
    fn where_nothing_is_off_every_draw_is_the_plan(scene in scene()) {
        let still = Scene {
            lines: scene.lines.iter().map(|line| Line { richness_error: 0.0, ..line.clone() }).collect(),
            ..scene
        };
        for outcome in draws(&still, &Spreads::NONE, 1, 3) {
            for (line, told) in outcome.lines.iter().enumerate() {
                let blocks = || still.zones.iter().flat_map(|zone| &zone.blocks).filter(|block| block.line == line);
                let sum = |of: fn(&Block) -> f64| blocks().map(of).sum::<f64>();
                prop_assert!((told.seedlings - sum(|b| b.seedlings)).abs() < 1e-6);
                prop_assert!((told.needed - sum(|b| b.seedlings / b.alive)).abs() < 1e-6);
                prop_assert!((told.alive - sum(|b| b.ordered * b.alive)).abs() < 1e-6);
            }
            // The year of cover by looking at each.
            let at = |zone: &Zone| zone.risk.as_ref().map(|risk| {
                let growth = Growth { radius_m: still.crown_radius_m.clone(), share: risk.grown };
                let share = |years: i32| {
                    risk.stays + risk.gaps * shared_cover(&risk.plantings, &growth, still.pattern, f64::from(years))
                };
                ((0..=60).find(|years| share(*years) >= still.target).map_or(NEVER, f64::from), risk.area_ha)
            });
            let reached: Vec<(f64, f64)> = still.zones.iter().filter_map(at).collect();
            let all: f64 = reached.iter().map(|one| one.1).sum();
            let in_time: f64 = reached.iter().filter(|one| one.0 <= 10.0).map(|one| one.1).sum();
            let in_time = if all > 0.0 { in_time / all } else { 1.0 };
            prop_assert!((outcome.covered_in_time - in_time).abs() < 1e-9);
            let is_planted = |zone: &&Zone| zone.risk.as_ref().is_some_and(|risk| !risk.plantings.is_empty());
            let planted: Vec<(f64, f64)> = still.zones.iter().filter(is_planted).filter_map(at).collect();
            let all: f64 = planted.iter().map(|one| one.1).sum();
            let covered = |years: f64| planted.iter().filter(|one| one.0 <= years).map(|one| one.1).sum::<f64>();
            let first = (0..=61).map(f64::from).find(|years| covered(*years) >= still.enough * all * (1.0 - 1e-9));
            prop_assert_eq!(Some(outcome.cover_years), first);
        }
    }

    #[test]
    fn no_line_is_given_beyond_its_supply_and_plenty_gives_each_zone_its_best(scene in scene()) {
        let worth = |zone: usize, line: usize| scene.zones[zone].offers[line].map_or(0.0, |one| one.worth_per_ha);
        let supplies: Vec<Option<f64>> = scene.lines.iter().map(|line| line.supply).collect();
        let chosen = choose(&scene.zones, &supplies, worth);
        for (line, supply) in supplies.iter().enumerate() {
            let given = chosen.iter().zip(&scene.zones).filter(|(one, _)| **one == Some(line));
            let given: f64 = given.map(|(_, zone)| zone.offers[line].unwrap().order).sum();
            prop_assert!(supply.is_none_or(|supply| given <= supply + 1e-9));
        }
        // What a zone would rather have is used up: too little of it is left for all of the zone.
        prop_assert_eq!(chosen.len(), scene.zones.len());
        for (zone, one) in chosen.iter().enumerate() {
            let got = one.map_or(0.0, |line| worth(zone, line));
            for (line, supply) in supplies.iter().enumerate().filter(|(line, _)| worth(zone, *line) > got) {
                let takers = chosen.iter().zip(&scene.zones).filter(|(one, _)| **one == Some(line));
                let left = supply.unwrap() - takers.map(|(_, zone)| zone.offers[line].unwrap().order).sum::<f64>();
                prop_assert!(left < scene.zones[zone].offers[line].unwrap().order + 1e-9);
            }
        }
        for (zone, one) in choose(&scene.zones, &[None; 3], worth).into_iter().enumerate() {
            let best = (0..3).map(|line| worth(zone, line)).fold(0.0, f64::max);
            prop_assert_eq!(one.map_or(0.0, |line| worth(zone, line)), best);
        }
    }

    #[test]
    fn shares_lie_within_theirs_and_shorter_supply_and_later_winters_never_cover_sooner(scene in scene()) {
        let outcomes = draws(&scene, &SPREADS, 5, 40);
        for one in &outcomes {
            prop_assert!((0.0..=1.0 + 1e-12).contains(&one.covered_in_time));
            prop_assert!((0.0..=NEVER).contains(&one.cover_years));
            prop_assert!((0.0..=120.0).contains(&one.flying_days));
            prop_assert!(one.lines.iter().all(|line| line.alive >= 0.0 && line.needed >= line.seedlings - 1e-9));
        }
        let whole = draws(&scene, &Spreads { short_chance: 0.0, winter_chance: 0.0, ..SPREADS }, 5, 40);
        for (less, more) in outcomes.iter().zip(&whole) {
            prop_assert!(less.cover_years >= more.cover_years - 1e-9);
        }
    }
}

/// Half of the draws lie above the plan, and the spread of survival is that which was put in: with 0.25
/// everywhere and 0.25 by zone on the log-odds scale, nine in ten single zones of 80 % lie within
/// logistic(ln 4 ± 1.645 × 0.3536), 69.1 to 87.7 %.
#[test]
fn survival_spreads_as_told() {
    let block = Block {
        line: 0,
        winter: 0,
        seedlings: 1_000.0,
        ordered: 1_000.0,
        alive: 0.8,
        area_ha: 1.0,
    };
    let zone =
        Zone { area_ha: 1.0, slope_deg: 20.0, offers: vec![None], blocks: vec![block], risk: None };
    let line = Line { richness: 1.0, richness_error: 0.2, supply: None, bloom: None };
    let scene = Scene {
        zones: vec![zone],
        lines: vec![line],
        on_ground: false,
        winters: 1,
        flying_h: Vec::new(),
        day_hours: 3.0,
        crown_radius_m: AgeCurve::new(&[(0.0, 1.0)]).unwrap(),
        pattern: Pattern::Random,
        target: 0.5,
        by_years: 10,
        enough: 0.9,
    };
    let spreads = Spreads { survival_year: 0.25, survival_zone: 0.25, ..Spreads::NONE };
    let outcomes = draws(&scene, &spreads, 3, 20_000);
    assert_ne!(draws(&scene, &spreads, 4, 5)[..], outcomes[..5], "another seed, other draws");
    let alive = interval(outcomes.iter().map(|one| one.lines[0].alive / 1_000.0)).unwrap();
    let logistic = |odds: f64| 1.0 / (1.0 + (-odds).exp());
    let edge = |by: f64| logistic(4.0_f64.ln() + by * 1.644_854 * 0.125_f64.sqrt());
    assert!((alive.low - edge(-1.0)).abs() < 0.006, "{alive:?}");
    assert!((alive.middle - 0.8).abs() < 0.006);
    assert!((alive.high - edge(1.0)).abs() < 0.006);
    let rich = interval(outcomes.iter().map(|one| one.richness)).unwrap();
    assert!((rich.high - 1.329).abs() < 0.02 && (rich.low - 0.671).abs() < 0.02, "{rich:?}");
}
