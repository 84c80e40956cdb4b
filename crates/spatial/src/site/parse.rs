//! From a file or a text to a [`Site`], or to everything that is wrong with it.

use std::path::Path;

use crate::problem::Problem;
use crate::units::Metres;

use super::report::Report;
use super::section::Section;
use super::text_file::TextFile;
use super::{
    Site, calendar, chances, check, cover, density, document, eligibility, keep_clear, layers,
    money, rules, season, seed,
};

/// How messages speak of the site file.
const SITE_TEXT: TextFile = TextFile {
    item: SITE_FILE,
    form: "TOML",
    instead: "name a `site.toml`, or the folder that it is in",
    missing: "check the name; `hillweave new DIR` writes a commented one to begin with",
};

/// Name of the site file in the folder of a site.
pub const SITE_FILE: &str = "site.toml";

/// Reads a site file; a folder stands for the `site.toml` in it.
///
/// Files named in it are taken from its own folder. They are not opened here.
///
/// # Errors
/// Every problem found, with its line and column, in the order of the file. Beside a sound site
/// come its warnings.
pub fn load(file: &Path) -> Result<(Site, Vec<Problem>), Vec<Problem>> {
    let file = if file.is_dir() { file.join(SITE_FILE) } else { file.to_path_buf() };
    let text = SITE_TEXT.read(&file)?;
    parse(&text, &file)
}

/// Reads the text of a site file; `file` is named in messages, and its folder is where the files
/// that the text names are looked for.
///
/// # Errors
/// As [`load`].
pub fn parse(text: &str, file: &Path) -> Result<(Site, Vec<Problem>), Vec<Problem>> {
    let document = document::read(text, file)?;
    if document.is_empty() {
        let problem = Problem::error(SITE_FILE).file(file).found("nothing but blanks and comments");
        return Err(problem.expected("a [site] table and more").remedy(WRITE_NEW).into());
    }
    let mut report = Report::new(text, file);
    let root = Section::file(document.as_table());
    check::check(&root, &mut report);
    let site = assemble(&root, file, &mut report);
    report.finish(site)
}

const WRITE_NEW: &str = "`hillweave new DIR` writes a commented one to begin with";

fn assemble(root: &Section<'_>, file: &Path, report: &mut Report<'_>) -> Site {
    let folder = file.parent().unwrap_or(Path::new(""));
    let (site, cell) = (root.child("site"), root.child("site").number("cell_m").map(Metres));
    for name in ["crs", "cell_m"].into_iter().filter(|name| site.get(name).is_none()) {
        report.take_default(&site.path_of(name), "that of the elevation layer");
    }
    if site.get("halo_m").is_none() {
        report.take_default(&site.path_of("halo_m"), "as far as the layers look");
    }
    let layers = layers::read(root, folder, report);
    Site {
        file: file.to_path_buf(),
        name: site.text("name").unwrap_or_default(),
        crs: site.text("crs"),
        cell,
        halo: site.number("halo_m").map(Metres),
        keep_clear: keep_clear::read(root, folder, report),
        ground: rules::ground(root),
        zones: rules::zones(root, report),
        density: density::read(root, layers.cover.as_ref(), report),
        survival: rules::survival(root),
        mosaic: rules::mosaic(root, folder, report),
        layout: rules::layout(root),
        plots: rules::plots(root),
        order: rules::order(root, report),
        labour: rules::labour(root, report),
        eco_sourcing: rules::eco_sourcing(root),
        seed: seed::read(root, layers.cover.as_ref(), report),
        calendar: calendar::read(root),
        money: money::read(root, folder, report),
        season: season::read(root, folder, layers.cover.as_ref(), report),
        cover: cover::read(root, report),
        chances: chances::read(root, report),
        eligibility: eligibility::read(root, folder, report),
        stock: root.child("stock").file_in(folder, "file").unwrap_or_default(),
        layers,
        defaults: vec![],
    }
}
