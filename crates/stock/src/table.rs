//! Tables as spreadsheets write them.

use csv::{ReaderBuilder, StringRecord};

/// The rows of a CSV text that are not blank, each with the line on which it begins, from 1.
///
/// A byte order mark is passed over; the separator is the one that the first line has most of: a
/// comma, or a semicolon or tab as some spreadsheets write. Rows may differ in length.
///
/// ```
/// let rows = stock::table_rows("a;b\n\n1;\"2;3\"\n");
/// assert_eq!((rows[1].0, rows[1].1.get(1)), (3, Some("2;3")));
/// ```
#[must_use]
pub fn table_rows(text: &str) -> Vec<(usize, StringRecord)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter(text))
        .from_reader(text.as_bytes());
    let records = reader.records().flatten(); // only bad UTF-8 or a disk fails; this is a text
    let filled = records.filter(|record| record.iter().any(|cell| !cell.trim().is_empty()));
    filled.map(|record| (line_of(text, &record), record)).collect()
}

/// Line of a record, from 1; blank lines before it are not its own.
fn line_of(text: &str, record: &StringRecord) -> usize {
    let Some(position) = record.position() else { return 1 };
    let rest = text.get(position.byte() as usize..).unwrap_or_default();
    let blank = rest.bytes().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    position.line() as usize + blank.filter(|byte| *byte == b'\n').count()
}

/// The separator that the first line uses most: a comma, or a semicolon or tab as some spreadsheets
/// write.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let often = |byte: &u8| first.bytes().filter(|found| found == byte).count();
    // The last of equals wins, so the comma stands last.
    [b'\t', b';', b','].into_iter().max_by_key(often).unwrap_or(b',')
}
