//! The programme put into solver's terms, under the decisions taken so far.

use std::collections::BTreeMap;
use std::ops::Range;

use super::decisions::{Decision, Decisions, Rules};
use super::model::{Column, DUST, Model, PREFERENCE, Row};
use super::{Limit, Programme};

/// A column before rows are known.
struct Draft {
    zone: usize,
    line: usize,
    season: usize,
    worth: f64,
    plants: f64,
    /// What share 1 takes of each limit, in the limit's own unit.
    needs: Vec<(Limit, f64)>,
}

impl Model {
    /// A programme that has been checked, under decisions. Left out are columns that nobody would
    /// choose, columns whose least share alone would break a limit, and rows that no assignment
    /// can overdraw.
    pub(super) fn new(programme: &Programme, rules: &Rules, decisions: &Decisions) -> Self {
        let asked = asked(programme, rules, decisions);
        let drafts = drafts(programme, &asked);
        let scale = drafts.iter().map(|draft| draft.worth.abs()).fold(0.0, f64::max);
        let scale = scale.max(f64::MIN_POSITIVE);
        let drafts: Vec<Draft> = drafts
            .into_iter()
            .filter(|draft| {
                let lot = draft.line * programme.seasons + draft.season;
                decisions.lots[lot] != Decision::No || draft.plants <= 0.0
            })
            .collect();
        let within_reach = reach(&drafts);
        let limits = |(limit, most): (&Limit, &f64)| {
            let amount = amount(programme, *limit);
            (*most > amount).then_some(Row { limit: *limit, amount, most: 1.0 })
        };
        let mut rows: Vec<Row> = within_reach.iter().filter_map(limits).collect();
        rows.extend(asked.iter().map(|&(limit, amount)| Row { limit, amount, most: -1.0 }));
        let row_of: BTreeMap<Limit, usize> =
            rows.iter().enumerate().map(|(at, row)| (row.limit, at)).collect();
        let out_of_reach = |&(limit, amount): &(Limit, f64)| {
            within_reach.get(&limit).copied().unwrap_or(0.0) < amount * (1.0 - DUST)
        };
        let columns: Vec<Column> = drafts
            .into_iter()
            .map(|draft| column(programme, &draft, &rows, &row_of, scale))
            .collect();
        let zones = zone_ranges(&columns, programme.zones.len());
        let full: Vec<bool> = programme.zones.iter().map(|zone| zone.must_plant).collect();
        let barren = zones.iter().zip(&full).any(|(zone, full)| *full && zone.is_empty());
        Self {
            columns,
            rows,
            zones,
            full,
            min_share: programme.min_share,
            scale,
            left_worth: programme
                .zones
                .iter()
                .map(|zone| zone.area_ha * zone.left_worth_per_ha)
                .sum(),
            impossible: barren || asked.iter().any(out_of_reach),
        }
    }
}

/// What is asked for: lots and weeks decided upon, and how much of each.
fn asked(programme: &Programme, rules: &Rules, decisions: &Decisions) -> Vec<(Limit, f64)> {
    let yes = |decision: &Decision| *decision == Decision::Yes;
    let lots = decisions.lots.iter().enumerate().filter(|(_, decision)| yes(decision));
    let lots = lots.map(|(lot, _)| {
        let (line, season) = (lot / programme.seasons, lot % programme.seasons);
        (Limit::Lot { line, season }, programme.lines[line].min_lot)
    });
    let enough = programme.flowering.map_or(0.0, |rule| rule.least_ha);
    let spells = rules.spells.iter().zip(&decisions.spells).filter(|(_, decision)| yes(decision));
    let weeks = spells.map(|(spell, _)| (Limit::InFlower { week: spell.week() }, enough));
    lots.chain(weeks).collect()
}

