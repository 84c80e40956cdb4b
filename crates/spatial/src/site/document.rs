//! The text of a site file as TOML, and where in it each byte stands.

use std::ops::Range;
use std::path::Path;

use toml_edit::{Document, TomlError};

use crate::problem::Problem;

/// Longest piece of the text that a message repeats, characters.
const QUOTED: usize = 40;

/// The text of a file with the place of each of its lines.
pub(crate) struct Places<'t> {
    text: &'t str,
    /// Byte at which each line begins.
    lines: Vec<usize>,
}

impl<'t> Places<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        let ends = text.match_indices('\n').map(|(newline, _)| newline + 1);
        Self { text, lines: std::iter::once(0).chain(ends).collect() }
    }

    /// Line and column of a byte, both from 1; columns count characters.
    pub(crate) fn place(&self, byte: usize) -> (usize, usize) {
        let byte = self.text.floor_char_boundary(byte.min(self.text.len()));
        let line = self.lines.partition_point(|start| *start <= byte);
        let start = line.checked_sub(1).and_then(|index| self.lines.get(index)).copied();
        let before = self.text.get(start.unwrap_or(0)..byte).unwrap_or_default();
        (line, before.trim_start_matches('\u{feff}').chars().count() + 1)
    }

    /// A piece of the first line of the span as it stands in the text, cut when long.
    pub(super) fn quote(&self, span: Range<usize>) -> String {
        let piece = self.text.get(span).unwrap_or_default().trim();
        let line = piece.lines().next().unwrap_or_default();
        let cut = line.char_indices().nth(QUOTED).map(|(end, _)| end);
        if cut.is_none() && line.len() == piece.len() {
            return line.to_owned();
        }
        format!("{}…", line.get(..cut.unwrap_or(line.len())).unwrap_or_default())
    }
}

/// Reads a text as TOML.
///
/// # Errors
/// One problem, at the place where the text stops being TOML.
pub(crate) fn read<'t>(text: &'t str, file: &Path) -> Result<Document<&'t str>, Vec<Problem>> {
    Document::parse(text).map_err(|error| syntax_problem(text, file, &error).into())
}

fn syntax_problem(text: &str, file: &Path, error: &TomlError) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let places = Places::new(text);
    let (line, column) = places.place(span.start);
    let (found, remedy) = at_value(text, span.start)
        .unwrap_or_else(|| (error.message(), syntax_remedy(error.message())));
    let near = places.quote(span);
    let item = if near.is_empty() { "TOML".to_owned() } else { format!("TOML at `{near}`") };
    let problem = Problem::error(item).file(file).place(line, column).found(found);
    problem.expected("TOML: `key = value` lines under [table] headings").remedy(remedy)
}

/// What was found and what to do where a value should stand and none or a bare word does, which
/// the parser's own words do not say plainly.
fn at_value(text: &str, at: usize) -> Option<(&'static str, &'static str)> {
    let before = text.get(..at)?.trim_end_matches([' ', '\t']);
    let after = text.get(at..)?;
    if before.ends_with(['=', '[', ',']) && after.starts_with(char::is_alphabetic) {
        return Some(("text without quotation marks", "put text in quotation marks: \"…\""));
    }
    let nothing = after.is_empty() || after.starts_with(['\n', '\r', '#']);
    (before.ends_with('=') && nothing).then_some(("no value", "write a value after the `=`"))
}

fn syntax_remedy(message: &str) -> &'static str {
    if message.contains("duplicate") {
        "keep one of the two, and take the other out"
    } else {
        "look at this line: text in quotation marks, lists in [ ], one `=` a line"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slow twin: count characters and lines from the beginning.
    fn slow_place(text: &str, byte: usize) -> (usize, usize) {
        let (mut line, mut column) = (1, 1);
        for (at, letter) in text.char_indices() {
            if at + letter.len_utf8() > byte {
                break;
            }
            (line, column) = if letter == '\n' { (line + 1, 1) } else { (line, column + 1) };
        }
        (line, column)
    }

    #[test]
    fn columns_count_characters_and_a_byte_order_mark_is_none() {
        let places = Places::new("\u{feff}a = 1\nā = 2");
        assert_eq!(places.place(3), (1, 1));
        assert_eq!(places.place(9), (2, 1));
        assert_eq!(places.place(12), (2, 3));
    }

    #[test]
    fn long_pieces_are_cut() {
        let text = "x".repeat(50);
        assert_eq!(Places::new(&text).quote(0..50).chars().count(), QUOTED + 1);
        assert_eq!(Places::new("[1,\n2]").quote(0..6), "[1,…");
        assert_eq!(Places::new("[1, 2]").quote(0..6), "[1, 2]");
    }

    proptest::proptest! {
        #[test]
        fn places_agree_with_counting(text in "[a\u{101}\n\r]{0,40}", byte in 0_usize..100) {
            proptest::prop_assert_eq!(
                Places::new(&text).place(byte),
                slow_place(&text, byte.min(text.len()))
            );
        }
    }
}
