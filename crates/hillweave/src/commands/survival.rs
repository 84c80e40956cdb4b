//! `hillweave survival`: counts of survivors held against a plan, and what to plant again.

use std::fmt::Write;
use std::path::Path;

use serde::Serialize;
use spatial::problem::Problem;
use spatial::survival::{
    BlankingRow, Planted, SurveyReport, SurveyRow, SurveyRules, SurveyTotal, blanking_csv, survey,
};
use spatial::units::thousands;
use spatial::write::write_text;

use crate::arguments::{self, PlantedFigure};
use crate::outcome::{Outcome, Stop};
use crate::screen::{Ink, Screen, columns, counted};

/// Reads plan and counts, tells what they say, and writes the blanking order.
pub(crate) fn run(options: &arguments::Survival, screen: &Screen) -> Result<Outcome, Stop> {
    if let Some(target) = &options.output {
        refuse_same(&options.counts, target)?;
    }
    let report = survey(&options.site, &options.plan, &options.counts, &rules(options))?;
    if let Some(target) = &options.output {
        write_text(target, &blanking_csv(&report.orders)?, options.overwrite)?;
    }
    screen.json(&Told { report: &report, written: options.output.as_deref() })?;
    screen.words(&words(&report, screen))?;
    if let Some(target) = &options.output {
        let place = screen.ink(Ink::Hint, &target.display().to_string());
        let rows = counted(report.orders.len(), "row");
        screen.words(&format!("blanking order written to {place}: {rows}\n"))?;
    }
    Ok(if report.has_findings() { Outcome::Findings } else { Outcome::Done })
}

fn rules(options: &arguments::Survival) -> SurveyRules {
    SurveyRules {
        confidence: options.confidence,
        threshold: options.threshold,
        order_confidence: options.order_confidence,
        least_counted: options.least_counted,
        planted: match options.planted {
            PlantedFigure::Seedlings => Planted::Seedlings,
            PlantedFigure::OrderQty => Planted::OrderQty,
        },
        season: options.season,
        tray: options.tray,
        spare: options.spare,
    }
}

/// Counts that are written over are lost.
fn refuse_same(counts: &Path, target: &Path) -> Result<(), Problem> {
    match (counts.canonicalize(), target.canonicalize()) {
        (Ok(counts), Ok(target)) if counts == target => {}
        _ => return Ok(()),
    }
    let problem = Problem::error("--output").file(target).found("the file of the counts");
    Err(problem.expected("another file: the counts would be lost").remedy("name another file"))
}

/// What a script is told.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    report: &'a SurveyReport,
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<&'a Path>,
}

/// The survey in words.
fn words(report: &SurveyReport, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {} of {}\n",
        screen.ink(Ink::Strong, &report.site),
        counted(report.total.plots, "plot"),
        counted(report.total.zones, "zone"),
    );
    let put = |text: &mut String, label: &str, words: &str| {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {label:<10} {words}");
    };
    text.push_str(&table(report));
    let planted = match report.planted {
        Planted::Seedlings => "the plan's plants in the ground (`--planted`)",
        Planted::OrderQty => "the whole order of the plan",
    };
    put(&mut text, "planted", planted);
    let rule = format!(
        "{} of the target, held against the whole interval (`--threshold`; 80 to 85 % is common practice)",
        percent(report.threshold)
    );
    put(&mut text, "threshold", &rule);
    for order in &report.orders {
        put(&mut text, "to order", &order_words(order, report.order_confidence));
    }
    if report.orders.is_empty() {
        put(&mut text, "to order", "nothing by these counts");
    }
    let note = "results from few plots mislead: trees of one plot are alike, so what is true lies wider than the intervals";
    put(&mut text, "note", note);
    for caution in &report.cautions {
        let zones = caution.zones.join(", ");
        put(&mut text, "caution", &format!("{} ({zones}): {}", caution.about, caution.text));
    }
    text + &screen.to_look_at(&report.warnings)
}

fn order_words(order: &BlankingRow, confidence: f64) -> String {
    let mut words = format!(
        "{} {}: {}, for {} missing at {} alive, enough {} times in 100",
        order.zone_id,
        order.stock_name,
        thousands(order.order_qty),
        thousands(order.missing),
        percent(order.alive_share),
        (confidence * 100.0).round(),
    );
    let added = [
        (order.spare, "as spares"),
        (order.lot, "to the smallest lot"),
        (order.tray, "to whole trays"),
    ];
    for (plants, why) in added.into_iter().filter(|(plants, _)| *plants > 0) {
        let _ = write!(words, "; {} added {why}", thousands(plants));
    }
    words
}

/// Rows, lines and all, under one heading, in columns.
fn table(report: &SurveyReport) -> String {
    let interval = format!("{} interval", percent(report.confidence));
    let heading = [
        "zone",
        "line",
        "plots",
        "counted",
        "alive",
        "share",
        &interval,
        "planted",
        "living",
        "of target",
        "alive/map ha",
        "decision",
    ];
    let mut cells = vec![heading.map(str::to_owned)];
    cells.extend(report.rows.iter().map(row_cells));
    if report.lines.len() > 1 {
        cells.extend(report.lines.iter().map(total_cells));
    }
    cells.push(total_cells(&report.total));
    columns(&cells, |at| at < 2 || at + 1 == heading.len())
}

/// What is not known, in a cell.
const NOT_KNOWN: &str = "-";

fn row_cells(row: &SurveyRow) -> [String; 12] {
    let known = row.alive_share.is_some();
    let interval =
        format!("{:.0} to {:.0} %", row.alive_share_low * 100.0, row.alive_share_high * 100.0);
    [
        row.zone_id.clone(),
        row.stock_name.clone(),
        row.plots.to_string(),
        thousands(row.counted),
        thousands(row.alive),
        row.alive_share.map_or_else(|| NOT_KNOWN.to_owned(), percent),
        if known { interval } else { NOT_KNOWN.to_owned() },
        thousands(row.planted),
        row.alive_estimate.map_or_else(|| NOT_KNOWN.to_owned(), thousands),
        row.target_share.map_or_else(|| NOT_KNOWN.to_owned(), percent),
        row.alive_sph.map_or_else(|| NOT_KNOWN.to_owned(), |sph| thousands(sph.round() as u64)),
        row.decision.label().to_owned(),
    ]
}

/// A total: by what was planted, so without a share of the counts, an interval or a decision.
fn total_cells(total: &SurveyTotal) -> [String; 12] {
    [
        "all".to_owned(),
        total.stock_name.clone().unwrap_or_else(|| "all".to_owned()),
        total.plots.to_string(),
        thousands(total.counted),
        thousands(total.alive),
        String::new(),
        String::new(),
        thousands(total.planted),
        thousands(total.alive_estimate),
        total.target_share.map_or_else(|| NOT_KNOWN.to_owned(), percent),
        String::new(),
        String::new(),
    ]
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}
