//! The stock file: found, read in the form that its ending names, and written.

use std::path::{Path, PathBuf};

use stock::{Library, StockFault, StockForm};
use toml_edit::Document;

use crate::problem::Problem;
use crate::site::{self, SITE_FILE, TextFile};
use crate::write::write_text;

/// How messages speak of the stock file.
const STOCK_TEXT: TextFile = TextFile {
    item: "stock file",
    form: "TOML or CSV",
    instead: "name a stock file in `stock.file`",
    missing: "check `stock.file`; `hillweave new DIR` writes a commented one to begin with",
};

/// Reads a stock file: CSV when its name ends in `.csv`, TOML otherwise.
///
/// # Errors
/// Every fault of the file.
pub fn read(file: &Path) -> Result<Library, Vec<Problem>> {
    parse(&text(file)?, file)
}

/// The text of a stock file, not heard yet.
///
/// # Errors
/// When it is not there, too large, or no text in UTF-8.
pub(crate) fn text(file: &Path) -> Result<String, Problem> {
    STOCK_TEXT.read(file)
}

/// Reads the text of a stock file; `file` is named in messages, and its ending tells the form.
///
/// # Errors
/// Every fault of the text.
pub fn parse(text: &str, file: &Path) -> Result<Library, Vec<Problem>> {
    let form = StockForm::of(file).unwrap_or(StockForm::Toml);
    Library::read(form, text)
        .map_err(|faults| faults.iter().map(|fault| problem(file, fault)).collect())
}

fn problem(file: &Path, fault: &StockFault) -> Problem {
    Problem::error(fault.item.clone())
        .file(file)
        .place(fault.line, fault.column)
        .found(fault.found.clone())
        .expected(fault.expected.clone())
        .remedy(fault.remedy.clone())
}

/// The stock file that is meant by a site's folder, a site file or a stock file.
///
/// A TOML file is a stock file when it has a `[[stock]]`; when it is not sound, by its name.
///
/// # Errors
/// The problems of the site file, when a site is meant.
pub fn find(named: &Path) -> Result<PathBuf, Vec<Problem>> {
    let is_csv = StockForm::of(named) == Some(StockForm::Csv);
    if named.is_dir() || (!is_csv && is_site(named)?) {
        return site::load(named).map(|(site, _)| site.stock);
    }
    Ok(named.to_path_buf())
}

fn is_site(file: &Path) -> Result<bool, Problem> {
    let text = text(file)?;
    let named = file.file_name().is_some_and(|name| name == SITE_FILE);
    Ok(match Document::parse(text.as_str()) {
        Ok(document) => match document.get("stock") {
            Some(stock) => stock.as_array_of_tables().is_none() && stock.is_table_like(),
            None => named || ["site", "layers"].iter().any(|key| document.contains_key(key)),
        },
        Err(_) => named,
    })
}

/// Writes stock in the form that the target's ending names, whole or not at all.
///
/// # Errors
/// When the ending names no form, the target is there and may not be replaced, or the disk refuses.
pub fn write(library: &Library, target: &Path, overwrite: bool) -> Result<StockForm, Problem> {
    let Some(form) = StockForm::of(target) else {
        let found = target.extension().map_or_else(
            || "no ending".to_owned(),
            |ending| format!("the ending `.{}`", ending.to_string_lossy()),
        );
        let problem = Problem::error("--output").file(target).found(found);
        let problem = problem.expected("a file whose name ends in `.csv` or `.toml`");
        return Err(problem.remedy("name one, such as `stock.csv`"));
    };
    write_text(target, &library.write(form), overwrite)?;
    Ok(form)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_site_and_a_stock_file_are_told_apart() {
        let room = tempfile::tempdir().unwrap();
        let is_site_with = |name: &str, text: &str| {
            let file = room.path().join(name);
            fs::write(&file, text).unwrap();
            is_site(&file).unwrap()
        };
        assert!(!is_site_with("lines.toml", stock::STARTER));
        assert!(!is_site_with("site.toml", stock::STARTER), "content before name");
        assert!(is_site_with("farm.toml", "[stock]\nfile = \"stock.toml\"\n"));
        assert!(is_site_with("farm.toml", "[site]\nname = \"x\"\n"));
        assert!(is_site_with("site.toml", "[[[\n"));
        assert!(!is_site_with("lines.toml", "[[[\n"));
        assert!(!is_site_with("lines.toml", ""));
        assert!(is_site(&room.path().join("missing.toml")).is_err());
    }

    #[test]
    fn either_form_is_read_by_its_ending_and_written_by_it() {
        let room = tempfile::tempdir().unwrap();
        let library = Library::parse(stock::STARTER).unwrap();
        for name in ["lines.csv", "lines.toml", "lines.CSV"] {
            let file = room.path().join(name);
            write(&library, &file, false).unwrap();
            assert_eq!(read(&file).unwrap(), library);
            assert_eq!(find(&file).unwrap(), file);
            let refused = write(&library, &file, false).unwrap_err();
            assert!(refused.remedy.contains("--overwrite"), "{refused}");
            write(&library, &file, true).unwrap();
        }
        for name in ["lines", "lines.xlsx"] {
            let refused = write(&library, &room.path().join(name), true).unwrap_err();
            assert!(refused.expected.contains(".csv"), "{refused}");
        }
        let lost = room.path().join("lost/lines.csv");
        assert!(write(&library, &lost, true).is_err());
        assert_eq!(fs::read_dir(room.path()).unwrap().count(), 3, "no traces");
    }

    #[test]
    fn a_fault_of_a_row_is_a_problem_with_its_place() {
        let room = tempfile::tempdir().unwrap();
        let file = room.path().join("lines.csv");
        fs::write(&file, "id,name,kind,supply\na,A,cultivar,many\n").unwrap();
        let problems = read(&file).unwrap_err();
        assert_eq!((problems.len(), problems[0].place), (1, Some((2, 4))));
        assert_eq!(problems[0].item, "stock `a`, supply");
    }
}
