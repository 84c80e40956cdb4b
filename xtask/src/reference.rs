//! Reference pages of the documentation, made by the program from the tables in its code.

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

/// Writes the pages, or only compares them with what is there.
pub(crate) fn run(check: bool) -> Result<(), Stop> {
    let program = cargo::build(Profile::Dev)?;
    let mut stale = Vec::new();
    for (page, file) in PAGES {
        let made = made(Command::new(&program).args(["reference", page]))?;
        if !settle(&repository::root().join(file), &made, check)? {
            stale.push(file);
        }
    }
    if stale.is_empty() {
        return Ok(());
    }
    let pages = stale.join(", ");
    Err(Stop::finding(format!("not as the code says: {pages}. Run `cargo xtask docs`.")))
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
