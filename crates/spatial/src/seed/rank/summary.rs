//! What was found, as the rows of the report.

use std::collections::BTreeMap;

use stock::nectar::{DhaRatio, HoneyOutlook, NectarBand, NectarClass, NormalisedDha};

use super::super::SiteCaution;
use super::super::join::SheetTree;
use super::evaluate::{Evaluated, unit};
use super::mothers::barred;
use super::raising::{WinterRow, rates};
use super::rows::{
    ChoiceRow, CorrelationRow, GainRow, HoneyRow, IndexRow, IndexTraitRow, OutstandingRow,
    PilotRow, RaisingRow, RankRow, SeedRank, TraitRow,
};
use super::traits::{DHA, TraitFit, normalised};
use super::write_rank::SEED_RANK_SCHEMA;
use crate::pipeline::Zoned;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::{DefaultTaken, IndexBy};
use sourcing::raise::Month;
use tally::normal_above;

/// All that goes into it.
pub(super) struct Parts<'a> {
    pub(super) zoned: &'a Zoned,
    pub(super) trees: &'a [SheetTree],
    pub(super) stand_ids: &'a [Option<&'a str>],
    pub(super) found: &'a Evaluated,
    pub(super) wanted: Option<u64>,
    /// What is to be careful of at each tree.
    pub(super) cautions_at: Vec<String>,
    pub(super) line: Option<String>,
    pub(super) inputs: Vec<InputRecord>,
    pub(super) defaults: Vec<DefaultTaken>,
    pub(super) cautions: Vec<SiteCaution>,
    pub(super) winters: Vec<WinterRow>,
    pub(super) warnings: Vec<Problem>,
}

pub(super) fn summary(parts: &Parts<'_>) -> SeedRank {
    let Parts { zoned, trees, found, .. } = *parts;
    let fits = std::iter::once(&found.dha).chain(&found.others);
    let samples = trees.iter().map(|tree| tree.samples.len()).sum();
    let below = trees.iter().flat_map(|tree| &tree.samples).filter(|one| one.below_limit).count();
    SeedRank {
        schema: SEED_RANK_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: zoned.site.name.clone(),
        crs: zoned.ready.crs.definition(),
        inputs: parts.inputs.clone(),
        defaults: parts.defaults.clone(),
        samples,
        below_limit: below,
        stands: found.stands,
        seasons: found.seasons.clone(),
        traits: fits.map(|fit| trait_row(fit, trees)).collect(),
        dha_sugar: found.dha_sugar.map(|one| CorrelationRow {
            trees: one.pairs,
            r: one.r,
            low: one.low,
            high: one.high,
        }),
        outstanding: outstanding(parts),
        index: index_row(parts),
        choice: choice_row(parts),
        trade_off: found.trade_off.clone(),
        raising: raising_row(parts),
        winters: parts.winters.clone(),
        honey: (!found.mothers.is_empty()).then(|| honey(found)),
        pilot: pilot(parts),
        trees: tree_rows(parts),
        cautions: parts.cautions.clone(),
        warnings: parts.warnings.clone(),
    }
}

fn trait_row(fit: &TraitFit, trees: &[SheetTree]) -> TraitRow {
    let of = &fit.fitted.components;
    let root = |variance: Option<f64>| variance.map(f64::sqrt);
    TraitRow {
        name: fit.name.clone(),
        unit: unit(&fit.name, trees),
        records: fit.records,
        trees: fit.values.trees.iter().flatten().count(),
        mean: fit.fitted.mean,
        mean_error: fit.fitted.mean_error,
        tree_sd: root(of.tree),
        tree_variance_error: fit.fitted.errors.tree,
        stand_sd: root(of.stand),
        year_sd: root(of.year),
        error_sd: of.error.sqrt(),
        repeatability: fit.parted.repeatability().unwrap_or(0.0),
        repeatability_from: if of.tree.is_some() { "sheet" } else { "site" },
    }
}

fn outstanding(parts: &Parts<'_>) -> OutstandingRow {
    let from = parts.zoned.site.seed.outstanding_mg_per_kg;
    let chances: Vec<f64> = (0..parts.trees.len()).map(|tree| chance(parts, tree)).collect();
    let by_samples = |tree: &&SheetTree| mean_dha(tree) >= from;
    let dha = &parts.found.dha;
    let spread = (dha.parted.tree.unwrap_or(0.0) + dha.parted.stand.unwrap_or(0.0)).sqrt();
    OutstandingRow {
        from_mg_per_kg: from,
        chance_of_none: parts.found.chance_of_none,
        expected: chances.iter().sum(),
        likely: chances.iter().filter(|chance| **chance >= 0.5).count(),
        by_samples: parts.trees.iter().filter(by_samples).count(),
        share_of_untested: above(from, dha.fitted.mean, spread),
    }
}

