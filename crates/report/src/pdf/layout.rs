//! Pieces on A4 pages, each page an SVG in millimetres.

use palette::escaped;
use spatial::problem::Problem;

use crate::document::{Document, Picture, Piece, Section, Sheet, Table};
use crate::font::{FAMILY, MM, Metrics};
use crate::text::put;

/// A page, upright.
const A4_MM: [f64; 2] = [210.0, 297.0];
/// Left and right of the text.
const SIDE_MM: f64 = 16.0;
/// Above it.
const ABOVE_MM: f64 = 16.0;
/// Below it, where the foot stands.
const BELOW_MM: f64 = 18.0;
/// Height of a line over the size of its letters.
const LEADING: f64 = 1.32;

/// Size of letters in a table.
const CELL_PT: f64 = 7.8;
/// Height of a line in a table.
const CELL_MM: f64 = CELL_PT * MM * LEADING;
/// Between columns.
const GAP_MM: f64 = 2.2;
/// Sizes at which the summary is tried.
const SCALES: [f64; 4] = [1.0, 0.9, 0.8, 0.7];
/// Room that a heading asks for with what follows it.
const SECTION_MM: f64 = 64.0;

/// A page, or a sheet.
pub(super) struct Leaf {
    /// Width and height.
    pub(super) size_mm: [f64; 2],
    /// SVG, lengths in millimetres.
    pub(super) svg: String,
}

/// Where a section begins.
pub(super) struct Mark {
    pub(super) title: String,
    /// Page, from 0.
    pub(super) page: usize,
    /// Distance from its upper edge.
    pub(super) top_mm: f64,
}

/// A report on pages.
pub(super) struct Laid {
    pub(super) leaves: Vec<Leaf>,
    pub(super) marks: Vec<Mark>,
}

/// Puts a report on pages.
///
/// # Errors
/// When a font cannot be read, a fault of the program.
pub(super) fn laid(document: &Document) -> Result<Laid, Problem> {
    let mut sections = document.sections.iter();
    let summary = sections.next();
    // The summary has a page of its own: it is drawn smaller where it is long.
    let mut pen = Pen::new()?;
    for scale in SCALES {
        pen = Pen { scale, ..Pen::new()? };
        pen.name(&document.property);
        pen.paragraph(&document.subtitle, 11.0, false, 3.0);
        if let Some(summary) = summary {
            pen.section(summary, &document.sheets);
        }
        if pen.done.is_empty() {
            break;
        }
    }
    pen.turn();
    pen.scale = 1.0;
    for section in sections {
        pen.section(section, &document.sheets);
    }
    pen.turn();
    Ok(pen.finished(&document.foot))
}

struct Pen<'f> {
    regular: Metrics<'f>,
    bold: Metrics<'f>,
    done: Vec<Leaf>,
    page: String,
    y: f64,
    marks: Vec<Mark>,
    /// Size of what is drawn, against the usual.
    scale: f64,
}

impl Pen<'static> {
    fn new() -> Result<Self, Problem> {
        let [regular, bold] = Metrics::both()?;
        let (done, page, marks) = (Vec::new(), String::new(), Vec::new());
        Ok(Self { regular, bold, done, page, y: ABOVE_MM, marks, scale: 1.0 })
    }
}

