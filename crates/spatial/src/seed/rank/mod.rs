//! Trees ranked by what came back, mothers chosen, their seed raised on paper.
//!
//! ```text
//! joined sheets ─► traits ─► inherit ─► mothers ─► raising ─► seed line
//!                 (where     (index)    (rules)    (seed,     (stock.toml)
//!                  spread                           winters)
//!                  lies)                    └─► trade-off, honey
//! ```

mod columns;
mod curve;
mod demand;
mod evaluate;
mod inherit;
mod line;
mod mothers;
mod page;
mod raising;
mod rows;
mod summary;
mod traits;
mod write_rank;

#[cfg(test)]
mod tests;

use std::path::Path;

use geo::Point;
use stock::Library;

use super::cautions::{STEEP_DEG, at_place, of_places};
use super::cover::sampled_cover;
use super::places::value_at;
use super::sites::inputs_of;
use super::{SheetTree, join, on_property, read_field, read_lab};
use crate::pipeline::Zoned;
use crate::plan::plan_file;
use crate::problem::Problem;
use crate::zones::Stand;
pub(crate) use columns::{MOTHERS, PILOT, TRADE_OFF, TREES};
pub use evaluate::{Evaluated, evaluate};
use line::Line;
pub use mothers::TradeOffRow;
pub use raising::WinterRow;
pub use rows::{
    ChoiceRow, CorrelationRow, GainRow, HoneyRow, IndexRow, IndexTraitRow, OutstandingRow,
    PilotRow, RaisingRow, RankRow, SeedRank, TraitRow,
};
pub use summary::chance_words;
pub use write_rank::{
    MOTHERS_CSV, MOTHERS_GPX, PILOT_CSV, SEED_LINE_TOML, SEED_RANK_GPKG, SEED_RANK_HTML,
    SEED_RANK_JSON, SEED_RANK_SCHEMA, STOCK_TOML, TRADE_OFF_CSV, TREES_CSV, write_rank,
};

/// What a ranking is asked for beside the site.
#[derive(Debug, Clone, Copy)]
pub struct RankAsked<'a> {
    /// The lab sheet.
    pub lab: &'a Path,
    /// The field sheet.
    pub field: &'a Path,
    /// Folder of a plan whose seed lines are to be supplied.
    pub plan: Option<&'a Path>,
    /// Seedlings wanted; `None`: what the plan orders, or as many as there are.
    pub seedlings: Option<u64>,
    /// Id of the seed line; `None`: `local_` and the winter.
    pub line_id: Option<&'a str>,
    /// Name of the seed line; `None`: by property and winter.
    pub line_name: Option<&'a str>,
}

/// A ranking and the stock that comes of it.
#[derive(Debug, Clone)]
pub struct Ranked {
    /// What it says.
    pub rank: SeedRank,
    /// The seed line alone as TOML, and the site's stock with it; `None` without seed to raise.
    pub stock: Option<[String; 2]>,
}

/// The keys of the site that a ranking hears.
const HEARD_NOT: [&str; 5] = [
    "seed.trees",
    "seed.standard_error",
    "seed.spread",
    "seed.altitude_band_m",
    "seed.steepest_deg",
];

/// Ranks the trees of a lab sheet and a field sheet.
///
/// # Errors
/// Every fault of the two sheets, each with its row; a plan that cannot be read; nectar that does not differ.
pub fn rank(
    zoned: &Zoned,
    library: &Library,
    asked: &RankAsked<'_>,
) -> Result<Ranked, Vec<Problem>> {
    let (lab, field) = both(read_lab(asked.lab), read_field(asked.field))?;
    let joined = join(&lab, &field)?;
    let cover = sampled_cover(&zoned.site)?;
    let stands: Vec<Stand> =
        zoned.zones.stands.iter().filter(|stand| cover.contains(&stand.cover)).cloned().collect();
    let placed = on_property(&joined, &zoned.ready.boundary, &stands)?;
    let plan = asked.plan.map(plan_file);
    let demand = asked.plan.map(|plan| demand::read_demand(plan, library)).transpose()?;
    let wanted = asked.seedlings.or_else(|| {
        demand.as_ref().map(|all| all.iter().fold(0_u64, |sum, one| sum.saturating_add(one.1)))
    });
    // A plan without seed lines asks for nothing: then what there is counts.
    let wanted = wanted.filter(|wanted| *wanted > 0);
    let rules = &zoned.site.seed;
    let mut found = evaluate(&joined.trees, &placed.stands, rules, wanted)
        .map_err(|error| no_ranking(asked.lab, &error))?;
    let calendar = found.calendar;
    let winters =
        raising::winters(demand.as_deref().unwrap_or_default(), found.harvest.seedlings, &calendar);
    let line = seed_line(zoned, asked, &joined.trees, &found);
    let stock = line.as_ref().and_then(|line| Some((line, line.stock()?)));
    let stock = stock
        .map(|(line, stock)| {
            let own = line.toml(&stock)?;
            let text = written_stock(zoned)?;
            let all = line::with_line(text.as_deref(), library, &stock, &own)?;
            Ok::<_, Problem>([own, all])
        })
        .transpose()?;
    let folder = zoned.site.folder();
    let mut warnings = lab.warnings;
    warnings.extend(joined.warnings.iter().chain(&placed.warnings).cloned());
    warnings.append(&mut found.warnings);
    let warnings = warnings.into_iter().map(|one| one.named_from(folder)).collect();
    let files = [
        ("lab sheet", Some(asked.lab)),
        ("field sheet", Some(asked.field)),
        ("plan", plan.as_deref()),
    ];
    let names: Vec<&str> = stands.iter().map(|stand| stand.id.as_str()).collect();
    let rank = summary::summary(&summary::Parts {
        zoned,
        trees: &joined.trees,
        stand_ids: &placed.stands.iter().map(|at| at.map(|at| names[at])).collect::<Vec<_>>(),
        found: &found,
        wanted,
        cautions_at: joined.trees.iter().map(|of| caution_at(zoned, of.tree.at)).collect(),
        line: line.filter(|_| stock.is_some()).map(|line| line.id),
        inputs: inputs_of(zoned, &files, folder)?,
        defaults: rules
            .defaults
            .iter()
            .filter(|one| !HEARD_NOT.contains(&one.key.as_str()))
            .cloned()
            .collect(),
        cautions: cautions(zoned, &joined.trees, &found.mothers),
        winters,
        warnings,
    });
    Ok(Ranked { rank, stock })
}

