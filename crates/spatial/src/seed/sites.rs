//! Where to sample the stands of a property.

use std::path::{Path, PathBuf};

use geo::Point;
use sourcing::sample::{
    Allocation, Candidate, Lattice, POPULATION_RULES, Stratum, allocate, pivotal_sample,
    plants_to_hold, spatial_balance, trees_for_error, variance_of_mean,
};

use super::cautions::{STEEP_DEG, at_place, of_round};
use super::cover::sampled_cover;
use super::pilot::Pilot;
use super::places::{Found, Place, of_list, on_lattice};
use super::rows::{Drawn, PopulationRow, SeedSites, SettingsRow, StandRow, StratumRow, TreeRow};
use super::strata::{Part, parts};
use super::tree_list::read_trees;
use super::write_sites::SEED_SITES_SCHEMA;
use crate::layout::Tracks;
use crate::pipeline::{Zoned, on_globe};
use crate::plan::InputRecord;
use crate::problem::{Problem, named_from};
use crate::read::records;
use crate::units::PlanHectares;
use crate::zones::Stand;

/// What a round of sampling is asked for beside the site.
#[derive(Debug, Clone, Copy, Default)]
pub struct SitesAsked<'a> {
    /// Seed of every random draw.
    pub seed: u64,
    /// Whether trees are shared out by how much those of a stand differ, rather than by size alone.
    pub by_spread: bool,
    /// How much trees of each stand were found to differ.
    pub pilot: Option<&'a Path>,
    /// Trees that are known already; `None`: places on a lattice.
    pub trees: Option<&'a Path>,
    /// Trees wanted; `None`: as the site says.
    pub trees_wanted: Option<u32>,
}

/// Frequency of the allele and chance to hold it that the usual number of trees is for.
const USUAL_ALLELE: [f64; 2] = [0.05, 0.95];

/// The keys of the site that a draw hears.
const HEARD: [&str; 7] = [
    "seed.cover",
    "seed.apart_m",
    "seed.trees",
    "seed.standard_error",
    "seed.spread",
    "seed.altitude_band_m",
    "seed.steepest_deg",
];

