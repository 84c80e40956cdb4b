//! Everything computed, put together into one plan.

use std::collections::{BTreeMap, BTreeSet};

use geo::Area;
use stock::Library;
use tally::calendar_days;

use super::cards::cards;
use super::case::Case;
use super::limits::limits_in_words;
use super::order_rows::order_rows;
use super::reasons::why_planted;
use super::rows::{
    BlockRow, ByHandRow, FitEdgesRow, FitLimitRow, FitRow, GroundReport, JoinReport, KeepClearRow,
    OrderRow, Plan, Reach, SeasonRow, SolutionReport, StandRow, Totals, ZoneRow,
};
use super::uses::Uses;
use super::warnings::plan_warnings;
use super::zone_row::{ground_m2, zone_row};
use crate::assign::{Cost, Mosaic};
use crate::checks::{cautions, of_drop_points, of_work};
use crate::counts::{BlockCount, LAST_DIGIT, LineOrder, spent, worked};
use crate::fit::{LimitShare, ZoneFit};
use crate::ground::Ground;
use crate::layout::{Plant, Plot, ZoneDemand, spacing_at_density};
use crate::mosaic::{Assignment, SOLVER, Stop};
use crate::offers::{Seasons, Sourcing};
use crate::overrides::Overrides;
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::{KeepClearRule, Site, WetnessEdges};
use crate::units::{GroundHectares, M2_PER_HA, PlanHectares};
use crate::zones::{ClearReason, KeepClear, Stand, Zone, Zones};

/// What the stages of the pipeline have found.
pub struct Parts<'a> {
    /// The site.
    pub site: &'a Site,
    /// Its stock.
    pub library: &'a Library,
    /// Its layers.
    pub ready: &'a Ready,
    /// Its ground.
    pub ground: &'a Ground,
    /// Its zones.
    pub zones: &'a Zones,
    /// Fit, `[zone][stock]`.
    pub fits: &'a [Vec<ZoneFit>],
    /// What each zone asks for.
    pub demands: &'a [ZoneDemand],
    /// When planting can be done.
    pub seasons: Seasons,
    /// What home seed may go where.
    pub sourcing: &'a Sourcing,
    /// Choices made by hand.
    pub overrides: &'a Overrides,
    /// Which stock where.
    pub mosaic: &'a Mosaic,
    /// Blocks with their counts.
    pub blocks: &'a [BlockCount],
    /// What is ordered.
    pub orders: &'a [LineOrder],
    /// Where plants stand.
    pub plants: &'a [Plant],
    /// Where survivors will be counted.
    pub plots: &'a [Plot],
    /// How far the plan goes.
    pub reach: Reach,
    /// Seed of every random draw.
    pub seed: u64,
    /// Warnings of the site and stock files.
    pub warnings: &'a [Problem],
}

impl<'a> Parts<'a> {
    /// What reasons are found in.
    fn case(&self) -> Case<'a> {
        Case {
            site: self.site,
            library: self.library,
            fits: self.fits,
            demands: self.demands,
            seasons: self.seasons,
            sourcing: self.sourcing,
            overrides: self.overrides,
            mosaic: self.mosaic,
            blocks: self.blocks,
            uses: Uses::of(&self.mosaic.programme, self.blocks),
        }
    }
}

/// Puts the plan together; computes nothing but sums.
#[must_use]
pub fn assemble(parts: &Parts) -> Plan {
    let case = parts.case();
    let left = left_by_zone(parts);
    let zones: Vec<ZoneRow> =
        (0..parts.zones.zones.len()).map(|at| zone_row(parts, &case, at, left[at])).collect();
    let blocks: Vec<BlockRow> =
        parts.blocks.iter().map(|block| block_row(parts, &case, block)).collect();
    let stands: Vec<StandRow> =
        parts.zones.stands.iter().map(|stand| stand_row(parts, stand)).collect();
    let keep_clear: Vec<KeepClearRow> =
        parts.zones.keep_clear.iter().map(|area| keep_clear_row(parts, area)).collect();
    let mut warnings = parts.warnings.to_vec();
    warnings.extend(
        parts.ready.warnings.iter().chain(&parts.ground.notes).chain(&parts.zones.notes).cloned(),
    );
    let mut cautions = cautions(parts.zones, parts.ready, parts.site);
    // Of single plants nobody knows how many a box holds.
    let box_of = Some(parts.site.order.tray).filter(|tray| tray.get() > 1);
    let cards = cards(parts, &blocks, &cautions, box_of);
    let dropped: BTreeSet<&str> = cards
        .iter()
        .filter(|card| card.drop_east_m.is_some())
        .map(|card| card.zone_id.as_str())
        .collect();
    cautions.extend(of_drop_points(parts.zones, |zone| dropped.contains(zone.id.as_str())));
    cautions.extend(of_work(parts.zones, parts.ground));
    let totals = totals(parts, &zones, &blocks, &stands, &keep_clear);
    warnings.extend(plan_warnings(parts, &totals));
    for warning in &mut warnings {
        name_within_site(warning, parts.site);
    }
    Plan {
        schema: "hillweave.plan/1",
        version: env!("CARGO_PKG_VERSION"),
        site: parts.site.name.clone(),
        crs: parts.ready.crs.describe(),
        reach: parts.reach,
        seed: parts.seed,
        inputs: parts.ready.inputs.clone(),
        defaults: parts.ready.all_defaults(parts.site),
        ground: ground_report(parts),
        totals,
        crew_people: parts.site.labour.people,
        orders: orders(parts, &blocks),
        line_orders: order_rows(parts),
        seasons: seasons(parts),
        fits: fit_rows(parts, &case),
        fit_edges: fit_edges(parts.site),
        solution: solution(parts, &case),
        merging: parts.zones.merging.clone(),
        cautions,
        zones,
        blocks,
        cards,
        keep_clear,
        stands,
        warnings,
        plants: parts.plants.to_vec(),
        plots: parts.plots.to_vec(),
    }
}

