//! Large instances: always an answer, with a small proven gap. Run with `--ignored --nocapture`
//! in a release build to see the times.

use std::time::Instant;

use super::super::Programme;
use super::made_up::{every_rule, instance};
use super::solved;

#[test]
fn a_hundred_zones_and_six_lines_come_within_a_thousandth() {
    for seed in 0..4 {
        let answer = solved(&Programme { gap: 1e-3, ..instance(100, 6, seed) });
        assert!(answer.gap <= 1e-3, "seed {seed}: {}", answer.gap);
        assert!(!answer.binding.is_empty());
    }
}

/// The same with worth in tenths, one plant density, and plants for little more than half.
fn tied_and_scarce(mut programme: Programme) -> Programme {
    for offer in programme.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut().flatten()) {
        offer.worth_per_ha = (offer.worth_per_ha * 10.0).round() / 10.0;
        offer.plants_per_ha = 1_100.0;
    }
    for line in &mut programme.lines {
        line.supply = line.supply.map(|supply| supply * 0.45);
    }
    programme
}

/// The same, each zone whole or not at all.
fn whole(programme: Programme) -> Programme {
    Programme { min_share: 1.0, ..programme }
}

/// One programme from another.
type Make = fn(Programme) -> Programme;

#[test]
#[ignore = "for release builds"]
fn by_hand_times() {
    let same = |programme: Programme| programme;
    let kinds: [(&str, Make); 4] = [
        ("plain", same),
        ("tied and scarce", tied_and_scarce),
        ("whole zones", whole),
        ("every rule", every_rule),
    ];
    let sizes = [(100, 5), (500, 12), (2_000, 12), (5_000, 20)];
    let sizes = if std::env::var_os("HARD").is_some() { &sizes[1..] } else { &sizes };
    for &(zones, lines) in sizes {
        for (kind, make) in
            kinds.into_iter().skip(if std::env::var_os("HARD").is_some() { 3 } else { 0 })
        {
            for seed in 0..2 {
                let gap = if zones > 1_000 { 1e-2 } else { 1e-3 };
                let programme = Programme { gap, ..make(instance(zones, lines, seed)) };
                let start = Instant::now();
                let answer = solved(&programme);
                println!(
                    "{zones} × {lines}, {kind}: {:.3} s, gap {:.5} %, {} limits bind, early {}",
                    start.elapsed().as_secs_f64(),
                    100.0 * answer.gap,
                    answer.binding.len(),
                    answer.stopped.is_some(),
                );
            }
        }
    }
}
