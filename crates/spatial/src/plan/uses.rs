//! What the plan's own orders take of every limit: whole plants, dollars and hectares, after
//! rounding and after neighbours were joined.

use std::collections::BTreeMap;

use crate::counts::{BlockCount, ordered, spent, worked};
use crate::mosaic::{Limit, Programme};

/// A limit of which no more than this share is left is used up.
const NEARLY: f64 = 1e-3;

/// What is taken of one limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Use {
    /// Taken, in plants, hectares or dollars.
    pub(super) used: f64,
    /// The whole of the limit, in the same unit.
    pub(super) amount: f64,
}

impl Use {
    /// What is left, 0 or more.
    pub(super) fn left(self) -> f64 {
        (self.amount - self.used).max(0.0)
    }

    /// Whether all of it is taken but for a thousandth.
    pub(super) fn is_used_up(self) -> bool {
        self.left() <= NEARLY * self.amount
    }
}

/// Every limit that a plan has, with what its blocks take of it. A smallest lot is a limit with its
/// order as what is taken, where there is one; weeks in flower are not told here.
#[derive(Debug, Clone, Default)]
pub(super) struct Uses(BTreeMap<Limit, Use>);

impl Uses {
    /// Of the blocks of a programme. Cost: blocks, and lines × seasons.
    pub(super) fn of(programme: &Programme, blocks: &[BlockCount]) -> Self {
        let mut uses = BTreeMap::new();
        for (limit, amount) in amounts(programme) {
            let used = match limit {
                Limit::Supply { line } => ordered(blocks, |block| block.stock == line),
                Limit::SeasonSupply { line, season } | Limit::Lot { line, season } => {
                    ordered(blocks, |block| (block.stock, block.season) == (line, season))
                }
                Limit::Cap { line } => hectares(programme, blocks, line),
                Limit::Budget => spent(blocks, |_| true),
                Limit::SeasonBudget { season } => spent(blocks, |block| block.season == season),
                Limit::SeasonDays { season } => worked(blocks, |block| block.season == season),
                Limit::InFlower { .. } => continue,
            };
            let is_told = used > 0.0 || !matches!(limit, Limit::Lot { .. });
            if is_told {
                uses.insert(limit, Use { used, amount });
            }
        }
        Self(uses)
    }

    /// What is taken of one limit; `None`: the plan has no such limit.
    pub(super) fn of_limit(&self, limit: Limit) -> Option<Use> {
        self.0.get(&limit).copied()
    }

    /// Limits that are used up, and lots that are ordered and no more.
    pub(super) fn used_up(&self) -> impl Iterator<Item = Limit> {
        self.0.iter().filter(|(limit, one)| is_worth_telling(**limit, **one)).map(|(at, _)| *at)
    }
}

/// A lot is told when no more than it is ordered; of what cannot be had there is nothing to use up.
fn is_worth_telling(limit: Limit, one: Use) -> bool {
    match limit {
        Limit::Lot { .. } => one.used <= one.amount * (1.0 + NEARLY),
        _ => one.amount > 0.0 && one.is_used_up(),
    }
}

/// The name under which a limit is told: a season that offers no less than there is in all limits
/// nothing of its own.
pub(super) fn told_as(programme: &Programme, limit: Limit) -> Limit {
    let Limit::SeasonSupply { line, season } = limit else { return limit };
    let own = &programme.lines[line];
    let of_season = own.by_season.get(season).copied().flatten().unwrap_or(f64::INFINITY);
    match own.supply {
        Some(all) if of_season >= all => Limit::Supply { line },
        _ => limit,
    }
}

/// The limits of a programme, each told once.
fn amounts(programme: &Programme) -> Vec<(Limit, f64)> {
    let mut amounts = Vec::new();
    let cap = programme.line_cap * programme.area_ha();
    for (line, own) in programme.lines.iter().enumerate() {
        amounts.extend(own.supply.map(|plants| (Limit::Supply { line }, plants)));
        for (season, plants) in own.by_season.iter().enumerate() {
            let limit = Limit::SeasonSupply { line, season };
            if told_as(programme, limit) == limit {
                amounts.extend(plants.map(|plants| (limit, plants)));
            }
        }
        if programme.line_cap < 1.0 {
            amounts.push((Limit::Cap { line }, cap));
        }
        if own.min_lot > 0.0 {
            let lot = |season| (Limit::Lot { line, season }, own.min_lot);
            amounts.extend((0..programme.seasons).map(lot));
        }
    }
    amounts.extend(programme.budget.map(|budget| (Limit::Budget, budget)));
    let of_season = |season| Some((Limit::SeasonBudget { season }, programme.season_budget?));
    amounts.extend((0..programme.seasons).filter_map(of_season));
    let days = |season| Some((Limit::SeasonDays { season }, programme.season_days?));
    amounts.extend((0..programme.seasons).filter_map(days));
    amounts
}

fn hectares(programme: &Programme, blocks: &[BlockCount], line: usize) -> f64 {
    let own = blocks.iter().filter(|block| block.stock == line);
    own.map(|block| programme.zones[block.zone].area_ha * block.share).sum()
}
