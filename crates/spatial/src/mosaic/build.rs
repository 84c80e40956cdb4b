//! The programme put into solver's terms, under the decisions taken so far.

use std::ops::Range;

use super::decisions::{Decision, Decisions, Rules};
use super::model::{Column, DUST, Model, PREFERENCE, Row};
use super::{Limit, Programme, Weeks, ZoneOffers};

/// Every limit that a programme has, and everything asked for, each with its place and amount.
struct Ledger {
    /// In the order of their places.
    limits: Vec<Limit>,
    /// The whole of each limit, infinite where nothing limits it; of what is asked for, how much.
    amounts: Vec<f64>,
    /// Places below this limit, those from it on ask.
    asks_from: usize,
    lines: usize,
    seasons: usize,
}

impl Ledger {
    fn new(programme: &Programme, rules: &Rules, decisions: &Decisions) -> Self {
        let (lines, seasons) = (programme.lines.len(), programme.seasons);
        let by_season =
            || (0..lines).flat_map(|line| (0..seasons).map(move |season| (line, season)));
        let limits = (0..lines).map(|line| Limit::Supply { line });
        let limits = limits
            .chain(by_season().map(|(line, season)| Limit::SeasonSupply { line, season }))
            .chain((0..lines).map(|line| Limit::Cap { line }))
            .chain([Limit::Budget])
            .chain((0..seasons).map(|season| Limit::SeasonBudget { season }))
            .chain((0..seasons).map(|season| Limit::SeasonDays { season }));
        let mut limits: Vec<Limit> = limits.collect();
        let cap = programme.line_cap * programme.area_ha();
        let mut amounts: Vec<f64> =
            limits.iter().map(|limit| amount(programme, *limit, cap)).collect();
        let asks_from = limits.len();
        for (limit, amount) in asked(programme, rules, decisions) {
            limits.push(limit);
            amounts.push(amount);
        }
        Self { limits, amounts, asks_from, lines, seasons }
    }

    /// Places of the limits on a line in a season: supply, supply of the season, cap, budget, budget
    /// of the season and person-days of the season.
    fn places(&self, line: usize, season: usize) -> [usize; 6] {
        let by_season = self.lines + line * self.seasons + season;
        let cap = self.lines * (1 + self.seasons) + line;
        let budget = self.lines * (2 + self.seasons);
        let of_season = budget + 1 + season;
        [line, by_season, cap, budget, of_season, of_season + self.seasons]
    }
}

/// A column before rows are known.
struct Draft {
    zone: usize,
    line: usize,
    season: usize,
    worth: f64,
    plants: f64,
    /// What share 1 takes of each limit, by the limit's place, in the limit's own unit.
    needs: Vec<(usize, f64)>,
}