/// Files are named as the site knows them: no path of the machine goes into a plan.
fn name_within_site(warning: &mut Problem, site: &Site) {
    let folder = site.folder();
    if let Some(file) = &mut warning.file
        && let Ok(within) = file.strip_prefix(folder)
    {
        *file = within.to_path_buf();
    }
}

fn ground_report(parts: &Parts) -> GroundReport {
    GroundReport {
        wetness_by: match parts.site.zones.wetness_edges {
            WetnessEdges::Fixed(_) => "edges",
            WetnessEdges::Quantiles(_) => "quantiles",
        },
        wetness_edges: parts.ground.wetness_edges,
        further_layers: parts.ground.others.keys().map(|layer| layer.name()).collect(),
    }
}

/// Share of a zone that no stock takes, from the sum of what blocks take; dust counts as nothing.
pub(super) fn left_share(taken: f64) -> f64 {
    Some(1.0 - taken).filter(|left| *left > 1e-6).unwrap_or(0.0)
}

/// Share that no block takes, zone by zone.
fn left_by_zone(parts: &Parts) -> Vec<f64> {
    let mut taken = vec![0.0; parts.zones.zones.len()];
    for block in parts.blocks {
        taken[block.zone] += block.share;
    }
    taken.into_iter().map(left_share).collect()
}

fn block_row(parts: &Parts, case: &Case, block: &BlockCount) -> BlockRow {
    let zone = &parts.zones.zones[block.zone];
    let stock = &parts.library.stocks()[block.stock];
    let fit = &parts.fits[block.zone][block.stock];
    let demand = &parts.demands[block.zone].lines[block.stock];
    BlockRow {
        block_id: parts.seasons.year(block.season).map_or_else(
            || format!("{}-{}", zone.id, stock.id),
            |year| format!("{}-{}-{year}", zone.id, stock.id),
        ),
        zone_id: zone.id.clone(),
        stock_id: stock.id.clone(),
        stock_kind: stock.kind.key().to_owned(),
        season: parts.seasons.year(block.season),
        share: block.share,
        plan_area_ha: PlanHectares::from_m2(zone.plan_m2 * block.share),
        ground_area_ha: GroundHectares::from_m2(
            ground_m2(zone.plan_m2, &zone.statistics) * block.share,
        ),
        density_sph: demand.density.0,
        density_basis: parts.site.density.basis,
        purpose: demand.purpose,
        spacing_m: spacing_at_density(parts.site.density.pattern, demand.density).0,
        seedlings: block.seedlings,
        order_qty: block.order_qty,
        person_days: block.person_days,
        fit: fit.fit,
        fit_class: fit.order.code().to_owned(),
        limiting_factor: limiting_factor(fit),
        reason: why_planted(case, block),
        geometry: zone.geometry.clone(),
    }
}

fn stand_row(parts: &Parts, stand: &Stand) -> StandRow {
    StandRow {
        stand_id: stand.id.clone(),
        cover: cover_name(parts.site, stand.cover),
        plan_area_ha: PlanHectares::from_m2(stand.plan_m2),
        ground_area_ha: GroundHectares::from_m2(ground_m2(stand.plan_m2, &stand.statistics)),
        elevation_mean_m: stand.statistics.elevation_m[1],
        geometry: stand.geometry.clone(),
    }
}

