//! A report before it is a page or a sheet: sections of pieces, the same for both.

use crate::form::NOT_KNOWN;
use crate::record::Cell;

/// A report.
#[derive(Debug, Clone)]
pub(crate) struct Document {
    /// Name of the property.
    pub(crate) property: String,
    /// What it is, under the name.
    pub(crate) subtitle: String,
    /// What every page bears at its foot.
    pub(crate) foot: String,
    /// Its parts; the first fits a page.
    pub(crate) sections: Vec<Section>,
    /// Map sheets.
    pub(crate) sheets: Vec<Sheet>,
}

impl Document {
    /// Every text of it that stands in the PDF, but for those of charts and sheets, which stand in tables too.
    pub(crate) fn texts(&self) -> impl Iterator<Item = &str> {
        let pieces = self.sections.iter().flat_map(|section| &section.pieces);
        let head = [&self.property, &self.subtitle, &self.foot].map(String::as_str);
        head.into_iter().chain(pieces.flat_map(Piece::texts))
    }
}

/// A part of a report.
#[derive(Debug, Clone)]
pub(crate) struct Section {
    /// Its name in links, `[a-z]+`.
    pub(crate) id: &'static str,
    /// Its heading.
    pub(crate) title: &'static str,
    /// What it holds.
    pub(crate) pieces: Vec<Piece>,
}

/// Something in a section.
#[derive(Debug, Clone)]
pub(crate) enum Piece {
    /// A heading below that of the section.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph with words that come from records.
    Said(Vec<Cell>),
    /// A paragraph in small type.
    Note(String),
    /// A paragraph that must be seen.
    Mind(String),
    /// A list: what each item is about, and what is said.
    List(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// A picture across the page.
    Picture(Picture),
    /// The map sheets; on pages of their own in print.
    Sheets,
}

impl Piece {
    fn texts(&self) -> Vec<&str> {
        match self {
            Self::Heading(words) | Self::Text(words) | Self::Note(words) | Self::Mind(words) => {
                vec![words]
            }
            Self::Said(cells) => cells.iter().map(|cell| cell.text.as_str()).collect(),
            Self::List(items) => {
                items.iter().flat_map(|(about, words)| [about.as_str(), words]).collect()
            }
            Self::Table(table) => {
                let heads = table.columns.iter().map(|column| column.head.as_str());
                let cells = table.rows.iter().flatten().map(|cell| cell.text.as_str());
                std::iter::once(table.caption.as_str()).chain(heads).chain(cells).collect()
            }
            Self::Picture(picture) => vec![&picture.caption],
            Self::Sheets => Vec::new(),
        }
    }
}

/// A table.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    /// What it shows.
    pub(crate) caption: String,
    /// Its columns.
    pub(crate) columns: Vec<Column>,
    /// Its rows, a cell for each column.
    pub(crate) rows: Vec<Vec<Cell>>,
}

impl Table {
    /// Without a column in which nothing is known.
    pub(crate) fn without_unknown(mut self, head: &str) -> Self {
        if let Some(at) = self.columns.iter().position(|column| column.head == head)
            && self.rows.iter().all(|row| row.get(at).is_none_or(|cell| cell.text == NOT_KNOWN))
        {
            self.columns.remove(at);
            for row in &mut self.rows {
                row.remove(at);
            }
        }
        self
    }
}

/// A column of a table.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    /// Its heading, with the unit.
    pub(crate) head: String,
    /// Whether it holds numbers, which stand at the right.
    pub(crate) is_number: bool,
    /// Its part of the width, against the others.
    pub(crate) width: f64,
}

impl Column {
    /// A column of words.
    pub(crate) fn words(head: &str, width: f64) -> Self {
        Self { head: head.to_owned(), is_number: false, width }
    }

    /// A column of numbers.
    pub(crate) fn numbers(head: &str, width: f64) -> Self {
        Self { head: head.to_owned(), is_number: true, width }
    }
}

/// A drawing.
#[derive(Debug, Clone)]
pub(crate) struct Picture {
    /// SVG, one element, with a `viewBox` and no `id` that another picture has.
    pub(crate) svg: String,
    /// Width and height of its `viewBox`.
    pub(crate) size: [f64; 2],
    /// What it shows, for those who cannot see it and for all.
    pub(crate) caption: String,
}

/// A map on a sheet of its own.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    /// What it shows.
    pub(crate) title: String,
    /// SVG of the whole sheet, lengths in millimetres, without its pictures of cells.
    pub(crate) svg: SheetSvg,
    /// Width and height, millimetres.
    pub(crate) size_mm: [f64; 2],
    /// What it shows, for those who cannot see it.
    pub(crate) words: String,
}

/// A sheet in parts, so that a picture that several sheets share is stored once in a page.
#[derive(Debug, Clone)]
pub(crate) struct SheetSvg {
    /// Up to the picture of cells.
    pub(crate) before: String,
    /// Pictures of cells, in drawing order.
    pub(crate) images: Vec<Image>,
    /// After it.
    pub(crate) after: String,
}

/// A picture of cells.
#[derive(Debug, Clone)]
pub(crate) struct Image {
    /// Its name; equal names are equal pictures in equal places.
    pub(crate) id: String,
    /// PNG as a `data:` address.
    pub(crate) data: String,
    /// Left, top, width and height on the sheet, millimetres.
    pub(crate) place_mm: [f64; 4],
}
