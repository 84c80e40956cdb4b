//! What seed of the mothers gives, and when.

use serde::Serialize;
use sourcing::raise::{Calendar, SeedRates, even_level, up_to};
use sourcing::select::status_number;

use super::super::join::SheetTree;
use crate::site::SeedRules;

/// What mothers give.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Harvest {
    /// Capsules of each mother that are taken, in their order; 0 where they are not known.
    pub(super) capsules: Vec<u64>,
    /// Mothers whose capsules nobody counted.
    pub(super) uncounted: usize,
    pub(super) status_number: f64,
    pub(super) seedlings: u64,
}

/// Shares of the field and the nursery.
pub(super) fn rates(rules: &SeedRules) -> SeedRates {
    SeedRates {
        viability: rules.viability,
        emergence: rules.emergence,
        cull: rules.cull,
        capsule_seeds: rules.capsule_seeds,
    }
}

/// Capsules of each tree that may be taken; `None`: not known.
fn limit(of: &SheetTree, rules: &SeedRules) -> Option<u64> {
    let capsules = of.tree.seed_capsules.or(rules.capsules)?;
    // A hair above, so that what is whole but for rounding counts as whole.
    Some((f64::from(capsules) * rules.harvest * (1.0 + 1e-12)).floor() as u64)
}

/// What these mothers give when `seedlings` are wanted (`None`: as many as can be had): each as much as any
/// other as far as its limit goes, so a few capsules more than asked for, and no more than keeps the status
/// number, as far as that can be kept.
pub(super) fn harvest(
    trees: &[SheetTree],
    mothers: &[usize],
    seedlings: Option<u64>,
    rules: &SeedRules,
) -> Harvest {
    let rates = rates(rules);
    let limits: Vec<Option<u64>> = mothers.iter().map(|at| limit(&trees[*at], rules)).collect();
    let known: Vec<u64> = limits.iter().map(|limit| limit.unwrap_or(0)).collect();
    let all: u64 = known.iter().sum();
    let wanted = seedlings.map_or(all, |seedlings| rates.capsules_for(seedlings).min(all));
    let status = |level: u64| {
        let given: Vec<f64> = up_to(&known, level).iter().map(|one| *one as f64).collect();
        status_number(&given)
    };
    // The higher the level, the less alike they give: the highest that keeps the number is found by halving.
    // Fewer mothers than are asked for need not give more alike than those would.
    let alike = rules.status_least / f64::from(rules.mothers_least).max(rules.status_least);
    let least = rules.status_least.min(alike * status(1));
    let (mut kept, mut over) = (0, even_level(&known, wanted) + 1);
    while over > kept + 1 {
        let middle = u64::midpoint(kept, over);
        if status(middle) >= least * (1.0 - 1e-12) {
            kept = middle;
        } else {
            over = middle;
        }
    }
    let capsules = up_to(&known, kept);
    Harvest {
        uncounted: limits.iter().filter(|limit| limit.is_none()).count(),
        status_number: status(kept),
        seedlings: rates.seedlings_of(capsules.iter().sum()),
        capsules,
    }
}

/// What the plan asks of local seed in one winter, and what there is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WinterRow {
    /// Year of the winter; null where the plan names none.
    pub winter: Option<i32>,
    /// Plants of seed lines that the plan orders.
    pub wanted: u64,
    /// Of those, what these mothers' seed can give by then.
    pub supplied: u64,
    /// The same as a share.
    pub supplied_share: f64,
    /// What it would be if a year of seed were lost.
    pub supplied_after_a_lost_year: u64,
}

/// Serves the winters in their order from one raising, as far as it goes.
pub(super) fn winters(
    demand: &[(Option<i32>, u64)],
    seedlings: u64,
    calendar: &Calendar,
) -> Vec<WinterRow> {
    let serve = |first: i32| -> Vec<u64> {
        let mut left = seedlings;
        let one = |(winter, wanted): &(Option<i32>, u64)| {
            let is_ready = winter.is_none_or(|winter| winter >= first);
            let given = if is_ready { left.min(*wanted) } else { 0 };
            left -= given;
            given
        };
        demand.iter().map(one).collect()
    };
    let (usual, late) = (serve(calendar.first_winter), serve(calendar.after_a_lost_year));
    let rows = demand.iter().zip(usual).zip(late);
    rows.map(|(((winter, wanted), supplied), late)| WinterRow {
        winter: *winter,
        wanted: *wanted,
        supplied,
        supplied_share: if *wanted == 0 { 1.0 } else { supplied as f64 / *wanted as f64 },
        supplied_after_a_lost_year: late,
    })
    .collect()
}
