//! What a property is planned from, before any layer is opened: the site, its stock and choices made by hand.

use std::path::{Path, PathBuf};

use stock::Library;

use crate::offers::{self, Seasons};
use crate::overrides::{self, Override};
use crate::plan::Reach;
use crate::problem::Problem;
use crate::site::{self, Site};
use crate::stock_file;

/// A site with its stock, both sound.
pub struct Sound {
    /// The site.
    pub site: Site,
    /// Its stock.
    pub library: Library,
    /// What is worth a look in either.
    pub warnings: Vec<Problem>,
}

/// A site with its stock and the choices made by hand, all sound.
pub struct Heard {
    /// The site.
    pub site: Site,
    /// Its stock; none for a plan of zones alone.
    pub library: Library,
    /// Choices made by hand, in the order of their file.
    pub choices: Vec<Override>,
    /// What is worth a look in any of them.
    pub warnings: Vec<Problem>,
}

/// The texts of a site that may be other than those of its files.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts {
    /// The `site.toml`; files that it names are taken from its folder.
    pub site_file: PathBuf,
    /// What it says.
    pub site: String,
    /// What the stock file says.
    pub stock: String,
    /// What the file of choices says; heard where the site names one.
    pub choices: String,
}

/// Reads the site file and the stock file, and reports every fault of both.
///
/// # Errors
/// All problems of the two files when either cannot be used.
pub fn load(site_file: &Path) -> Result<Sound, Vec<Problem>> {
    let (site, warnings) = site::load(site_file)?;
    let library = stock_file::read(&site.stock)?;
    together(site, library, warnings)
}

/// What neither can tell by itself.
fn together(
    site: Site,
    library: Library,
    mut warnings: Vec<Problem>,
) -> Result<Sound, Vec<Problem>> {
    offers::no_winter(&site, &library)?;
    offers::no_such_line(&site, &library)?;
    warnings.extend(offers::unknown(&site, &library));
    let first_season = Seasons::of(&site, &library).default_taken(&site);
    let site = site.with_default("mosaic.first_season", first_season);
    Ok(Sound { site, library, warnings })
}

/// Reads what a plan that goes so far hears.
///
/// # Errors
/// All problems of the files that are read.
pub fn hear(site_file: &Path, reach: Reach) -> Result<Heard, Vec<Problem>> {
    if reach == Reach::Zones {
        let (site, warnings) = site::load(site_file)?;
        return Ok(Heard { site, library: Library::none(), choices: Vec::new(), warnings });
    }
    let Sound { site, library, warnings } = load(site_file)?;
    let choices = match &site.mosaic.overrides {
        Some(file) => overrides::read(file, &library)?,
        None => Vec::new(),
    };
    Ok(Heard { site, library, choices, warnings })
}

/// Hears texts as [`hear`] hears their files.
///
/// # Errors
/// All problems of the texts, naming the files that they stand for.
pub fn hear_texts(texts: &Texts) -> Result<Heard, Vec<Problem>> {
    let (site, warnings) = site::parse(&texts.site, &texts.site_file)?;
    let library = stock_file::parse(&texts.stock, &site.stock)?;
    let Sound { site, library, warnings } = together(site, library, warnings)?;
    let choices = match &site.mosaic.overrides {
        Some(file) => overrides::parse(&texts.choices, file, &library)?,
        None => Vec::new(),
    };
    Ok(Heard { site, library, choices, warnings })
}
