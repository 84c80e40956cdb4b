//! What keeps a line from ground that it fits, as far as the plan's own orders tell.

use super::case::Case;
use crate::counts::BlockCount;
use crate::mosaic::Limit;

/// Shares that differ by no more are the same.
const DUST: f64 = 1e-6;

/// What keeps a line from a zone in one winter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Hold {
    /// No plants of it come in any winter of the plan.
    Never,
    /// It comes in a later winter, and would then count for no more than what stands there.
    Later {
        /// The first winter with plants of it.
        season: usize,
    },
    /// What is left of the zone is less than a least share.
    LeastShare,
    /// A limit is used up, or too little is left of it for a least share.
    Limit(Limit),
    /// Less than its smallest lot would be ordered.
    Lot {
        /// The winter.
        season: usize,
    },
}

/// Ground that a line does not have.
#[derive(Clone, Copy)]
pub(super) struct Ground<'a> {
    pub(super) zone: usize,
    /// Share of the zone.
    pub(super) share: f64,
    /// What stands there; `None`: it is left.
    pub(super) under: Option<&'a BlockCount>,
}

/// What keeps a line from ground, each thing once; empty when nothing that can be told does. One
/// winter in which nothing holds it back is enough for that.
pub(super) fn holds(case: &Case, ground: Ground, line: usize) -> Vec<Hold> {
    let seasons = 0..case.mosaic.programme.seasons;
    let Some(first) = seasons.clone().find(|season| can_be_had(case, line, *season)) else {
        return vec![Hold::Never];
    };
    let mut all = Vec::new();
    for season in seasons.filter(|season| can_be_had(case, line, *season)) {
        match hold(case, ground, line, (season, first)) {
            Some(hold) if all.contains(&hold) => {}
            Some(hold) => all.push(hold),
            None => return Vec::new(),
        }
    }
    // What is used up in the first winter says more than that waiting for the next does not pay.
    if all.iter().any(|hold| !matches!(hold, Hold::Later { .. })) {
        all.retain(|hold| !matches!(hold, Hold::Later { .. }));
    }
    all
}

/// Whether any plants of a line come in a winter.
fn can_be_had(case: &Case, line: usize, season: usize) -> bool {
    let limit = &case.mosaic.programme.lines[line];
    let none = |plants: Option<f64>| plants.is_some_and(|plants| plants <= 0.0);
    !none(limit.supply) && !none(limit.by_season.get(season).copied().flatten())
}

/// What keeps a line from ground in a winter in which it can be had.
fn hold(case: &Case, ground: Ground, line: usize, (season, first): (usize, usize)) -> Option<Hold> {
    let programme = &case.mosaic.programme;
    let offers = &programme.zones[ground.zone];
    let offer = offers.offers[line].unwrap_or_default();
    let worth = offer.worth_per_ha * programme.patience(season);
    if worth <= rival(case, ground) {
        return Some(Hold::Later { season: first });
    }
    let has_some =
        case.blocks_of(ground.zone).any(|block| (block.stock, block.season) == (line, season));
    let least = if has_some { 0.0 } else { programme.min_share };
    if least > ground.share + DUST {
        return Some(Hold::LeastShare);
    }
    let hectares = least * offers.area_ha;
    let under = ground.under.and_then(|block| Some((block, offers.offers[block.stock]?)));
    let freed = under.map_or(0.0, |(_, offer)| offer.cost_per_ha);
    let freed_days = under.map_or(0.0, |(_, offer)| offer.days_per_ha);
    let same_winter = under.is_some_and(|(block, _)| block.season == season);
    let dearer = offer.cost_per_ha - freed;
    let dearer_in_winter = if same_winter { dearer } else { offer.cost_per_ha };
    let longer_in_winter = offer.days_per_ha - if same_winter { freed_days } else { 0.0 };
    let needs = [
        (Limit::Supply { line }, offer.plants_per_ha),
        (Limit::SeasonSupply { line, season }, offer.plants_per_ha),
        (Limit::Cap { line }, 1.0),
        (Limit::Budget, dearer),
        (Limit::SeasonBudget { season }, dearer_in_winter),
        (Limit::SeasonDays { season }, longer_in_winter),
    ];
    let too_little = |(limit, per_ha): &(Limit, f64)| {
        let Some(one) = case.uses.of_limit(*limit) else { return false };
        *per_ha > 0.0 && (one.is_used_up() || one.left() < per_ha * hectares)
    };
    if let Some((limit, _)) = needs.iter().find(|need| too_little(need)) {
        return Some(Hold::Limit(*limit));
    }
    let is_ordered = case.blocks.iter().any(|block| (block.stock, block.season) == (line, season));
    let here = ground.share * offers.area_ha * offer.plants_per_ha;
    (!is_ordered && programme.lines[line].min_lot > here).then_some(Hold::Lot { season })
}

/// What a hectare of the ground counts for as it is.
fn rival(case: &Case, ground: Ground) -> f64 {
    let programme = &case.mosaic.programme;
    let offers = &programme.zones[ground.zone];
    ground.under.map_or(offers.left_worth_per_ha, |block| {
        let worth = offers.offers[block.stock].map_or(0.0, |offer| offer.worth_per_ha);
        worth * programme.patience(block.season)
    })
}

impl Hold {
    /// Of one line, after its name and `but`.
    pub(super) fn words(self, case: &Case, line: usize) -> String {
        let winter = |season: usize| case.seasons.words(season);
        match self {
            Self::Never => "none can be had in the winters of the plan".to_owned(),
            Self::Later { season } => {
                format!(
                    "it can be had from {} on, and would then count for no more",
                    winter(season)
                )
            }
            Self::LeastShare => "what is left is less than its least share".to_owned(),
            Self::Limit(limit) if !self.is_used_up(case) => {
                format!(
                    "what is left of {} is too little for a least share",
                    own_words(case, limit)
                )
            }
            Self::Limit(Limit::Cap { .. }) => {
                "it has reached the largest share of the ground".to_owned()
            }
            Self::Limit(
                limit @ (Limit::Supply { .. }
                | Limit::SeasonSupply { .. }
                | Limit::SeasonDays { .. }),
            ) => {
                format!("{} are used up", own_words(case, limit))
            }
            Self::Limit(limit) => format!("{} is used up", own_words(case, limit)),
            Self::Lot { season } => {
                let lot = case.mosaic.programme.lines[line].min_lot;
                let when = case.in_winter(season);
                format!("none of it is ordered{when}, its smallest lot being {lot:.0} plants")
            }
        }
    }

    /// Whether a limit is used up, and not just too little left.
    pub(super) fn is_used_up(self, case: &Case) -> bool {
        let Self::Limit(limit) = self else { return false };
        case.uses.of_limit(limit).is_some_and(super::uses::Use::is_used_up)
    }
}

/// A limit of one line that has been named.
fn own_words(case: &Case, limit: Limit) -> String {
    match limit {
        Limit::Supply { .. } => "its plants".to_owned(),
        Limit::SeasonSupply { season, .. } => {
            format!("its plants of {}", case.seasons.words(season))
        }
        Limit::Cap { .. } => "the largest share of the ground that it may take".to_owned(),
        Limit::SeasonBudget { season } => format!("the budget of {}", case.seasons.words(season)),
        Limit::SeasonDays { season } => {
            format!("the planting days of {}", case.seasons.words(season))
        }
        _ => "the budget".to_owned(),
    }
}