/// Chance that a tree's true value is above the mark.
fn chance(parts: &Parts<'_>, tree: usize) -> f64 {
    let from = parts.zoned.site.seed.outstanding_mg_per_kg;
    let value = parts.found.dha.values.trees[tree];
    value.map_or(0.0, |value| above(from, value.value, value.error))
}

fn above(from: f64, mean: f64, deviation: f64) -> f64 {
    if deviation > 0.0 {
        normal_above((from - mean) / deviation)
    } else {
        f64::from(u8::from(mean >= from))
    }
}

fn mean_dha(tree: &SheetTree) -> f64 {
    let count = tree.samples.len() as f64;
    tree.samples.iter().filter_map(|one| normalised(one.ratio)).map(|one| one / count).sum()
}

fn index_row(parts: &Parts<'_>) -> IndexRow {
    let found = parts.found;
    let by_weights = parts.zoned.site.seed.index_by == IndexBy::Weights;
    let of = |(at, rule): (usize, &crate::site::TraitRule)| {
        let fit =
            std::iter::once(&found.dha).chain(&found.others).find(|fit| fit.name == rule.name);
        let of = fit.map(|fit| fit.for_selection(rule));
        IndexTraitRow {
            name: rule.name.clone(),
            worth: rule.worth,
            heritability: of.map_or(rule.heritability, |of| of.genetic_share()),
            capped_at: of.filter(sourcing::select::Trait::is_capped).map(|of| of.repeatability()),
            weight: found
                .index
                .as_ref()
                .and_then(|index| index.weights.get(at))
                .copied()
                .unwrap_or(0.0),
        }
    };
    IndexRow {
        by: if by_weights { "weights" } else { "gains" },
        accuracy: found
            .index
            .as_ref()
            .filter(|_| by_weights)
            .map(sourcing::select::Index::accuracy),
        traits: found.index_traits.iter().enumerate().map(of).collect(),
    }
}

fn choice_row(parts: &Parts<'_>) -> ChoiceRow {
    let found = parts.found;
    let row = found.trade_off.iter().find(|row| row.chosen);
    let status = row.map_or(0.0, |row| row.status_number);
    ChoiceRow {
        eligible: found.eligible,
        mothers: found.mothers.len(),
        status_number: status,
        share_of_bound: found.share_of_bound,
        allele_chance: row.map_or(0.0, |row| row.allele_chance),
        gains: found
            .gains
            .iter()
            .map(|(name, gain)| GainRow {
                name: name.clone(),
                unit: unit(name, parts.trees),
                expected: gain.expected,
                low: gain.low,
                high: gain.high,
            })
            .collect(),
        seed_dha_mg_per_kg: found.seed_dha(),
    }
}

fn month(month: Month) -> String {
    format!("{}-{:02}", month.year, month.month)
}

fn raising_row(parts: &Parts<'_>) -> RaisingRow {
    let (found, rates) = (parts.found, rates(&parts.zoned.site.seed));
    let (given, calendar) = (&found.harvest, &found.calendar);
    RaisingRow {
        live_seeds_per_seedling: rates.live_seeds_per_seedling(),
        seeds_per_seedling: rates.live_seeds_per_seedling() / rates.viability,
        capsules: given.capsules.iter().sum(),
        uncounted: given.uncounted,
        seedlings: given.seedlings,
        wanted: parts.wanted,
        wanted_seeds: parts.wanted.map(|wanted| rates.seeds_for(wanted)),
        wanted_capsules: parts.wanted.map(|wanted| rates.capsules_for(wanted)),
        sampled: month(found.sampled),
        gather: calendar.gather.map(month),
        sow: calendar.sow.map(month),
        first_winter: calendar.first_winter,
        after_a_lost_year: calendar.after_a_lost_year,
        by_contract: calendar.by_contract,
        slack_months: i64::from(calendar.sow[1].since(calendar.sow[0])),
        line_id: parts.line.clone(),
    }
}

fn honey(found: &Evaluated) -> HoneyRow {
    let [low, _, high] = found.seed_dha();
    let nectar = |mg_per_kg: f64| NormalisedDha::new(mg_per_kg).unwrap_or(NormalisedDha::NONE);
    let outlook = HoneyOutlook::of(nectar(low), nectar(high));
    HoneyRow {
        fresh_dha_mg_per_kg: outlook.fresh_dha,
        settled_mgo_mg_per_kg: outlook.settled_mgo,
        ceiling_mgo_mg_per_kg: outlook.ceiling_mgo,
        reasons: vec![
            format!(
                "nectar of trees of this seed: {low:.0} to {high:.0} mg DHA/kg at 80 °Brix, by the samples and what may be handed down"
            ),
            "bees bring other nectar home: fresh honey had 0.05 to 0.5 of the DHA of such nectar (Millner et al. 2016 beside Atrott, Haberlau & Henle 2012)".to_owned(),
            "DHA and MGO settle near 2 to 1 (Atrott, Haberlau & Henle 2012); what becomes MGO is below the molar 0.800 in every system that was tried (Grainger et al. 2016, part II), from half of it here (a guess, no source)".to_owned(),
            "storage, heat and blending decide the rest: this is no promise, and no grade".to_owned(),
        ],
    }
}

