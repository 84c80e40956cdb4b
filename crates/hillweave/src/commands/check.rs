//! `hillweave check`: what would be used, and what is wrong.

use std::fmt::Write;

use serde::Serialize;
use spatial::overrides;
use spatial::pipeline::{self, Sound};
use spatial::problem::Problem;
use spatial::read::LayerFacts;
use spatial::site::DefaultTaken;

use crate::arguments;
use crate::outcome::{Outcome, Stop};
use crate::screen::{Ink, Screen, counted};

/// Reads everything and reports.
pub(crate) fn run(options: &arguments::Check, screen: &Screen) -> Result<Outcome, Stop> {
    let Sound { site, library, mut warnings } = pipeline::load(&options.site)?;
    let (ready, of_layers) = pipeline::looked_over(&site, &library)?;
    warnings.extend(of_layers);
    let choices = match &site.mosaic.overrides {
        Some(file) => {
            let choices = overrides::read(file, &library)?;
            warnings.extend(overrides::outside(&choices, &ready.boundary, file));
            choices.len()
        }
        None => 0,
    };
    let defaults = ready.all_defaults(&site);
    screen.json(&Report {
        schema: "hillweave.check/1",
        site: &site.name,
        crs: ready.crs.describe(),
        grid: ready.grid.to_string(),
        layers: &ready.facts,
        stock: library.stocks().len(),
        choices_by_hand: choices,
        defaults: &defaults,
        problems: &warnings,
    })?;
    let mut text = format!("{}\n\n", screen.ink(Ink::Strong, &site.name));
    let _ = writeln!(text, "plan grid: {}, {}\n", ready.grid, ready.crs.describe());
    for facts in &ready.facts {
        let _ = writeln!(text, "{facts}\n");
    }
    let _ = writeln!(
        text,
        "stock: {}\n  {}\n",
        counted(library.stocks().len(), "line"),
        lines(&library)
    );
    if site.mosaic.overrides.is_some() {
        let _ = writeln!(text, "by hand: {}\n", counted(choices, "choice"));
    }
    text.push_str(&defaults_list(&defaults));
    text.push('\n');
    text.push_str(&screen.problem_list(&warnings));
    text.push_str(&verdict(&warnings));
    screen.words(&text)?;
    Ok(if warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

fn lines(library: &stock::Library) -> String {
    let one = |line: &stock::Stock| format!("{} ({})", line.name, line.kind.label());
    library.stocks().iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The defaults taken, one a line.
pub(crate) fn defaults_list(defaults: &[DefaultTaken]) -> String {
    let mut text = format!("{} taken\n", counted(defaults.len(), "default"));
    for default in defaults {
        let _ = writeln!(text, "  {} = {}   ({})", default.key, default.value, default.source);
    }
    text
}

fn verdict(warnings: &[Problem]) -> String {
    match warnings.len() {
        0 => "ready to plan\n".to_owned(),
        number => format!("ready to plan, with {} to look at\n", counted(number, "warning")),
    }
}

/// What a script is told.
#[derive(Serialize)]
struct Report<'a> {
    schema: &'static str,
    site: &'a str,
    crs: String,
    grid: String,
    layers: &'a [LayerFacts],
    stock: usize,
    choices_by_hand: usize,
    defaults: &'a [DefaultTaken],
    problems: &'a [Problem],
}
