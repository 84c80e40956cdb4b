//! A text file, whole, with a limit to its size.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use super::document;
use crate::problem::Problem;

/// Largest file that is read, bytes: no file written by a person is larger.
const LARGEST: u64 = 4 << 20;

/// Largest sheet that is read, bytes: one that instruments fill grows longer, to a million rows.
pub(crate) const LARGEST_SHEET: u64 = 64 << 20;

/// A kind of text file, as messages speak of it.
pub(crate) struct TextFile {
    /// Its role: `site.toml`, `stock file`.
    pub item: &'static str,
    /// What is in it: `TOML`.
    pub form: &'static str,
    /// What to name instead of a folder or a stranger.
    pub instead: &'static str,
    /// What to do when it is not there.
    pub missing: &'static str,
}

impl TextFile {
    /// Reads a file as UTF-8.
    ///
    /// # Errors
    /// When it is not there, no plain file, too large, not to be read, or not UTF-8; then with the
    /// place of the first byte that is not.
    pub(crate) fn read(&self, file: &Path) -> Result<String, Problem> {
        self.read_up_to(file, LARGEST)
    }

    /// Reads a file as UTF-8 that may be as large as said, bytes.
    ///
    /// # Errors
    /// As [`TextFile::read`].
    pub(crate) fn read_up_to(&self, file: &Path, largest: u64) -> Result<String, Problem> {
        let bytes = self.bytes(file, largest)?;
        String::from_utf8(bytes).map_err(|error| {
            let sound = error.utf8_error().valid_up_to();
            let text = String::from_utf8_lossy(error.as_bytes().get(..sound).unwrap_or_default());
            let (line, column) = document::Places::new(&text).place(sound);
            let problem = Problem::error("text").file(file).place(line, column);
            let problem = problem.found("bytes that are not UTF-8").expected("text in UTF-8");
            problem.remedy("save the file as UTF-8 in your text editor")
        })
    }

    fn bytes(&self, file: &Path, largest: u64) -> Result<Vec<u8>, Problem> {
        let unreadable = |error: std::io::Error| self.unreadable(file, &error);
        let about = file.metadata().map_err(unreadable)?;
        let wrong = |found: &str| {
            let expected = format!("a {}: {}, at most {} MB", self.item, self.form, largest >> 20);
            let problem = Problem::error(self.item).file(file).found(found).expected(expected);
            problem.remedy(self.instead)
        };
        if !about.is_file() {
            return Err(wrong(if about.is_dir() { "a folder" } else { "not a plain file" }));
        }
        let mut bytes = Vec::new();
        let opened = File::open(file).map_err(unreadable)?;
        opened.take(largest + 1).read_to_end(&mut bytes).map_err(unreadable)?;
        if bytes.len() as u64 > largest {
            return Err(wrong("a larger file"));
        }
        Ok(bytes)
    }

    fn unreadable(&self, file: &Path, error: &std::io::Error) -> Problem {
        let problem = Problem::error(self.item).file(file).found(error.to_string());
        let problem = problem.expected("a file that can be read");
        if error.kind() == std::io::ErrorKind::NotFound {
            problem.remedy(self.missing)
        } else {
            problem.remedy("check that you may read it")
        }
    }
}
