//! The files of a site that the bench may change, as texts, and how they are kept.

use std::path::{Path, PathBuf};
use std::{fs, io};

use spatial::pipeline::{Heard, Texts, hear_texts};
use spatial::problem::Problem;
use spatial::site::Site;

/// What was drawn by hand, beside `site.toml`.
pub(crate) const DRAWN: &str = "drawn.geojson";
/// Choices made by hand, where the site names no other file.
pub(crate) const CHOICES: &str = "overrides.toml";

/// Where the files of a site are.
#[derive(Debug, Clone)]
pub(crate) struct Places {
    /// Its `site.toml`.
    pub(crate) site: PathBuf,
    /// Its stock file.
    pub(crate) stock: PathBuf,
    /// Its choices.
    pub(crate) choices: PathBuf,
    /// What was drawn on it.
    pub(crate) drawn: PathBuf,
}

/// What the files of a site say; a file that is not there says nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Files {
    /// `site.toml`.
    pub(crate) site: String,
    /// The stock file.
    pub(crate) stock: String,
    /// Choices made by hand.
    pub(crate) choices: Option<String>,
    /// What was drawn by hand.
    pub(crate) drawn: Option<String>,
}

impl Places {
    /// The files of a site.
    pub(crate) fn of(site: &Site) -> Self {
        let folder = site.folder();
        Self {
            drawn: folder.join(DRAWN),
            choices: site.mosaic.overrides.clone().unwrap_or_else(|| folder.join(CHOICES)),
            stock: site.stock.clone(),
            site: site.file.clone(),
        }
    }

    /// Reads what is there.
    ///
    /// # Errors
    /// When a file is there and cannot be read as text.
    pub(crate) fn read(&self) -> Result<Files, Problem> {
        Ok(Files {
            site: text(&self.site)?.unwrap_or_default(),
            stock: text(&self.stock)?.unwrap_or_default(),
            choices: text(&self.choices)?,
            drawn: text(&self.drawn)?,
        })
    }

    /// Every file with what it says, in a fixed order.
    pub(crate) fn with<'a>(&'a self, files: &'a Files) -> [(&'a Path, Option<&'a str>); 4] {
        [
            (&self.site, Some(&files.site)),
            (&self.stock, Some(&files.stock)),
            (&self.choices, files.choices.as_deref()),
            (&self.drawn, files.drawn.as_deref()),
        ]
    }

    /// Hears the texts.
    ///
    /// # Errors
    /// All problems of the texts, naming the files that they stand for.
    pub(crate) fn hear(&self, files: &Files) -> Result<Heard, Vec<Problem>> {
        hear_texts(&Texts {
            site_file: self.site.clone(),
            site: files.site.clone(),
            stock: files.stock.clone(),
            choices: files.choices.clone().unwrap_or_default(),
        })
    }

    /// Has what was drawn read from a copy that stands for the file in the folder.
    pub(crate) fn drawn_in(&self, copy: &Path, mut heard: Heard) -> Heard {
        let layers = [&mut heard.site.layers.breaks, &mut heard.site.layers.drawn_zones];
        let rules = heard.site.keep_clear.iter_mut().map(|rule| &mut rule.source);
        for source in layers.into_iter().flatten().chain(rules) {
            if source.file == self.drawn {
                source.file = copy.to_path_buf();
            }
        }
        heard
    }
}

impl Files {
    /// Names of the files that say something else than `other`, from the folder of the site.
    pub(crate) fn unlike(&self, other: &Self, places: &Places) -> Vec<String> {
        let folder = places.site.parent().unwrap_or(Path::new(""));
        let pairs = places.with(self).into_iter().zip(places.with(other));
        pairs
            .filter(|((_, a), (_, b))| a != b)
            .map(|((file, _), _)| file.strip_prefix(folder).unwrap_or(file).display().to_string())
            .collect()
    }
}

fn text(file: &Path) -> Result<Option<String>, Problem> {
    match fs::read_to_string(file) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Problem::error("file")
            .file(file)
            .found(error.to_string())
            .expected("a text file in UTF-8")
            .remedy("see that the file can be read, or move it away")),
    }
}