/// Draws the places where mother trees are looked for. Same site and seed, same places, whatever the
/// number of threads.
///
/// # Errors
/// When there is no stand to sample, fewer places than trees are wanted, or a file is faulty.
pub fn sites(zoned: &Zoned, asked: &SitesAsked<'_>) -> Result<SeedSites, Vec<Problem>> {
    check(asked)?;
    let rules = &zoned.site.seed;
    let cover = sampled_cover(&zoned.site)?;
    let stands: Vec<&Stand> =
        zoned.zones.stands.iter().filter(|stand| cover.contains(&stand.cover)).collect();
    let names = cover_names(zoned, &cover);
    if stands.is_empty() {
        return Err(no_stand(zoned, &names).into());
    }
    let ids: Vec<&str> = stands.iter().map(|stand| stand.id.as_str()).collect();
    let pilot = asked.pilot.map(|file| Pilot::read(file, &ids)).transpose()?;
    let found = match asked.trees {
        Some(file) => of_list(zoned, &stands, &read_trees(file)?, asked.seed),
        None => on_lattice(zoned, &stands, asked.seed),
    };
    let (wanted, because) = wanted(zoned, asked)?;
    let places = &found.places;
    if places.len() < wanted as usize {
        return Err(too_few(zoned, asked, &found, wanted).into());
    }
    let parts = parts(places, &ids, rules.altitude_band.0);
    let relative_sd =
        |part: &Part| pilot.as_ref().map_or(1.0, |one| one.relative_sd(ids[part.stand]));
    let strata: Vec<Stratum> = parts
        .iter()
        .map(|part| Stratum {
            size: part.places.len() as f64,
            sd: rules.spread * relative_sd(part),
            unit_cost: 1.0,
        })
        .collect();
    let rule = if asked.by_spread { Allocation::Neyman } else { Allocation::Proportional };
    let expected = allocate(&strata, f64::from(wanted), rule);
    let candidates = candidates(places, &parts, &expected);
    let drawn = pivotal_sample(&candidates, asked.seed).map_err(|error| fault(&error))?;
    let balance = spatial_balance(&candidates, &drawn).map_err(|error| fault(&error))?;
    let trees = trees(zoned, &ids, places, &parts, &candidates, &drawn)?;
    let is_list = asked.trees.is_some();
    // Land farther away shades and shelters ground; places and stands do not depend on it.
    let concerns_stands = |warning: &&Problem| warning.item != "site.halo_m";
    let mut warnings: Vec<Problem> =
        zoned.warnings.iter().filter(concerns_stands).cloned().collect();
    warnings.extend(doubts(zoned, asked, &ids, &found));
    // Paths as the plan tells them: none of the machine.
    let folder = zoned.site.folder();
    let warnings = warnings.into_iter().map(|one| one.named_from(folder)).collect();
    let steep = |from: f64, to: f64| {
        trees.iter().filter(|tree| tree.slope_deg >= from && tree.slope_deg < to).count()
    };
    Ok(SeedSites {
        schema: SEED_SITES_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: zoned.site.name.clone(),
        crs: zoned.ready.crs.definition(),
        seed: asked.seed,
        inputs: inputs(zoned, asked, folder)?,
        defaults: zoned
            .site
            .seed
            .defaults
            .iter()
            .filter(|one| HEARD.iter().any(|key| one.key == *key))
            .cloned()
            .collect(),
        settings: settings(zoned, asked, names),
        stands_plan_ha: PlanHectares::from_m2(stands.iter().map(|stand| stand.plan_m2).sum()),
        candidates: places.len(),
        too_steep: found.too_steep,
        trees_because: because,
        standard_error_expected: variance_of_mean(&strata, &expected, is_list).sqrt(),
        standard_error_holds_for: holds_for(zoned, is_list, found.too_steep),
        spatial_balance: balance,
        population: population(trees.len()),
        steep_trees: steep(STEEP_DEG[0], STEEP_DEG[1]),
        very_steep_trees: steep(STEEP_DEG[1], f64::INFINITY),
        farthest_from_track_m: trees.iter().filter_map(|tree| tree.to_track_m).reduce(f64::max),
        stands: stand_rows(zoned, &stands, places, &drawn),
        strata: stratum_rows(&ids, &parts, &strata, &expected, &drawn),
        cautions: of_round(zoned, &trees),
        trees,
        warnings,
        drawn: shapes(zoned, &stands),
    })
}

fn cover_names(zoned: &Zoned, cover: &[u8]) -> Vec<String> {
    let table = zoned.site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
    let name = |at: &u8| table.get(usize::from(*at)).map(|row| row.class.name.clone());
    let mut names: Vec<String> = cover.iter().filter_map(name).collect();
    names.dedup();
    names
}

/// Options that ask for each other.
fn check(asked: &SitesAsked<'_>) -> Result<(), Problem> {
    match (asked.by_spread, asked.pilot) {
        (true, None) => Err(Problem::error("--allocation neyman")
            .found("no `--pilot`")
            .expected("a pilot file: how much trees of each stand differ")
            .remedy("name it with `--pilot FILE.csv`, or take `--allocation proportional`")),
        (false, Some(file)) => Err(Problem::error("--pilot")
            .file(file)
            .found("`--allocation proportional`, which does not hear it")
            .expected("`--allocation neyman`")
            .remedy("add `--allocation neyman`, or leave the pilot file out")),
        _ => Ok(()),
    }
}