impl Pen<'_> {
    /// Height of a page, before it is drawn smaller.
    fn high_mm(&self) -> f64 {
        A4_MM[1] / self.scale
    }

    /// Width of the text, before it is drawn smaller.
    fn wide_mm(&self) -> f64 {
        A4_MM[0] / self.scale - 2.0 * SIDE_MM
    }

    fn metrics(&self, is_bold: bool) -> &Metrics<'_> {
        if is_bold { &self.bold } else { &self.regular }
    }

    fn put(&mut self, words: std::fmt::Arguments<'_>) {
        put(&mut self.page, words);
    }

    /// Begins a new page, unless this one is empty.
    fn turn(&mut self) {
        if !self.page.is_empty() {
            let mut svg = std::mem::take(&mut self.page);
            if self.scale < 1.0 {
                svg = format!("<g transform=\"scale({})\">\n{svg}</g>\n", self.scale);
            }
            self.done.push(Leaf { size_mm: A4_MM, svg });
        }
        self.y = ABOVE_MM;
    }

    /// Begins a new page where less than this is left; says whether it did.
    fn need(&mut self, high_mm: f64) -> bool {
        let turns = self.y + high_mm > self.high_mm() - BELOW_MM && self.y > ABOVE_MM;
        if turns {
            self.turn();
        }
        turns
    }

    /// Words at a place.
    fn words(&mut self, words: &str, [x, y]: [f64; 2], size_pt: f64, is_bold: bool) {
        let weight = if is_bold { " font-weight=\"700\"" } else { "" };
        let size = size_pt * MM;
        let words = escaped(words);
        self.put(format_args!(
            "<text x=\"{x:.3}\" y=\"{y:.3}\" font-size=\"{size:.3}\"{weight}>{words}</text>\n"
        ));
    }

    /// One line, moved in.
    fn line(&mut self, words: &str, size_pt: f64, is_bold: bool, indent_mm: f64) {
        let high = size_pt * MM * LEADING;
        self.need(high);
        let at = [SIDE_MM + indent_mm, self.y + size_pt * MM];
        self.words(words, at, size_pt, is_bold);
        self.y += high;
    }

    fn paragraph(&mut self, words: &str, size_pt: f64, is_bold: bool, after_mm: f64) {
        let lines = self.metrics(is_bold).lines(words, size_pt, self.wide_mm());
        for line in lines {
            self.line(&line, size_pt, is_bold, 0.0);
        }
        self.y += after_mm;
    }

    /// The name of the property: large, smaller where it is long, and never more than a few lines.
    fn name(&mut self, name: &str) {
        const SIZES_PT: [f64; 2] = [20.0, 12.0];
        const LINES: usize = 2;
        let is_short = self.bold.lines(name, SIZES_PT[0], self.wide_mm()).len() <= LINES;
        let size_pt = SIZES_PT[usize::from(!is_short)];
        for line in self.bold.lines_at_most(name, size_pt, self.wide_mm(), LINES) {
            self.line(&line, size_pt, true, 0.0);
        }
        self.y += 0.5;
    }

    fn section(&mut self, section: &Section, sheets: &[Sheet]) {
        if let [Piece::Sheets] = section.pieces[..] {
            return self.sheets(sheets);
        }
        self.need(SECTION_MM);
        self.y += 4.0;
        let mark = Mark {
            title: section.title.to_owned(),
            page: self.done.len(),
            top_mm: self.y * self.scale,
        };
        self.marks.push(mark);
        self.line(section.title, 15.0, true, 0.0);
        let y = self.y + 0.4;
        let across = self.wide_mm();
        self.put(format_args!(
            "<path d=\"M{SIDE_MM} {y:.3}h{across:.3}\" stroke=\"#616505\" stroke-width=\".7\"/>\n"
        ));
        self.y += 3.0;
        for piece in &section.pieces {
            match piece {
                Piece::Heading(words) => {
                    self.need(16.0);
                    self.y += 2.0;
                    self.line(words, 11.0, true, 0.0);
                    self.y += 0.8;
                }
                Piece::Text(words) => self.paragraph(words, 9.5, false, 2.0),
                Piece::Said(cells) => {
                    let words: String = cells.iter().map(|cell| cell.text.as_str()).collect();
                    self.paragraph(&words, 9.5, false, 2.0);
                }
                Piece::Note(words) => self.paragraph(words, 8.0, false, 2.0),
                Piece::Mind(words) => self.framed(words),
                Piece::List(items) => self.list(items),
                Piece::Table(table) => self.table(table),
                Piece::Picture(picture) => self.picture(picture),
                Piece::Sheets => self.sheets(sheets),
            }
        }
    }

    fn framed(&mut self, words: &str) {
        const PAD: f64 = 2.5;
        let lines = self.bold.lines(words, 9.5, self.wide_mm() - 2.0 * PAD);
        let high = lines.len() as f64 * 9.5 * MM * LEADING + 2.0 * PAD;
        self.need(high);
        let top = self.y;
        let across = self.wide_mm();
        self.put(format_args!(
            "<rect x=\"{SIDE_MM}\" y=\"{top:.3}\" width=\"{across:.3}\" height=\"{high:.3}\" fill=\"none\" \
             stroke=\"#222\" stroke-width=\".5\"/>\n"
        ));
        self.y += PAD;
        for line in lines {
            self.line(&line, 9.5, true, PAD);
        }
        self.y = top + high + 2.5;
    }

    fn list(&mut self, items: &[(String, String)]) {
        const INDENT: f64 = 4.0;
        const SIZE: f64 = 9.0;
        for (about, words) in items {
            let head = if about.is_empty() { String::new() } else { format!("{about}: ") };
            let wide = self.wide_mm() - INDENT;
            // The first line begins with what it is about, in bold, when that leaves room.
            let taken = self.bold.width_mm(&head, SIZE);
            let is_inline = taken < wide * 0.6;
            let mut lines = if is_inline {
                self.first_narrow(words, SIZE, wide - taken, wide)
            } else {
                self.regular.lines(words, SIZE, wide)
            };
            self.need(2.0 * SIZE * MM * LEADING);
            let dot = self.y + SIZE * MM * 0.68;
            self.put(format_args!(
                "<circle cx=\"{:.3}\" cy=\"{dot:.3}\" r=\".55\"/>\n",
                SIDE_MM + 1.4
            ));
            if is_inline && !head.is_empty() {
                let at = [SIDE_MM + INDENT, self.y + SIZE * MM];
                self.words(head.trim_end(), at, SIZE, true);
                let first = if lines.is_empty() { String::new() } else { lines.remove(0) };
                self.line(&first, SIZE, false, INDENT + taken);
            } else if !head.is_empty() {
                for line in self.bold.lines(head.trim_end(), SIZE, wide) {
                    self.line(&line, SIZE, true, INDENT);
                }
            }
            for line in lines {
                self.line(&line, SIZE, false, INDENT);
            }
            self.y += 0.8;
        }
        self.y += 1.5;
    }

    /// Lines of which the first is narrower.
    fn first_narrow(&self, words: &str, size_pt: f64, first_mm: f64, wide_mm: f64) -> Vec<String> {
        let all: Vec<&str> = words.split_whitespace().collect();
        let fits =
            |count: &usize| self.regular.width_mm(&all[..*count].join(" "), size_pt) <= first_mm;
        let count = (0..=all.len()).take_while(fits).last().unwrap_or(0);
        let mut lines = vec![all[..count].join(" ")];
        if count < all.len() {
            lines.extend(self.regular.lines(&all[count..].join(" "), size_pt, wide_mm));
        }
        lines
    }

    fn table(&mut self, table: &Table) {
        let wide = self.widths(table);
        let broken = |pen: &Self, words: &str, at: usize, is_bold: bool| {
            pen.metrics(is_bold).lines(words, CELL_PT, wide[at] - GAP_MM)
        };
        let heads: Vec<Vec<String>> = table
            .columns
            .iter()
            .enumerate()
            .map(|(at, column)| broken(self, &column.head, at, true))
            .collect();
        let head_high = heads.iter().map(Vec::len).max().unwrap_or(1) as f64 * CELL_MM + 1.4;
        self.need(head_high + 4.0 * CELL_MM + 8.0);
        self.paragraph(&table.caption, 8.6, true, 0.8);
        self.heads(table, &heads, &wide);
        for row in &table.rows {
            let cells: Vec<Vec<String>> = row
                .iter()
                .take(wide.len())
                .enumerate()
                .map(|(at, cell)| broken(self, &cell.text, at, false))
                .collect();
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1);
            if self.need(lines as f64 * CELL_MM + 1.2) {
                self.heads(table, &heads, &wide);
            }
            self.row(table, &cells, &wide, false);
            let y = self.y + 0.3;
            let across = self.wide_mm();
            self.put(format_args!(
                "<path d=\"M{SIDE_MM} {y:.3}h{across:.3}\" stroke=\"#bbb\" stroke-width=\".15\"/>\n"
            ));
            self.y += 0.9;
        }
        self.y += 3.0;
    }

    /// Widths of columns: by their parts, but none narrower than its longest word, and none of numbers narrower
    /// than its longest number, as long as there is room.
    fn widths(&self, table: &Table) -> Vec<f64> {
        let longest = |at: usize| {
            let head = &table.columns[at].head;
            let heads = head.split_whitespace().map(|word| self.bold.width_mm(word, CELL_PT));
            let cells = table.rows.iter().filter_map(|row| row.get(at));
            let cells = cells.flat_map(|cell| {
                let is_whole = table.columns[at].is_number;
                let words: Vec<&str> = if is_whole {
                    vec![cell.text.as_str()]
                } else {
                    cell.text.split_whitespace().collect()
                };
                words
                    .into_iter()
                    .map(|word| self.regular.width_mm(word, CELL_PT))
                    .collect::<Vec<_>>()
            });
            // A word that is very long, such as a checksum, is parted.
            (heads.chain(cells).fold(0.0, f64::max) + GAP_MM + 0.2).min(self.wide_mm() * 0.4)
        };
        let least: Vec<f64> = (0..table.columns.len()).map(longest).collect();
        let parts: Vec<f64> = table.columns.iter().map(|column| column.width).collect();
        shared(&parts, &least, self.wide_mm())
    }

    fn heads(&mut self, table: &Table, heads: &[Vec<String>], wide: &[f64]) {
        self.row(table, heads, wide, true);
        let y = self.y + 0.4;
        let across = self.wide_mm();
        self.put(format_args!(
            "<path d=\"M{SIDE_MM} {y:.3}h{across:.3}\" stroke=\"#222\" stroke-width=\".35\"/>\n"
        ));
        self.y += 1.4;
    }

    /// Cells side by side; numbers end at the right of their column.
    fn row(&mut self, table: &Table, cells: &[Vec<String>], wide: &[f64], is_bold: bool) {
        let mut left = SIDE_MM;
        for ((lines, column), wide) in cells.iter().zip(&table.columns).zip(wide) {
            for (at, line) in lines.iter().enumerate() {
                let y = self.y + at as f64 * CELL_MM + CELL_PT * MM;
                let x = if column.is_number {
                    left + wide - GAP_MM - self.metrics(is_bold).width_mm(line, CELL_PT)
                } else {
                    left
                };
                self.words(line, [x, y], CELL_PT, is_bold);
            }
            left += wide;
        }
        self.y += cells.iter().map(Vec::len).max().unwrap_or(1) as f64 * CELL_MM;
    }

    fn picture(&mut self, picture: &Picture) {
        let [wide, high] = picture.size;
        let room = self.high_mm() - ABOVE_MM - BELOW_MM - 12.0;
        let scale = (self.wide_mm() / wide).min(room / high);
        let [wide_mm, high_mm] = [wide * scale, high * scale];
        self.need(high_mm + 8.0);
        let y = self.y;
        self.put(format_args!(
            "<svg x=\"{SIDE_MM}\" y=\"{y:.3}\" width=\"{wide_mm:.3}\" height=\"{high_mm:.3}\" \
             viewBox=\"0 0 {wide} {high}\">{}</svg>\n",
            picture.svg
        ));
        self.y += high_mm + 1.0;
        self.paragraph(&picture.caption, 8.0, false, 3.0);
    }

    /// Each map on a sheet of its own.
    fn sheets(&mut self, sheets: &[Sheet]) {
        if sheets.is_empty() {
            return;
        }
        self.turn();
        for sheet in sheets {
            let mark = Mark { title: sheet.title.clone(), page: self.done.len(), top_mm: 0.0 };
            self.marks.push(mark);
            let images = sheet.svg.images.iter().map(|image| {
                let [x, y, w, h] = image.place_mm;
                format!(
                    "<image x=\"{x:.3}\" y=\"{y:.3}\" width=\"{w:.3}\" height=\"{h:.3}\" \
                     preserveAspectRatio=\"none\" href=\"{}\"/>\n",
                    image.data
                )
            });
            let images: String = images.collect();
            let svg = format!("{}{images}{}", sheet.svg.before, sheet.svg.after);
            self.done.push(Leaf { size_mm: sheet.size_mm, svg });
        }
    }

    /// The pages with their feet.
    fn finished(self, foot: &str) -> Laid {
        let count = self.done.len();
        let Self { done, marks, regular, .. } = self;
        let leaf = |(at, leaf): (usize, Leaf)| {
            let [wide, high] = leaf.size_mm;
            let y = high - if wide > A4_MM[0] { 5.0 } else { 9.0 };
            let number = format!("{} of {count}", at + 1);
            let right = wide - SIDE_MM - regular.width_mm(&number, 7.5);
            let foot = regular.lines_at_most(foot, 7.0, right - SIDE_MM - 6.0, 2);
            let mut feet = String::new();
            for (line, words) in foot.iter().enumerate() {
                put(
                    &mut feet,
                    format_args!(
                        "<text x=\"{SIDE_MM}\" y=\"{:.3}\" font-size=\"{:.3}\" fill=\"#444\">{}</text>\n",
                        y + (line as f64 - (foot.len() - 1) as f64) * 2.9,
                        7.0 * MM,
                        escaped(words)
                    ),
                );
            }
            let svg = format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide} {high}\" width=\"{wide}mm\" \
                 height=\"{high}mm\" font-family=\"{FAMILY}\">\n{}{feet}<text x=\"{right:.3}\" y=\"{y:.3}\" \
                 font-size=\"{:.3}\" fill=\"#444\">{number}</text>\n</svg>\n",
                leaf.svg,
                7.5 * MM
            );
            Leaf { size_mm: leaf.size_mm, svg }
        };
        Laid { leaves: done.into_iter().enumerate().map(leaf).collect(), marks }
    }
}