fn drafts(programme: &Programme, asked: &[(Limit, f64)]) -> Vec<Draft> {
    let choosy = programme.flowering.is_none() && programme.lines.iter().all(|l| l.min_lot <= 0.0);
    let least = programme.min_share.max(DUST);
    let mut drafts = Vec::new();
    for (zone, ground) in programme.zones.iter().enumerate() {
        for (line, offer) in ground.offers.iter().enumerate() {
            let Some(offer) = offer else { continue };
            for season in 0..programme.seasons {
                let worth = offer.worth_per_ha * programme.patience(season);
                let worth = ground.area_ha * (worth - ground.left_worth_per_ha);
                let (plants, cost) =
                    (ground.area_ha * offer.plants_per_ha, ground.area_ha * offer.cost_per_ha);
                let mut needs = vec![
                    (Limit::Supply { line }, plants),
                    (Limit::SeasonSupply { line, season }, plants),
                    (Limit::Cap { line }, ground.area_ha),
                    (Limit::Budget, cost),
                    (Limit::SeasonBudget { season }, cost),
                ];
                let fits = needs.iter().all(|&(limit, n)| n * least <= amount(programme, limit));
                let wanted = worth > 0.0 || ground.must_plant || !choosy;
                if !(fits && wanted) {
                    continue;
                }
                needs.extend(asked.iter().filter_map(|&(limit, _)| match limit {
                    Limit::Lot { line: of, season: when } => {
                        (of == line && when == season).then_some((limit, plants))
                    }
                    Limit::InFlower { week } => {
                        offer.weeks.contains(week).then_some((limit, ground.area_ha))
                    }
                    _ => None,
                }));
                drafts.push(Draft { zone, line, season, worth, plants, needs });
            }
        }
    }
    drafts
}

/// The whole of a limit; of what is asked for, nothing limits it.
fn amount(programme: &Programme, limit: Limit) -> f64 {
    let limited = |amount: Option<f64>| amount.unwrap_or(f64::INFINITY);
    match limit {
        Limit::Supply { line } => limited(programme.lines[line].supply),
        Limit::SeasonSupply { line, season } => programme.season_supply(line, season),
        Limit::Cap { .. } => programme.line_cap * programme.area_ha(),
        Limit::Budget => limited(programme.budget),
        Limit::SeasonBudget { .. } => limited(programme.season_budget),
        Limit::Lot { .. } | Limit::InFlower { .. } => f64::INFINITY,
    }
}

/// The most that all zones together can use of each limit.
fn reach(drafts: &[Draft]) -> BTreeMap<Limit, f64> {
    let mut reach: BTreeMap<Limit, f64> = BTreeMap::new();
    for zone in drafts.chunk_by(|a, b| a.zone == b.zone) {
        let mut most: BTreeMap<Limit, f64> = BTreeMap::new();
        for &(limit, need) in zone.iter().flat_map(|draft| &draft.needs) {
            let entry = most.entry(limit).or_default();
            *entry = entry.max(need);
        }
        for (limit, need) in most {
            *reach.entry(limit).or_default() += need;
        }
    }
    reach
}

fn column(
    programme: &Programme,
    draft: &Draft,
    rows: &[Row],
    row_of: &BTreeMap<Limit, usize>,
    scale: f64,
) -> Column {
    let use_of = |&(limit, need): &(Limit, f64)| {
        let row = *row_of.get(&limit)?;
        let fraction = need / rows[row].amount * rows[row].most;
        (need > 0.0).then_some((row, fraction))
    };
    let value = draft.worth / scale;
    let place = place(
        draft.line as f64 / programme.lines.len() as f64,
        draft.zone as f64 / programme.zones.len() as f64,
        draft.season as f64 / programme.seasons as f64,
    );
    Column {
        zone: draft.zone,
        line: draft.line,
        season: draft.season,
        value,
        preferred: value - PREFERENCE * place * value.abs(),
        uses: draft.needs.iter().filter_map(use_of).collect(),
    }
}

/// How late a column comes, 0 to 1, from how late its line, its zone and its season come, each 0
/// to 1. Rises with all; the product lets earlier zones take earlier lines when lines are worth
/// the same.
fn place(line: f64, zone: f64, season: f64) -> f64 {
    0.5 * (0.5 * line * (1.0 - 0.5 * zone) + 0.5 * zone) + 0.5 * season
}

fn zone_ranges(columns: &[Column], zones: usize) -> Vec<Range<usize>> {
    (0..zones)
        .map(|zone| {
            let start = columns.partition_point(|column| column.zone < zone);
            start..columns.partition_point(|column| column.zone <= zone)
        })
        .collect()
}
