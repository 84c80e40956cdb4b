//! Times the zones of a site whose zones are bounded by slope alone: `zoning SITE RUNS`.
//!
//! Reads the site, derives slope, and prints a line of JSON for each run of zones: seconds of slope and of the zones, how many zones there are and how many
//! corners a polygon of theirs has, and the most bytes a cell that were resident beyond those before
//! the run (told by the kernel of Linux alone).
#![allow(clippy::print_stdout, reason = "an example prints")]

use std::error::Error;
use std::path::Path;
use std::time::Instant;

use spatial::ground::{Ground, GroundLayer, derivation_of};
use spatial::problem::Problem;
use spatial::read::read;
use spatial::site;
use spatial::zones::{Zones, zones};

fn main() -> Result<(), Box<dyn Error>> {
    let site = std::env::args().nth(1).ok_or("expected a site file, then how many runs")?;
    let runs = std::env::args().nth(2).map_or(Ok(1), |runs| runs.parse())?;
    time(Path::new(&site), runs).map_err(|problems| {
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n\n").into()
    })
}

fn time(file: &Path, runs: usize) -> Result<(), Vec<Problem>> {
    let (site, _) = site::load(file)?;
    let ready = read(&site)?;
    let start = Instant::now();
    let slope_deg = derivation_of(&ready, &site).take(GroundLayer::Slope)?;
    let slope_seconds = start.elapsed().as_secs_f64();
    let mut ground = Ground::sloping(ready.elevation.clone(), slope_deg);
    ground.cover.clone_from(&ready.cover);
    let cells = ready.grid.len();
    for _ in 0..runs {
        forget_peak();
        let (before, start) = (status_kib("VmRSS:"), Instant::now());
        let drawn = zones(&ready, &ground, &site)?;
        let seconds = start.elapsed().as_secs_f64();
        let bytes_a_cell = status_kib("VmHWM:")
            .zip(before)
            .map_or(f64::NAN, |(peak, before)| (peak - before) * 1024.0 / cells as f64);
        let (zones, corners) = (drawn.zones.len(), corners_a_polygon(&drawn));
        println!(
            "{{\"cells\":{cells},\"slope\":{slope_seconds:.3},\"seconds\":{seconds:.3},\
             \"zones\":{zones},\"corners_a_polygon\":{corners:.1},\
             \"bytes_a_cell\":{bytes_a_cell:.2}}}"
        );
    }
    Ok(())
}

/// Corners of all rings by polygons.
fn corners_a_polygon(drawn: &Zones) -> f64 {
    let polygons = || drawn.zones.iter().flat_map(|zone| &zone.geometry);
    let rings = polygons().flat_map(|one| std::iter::once(one.exterior()).chain(one.interiors()));
    // A ring repeats its first corner.
    let corners: usize = rings.map(|ring| ring.0.len().saturating_sub(1)).sum();
    corners as f64 / polygons().count() as f64
}

/// Lets the kernel count the peak of resident memory from now on.
#[allow(clippy::disallowed_methods, reason = "no file of the user's")]
fn forget_peak() {
    // Where it cannot, the peak is that of the whole run.
    drop(std::fs::write("/proc/self/clear_refs", "5"));
}

/// A figure that the kernel keeps of this process, KiB.
#[allow(clippy::disallowed_methods, reason = "no file of the user's")]
fn status_kib(name: &str) -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix(name))?;
    line.trim().trim_end_matches("kB").trim().parse().ok()
}