/// How many trees, and why.
fn wanted(zoned: &Zoned, asked: &SitesAsked<'_>) -> Result<(u32, String), Problem> {
    let rules = &zoned.site.seed;
    if let Some(trees) = asked.trees_wanted {
        return Ok((trees, "asked for with `--trees-wanted`".to_owned()));
    }
    if let Some(trees) = rules.trees {
        return Ok((trees, "asked for by seed.trees".to_owned()));
    }
    let by_error = trees_for_error(rules.spread, rules.standard_error).ok_or_else(|| {
        Problem::error("seed.standard_error")
            .file(&zoned.site.file)
            .found(format!("{} at a spread of {}", rules.standard_error, rules.spread))
            .expected("an error that a number of trees can keep")
            .remedy("allow a larger error, or set seed.trees")
    })?;
    let [frequency, chance] = USUAL_ALLELE;
    let by_allele = plants_to_hold(frequency, chance, true).unwrap_or(by_error);
    let percent = |share: f64| format!("{} %", (share * 1000.0).round() / 10.0);
    let error =
        format!("a standard error of {} asks for {by_error}", percent(rules.standard_error));
    let allele = format!(
        "{by_allele} outcrossing plants hold an allele of a frequency of {} with a chance of {}",
        percent(frequency),
        percent(chance)
    );
    Ok((by_error.max(by_allele), format!("{allele}; {error}: the larger")))
}

/// Places with the chance that their part is due.
fn candidates(places: &[Place], parts: &[Part], expected: &[f64]) -> Vec<Candidate> {
    let none = |place: &Place| Candidate {
        at: place.at,
        chance: 0.0,
        stratum: 0,
        stand: place.stand as u32,
    };
    let mut candidates: Vec<Candidate> = places.iter().map(none).collect();
    for ((number, part), expected) in (0_u32..).zip(parts).zip(expected) {
        let chance = (expected / part.places.len() as f64).min(1.0);
        for at in &part.places {
            candidates[*at].chance = chance;
            candidates[*at].stratum = number;
        }
    }
    candidates
}

/// The places drawn, as rows.
fn trees(
    zoned: &Zoned,
    ids: &[&str],
    places: &[Place],
    parts: &[Part],
    candidates: &[Candidate],
    drawn: &[usize],
) -> Result<Vec<TreeRow>, Problem> {
    let tracks = Tracks::new(&zoned.ready.tracks);
    let mut globe: Vec<(f64, f64)> =
        drawn.iter().map(|at| (places[*at].at[0], places[*at].at[1])).collect();
    if !globe.is_empty() {
        on_globe(&zoned.ready.crs, &mut globe, "field_sheet.csv")?;
    }
    let digits = drawn.len().to_string().len().max(3);
    let tree = |((number, at), (longitude, latitude)): ((usize, &usize), (f64, f64))| {
        let place = &places[*at];
        let [x, y] = place.at;
        let slope_deg = rounded(place.slope_deg, 10.0);
        let part = candidates[*at].stratum as usize;
        TreeRow {
            tree_id: place.id.clone().unwrap_or_else(|| format!("T{:0digits$}", number + 1)),
            stand_id: ids[place.stand].to_owned(),
            stratum: parts[part].name.clone(),
            easting_m: x,
            northing_m: y,
            longitude_deg: rounded(longitude, 1e7),
            latitude_deg: rounded(latitude, 1e7),
            elevation_m: rounded(place.elevation_m, 10.0),
            slope_deg,
            aspect_deg: place.aspect_deg.map(|aspect| aspect.round().rem_euclid(360.0)),
            to_track_m: tracks.from_place_m(Point::new(x, y)).map(f64::round),
            caution: at_place(zoned, place.at, slope_deg),
            chance: candidates[*at].chance,
        }
    };
    Ok(drawn.iter().enumerate().zip(globe).map(tree).collect())
}

fn rounded(number: f64, steps: f64) -> f64 {
    (number * steps).round() / steps
}

fn settings(zoned: &Zoned, asked: &SitesAsked<'_>, cover: Vec<String>) -> SettingsRow {
    let rules = &zoned.site.seed;
    let lattice = match asked.trees {
        Some(_) => None,
        None => Lattice::seeded(rules.apart.0, asked.seed),
    };
    SettingsRow {
        cover,
        apart_m: rules.apart.0,
        candidates_from: if asked.trees.is_some() { "list" } else { "lattice" },
        lattice_step_m: lattice.map(|lattice| lattice.step_m()),
        standard_error: rules.standard_error,
        spread: rules.spread,
        altitude_band_m: rules.altitude_band.0,
        steepest_deg: rules.steepest_deg,
        allocation: if asked.by_spread { "neyman" } else { "proportional" },
    }
}