/// Both, or every problem of both.
fn both<A, B>(
    one: Result<A, Vec<Problem>>,
    other: Result<B, Vec<Problem>>,
) -> Result<(A, B), Vec<Problem>> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (one, other) => Err(one.err().into_iter().chain(other.err()).flatten().collect()),
    }
}

fn no_ranking(lab: &Path, error: &sourcing::variance::RecordsError) -> Problem {
    Problem::error("lab sheet")
        .file(lab)
        .found(error.to_string())
        .expected("three samples or more, of trees that differ")
        .remedy("sample more trees")
}

/// The text of the site's stock file, where it is TOML.
fn written_stock(zoned: &Zoned) -> Result<Option<String>, Problem> {
    let file = &zoned.site.stock;
    if stock::StockForm::of(file) == Some(stock::StockForm::Csv) {
        return Ok(None);
    }
    std::fs::read_to_string(file).map(Some).map_err(|error| {
        let problem = Problem::error("stock file").file(file).found(error.to_string());
        problem.expected("the stock that the site names").remedy("check `stock.file`")
    })
}

/// The mothers as a line; `None` when they give no seedling.
fn seed_line(
    zoned: &Zoned,
    asked: &RankAsked<'_>,
    trees: &[SheetTree],
    found: &Evaluated,
) -> Option<Line> {
    if found.mothers.is_empty() || found.harvest.seedlings == 0 {
        return None;
    }
    let places: Vec<[f64; 2]> = found.mothers.iter().map(|at| trees[*at].tree.at).collect();
    let count = places.len() as f64;
    let mean = |axis: usize| places.iter().map(|place| place[axis] / count).sum::<f64>();
    let middle = [mean(0), mean(1)];
    // A place of a mother: the mean of all may lie outside every stand, or beyond the property.
    let apart = |place: &[f64; 2]| (place[0] - middle[0]).hypot(place[1] - middle[1]);
    let place = places.iter().copied().min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    let heights: Vec<f64> =
        places.iter().filter_map(|at| value_at(&zoned.ground.elevation_m, *at)).collect();
    let heights_m = (!heights.is_empty()).then(|| {
        let least = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let most = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        [least, heights.iter().sum::<f64>() / heights.len() as f64, most]
    });
    let winter = found.calendar.first_winter;
    let zone = zoned.ready.seed_zones.at(Point::from(place)).map(str::to_owned);
    let nectar = &found.dha;
    Some(Line {
        id: asked.line_id.map_or_else(|| format!("local_{winter}"), str::to_owned),
        name: asked
            .line_name
            .map_or_else(|| format!("{} mothers, {winter}", zoned.site.name), str::to_owned),
        first_winter: winter,
        seedlings: found.harvest.seedlings,
        lead_months: found.lead_months(),
        dha_mg_per_kg: found.seed_dha()[1],
        tree_sd_mg_per_kg: nectar.parted.tree.unwrap_or(0.0).sqrt(),
        trees: trees.len(),
        mothers: found.mothers.len(),
        place,
        crs: zoned.ready.crs.definition(),
        heights_m,
        seed_zone: zone.or_else(|| zoned.site.eco_sourcing.seed_zone.clone()),
    })
}

/// Slope of the ground, degrees; where it is not known it counts as steep.
fn slope_at(zoned: &Zoned, at: [f64; 2]) -> f64 {
    value_at(&zoned.ground.slope_deg, at).unwrap_or(STEEP_DEG[0])
}

/// What is to be careful of at a tree.
fn caution_at(zoned: &Zoned, at: [f64; 2]) -> String {
    at_place(zoned, at, slope_at(zoned, at))
}

/// Cautions of those who go back to the mothers.
fn cautions(zoned: &Zoned, trees: &[SheetTree], mothers: &[usize]) -> Vec<super::SiteCaution> {
    let place = |at: &usize| {
        let tree = &trees[*at].tree;
        (tree.tree_id.clone(), tree.at, slope_at(zoned, tree.at))
    };
    of_places(zoned, &mothers.iter().map(place).collect::<Vec<_>>())
}