fn cover_name(site: &Site, cover: u8) -> String {
    let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
    table.get(usize::from(cover)).map_or_else(|| "unknown".to_owned(), |row| row.class.name.clone())
}

fn keep_clear_row(parts: &Parts, area: &KeepClear) -> KeepClearRow {
    let (rules, reason, authority, date) = match &area.reason {
        ClearReason::Setback(rules) => setback_words(parts.site, rules),
        ClearReason::Cover(cover) => {
            let name = cover_name(parts.site, *cover);
            (
                name.clone(),
                format!("{name} is never planted"),
                "site file".to_owned(),
                String::new(),
            )
        }
        ClearReason::Unknown => (
            "unknown ground".to_owned(),
            "no elevation is known here".to_owned(),
            String::new(),
            String::new(),
        ),
    };
    KeepClearRow {
        keep_clear_id: area.id.clone(),
        rules,
        reason,
        authority,
        date,
        plan_area_ha: PlanHectares::from_m2(area.plan_m2),
        geometry: area.geometry.clone(),
    }
}

/// The words of the setback rules that meet in one place, each said once.
fn setback_words(site: &Site, rules: &[usize]) -> (String, String, String, String) {
    let joined = |word: fn(&KeepClearRule) -> &String| {
        let mut words: Vec<&str> = Vec::new();
        for rule in rules.iter().map(|rule| word(&site.keep_clear[*rule]).as_str()) {
            if !words.contains(&rule) {
                words.push(rule);
            }
        }
        words.join("; ")
    };
    (joined(|r| &r.name), joined(|r| &r.reason), joined(|r| &r.authority), joined(|r| &r.date))
}

fn totals(
    parts: &Parts,
    zones: &[ZoneRow],
    blocks: &[BlockRow],
    stands: &[StandRow],
    keep_clear: &[KeepClearRow],
) -> Totals {
    let mut by_group: BTreeMap<String, PlanHectares> = BTreeMap::new();
    for (letter, area) in zones.iter().flat_map(|zone| &zone.slope_group_plan_ha) {
        *by_group.entry(letter.clone()).or_default() += *area;
    }
    Totals {
        property_plan_ha: PlanHectares(parts.ready.boundary.unsigned_area() / M2_PER_HA),
        zones_plan_ha: zones.iter().map(|zone| zone.plan_area_ha).sum(),
        stands_plan_ha: stands.iter().map(|stand| stand.plan_area_ha).sum(),
        keep_clear_plan_ha: keep_clear.iter().map(|area| area.plan_area_ha).sum(),
        planted_plan_ha: blocks.iter().map(|block| block.plan_area_ha).sum(),
        planted_ground_ha: blocks.iter().map(|block| block.ground_area_ha).sum(),
        left_plan_ha: zones.iter().map(|zone| zone.plan_area_ha * zone.left_share).sum(),
        left_open_plan_ha: zones
            .iter()
            .map(|zone| zone.plan_area_ha * zone.left_share * zone.gap_share)
            .sum(),
        seedlings: blocks.iter().map(|block| block.seedlings).sum(),
        order_qty: blocks.iter().map(|block| block.order_qty).sum(),
        cost_nzd: spent(parts.blocks, |_| true),
        person_days: worked(parts.blocks, |_| true),
        budget_nzd: parts.site.mosaic.budget_nzd,
        slope_group_plan_ha: by_group,
    }
}

/// What is planted in each winter; nothing where no stock was read.
fn seasons(parts: &Parts) -> Vec<SeasonRow> {
    let season = |season: usize| {
        let own = || parts.blocks.iter().filter(move |block| block.season == season);
        let labour = &parts.site.labour;
        let person_days = worked(parts.blocks, |block| block.season == season);
        let area_m2 = |block: &BlockCount| parts.zones.zones[block.zone].plan_m2 * block.share;
        SeasonRow {
            season: parts.seasons.year(season),
            plan_area_ha: PlanHectares::from_m2(own().map(area_m2).sum()),
            seedlings: own().map(|block| block.seedlings).sum(),
            order_qty: own().map(|block| block.order_qty).sum(),
            cost_nzd: spent(parts.blocks, |block| block.season == season),
            budget_nzd: parts.site.mosaic.season_budget_nzd,
            person_days,
            person_days_most: labour.days_a_winter(),
            crew_days: labour
                .people
                .and_then(|people| calendar_days(person_days - LAST_DIGIT, people)),
        }
    };
    match parts.reach {
        Reach::Zones => Vec::new(),
        Reach::Orders => (0..parts.seasons.count).map(season).collect(),
    }
}

