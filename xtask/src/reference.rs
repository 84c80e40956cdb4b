//! Reference pages of the documentation and the files of `styles/`, made by the program from the tables in its code.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::cargo::{self, Profile};
use crate::stop::Stop;
use crate::{process, repository};

/// Page as the program names it, and its file.
const PAGES: [(&str, &str); 3] = [
    ("columns", "docs/data-dictionary.md"),
    ("site-keys", "docs/site-keys.md"),
    ("stock-keys", "docs/stock-keys.md"),
];

/// Folder of the style files: nothing else is in it.
const STYLES: &str = "styles";

/// Writes the pages, or only compares them with what is there.
pub(crate) fn run(check: bool) -> Result<(), Stop> {
    let program = cargo::build(Profile::Dev)?;
    let mut stale = Vec::new();
    for (page, file) in PAGES {
        let made = made(Command::new(&program).args(["reference", page]))?;
        if !settle(&repository::root().join(file), &made, check)? {
            stale.push(file.to_owned());
        }
    }
    let styles = made(Command::new(&program).args(["reference", "styles"]))?;
    stale.extend(settle_folder(&repository::root().join(STYLES), &split(&styles)?, check)?);
    if stale.is_empty() {
        return Ok(());
    }
    let pages = stale.join(", ");
    Err(Stop::finding(format!("not as the code says: {pages}. Run `cargo xtask docs`.")))
}

/// Files that stand one after another, each after a line `==> NAME <==`.
fn split(bundle: &str) -> Result<Vec<(&str, &str)>, Stop> {
    let unreadable = || Stop::finding("`reference styles` prints no files".to_owned());
    let mut files = Vec::new();
    for part in bundle.split("==> ").skip(1) {
        let (name, text) = part.split_once(" <==\n").ok_or_else(unreadable)?;
        if name.is_empty() || name.contains(['/', '\\']) {
            return Err(unreadable());
        }
        files.push((name, text));
    }
    if files.is_empty() { Err(unreadable()) } else { Ok(files) }
}

/// Names of files of a folder that are not as they were made, strangers among them. They are written, and
/// strangers removed, unless only a check was asked for.
fn settle_folder(folder: &Path, files: &[(&str, &str)], check: bool) -> Result<Vec<String>, Stop> {
    let mut stale = Vec::new();
    for (name, text) in files {
        if !settle(&folder.join(name), text, check)? {
            stale.push(format!("{STYLES}/{name}"));
        }
    }
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if files.iter().any(|(known, _)| *known == name) {
            continue;
        }
        if check {
            stale.push(format!("{STYLES}/{name}"));
        } else {
            fs::remove_file(entry.path())
                .map_err(|error| Stop::unusable(entry.path().display(), &error))?;
        }
    }
    Ok(stale)
}

/// A page as the program prints it, which is never nothing.
fn made(command: &mut Command) -> Result<String, Stop> {
    let page = process::capture(command)?;
    if page.trim().is_empty() {
        return Err(Stop::finding(format!("printed nothing: {}", process::line(command))));
    }
    Ok(page)
}

/// Whether the file holds the page now. It is written unless only a check was asked for.
fn settle(file: &Path, made: &str, check: bool) -> Result<bool, Stop> {
    let current = fs::read_to_string(file).is_ok_and(|text| text == made);
    if current || check {
        return Ok(current);
    }
    repository::write(file, made)?;
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_page_is_refused() {
        assert!(made(&mut Command::new("true")).unwrap_err().message().contains("nothing: true"));
        assert_eq!(made(Command::new("echo").arg("page")), Ok("page\n".to_owned()));
    }

    #[test]
    fn a_bundle_is_split_into_its_files() {
        let files = split("==> a.sld <==\none\ntwo\n==> b <==\nthree\n").unwrap();
        assert_eq!(files, [("a.sld", "one\ntwo\n"), ("b", "three\n")]);
        for bad in ["", "text", "==> ../a <==\nx", "==> a"] {
            assert!(split(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_folder_holds_what_was_made_and_no_stranger() {
        let folder = std::env::temp_dir().join(format!("xtask-styles-{}", std::process::id()));
        let files = [("a", "1"), ("b", "2")];
        assert_eq!(settle_folder(&folder, &files, true).unwrap(), ["styles/a", "styles/b"]);
        assert_eq!(settle_folder(&folder, &files, false).unwrap().len(), 0);
        fs::write(folder.join("old"), "").unwrap();
        assert_eq!(settle_folder(&folder, &files, true).unwrap(), ["styles/old"]);
        assert_eq!(settle_folder(&folder, &files, false).unwrap().len(), 0);
        assert!(!folder.join("old").exists());
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn a_check_finds_stale_pages_and_writes_nothing() {
        let folder = std::env::temp_dir().join(format!("xtask-page-{}", std::process::id()));
        let file = folder.join("page.md"); // in a folder that is not there yet
        assert_eq!(settle(&file, "new", true), Ok(false), "no page yet");
        assert!(!file.exists());
        assert_eq!(settle(&file, "new", false), Ok(true));
        assert_eq!(settle(&file, "new", true), Ok(true));
        assert_eq!(settle(&file, "newer", true), Ok(false));
        assert_eq!(fs::read_to_string(&file).unwrap(), "new");
        fs::remove_dir_all(folder).unwrap();
    }
}