/// Shares a width among columns by their parts, but gives each at least so much where there is enough for all.
fn shared(parts: &[f64], least: &[f64], wide: f64) -> Vec<f64> {
    let all: f64 = least.iter().sum();
    if all >= wide {
        return least.iter().map(|one| one / all * wide).collect();
    }
    // Columns that their part leaves too narrow get their least; the others share the rest.
    let mut is_held = vec![false; parts.len()];
    loop {
        let sum = |held: bool, of: &[f64]| -> f64 {
            of.iter().zip(&is_held).filter(|(_, is)| **is == held).map(|(one, _)| one).sum()
        };
        let (rest, free) = (wide - sum(true, least), sum(false, parts));
        let width = |at: usize| {
            if is_held[at] { least[at] } else { parts[at] / free * rest }
        };
        let widths: Vec<f64> = (0..parts.len()).map(width).collect();
        let narrow = (0..parts.len()).find(|at| !is_held[*at] && widths[*at] < least[*at]);
        match narrow {
            Some(at) => is_held[at] = true,
            None => return widths,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde_json::json;

    use super::*;
    use crate::sections::sections;
    use crate::sections::tests::dossier;

    const WIDE_MM: f64 = A4_MM[0] - 2.0 * SIDE_MM;

    /// A name without a place to part it, and one of many words.
    #[test]
    fn a_long_name_stays_on_the_page() {
        for name in ["Longname".repeat(40), "a long name ".repeat(40)] {
            let document = Document {
                property: name.clone(),
                subtitle: String::new(),
                foot: name,
                sections: Vec::new(),
                sheets: Vec::new(),
            };
            let laid = laid(&document).unwrap();
            let [regular, bold] = Metrics::both().unwrap();
            let svg = &laid.leaves[0].svg;
            let mut held = 0;
            for text in svg.split("<text ").skip(1) {
                let number = |name: &str| -> f64 {
                    text.split_once(&format!("{name}=\""))
                        .unwrap()
                        .1
                        .split_once('"')
                        .unwrap()
                        .0
                        .parse()
                        .unwrap()
                };
                let metrics = if text.contains("font-weight") { &bold } else { &regular };
                let words = text.split_once('>').unwrap().1.split_once('<').unwrap().0;
                let end = number("x") + metrics.width_mm(words, number("font-size") / MM);
                assert!(end <= A4_MM[0] - SIDE_MM + 0.1, "{words} ends at {end}");
                assert!(number("y") < A4_MM[1], "{words}");
                held += 1;
            }
            assert!((4..8).contains(&held), "{held} lines of name and foot");
        }
    }

    /// As much as a plan can have: 30 lines with long names, each short over several winters, and many distances
    /// within which to ask first.
    #[test]
    fn the_summary_of_a_large_plan_is_one_page() {
        let name =
            |at: usize| format!("{at} a line whose name is as long as names of lines may well be");
        let line = |at: usize| json!({"name": name(at), "stock_kind": "seed_line", "plan_area_ha": at, "seedlings": 1000, "order_qty": 1200});
        let order = |at: usize| json!({"stock_name": name(at), "season": 2028, "needed": 1300, "order_qty": 1200, "chance": 0.5, "held_back_by": "supply"});
        let caution = |about: String| json!({"about": about, "zones": (0..12).map(|at| format!("Z{at:03}")).collect::<Vec<_>>(), "plan_area_ha": 9.0, "text": "what is asked first of whom, and what is kept away from it, ".repeat(4)});
        let steep = |slope: usize| json!({"about": format!("slopes over {slope}°"), "zones": ["Z001"], "plan_area_ha": 9.0, "text": "people and machines of one kind or another need a site safety plan here; local rules and licensed people decide"});
        let asks =
            (0..10).map(|at| format!("within 20 m of a thing of which there are ten, number {at}"));
        let others = asks.chain(["fire".to_owned()]).map(caution);
        let cautions: Vec<_> = [15, 22, 35].map(steep).into_iter().chain(others).collect();
        let plan = json!({
            "totals": {"seedlings": 30_000},
            "orders": (0..30).map(line).collect::<Vec<_>>(),
            "line_orders": (0..30).map(order).collect::<Vec<_>>(),
            "seasons": [{"seedlings": 1}, {"seedlings": 1}, {"seedlings": 1}],
            "cautions": cautions,
        });
        let document = Document {
            property: "A property with a long name ".repeat(10),
            subtitle: "Planting plan".to_owned(),
            foot: "foot".to_owned(),
            sections: sections(&dossier(plan)),
            sheets: Vec::new(),
        };
        let laid = laid(&document).unwrap();
        assert_eq!(laid.marks[0].page, 0);
        assert_eq!(laid.marks[1].page, 1, "{}", laid.leaves[1].svg);
    }

    proptest! {
        #[test]
        fn columns_fill_the_width_and_none_is_too_narrow(
            columns in proptest::collection::vec((0.1_f64..50.0, 1.0_f64..40.0), 1..12),
        ) {
            let (parts, least): (Vec<f64>, Vec<f64>) = columns.into_iter().unzip();
            let widths = shared(&parts, &least, WIDE_MM);
            prop_assert!((widths.iter().sum::<f64>() - WIDE_MM).abs() < 1e-6);
            if least.iter().sum::<f64>() < WIDE_MM {
                for (width, least) in widths.iter().zip(&least) {
                    prop_assert!(*width >= least - 1e-9);
                }
            }
        }
    }
}