/// Stands with two tested trees that differ, or more.
fn pilot(parts: &Parts<'_>) -> Vec<PilotRow> {
    let mut of_stand: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (tree, stand) in parts.trees.iter().zip(parts.stand_ids) {
        let ratios = tree.samples.iter().map(|one| one.ratio);
        let mean = ratios.sum::<f64>() / tree.samples.len() as f64;
        if let Some(stand) = stand {
            of_stand.entry(stand).or_default().push(mean);
        }
    }
    let row = |(stand, means): (&str, Vec<f64>)| {
        let count = means.len() as f64;
        let mean = means.iter().sum::<f64>() / count;
        let squares: f64 = means.iter().map(|one| (one - mean).powi(2)).sum();
        let sd_ratio = (squares / (count - 1.0)).sqrt();
        let differs = means.len() > 1 && sd_ratio > 0.0;
        differs.then(|| PilotRow { stand_id: stand.to_owned(), trees: means.len(), sd_ratio })
    };
    of_stand.into_iter().filter_map(row).collect()
}

fn tree_rows(parts: &Parts<'_>) -> Vec<RankRow> {
    let given: u64 = parts.found.harvest.capsules.iter().sum();
    let order = parts.found.order();
    order.iter().enumerate().map(|(at, tree)| tree_row(parts, at + 1, *tree, given)).collect()
}

fn tree_row(parts: &Parts<'_>, rank: usize, at: usize, given: u64) -> RankRow {
    let (of, found) = (&parts.trees[at], parts.found);
    let tree = &of.tree;
    let mut seasons: Vec<i32> = of.samples.iter().map(|one| one.season).collect();
    seasons.sort_unstable();
    seasons.dedup();
    let sugars: Vec<f64> = of.samples.iter().filter_map(|one| Some(one.sugar?.0)).collect();
    let value = found.dha.values.trees[at];
    let level = value.map_or(0.0, |value| value.value).max(0.0);
    let ratio = NormalisedDha::new(level).map_or(DhaRatio::NONE, NormalisedDha::ratio);
    let mother = found.mothers.iter().position(|mother| *mother == at);
    let capsules = mother.map_or(0, |place| found.harvest.capsules[place]);
    let share = |place: usize| match given {
        0 => 1.0 / found.mothers.len() as f64,
        _ => found.harvest.capsules[place] as f64 / given as f64,
    };
    let score = |score: Option<u8>| score.map(u64::from);
    RankRow {
        rank,
        tree_id: tree.tree_id.clone(),
        stand_id: parts.stand_ids[at].map(str::to_owned),
        easting_m: tree.at[0],
        northing_m: tree.at[1],
        samples: of.samples.len(),
        seasons: seasons.len(),
        dha_mean: mean_dha(of),
        dha_value: value.map_or(0.0, |value| value.value),
        dha_error: value.map_or(0.0, |value| value.error),
        dha_beside_stand: value.map_or(0.0, |value| value.deviation),
        class: NectarClass::of(ratio).label(),
        band: NectarBand::of(ratio.normalised()).label(),
        outstanding_chance: chance(parts, at),
        sugar_mean: (!sugars.is_empty()).then(|| sugars.iter().sum::<f64>() / sugars.len() as f64),
        worth: found.inherits[at].worth,
        worth_error: found.inherits[at].worth_variance.sqrt(),
        vigour: score(tree.vigour),
        form: score(tree.form),
        flower_number: score(tree.flower_number),
        flower_quality: score(tree.flower_quality),
        seed_capsules: tree.seed_capsules.map(u64::from),
        disease: score(tree.disease),
        permission: tree.permission.map(|given| if given { "yes" } else { "no" }),
        mother: if mother.is_some() { "yes" } else { "no" },
        barred: barred(of, &parts.zoned.site.seed),
        caution: parts.cautions_at[at].clone(),
        take_capsules: capsules,
        seed_share: mother.map_or(0.0, share),
    }
}

/// A chance in words, never none and never sure.
#[must_use]
pub fn chance_words(share: f64) -> String {
    match share * 100.0 {
        small if small < 1.0 => "under 1 %".to_owned(),
        large if large > 99.0 => "over 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

/// What a trait is called.
pub(super) fn label(name: &str) -> String {
    if name == DHA { "nectar DHA".to_owned() } else { name.replace('_', " ") }
}
