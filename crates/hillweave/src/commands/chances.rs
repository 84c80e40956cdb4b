//! `hillweave chances`: how far a plan may be off.

use spatial::chances::{Chances, ChancesAsked, FigureRow, chances, write_chances};
use spatial::pipeline::Stage;
use spatial::units::thousands;

use super::check::defaults_list;
use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Draws a plan, writes what comes of it and tells it.
pub(crate) fn run(options: &arguments::Chances, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.of.plan.as_deref(), &options.of.output, options.of.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len() + 1, screen);
    let asked = ChancesAsked {
        site: &options.of.site,
        plan: options.of.plan.as_deref(),
        draws: options.draws.map(|draws| draws as usize),
        seed: options.seed,
    };
    let found = chances(&asked, &mut |stage| progress.enter(stage))?;
    progress.enter(Stage::Write.name());
    let written = write_chances(&found, &options.of.output, options.of.overwrite)?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    let target = ("chances", options.of.output.as_path());
    tell(screen, &found, &words(&found, screen), target, &written)?;
    Ok(if found.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The draws in words.
fn words(found: &Chances, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {} draws, seed {}; nine in ten lie between low and high\n",
        screen.ink(Ink::Strong, &found.site),
        thousands(found.draws as u64),
        found.seed
    );
    let head = ["", "plan", "low", "middle", "high", ""].map(str::to_owned);
    let rows = found.figures.iter().map(figure_cells);
    let rows: Vec<[String; 6]> = std::iter::once(head).chain(rows).collect();
    text.push_str(&columns(&rows, |at| at == 0 || at == 5));
    text.push('\n');
    let head = ["line", "ordered", "needed: low", "middle", "high", "enough in"].map(str::to_owned);
    let lines = found.lines.iter().map(|line| {
        [
            line.stock_name.clone(),
            thousands(line.order_qty),
            thousands(line.needed_low),
            thousands(line.needed_middle),
            thousands(line.needed_high),
            format!("{:.0} %", line.enough_chance * 100.0),
        ]
    });
    let rows: Vec<[String; 6]> = std::iter::once(head).chain(lines).collect();
    text.push_str(&columns(&rows, |at| at == 0));
    text.push('\n');
    put_line(&mut text, "zones", &zones_words(found));
    for limit in &found.limits {
        put_line(&mut text, "limit", limit);
    }
    if !found.defaults.is_empty() {
        text.push_str(&defaults_list(&found.defaults));
    }
    text + &screen.to_look_at(&found.warnings)
}

fn figure_cells(row: &FigureRow) -> [String; 6] {
    let figure = |number: f64| match row.unit {
        "years" if number > 60.0 => "never".to_owned(),
        "0 to 1" => format!("{:.0} %", number * 100.0),
        "weeks" => format!("{number:.1}"),
        _ => thousands(number.round() as u64),
    };
    let unit = match row.unit {
        "0 to 1" => "",
        unit => unit,
    };
    [
        row.figure.to_owned(),
        figure(row.plan),
        figure(row.low),
        figure(row.middle),
        figure(row.high),
        unit.to_owned(),
    ]
}

fn zones_words(found: &Chances) -> String {
    let told: Vec<f64> = found.zones.iter().filter_map(|zone| zone.keeps).collect();
    let at_least = |share: f64| told.iter().filter(|keeps| **keeps >= share).count();
    format!(
        "of {} of {} that can be told, {} keep their line in 9 draws of 10 or more, {} in less than half; chance_zones.csv has each",
        told.len(),
        counted(found.zones.len(), "zone"),
        at_least(0.9),
        told.len() - at_least(0.5)
    )
}