impl Model {
    /// A programme that has been checked, under decisions. Left out are columns that nobody would
    /// choose, columns whose least share alone would break a limit, and rows that no assignment
    /// can overdraw.
    pub(super) fn new(programme: &Programme, rules: &Rules, decisions: &Decisions) -> Self {
        let ledger = Ledger::new(programme, rules, decisions);
        let mut drafts = drafts(programme, &ledger);
        let scale = drafts.iter().map(|draft| draft.worth.abs()).fold(0.0, f64::max);
        let scale = scale.max(f64::MIN_POSITIVE);
        drafts.retain(|draft| {
            let lot = draft.line * programme.seasons + draft.season;
            decisions.lots[lot] != Decision::No || draft.plants <= 0.0
        });
        let within_reach = reach(&drafts, ledger.limits.len());
        let mut rows = Vec::new();
        let mut row_of = vec![None; ledger.limits.len()];
        for (place, (&limit, &amount)) in ledger.limits.iter().zip(&ledger.amounts).enumerate() {
            let asks = place >= ledger.asks_from;
            if asks || within_reach[place] > amount {
                row_of[place] = Some(rows.len());
                rows.push(Row { limit, amount, most: if asks { -1.0 } else { 1.0 } });
            }
        }
        let out_of_reach = (ledger.asks_from..ledger.limits.len())
            .any(|place| within_reach[place] < ledger.amounts[place] * (1.0 - DUST));
        let columns: Vec<Column> = drafts
            .into_iter()
            .map(|draft| column(programme, &draft, &rows, &row_of, scale))
            .collect();
        let zones = zone_ranges(&columns, programme.zones.len());
        let full: Vec<bool> = programme.zones.iter().map(|zone| zone.must_plant).collect();
        let barren = zones.iter().zip(&full).any(|(zone, full)| *full && zone.is_empty());
        let left = |zone: &ZoneOffers| zone.area_ha * zone.left_worth_per_ha;
        Self {
            columns,
            rows,
            zones,
            full,
            min_share: programme.min_share,
            scale,
            left_worth: programme.zones.iter().map(left).sum(),
            impossible: barren || out_of_reach,
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

/// The whole of a limit.
fn amount(programme: &Programme, limit: Limit, cap: f64) -> f64 {
    let limited = |amount: Option<f64>| amount.unwrap_or(f64::INFINITY);
    match limit {
        Limit::Supply { line } => limited(programme.lines[line].supply),
        Limit::SeasonSupply { line, season } => programme.season_supply(line, season),
        Limit::Cap { .. } => cap,
        Limit::Budget => limited(programme.budget),
        Limit::SeasonBudget { .. } => limited(programme.season_budget),
        Limit::SeasonDays { .. } => limited(programme.season_days),
        Limit::Lot { .. } | Limit::InFlower { .. } => f64::INFINITY,
    }
}

fn drafts(programme: &Programme, ledger: &Ledger) -> Vec<Draft> {
    let choosy = programme.flowering.is_none() && programme.lines.iter().all(|l| l.min_lot <= 0.0);
    let least = programme.min_share.max(DUST);
    let patience: Vec<f64> = (0..programme.seasons).map(|at| programme.patience(at)).collect();
    let mut drafts = Vec::new();
    for (zone, ground) in programme.zones.iter().enumerate() {
        let area = ground.area_ha;
        let open = area * ground.open_share;
        for (line, offer) in ground.offers.iter().enumerate() {
            let Some(offer) = offer else { continue };
            let (plants, cost) = (area * offer.plants_per_ha, area * offer.cost_per_ha);
            let amounts = [plants, plants, area, cost, cost, area * offer.days_per_ha];
            for (season, patience) in patience.iter().enumerate() {
                let worth = area * (offer.worth_per_ha * patience - ground.left_worth_per_ha);
                let places = ledger.places(line, season);
                let needs = places.into_iter().zip(amounts);
                let fits = needs.clone().all(|(at, need)| need * least <= ledger.amounts[at]);
                let wanted = worth > 0.0 || ground.must_plant || !choosy;
                if fits && wanted {
                    let asked = asked_of(ledger, offer.weeks, (line, season), plants, open);
                    let needs = needs.chain(asked).filter(|(_, need)| *need > 0.0).collect();
                    drafts.push(Draft { zone, line, season, worth, plants, needs });
                }
            }
        }
    }
    drafts
}

/// What a column adds to what is asked for.
fn asked_of(
    ledger: &Ledger,
    weeks: Weeks,
    own: (usize, usize),
    plants: f64,
    open_ha: f64,
) -> impl Iterator<Item = (usize, f64)> {
    let asks = ledger.limits.iter().enumerate().skip(ledger.asks_from);
    asks.filter_map(move |(place, limit)| match *limit {
        Limit::Lot { line, season } => ((line, season) == own).then_some((place, plants)),
        Limit::InFlower { week } => weeks.contains(week).then_some((place, open_ha)),
        _ => None,
    })
}

/// The most that all zones together can use of each limit, by place.
fn reach(drafts: &[Draft], places: usize) -> Vec<f64> {
    let mut reach = vec![0.0; places];
    let mut most = vec![0.0_f64; places];
    for zone in drafts.chunk_by(|a, b| a.zone == b.zone) {
        let needs = || zone.iter().flat_map(|draft| draft.needs.iter().copied());
        for (place, need) in needs() {
            most[place] = most[place].max(need);
        }
        for (place, _) in needs() {
            reach[place] += std::mem::take(&mut most[place]);
        }
    }
    reach
}

fn column(
    programme: &Programme,
    draft: &Draft,
    rows: &[Row],
    row_of: &[Option<usize>],
    scale: f64,
) -> Column {
    let use_of = |&(place, need): &(usize, f64)| {
        let row = row_of[place]?;
        Some((row, need / rows[row].amount * rows[row].most))
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