fn stratum_rows(
    ids: &[&str],
    parts: &[Part],
    strata: &[Stratum],
    expected: &[f64],
    drawn: &[usize],
) -> Vec<StratumRow> {
    let is_drawn = |at: &&usize| drawn.binary_search(at).is_ok();
    let row = |(part, (stratum, expected)): (&Part, (&Stratum, &f64))| StratumRow {
        stratum: part.name.clone(),
        stand_id: ids[part.stand].to_owned(),
        candidates: part.places.len(),
        spread: stratum.sd,
        expected: *expected,
        drawn: part.places.iter().filter(is_drawn).count(),
    };
    parts.iter().zip(strata.iter().zip(expected)).map(row).collect()
}

fn population(trees: usize) -> Vec<PopulationRow> {
    let row = |rule: &sourcing::sample::PopulationRule| PopulationRow {
        plants: rule.plants,
        asks: rule.asks,
        source: rule.source,
        met: rule.is_met_by(u32::try_from(trees).unwrap_or(u32::MAX)),
    };
    POPULATION_RULES.iter().map(row).collect()
}

fn holds_for(zoned: &Zoned, is_list: bool, too_steep: usize) -> String {
    let what = if is_list {
        "the mean of the listed trees that stand in these stands and are far enough apart"
    } else {
        "the mean over all these stands together"
    };
    let gentle = match zoned.site.seed.steepest_deg {
        Some(most) if too_steep > 0 => format!(", as far as they are no steeper than {most}°"),
        _ => String::new(),
    };
    format!(
        "{what}{gentle}, if trees differ by {:.0} % of their mean; not for one stand, nor for one tree",
        zoned.site.seed.spread * 100.0
    )
}

fn stand_rows(
    zoned: &Zoned,
    stands: &[&Stand],
    places: &[Place],
    drawn: &[usize],
) -> Vec<StandRow> {
    let row = |(number, stand): (usize, &&Stand)| StandRow {
        stand_id: stand.id.clone(),
        cover: cover_names(zoned, &[stand.cover]).join(", "),
        plan_area_ha: PlanHectares::from_m2(stand.plan_m2),
        candidates: places.iter().filter(|place| place.stand == number).count(),
        drawn: drawn.iter().filter(|at| places[**at].stand == number).count(),
    };
    stands.iter().enumerate().map(row).collect()
}

fn shapes(zoned: &Zoned, stands: &[&Stand]) -> Drawn {
    let ask = zoned.ready.keep_clear.iter().filter_map(|area| {
        Some((zoned.site.keep_clear[area.rule].name.clone(), area.ask.clone()?))
    });
    Drawn {
        boundary: zoned.ready.boundary.clone(),
        stands: stands.iter().map(|one| (one.id.clone(), one.geometry.clone())).collect(),
        tracks: zoned.ready.tracks.clone(),
        ask: ask.collect(),
    }
}

/// Every file that was read: those of the site, and those of the options.
fn inputs(
    zoned: &Zoned,
    asked: &SitesAsked<'_>,
    folder: &Path,
) -> Result<Vec<InputRecord>, Vec<Problem>> {
    let files = [("pilot", asked.pilot), ("trees", asked.trees)];
    inputs_of(zoned, &files, folder)
}

/// The layers of a site and further files with their roles, as outputs name them.
///
/// # Errors
/// When a file cannot be read to its end.
pub(super) fn inputs_of(
    zoned: &Zoned,
    files: &[(&str, Option<&Path>)],
    folder: &Path,
) -> Result<Vec<InputRecord>, Vec<Problem>> {
    let files: Vec<(String, PathBuf)> = files
        .iter()
        .filter_map(|(role, file)| Some(((*role).to_owned(), file.as_ref()?.to_path_buf())))
        .collect();
    let mut more = records(folder, &files)?;
    for record in &mut more {
        record.file = named_from(&record.file, folder);
    }
    Ok(zoned.ready.inputs.iter().cloned().chain(more).collect())
}