fn orders(parts: &Parts, blocks: &[BlockRow]) -> Vec<OrderRow> {
    let order = |stock: &stock::Stock| {
        let own = || blocks.iter().filter(|block| block.stock_id == stock.id);
        OrderRow {
            stock_id: stock.id.clone(),
            name: stock.name.clone(),
            stock_kind: stock.kind.key().to_owned(),
            seedlings: own().map(|block| block.seedlings).sum(),
            order_qty: own().map(|block| block.order_qty).sum(),
            supply: parts.seasons.supply(stock),
            plan_area_ha: own().map(|block| block.plan_area_ha).sum(),
            blocks: own().count(),
        }
    };
    parts.library.stocks().iter().map(order).collect()
}

fn fit_rows(parts: &Parts, case: &Case) -> Vec<FitRow> {
    let of_zone = |(at, fits): (usize, &Vec<ZoneFit>)| -> Vec<FitRow> {
        let zone = &parts.zones.zones[at];
        let lines = parts.library.stocks().iter().zip(fits).enumerate();
        let barred = |line: usize| case.bar(at, line).unwrap_or_default();
        lines.map(|(line, (stock, fit))| fit_row(zone, stock, fit, barred(line))).collect()
    };
    parts.fits.iter().enumerate().flat_map(of_zone).collect()
}

fn fit_row(zone: &Zone, stock: &stock::Stock, fit: &ZoneFit, barred: String) -> FitRow {
    let [s1_share, s2_share, s3_share, n_share] = fit.order_shares;
    let limit = |one: &LimitShare| FitLimitRow {
        factor: one.limit.factor.key(),
        side: one.limit.side,
        words: one.limit.words(),
        share: one.share,
        lost: one.lost,
    };
    FitRow {
        zone_id: zone.id.clone(),
        stock_id: stock.id.clone(),
        fit: fit.fit,
        fit_class: fit.order.code().to_owned(),
        s1_share,
        s2_share,
        s3_share,
        n_share,
        share_below: fit.share_below,
        limiting_factor: limiting_factor(fit),
        limits: fit.limits.iter().map(limit).collect(),
        sentence: fit.sentence(),
        barred,
    }
}

/// Key of the factor that costs most fit; empty when nothing limits.
fn limiting_factor(fit: &ZoneFit) -> String {
    fit.limiting().map_or(String::new(), |(limit, _)| limit.factor.key().to_owned())
}

fn fit_edges(site: &Site) -> FitEdgesRow {
    let [s1_from, s2_from, s3_from] = site.mosaic.fit_orders;
    FitEdgesRow { s1_from, s2_from, s3_from, source: stock::FitEdges::SOURCE }
}

fn solution(parts: &Parts, case: &Case) -> SolutionReport {
    let Assignment { objective, bound, gap, stopped, in_flower, .. } = &parts.mosaic.assignment;
    let by_hand_cost = parts.mosaic.by_hand;
    SolutionReport {
        solver: SOLVER.to_owned(),
        objective: *objective,
        bound: *bound,
        gap: *gap,
        stopped_early: stopped.is_some(),
        stopped_by: stopped.map(|stop| match stop {
            Stop::Time => "time",
            Stop::Effort => "effort",
        }),
        binding: limits_in_words(case),
        in_flower: in_flower.iter().map(|week| week + 1).collect(),
        joined: parts.mosaic.joined.as_ref().map(|joined| JoinReport {
            border_before_m: joined.metres_before,
            border_after_m: joined.metres_after,
            worth_lost: joined.worth_lost,
        }),
        by_hand_cost: by_hand_cost.and_then(Cost::worth),
        by_hand_cost_not_known: by_hand_cost.map_or("", Cost::why_not_known),
        by_hand: by_hand(parts),
    }
}

/// What people chose, and what each choice costs.
fn by_hand(parts: &Parts) -> Vec<ByHandRow> {
    let id = |line: &usize| parts.library.stocks()[*line].id.clone();
    let choices = parts.overrides.placed.iter().enumerate();
    let cost = |at: usize| parts.mosaic.each_by_hand.get(at).copied();
    let row = |(at, (zone, choice)): (usize, &(usize, crate::overrides::Override))| ByHandRow {
        zone_id: parts.zones.zones[*zone].id.clone(),
        fixed: choice.line.as_ref().map(id),
        forbidden: choice.forbid.iter().map(id).collect(),
        density_sph: choice.density.map(|density| density.0),
        note: choice.note.clone(),
        worth_lost: cost(at).and_then(Cost::worth),
        worth_lost_not_known: cost(at).map_or("", Cost::why_not_known),
    };
    choices.map(row).collect()
}
