//! `hillweave seed sites`: where to sample stands for mother trees.

use spatial::pipeline::{self, Stage};
use spatial::seed::{PopulationRow, SeedSites, SitesAsked, TreeRow, sites, write_sites};
use spatial::units::thousands;

use crate::arguments::{self, Allocation};
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, counted, put_line};

/// Draws the places, writes the sheets and tells what they stand for.
pub(crate) fn run(options: &arguments::SeedSites, screen: &Screen) -> Result<Outcome, Stop> {
    begin(None, &options.output, options.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let zoned = pipeline::zoned(&options.site, &mut enter)?;
    let asked = SitesAsked {
        seed: options.seed,
        by_spread: options.allocation == Allocation::Neyman,
        pilot: options.pilot.as_deref(),
        trees: options.trees.as_deref(),
        trees_wanted: options.trees_wanted,
    };
    let round = sites(&zoned, &asked)?;
    progress.enter(Stage::Write.name());
    let written = write_sites(&round, &zoned.ready.crs, &options.output, options.overwrite)?;
    progress.finish();
    let target = ("sheets", options.output.as_path());
    tell(screen, &round, &words(&round, screen), target, &written)?;
    Ok(if round.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The round in words.
fn words(round: &SeedSites, screen: &Screen) -> String {
    let sampled = round.stands.iter().filter(|stand| stand.drawn > 0).count();
    let parts = round.strata.iter().filter(|part| part.drawn > 0).count();
    let mut text = format!(
        "{}: {} to sample in {} of {} and {} of {}\n",
        screen.ink(Ink::Strong, &round.site),
        counted(round.trees.len(), "tree"),
        sampled,
        counted(round.stands.len(), "stand"),
        parts,
        counted(round.strata.len(), "part"),
    );
    let mut put = |label: &str, words: &str| put_line(&mut text, label, words);
    put("drawn from", &drawn_from(round));
    put("number", &round.trees_because);
    let error = format!(
        "{:.1} % to expect for {}",
        round.standard_error_expected * 100.0,
        round.standard_error_holds_for
    );
    put("error", &error);
    let note = "the number stands for a population only if seed is taken from every tree; the best alone hold less";
    put("diversity", note);
    for (label, met) in [("  met", true), ("  not met", false)] {
        for rule in round.population.iter().filter(|rule| rule.met == met) {
            put(label, &rule_words(rule));
        }
    }
    put("steep", &steep(round));
    put("tracks", &tracks(round));
    for caution in &round.cautions {
        put("caution", &caution.to_string());
    }
    text + &screen.to_look_at(&round.warnings)
}

fn drawn_from(round: &SeedSites) -> String {
    let settings = &round.settings;
    let candidates = thousands(round.candidates as u64);
    let what = match settings.lattice_step_m {
        Some(step) => format!("{candidates} places {step} m apart"),
        None => format!("{candidates} listed trees {} m apart or more", settings.apart_m),
    };
    let steep = match settings.steepest_deg {
        Some(most) if round.too_steep > 0 => {
            format!("; {} steeper than {most}° left out", thousands(round.too_steep as u64))
        }
        _ => String::new(),
    };
    let by = match settings.allocation {
        "neyman" => "size and spread",
        _ => "size",
    };
    format!(
        "{what} on {:.1} ha of {}, shared out by {by}{steep}",
        round.stands_plan_ha.0,
        settings.cover.join(", ")
    )
}

fn rule_words(rule: &PopulationRow) -> String {
    format!("{} ({})", rule.asks, rule.source)
}

fn steep(round: &SeedSites) -> String {
    format!(
        "{} on 25° or more, {} on 35° or more",
        counted(round.steep_trees + round.very_steep_trees, "place"),
        round.very_steep_trees
    )
}

fn tracks(round: &SeedSites) -> String {
    let farthest = round.farthest_from_track_m.and_then(|far| {
        let is_there = |tree: &&TreeRow| tree.to_track_m.is_some_and(|metres| metres >= far);
        Some((round.trees.iter().find(is_there)?, far))
    });
    match farthest {
        Some((tree, far)) => format!(
            "{} lies farthest from one: {} m in a straight line; the way on foot is longer",
            tree.tree_id,
            thousands(far as u64)
        ),
        None => "not known: how far places lie from one is for you to see".to_owned(),
    }
}
