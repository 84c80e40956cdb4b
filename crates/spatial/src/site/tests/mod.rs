//! Whole texts in, sites and problems out.

mod faulty;
mod files;
mod laws;
mod sound;
mod starter;

use std::path::Path;

use super::{Site, parse};
use crate::problem::Problem;

/// The least that a site must say, and no warning.
const LEAST: &str = "\
[site]
name = \"Test\"
[layers.boundary]
file = \"property.gpkg\"
[layers.elevation]
file = \"elevation_m.tif\"
[stock]
file = \"stock.toml\"
[[keep_clear]]
name = \"stream\"
file = \"property.gpkg\"
distance_m = 5
reason = \"bank\"
authority = \"council\"
date = \"2025-07-01\"
";

fn read(text: &str) -> Result<(Site, Vec<Problem>), Vec<Problem>> {
    parse(text, Path::new("farm/site.toml"))
}

/// The site of a text that must be sound, with its warnings.
fn sound(text: &str) -> (Site, Vec<Problem>) {
    read(text).unwrap_or_else(|problems| panic!("{}", in_full(&problems)))
}

fn in_full(problems: &[Problem]) -> String {
    problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("\n")
}
