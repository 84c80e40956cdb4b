//! Faults gathered while a text is read.

use crate::StockFault;
use crate::columns::name_of;

/// Faults that are listed; the others are counted. A slip in every row would fill the screen.
const MOST_FAULTS: usize = 200;

/// What is wrong, before its place in the text is worked out.
pub(super) struct Wrong {
    pub(super) item: String,
    pub(super) found: String,
    pub(super) expected: String,
    pub(super) remedy: String,
}

/// Where a piece of TOML that was made from a CSV cell comes from.
pub(super) struct Cell {
    /// Byte of the TOML where it begins.
    pub(super) start: usize,
    /// Line of the CSV, from 1.
    pub(super) line: usize,
    /// Column of the CSV, from 1.
    pub(super) column: usize,
}

/// The text and the faults found in it so far.
pub(super) struct Faults<'t> {
    text: &'t str,
    /// When the text was made from CSV: its pieces in order.
    cells: Option<Vec<Cell>>,
    found: Vec<StockFault>,
    left_out: usize,
}

impl<'t> Faults<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        Self { text, cells: None, found: Vec::new(), left_out: 0 }
    }

    /// Of a text that was made from cells; faults are told by theirs.
    pub(super) fn of_cells(text: &'t str, cells: Vec<Cell>) -> Self {
        Self { text, cells: Some(cells), found: Vec::new(), left_out: 0 }
    }

    /// Whether the reader's own file is CSV.
    pub(super) fn is_csv(&self) -> bool {
        self.cells.is_some()
    }

    /// Adds a fault at a byte of the text.
    pub(super) fn report(&mut self, at: usize, wrong: Wrong) {
        if self.is_full() {
            return; // where it is would be looked for in vain
        }
        let Some(cells) = &self.cells else {
            let (line, column) = place(self.text, at);
            return self.report_at(line, column, wrong);
        };
        let after = cells.partition_point(|cell| cell.start <= at);
        let (line, column) =
            cells.get(after.saturating_sub(1)).map_or((1, 1), |cell| (cell.line, cell.column));
        self.report_at(line, column, Wrong { item: column_item(&wrong.item), ..wrong });
    }

    /// Adds a fault at a line and a column.
    pub(super) fn report_at(&mut self, line: usize, column: usize, wrong: Wrong) {
        if self.is_full() {
            return;
        }
        let Wrong { item, found, expected, remedy } = wrong;
        self.found.push(StockFault { line, column, item, found, expected, remedy });
    }

    /// Counts a fault for which there is no room.
    fn is_full(&mut self) -> bool {
        let is_full = self.found.len() >= MOST_FAULTS;
        self.left_out += usize::from(is_full);
        is_full
    }

    /// A piece of the text as it stands, cut at 40 characters.
    pub(super) fn quote(&self, bytes: std::ops::Range<usize>) -> String {
        let piece = self.text.get(bytes).unwrap_or_default();
        match piece.char_indices().nth(40) {
            Some((end, _)) => format!("{}…", piece.get(..end).unwrap_or_default()),
            None => piece.to_owned(),
        }
    }

    /// `value`, unless a fault was found; faults come in the order of the text.
    pub(super) fn or<T>(mut self, value: T) -> Result<T, Vec<StockFault>> {
        if self.found.is_empty() {
            return Ok(value);
        }
        self.found.sort();
        self.found.dedup();
        if let Some(last) = self.found.last().filter(|_| self.left_out > 0) {
            let (line, column) = (last.line, last.column);
            let found = format!("{} more faults, not listed", self.left_out);
            let [item, expected, remedy] =
                ["the rest of the file", "stock without a fault", "mend the ones above first"]
                    .map(str::to_owned);
            self.found.push(StockFault { line, column, item, found, expected, remedy });
        }
        Err(self.found)
    }
}

/// What a fault is about, its key named as the column is.
fn column_item(item: &str) -> String {
    match item.rsplit_once(", ") {
        Some((owner, path)) => format!("{owner}, {}", name_of(path)),
        None => item.to_owned(),
    }
}

/// Line and column of a byte, both from 1; columns count characters.
fn place(text: &str, at: usize) -> (usize, usize) {
    let mut end = at.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let before = text.get(..end).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    let line = before.matches('\n').count() + 1;
    (line, before.get(line_start..).unwrap_or_default().chars().count() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_every_row_is_listed_so_often_and_counted() {
        let text = "x\n".repeat(1_000);
        let mut faults = Faults::new(&text);
        for row in 0..1_000 {
            let [item, found, expected, remedy] = ["a", "b", "c", "d"].map(str::to_owned);
            faults.report(row * 2, Wrong { item, found, expected, remedy });
        }
        let told = faults.or(()).unwrap_err();
        assert_eq!((told.len(), told[MOST_FAULTS - 1].line), (MOST_FAULTS + 1, MOST_FAULTS));
        assert_eq!(told[MOST_FAULTS].found, "800 more faults, not listed");
    }

    #[test]
    fn places_count_characters_from_one() {
        let text = "mānuka = 1\n  x";
        assert_eq!(place(text, 0), (1, 1));
        assert_eq!(place(text, text.find('n').unwrap()), (1, 3));
        assert_eq!(place(text, 2), (1, 2), "inside ā");
        assert_eq!(place(text, text.find('x').unwrap()), (2, 3));
        assert_eq!(place(text, 999), (2, 4));
    }
}
