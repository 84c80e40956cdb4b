//! Both sheets as text.

mod crew;
mod lab;
mod nectar;
mod normal;
pub(crate) mod truth;

use std::error::Error;
use std::path::Path;

use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use spatial::pipeline;
use spatial::problem::Problem;
use spatial::seed::{FIELD_SHEET_CSV, SitesAsked, sites, write_sites};

/// Seed of the places, as `hillweave seed sites --seed` takes it.
const SEED_OF_PLACES: u64 = 1;
/// Places asked for.
const TREES: u32 = 72;
/// Seed of what is scored and measured there.
const SEED: u64 = 83;

/// The sheets as they come back.
pub(crate) struct Sheets {
    pub(crate) field: String,
    pub(crate) lab: String,
}

/// Draws the places of a site and fills the sheets in.
pub(crate) fn make(site: &Path) -> Result<Sheets, Box<dyn Error>> {
    let zoned = pipeline::zoned(site, &mut |_| ()).map_err(first)?;
    let trees_wanted = Some(TREES);
    let asked = SitesAsked { seed: SEED_OF_PLACES, trees_wanted, ..SitesAsked::default() };
    let round = sites(&zoned, &asked).map_err(first)?;
    let folder = tempfile::tempdir()?;
    let target = folder.path().join("sites");
    write_sites(&round, &zoned.ready.crs, &target, false)?;
    let blank = std::fs::read_to_string(target.join(FIELD_SHEET_CSV))?;
    let mut chance = Pcg64Mcg::seed_from_u64(SEED);
    let nectar = nectar::draw(&round.trees, &mut chance);
    let lab = lab::sheet(&round.trees, &nectar, &mut chance);
    let field = crew::filled(&blank, &nectar, &mut chance)?;
    Ok(Sheets { field, lab })
}

fn first(problems: Vec<Problem>) -> Box<dyn Error> {
    problems.into_iter().next().map_or_else(|| "no problem told".into(), Into::into)
}
