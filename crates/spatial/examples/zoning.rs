//! Times the zones of a site whose zones are bounded by slope alone: `zoning SITE`.
//!
//! Reads the site, derives slope, takes one value everywhere for wetness and sun, and prints a line
//! of JSON: seconds of slope and of each run of zones, and how many zones there are.
#![allow(clippy::print_stdout, reason = "an example prints")]

use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;
use std::time::Instant;

use spatial::ground::{Ground, GroundLayer, derivation_of};
use spatial::pipeline::{Sound, load};
use spatial::problem::Problem;
use spatial::read::read;
use spatial::zones::zones;
use terrain::Raster;

fn main() -> Result<(), Box<dyn Error>> {
    let site = std::env::args().nth(1).ok_or("expected a site file, then how many runs")?;
    let runs = std::env::args().nth(2).map_or(Ok(1), |runs| runs.parse())?;
    time(Path::new(&site), runs).map_err(|problems| {
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n\n").into()
    })
}

fn time(file: &Path, runs: usize) -> Result<(), Vec<Problem>> {
    let Sound { site, .. } = load(file)?;
    let mut ready = read(&site)?;
    let start = Instant::now();
    let slope_deg = derivation_of(&ready, &site).take(GroundLayer::Slope)?;
    let slope_seconds = start.elapsed().as_secs_f64();
    let ground = Ground {
        wetness_index: Raster::filled(ready.grid, 5.0),
        sun_ratio: Raster::filled(ready.grid, 1.0),
        others: BTreeMap::new(),
        wetness_edges: [8.0, 11.0],
        cover: ready.cover.take(),
        drainage: None,
        notes: Vec::new(),
        elevation_m: ready.elevation.clone(),
        slope_deg,
    };
    for _ in 0..runs {
        let start = Instant::now();
        let drawn = zones(&ready, &ground, &site)?;
        let seconds = start.elapsed().as_secs_f64();
        let zones = drawn.zones.len();
        println!(
            "{{\"cells\":{},\"slope\":{slope_seconds:.3},\"seconds\":{seconds:.3},\"zones\":{zones}}}",
            ready.grid.len()
        );
    }
    Ok(())
}
