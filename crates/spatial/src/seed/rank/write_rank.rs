//! A ranking as files.

use std::path::Path;

use super::Ranked;
use super::columns::{MOTHERS, PILOT, TRADE_OFF, TREES};
use super::page::page;
use super::rows::{RankRow, SeedRank};
use crate::pipeline::on_globe;
use crate::problem::Problem;
use crate::read::Crs;
use crate::write::{About, Points, StagedFolder, WayPoint, Written, write_tables};

/// Every tree, the best first.
pub const TREES_CSV: &str = "trees.csv";
/// The mothers, the best first.
pub const MOTHERS_CSV: &str = "mothers.csv";
/// How much trees of each stand differ: for the next round of `seed sites`.
pub const PILOT_CSV: &str = "pilot.csv";
/// The mothers as way points.
pub const MOTHERS_GPX: &str = "mothers.gpx";
/// Fewer and more mothers.
pub const TRADE_OFF_CSV: &str = "trade_off.csv";
/// Every tree as a layer.
pub const SEED_RANK_GPKG: &str = "seed_rank.gpkg";
/// The page to read and print.
pub const SEED_RANK_HTML: &str = "seed_rank.html";
/// The record.
pub const SEED_RANK_JSON: &str = "seed_rank.json";
/// The mothers as a line of stock.
pub const SEED_LINE_TOML: &str = "seed_line.toml";
/// The site's stock with that line.
pub const STOCK_TOML: &str = "stock.toml";
/// Schema of the record, its first member.
pub const SEED_RANK_SCHEMA: &str = "hillweave.seed_rank/1";

/// Writes every file of a ranking into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk or a file format refuses. Nothing new is left
/// then, and what was there stays.
pub fn write_rank(
    ranked: &Ranked,
    crs: &Crs,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    let rank = &ranked.rank;
    folder.record(SEED_RANK_JSON, rank)?;
    folder.table(TREES_CSV, &TREES, &rank.trees, rank)?;
    let mothers: Vec<RankRow> =
        rank.trees.iter().filter(|tree| tree.mother == "yes").cloned().collect();
    folder.table(MOTHERS_CSV, &MOTHERS, &mothers, rank)?;
    folder.table(TRADE_OFF_CSV, &TRADE_OFF, &rank.trade_off, rank)?;
    folder.table(PILOT_CSV, &PILOT, &rank.pilot, rank)?;
    let to_lon_lat = |places: &mut [(f64, f64)]| on_globe(crs, places, MOTHERS_GPX);
    let way_point = |tree: &RankRow| WayPoint {
        name: tree.tree_id.clone(),
        height_m: None,
        about: about(tree),
    };
    let chosen = points(&mothers, rank, "mothers", &MOTHERS);
    folder.write(MOTHERS_GPX, &chosen.gpx(&to_lon_lat, way_point)?)?;
    let all = points(&rank.trees, rank, "trees", &TREES);
    folder.make(SEED_RANK_GPKG, |path| {
        write_tables(path, &[&all], &crs.definition(), &about_file(rank))
    })?;
    folder.write(SEED_RANK_HTML, page(rank).as_bytes())?;
    if let Some([line, stock]) = &ranked.stock {
        folder.write(SEED_LINE_TOML, line.as_bytes())?;
        folder.write(STOCK_TOML, stock.as_bytes())?;
    }
    folder.commit()
}

fn about_file(rank: &SeedRank) -> About<'_> {
    About {
        title: format!("Trees that were tested: {}", rank.site),
        summary: "Trees whose nectar was tested, valued by their nectar and scores, the best first.",
        inputs: &rank.inputs,
        steps: &[
            "Field and laboratory sheets read and joined by tree.",
            "Trees valued by a mixed model of each trait and an index over traits; mothers chosen within limits of kinship.",
        ],
        looks: Vec::new(),
    }
}

/// What a receiver shows of a mother.
fn about(tree: &RankRow) -> String {
    let ask = if tree.permission.is_none() { "ask first; " } else { "" };
    let caution = if tree.caution.is_empty() { "" } else { "; " };
    format!("{ask}take {} capsules{caution}{}", tree.take_capsules, tree.caution)
}

fn points<'a>(
    rows: &'a [RankRow],
    whole: &'a SeedRank,
    name: &'static str,
    columns: &'static [crate::write::columns::Column<RankRow, SeedRank>],
) -> Points<'a, RankRow, SeedRank> {
    Points {
        name,
        description: "Trees that were tested, valued by their nectar and scores",
        columns,
        rows,
        whole,
        at: |tree| [tree.easting_m, tree.northing_m],
    }
}
