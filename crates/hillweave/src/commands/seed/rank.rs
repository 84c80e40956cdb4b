//! `hillweave seed rank`: what came back of the trees, which become mothers, and what their seed gives.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use spatial::pipeline::{self, Stage};
use spatial::problem::Problem;
use spatial::seed::FIELD_SHEET_CSV;
use spatial::seed::rank::{RankAsked, RankRow, SeedRank, TraitRow, chance_words, rank, write_rank};
use spatial::stock_file;
use spatial::units::thousands;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Trees that are told on the screen.
const TOLD_TREES: usize = 8;

/// Reads both sheets, ranks the trees, writes what comes of it and tells it.
pub(crate) fn run(options: &arguments::SeedRank, screen: &Screen) -> Result<Outcome, Stop> {
    begin(None, &options.output, options.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let zoned = pipeline::zoned(&options.site, &mut enter)?;
    refuse_in_use(&zoned.site.stock, &options.output)?;
    let library = stock_file::read(&zoned.site.stock)?;
    let field = options.field.clone().unwrap_or_else(|| beside(&options.lab));
    let asked = RankAsked {
        lab: &options.lab,
        field: &field,
        plan: options.plan.as_deref(),
        seedlings: options.seedlings,
        line_id: options.line.as_deref(),
        line_name: options.line_name.as_deref(),
    };
    let ranked = rank(&zoned, &library, &asked)?;
    progress.enter(Stage::Write.name());
    let written = write_rank(&ranked, &zoned.ready.crs, &options.output, options.overwrite)?;
    progress.finish();
    let target = ("ranking", options.output.as_path());
    tell(screen, &ranked.rank, &words(&ranked.rank, screen), target, &written)?;
    Ok(if ranked.rank.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The field sheet, where `seed sites` wrote it, in the folder of the lab sheet.
fn beside(lab: &Path) -> PathBuf {
    lab.with_file_name(FIELD_SHEET_CSV)
}

/// A site that takes its stock from the folder would lose what was written into it by hand.
fn refuse_in_use(stock: &Path, folder: &Path) -> Result<(), Problem> {
    match (stock.canonicalize(), folder.canonicalize()) {
        (Ok(stock), Ok(folder)) if stock.starts_with(&folder) => {}
        _ => return Ok(()),
    }
    let problem =
        Problem::error("--output").file(folder).found("the folder of the site's own stock file");
    let problem = problem.expected("another folder: the stock file would be replaced");
    Err(problem.remedy("name another folder, or move the stock file beside site.toml"))
}

/// The ranking in words.
fn words(rank: &SeedRank, screen: &Screen) -> String {
    let seasons: Vec<String> = rank.seasons.iter().map(i32::to_string).collect();
    let mut text = format!(
        "{}: {} of {}, {} in {} ({})\n",
        screen.ink(Ink::Strong, &rank.site),
        counted(rank.trees.len(), "tree"),
        counted(rank.stands, "stand"),
        counted(rank.samples, "sample"),
        counted(rank.seasons.len(), "flowering season"),
        seasons.join(", "),
    );
    let mut put = |label: &str, words: &str| put_line(&mut text, label, words);
    for row in &rank.traits {
        put(&row.name.replace('_', " "), &trait_words(row));
    }
    if let Some(one) = &rank.dha_sugar {
        let words = format!(
            "r {:.2}, 95 %: {:.2} to {:.2}, {}",
            one.r,
            one.low,
            one.high,
            counted(one.trees, "tree")
        );
        put("DHA × sugar", &words);
    }
    put("outstanding", &outstanding_words(rank));
    put("index", &index_words(rank));
    put("mothers", &mothers_words(rank));
    for gain in &rank.choice.gains {
        let places = if gain.high.abs() < 100.0 { 2 } else { 0 };
        let words = format!(
            "{} {:.places$} {} to expect, {:.places$} to {:.places$}; half of the mothers' own, for seed is open-pollinated",
            gain.name.replace('_', " "),
            gain.expected,
            gain.unit,
            gain.low,
            gain.high
        );
        put("gain", &words);
    }
    trade_off(&mut put, rank);
    put("seed", &seed_words(rank));
    put("winter", &winter_words(rank));
    for row in &rank.winters {
        let winter =
            row.winter.map_or_else(|| "any winter".to_owned(), |winter| winter.to_string());
        let words = format!(
            "{winter}: {} of {} local plants ({:.0} %); {} if a year is lost",
            thousands(row.supplied),
            thousands(row.wanted),
            row.supplied_share * 100.0,
            thousands(row.supplied_after_a_lost_year)
        );
        put("plan", &words);
    }
    if let Some(honey) = &rank.honey {
        let words = format!(
            "fresh DHA {:.0} to {:.0}, settled MGO {:.0} to {:.0} mg/kg: a range, no promise; other nectar, storage and heat decide",
            honey.fresh_dha_mg_per_kg[0],
            honey.fresh_dha_mg_per_kg[1],
            honey.settled_mgo_mg_per_kg[0],
            honey.settled_mgo_mg_per_kg[1]
        );
        put("honey", &words);
    }
    for caution in &rank.cautions {
        put("caution", &caution.to_string());
    }
    text.push_str(&table(&rank.trees));
    text + &screen.to_look_at(&rank.warnings)
}

fn trait_words(row: &TraitRow) -> String {
    let places = if row.mean.abs() < 100.0 { 2 } else { 0 };
    let parts = [("trees", row.tree_sd), ("stands", row.stand_sd), ("years", row.year_sd)];
    let parts = parts.into_iter().filter_map(|(what, sd)| Some((what, sd?)));
    let mut spread: Vec<String> = parts.map(|(what, sd)| format!("{what} {sd:.places$}")).collect();
    spread.push(format!("rest {:.places$}", row.error_sd));
    let from = if row.repeatability_from == "sheet" { "" } else { " (seed.repeatability)" };
    format!(
        "mean {:.places$} ± {:.places$} {}; deviations: {}; repeatability {:.2}{from}",
        row.mean,
        row.mean_error,
        row.unit,
        spread.join(", "),
        row.repeatability
    )
}

fn outstanding_words(rank: &SeedRank) -> String {
    let out = &rank.outstanding;
    format!(
        "above {} mg/kg: {:.1} to expect among those tested, none at all with a chance of {}; samples alone would name {}",
        thousands(out.from_mg_per_kg.round() as u64),
        out.expected,
        chance_words(out.chance_of_none),
        out.by_samples
    )
}

fn index_words(rank: &SeedRank) -> String {
    let one = |of: &spatial::seed::rank::IndexTraitRow| {
        let capped = if of.capped_at.is_some() { ", capped by repeatability" } else { "" };
        format!(
            "{} × {} (heritability {:.2}{capped})",
            of.worth,
            of.name.replace('_', " "),
            of.heritability
        )
    };
    let traits: Vec<String> = rank.index.traits.iter().map(one).collect();
    let accuracy = rank
        .index
        .accuracy
        .map_or_else(String::new, |accuracy| format!("; accuracy {accuracy:.2}"));
    if traits.is_empty() {
        "none: trees do not differ, so all count alike".to_owned()
    } else {
        format!("by {}: {}{accuracy}", rank.index.by, traits.join(", "))
    }
}

fn mothers_words(rank: &SeedRank) -> String {
    let choice = &rank.choice;
    let bound =
        choice.share_of_bound.filter(|share| *share < 0.9995).map_or_else(String::new, |share| {
            format!("; {:.1} % of the best without distances", share * 100.0)
        });
    format!(
        "{} of {} that may be; status number {:.1}; an allele of 1 in 20 is held with a chance of {}{bound}",
        choice.mothers,
        choice.eligible,
        choice.status_number,
        chance_words(choice.allele_chance)
    )
}

/// Gain against diversity, a row each.
fn trade_off(put: &mut dyn FnMut(&str, &str), rank: &SeedRank) {
    for (at, row) in rank.trade_off.iter().enumerate() {
        let seedlings =
            row.seedlings.map_or_else(String::new, |one| format!(", {} seedlings", thousands(one)));
        let chosen = if row.chosen { "  <- chosen" } else { "" };
        let words = format!(
            "{:>3} mothers: {:+.0} mg DHA/kg, status number {:.1}{seedlings}{chosen}",
            row.mothers, row.gain_dha_mg_per_kg, row.status_number
        );
        put(if at == 0 { "trade-off" } else { "" }, &words);
    }
}

fn seed_words(rank: &SeedRank) -> String {
    let raising = &rank.raising;
    let mut words = format!(
        "{} capsules give about {} seedlings, {:.1} seeds each",
        thousands(raising.capsules),
        thousands(raising.seedlings),
        raising.seeds_per_seedling
    );
    if let Some((wanted, capsules)) = raising.wanted.zip(raising.wanted_capsules) {
        let _ =
            write!(words, "; {} wanted take {} capsules", thousands(wanted), thousands(capsules));
    }
    words
}

fn winter_words(rank: &SeedRank) -> String {
    let raising = &rank.raising;
    format!(
        "gathered {} to {}, sown {} to {}: planted {}; sowing may slip {}; {} if a year is lost, {} by contract lead times",
        raising.gather[0],
        raising.gather[1],
        raising.sow[0],
        raising.sow[1],
        raising.first_winter,
        counted(raising.slack_months.unsigned_abs() as usize, "month"),
        raising.after_a_lost_year,
        raising.by_contract
    )
}

/// The best trees in columns.
fn table(trees: &[RankRow]) -> String {
    let heading = [
        "tree",
        "stand",
        "samples",
        "mean",
        "value",
        "±",
        "beside stand",
        "band",
        "worth",
        "mother",
    ];
    let mut rows = vec![heading.map(str::to_owned)];
    rows.extend(trees.iter().take(TOLD_TREES).map(|tree| {
        [
            tree.tree_id.clone(),
            tree.stand_id.clone().unwrap_or_else(|| "-".to_owned()),
            tree.samples.to_string(),
            format!("{:.0}", tree.dha_mean),
            format!("{:.0}", tree.dha_value),
            format!("{:.0}", tree.dha_error),
            format!("{:+.0}", tree.dha_beside_stand.round() + 0.0), // no minus zero
            tree.band.to_owned(),
            format!("{:.2}", tree.worth),
            tree.barred.clone().unwrap_or_else(|| tree.mother.to_owned()),
        ]
    }));
    let mut text = columns(&rows, |at| at < 2 || at == 7 || at == 9);
    if trees.len() > TOLD_TREES {
        let _ = writeln!(text, "  and {} more in trees.csv", trees.len() - TOLD_TREES);
    }
    text
}
