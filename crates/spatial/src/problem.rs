//! What is wrong with an input, said so that the reader can mend it.

use std::path::{Path, PathBuf};
use std::{fmt, io};

use serde::Serialize;

/// How much a problem matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The plan can be made, and this should be looked at.
    Warning,
    /// The plan cannot be made.
    Error,
}

/// One thing wrong: the file, the item in it, what was found, what was expected, the remedy.
///
/// On screen it reads
/// ```text
/// sample-layers/site.toml:14:1 zones.min_area
///   found     an unknown key
///   expected  one of the keys of [zones]
///   remedy    did you mean `min_area_ha`?
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// How much it matters.
    pub severity: Severity,
    /// The file, when there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<PathBuf>,
    /// Line and column in the file, both from 1, for text files.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<(usize, usize)>,
    /// The layer, field, row, key or option concerned.
    pub item: String,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What to do about it.
    pub remedy: String,
}

impl Problem {
    /// A file of work in hand that the disk refuses.
    pub(crate) fn of_working_file(path: &Path, error: &io::Error) -> Self {
        Self::error("working file")
            .file(path)
            .found(error.to_string())
            .expected("room on the disk beside the output folder")
            .remedy("free some, or write to another disk")
    }

    /// An error about one item.
    pub fn error(item: impl Into<String>) -> Self {
        Self {
            severity: Severity::Error,
            file: None,
            place: None,
            item: named(item.into()),
            found: String::new(),
            expected: String::new(),
            remedy: String::new(),
        }
    }

    /// A warning about one item.
    pub fn warning(item: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(item) }
    }

    /// Names the file.
    #[must_use]
    pub fn file(mut self, file: impl AsRef<Path>) -> Self {
        self.file = Some(file.as_ref().to_path_buf());
        self
    }

    /// Names a file where none is named.
    #[must_use]
    pub(crate) fn of_file(self, file: &Path) -> Self {
        if self.file.is_some() { self } else { self.file(file) }
    }

    /// Names the line and column, both from 1.
    #[must_use]
    pub fn place(mut self, line: usize, column: usize) -> Self {
        self.place = Some((line, column));
        self
    }

    /// Says what was found.
    #[must_use]
    pub fn found(mut self, found: impl Into<String>) -> Self {
        self.found = shown(found.into());
        self
    }

    /// Says what was expected.
    #[must_use]
    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = shown(expected.into());
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = shown(remedy.into());
        self
    }

    /// The same with its file named as outputs name files: no path of the machine goes into them.
    #[must_use]
    pub fn named_from(mut self, folder: &Path) -> Self {
        self.file = self.file.map(|file| named_from(&file, folder));
        self
    }

    /// Whether it stops the plan.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// The item concerned as it is told: one without a name is quoted.
fn named(item: String) -> String {
    if item.is_empty() { "\"\"".to_owned() } else { shown(item) }
}

/// Longest text that is told of one thing, characters: nobody reads more of it.
const LONGEST: usize = 2_000;

/// A text as it is told: cut where it runs on, and without characters that would steer a terminal. What was found may
/// be anything.
fn shown(mut text: String) -> String {
    if let Some((end, _)) = text.char_indices().nth(LONGEST) {
        text.truncate(end);
        text.push('…');
    }
    let steers = |letter: char| letter.is_control() && letter != '\n' && letter != '\t';
    if text.contains(steers) { text.replace(steers, "\u{fffd}") } else { text }
}

/// A file as outputs name it: relative to a folder, or by its name alone.
pub(crate) fn named_from(file: &Path, folder: &Path) -> PathBuf {
    match file.strip_prefix(folder) {
        Ok(inside) => inside.to_path_buf(),
        Err(_) if file.is_relative() => file.to_path_buf(),
        Err(_) => file.file_name().map_or_else(PathBuf::new, PathBuf::from),
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(file) = &self.file {
            write!(f, "{}", file.display())?;
            if let Some((line, column)) = self.place {
                write!(f, ":{line}:{column}")?;
            }
            write!(f, " ")?;
        }
        write!(f, "{}", self.item)?;
        for (label, text) in
            [("found", &self.found), ("expected", &self.expected), ("remedy", &self.remedy)]
        {
            if !text.is_empty() {
                write!(f, "\n  {label:<9} {text}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

impl From<Problem> for Vec<Problem> {
    fn from(problem: Problem) -> Self {
        vec![problem]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_found_neither_fills_nor_steers_the_screen() {
        let found = format!("`\u{1b}[2J\u{7}{}`", "ā".repeat(1 << 20));
        let problem = Problem::error("cell\0").found(found).expected("a\tb").remedy("c\nd");
        assert_eq!(problem.found.chars().count(), LONGEST + 1);
        assert!(problem.found.starts_with("`\u{fffd}[2J\u{fffd}ā") && problem.found.ends_with('…'));
        assert_eq!(problem.item, "cell\u{fffd}");
        assert_eq!((&*problem.expected, &*problem.remedy), ("a\tb", "c\nd"));
    }

    #[test]
    fn a_key_without_a_name_is_told_all_the_same() {
        assert_eq!(Problem::error("").item, "\"\"");
    }
}
