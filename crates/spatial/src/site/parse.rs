//! From a file or a text to a [`Site`], or to everything that is wrong with it.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::problem::Problem;
use crate::units::Metres;

use super::report::Report;
use super::section::Section;
use super::{Site, check, density, document, keep_clear, layers, rules};

/// Largest site file, bytes; a larger one is some other file.
const LARGEST: u64 = 4 << 20;

/// Name of the site file in the folder of a site.
const SITE_FILE: &str = "site.toml";

/// Reads a site file; a folder stands for the `site.toml` in it.
///
/// Files named in it are taken from its own folder. They are not opened here.
///
/// # Errors
/// Every problem found, with its line and column, in the order of the file. Beside a sound site
/// come its warnings.
pub fn load(file: &Path) -> Result<(Site, Vec<Problem>), Vec<Problem>> {
    let file = if file.is_dir() { file.join(SITE_FILE) } else { file.to_path_buf() };
    parse(&read(&file)?, &file)
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
    let layers = layers::read(root, folder, report);
    Site {
        file: file.to_path_buf(),
        name: site.text("name").unwrap_or_default(),
        crs: site.text("crs"),
        cell,
        halo: Metres(site.number("halo_m").unwrap_or_default()),
        keep_clear: keep_clear::read(root, folder, report),
        zones: rules::zones(root, report),
        density: density::read(root, layers.cover.as_ref(), report),
        survival: rules::survival(root),
        mosaic: rules::mosaic(root, report),
        stock: root.child("stock").file_in(folder, "file").unwrap_or_default(),
        layers,
        defaults: vec![],
    }
}

fn read(file: &Path) -> Result<String, Vec<Problem>> {
    let bytes = read_bytes(file)?;
    String::from_utf8(bytes).map_err(|error| {
        let sound = error.utf8_error().valid_up_to();
        let text = String::from_utf8_lossy(error.as_bytes().get(..sound).unwrap_or_default());
        let (line, column) = document::Places::new(&text).place(sound);
        let problem = Problem::error("text").file(file).place(line, column);
        let problem = problem.found("bytes that are not UTF-8").expected("text in UTF-8");
        problem.remedy("save the file as UTF-8 in your text editor").into()
    })
}

fn read_bytes(file: &Path) -> Result<Vec<u8>, Vec<Problem>> {
    let unreadable = |error: std::io::Error| vec![unreadable(file, &error)];
    let about = file.metadata().map_err(unreadable)?;
    let expected = format!("a site file: TOML, at most {} MB", LARGEST >> 20);
    let wrong = |found: &str| {
        let problem = Problem::error(SITE_FILE).file(file).found(found).expected(&expected);
        problem.remedy("name a `site.toml`, or the folder that it is in")
    };
    if !about.is_file() {
        return Err(wrong(if about.is_dir() { "a folder" } else { "not a plain file" }).into());
    }
    let mut bytes = Vec::new();
    let limited = File::open(file).map_err(unreadable)?.take(LARGEST + 1).read_to_end(&mut bytes);
    limited.map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST {
        return Err(wrong("a larger file").into());
    }
    Ok(bytes)
}

fn unreadable(file: &Path, error: &std::io::Error) -> Problem {
    let problem = Problem::error(SITE_FILE).file(file).found(error.to_string());
    let problem = problem.expected("a file that can be read");
    if error.kind() == std::io::ErrorKind::NotFound {
        problem.remedy(format!("check the name; {WRITE_NEW}"))
    } else {
        problem.remedy("check that you may read it")
    }
}