/// What should be looked at.
fn doubts(zoned: &Zoned, asked: &SitesAsked<'_>, ids: &[&str], found: &Found) -> Vec<Problem> {
    let mut doubts = Vec::new();
    let empty: Vec<&str> = (0..ids.len())
        .filter(|stand| found.places.iter().all(|place| place.stand != *stand))
        .map(|stand| ids[stand])
        .collect();
    if !empty.is_empty() {
        doubts.push(
            Problem::warning("stands")
                .found(format!("no place in {} of {}: {}", empty.len(), ids.len(), few(&empty)))
                .expected("a place to look at in every stand")
                .remedy(
                    "nothing here speaks for them: they are smaller than the lattice, too steep or \
                     without a listed tree; look at them by eye, or set a smaller seed.apart_m",
                ),
        );
    }
    if !found.outside.is_empty() {
        let outside: Vec<&str> = found.outside.iter().map(String::as_str).collect();
        doubts.push(
            Problem::warning("tree_id")
                .file(asked.trees.unwrap_or(Path::new("")))
                .found(format!("{} in no sampled stand: {}", outside.len(), few(&outside)))
                .expected("trees inside the stands that are sampled")
                .remedy("check their places and the coordinate system; they cannot be drawn"),
        );
    }
    if found.unknown > 0 {
        doubts.push(
            Problem::warning("elevation")
                .found(format!("{} places whose height or slope is not known", found.unknown))
                .expected("an elevation under every stand")
                .remedy("they cannot be drawn: fill the holes of the elevation layer"),
        );
    }
    if zoned.ready.tracks.is_empty() {
        doubts.push(
            Problem::warning("layers.tracks")
                .file(&zoned.site.file)
                .found("no track")
                .expected("tracks, to tell how far each place lies from one")
                .remedy("name the layer, or see for yourself how each place is reached"),
        );
    }
    doubts
}

/// The first of many names.
fn few(names: &[&str]) -> String {
    const SHOWN: usize = 5;
    let shown = names.iter().take(SHOWN).copied().collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN { format!("{shown} and {} more", names.len() - SHOWN) } else { shown }
}

fn no_stand(zoned: &Zoned, names: &[String]) -> Problem {
    Problem::error("seed.cover")
        .file(&zoned.site.file)
        .found(format!("no stand of {} on the property", names.join(", ")))
        .expected("a kept stand to sample")
        .remedy("check the cover layer and its table, or name another class")
}

fn too_few(zoned: &Zoned, asked: &SitesAsked<'_>, found: &Found, wanted: u32) -> Problem {
    let apart = zoned.site.seed.apart.0;
    let mut parts = vec![match asked.trees {
        Some(_) => format!("{} listed trees {apart} m apart in the stands", found.places.len()),
        None => format!("{} places {apart} m apart in the stands", found.places.len()),
    }];
    let left = [
        (found.too_steep, "too steep"),
        (found.unknown, "without a known height or slope"),
        (found.crowded, "too near others"),
        (found.outside.len(), "in no sampled stand"),
    ];
    parts.extend(
        left.into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, why)| format!("{count} {why}")),
    );
    let problem = match asked.trees_wanted {
        Some(_) => Problem::error("--trees-wanted"),
        None => Problem::error("seed.trees").file(&zoned.site.file),
    };
    problem
        .found(parts.join("; "))
        .expected(format!("{wanted} or more, as many trees as are wanted"))
        .remedy("ask for fewer trees with `--trees-wanted`, or set a smaller seed.apart_m")
}

fn fault(error: &dyn std::error::Error) -> Problem {
    Problem::error("draw")
        .found(error.to_string())
        .expected("a draw of the places that are wanted")
        .remedy("this is a fault of the program: please report it with the site folder")
}
