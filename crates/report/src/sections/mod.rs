//! The parts of a report, in the order in which they are read.

mod basis;
mod calendar;
mod cautions;
mod chances;
mod cover;
mod eligible;
mod money;
mod order;
mod season;
mod summary;
mod zones;

use spatial::problem::Problem;

use crate::document::{Column, Picture, Piece, Section, Table};
use crate::form::Form;
use crate::gather::{Dossier, Told};
use crate::record::{Cell, Record};
use crate::text::put;

/// Every part.
pub(crate) fn sections(dossier: &Dossier) -> Vec<Section> {
    vec![
        summary::summary(dossier),
        maps(dossier),
        zones::zones(dossier),
        order::order(dossier),
        calendar::calendar(dossier),
        season::season(dossier),
        cover::cover(dossier),
        money::money(dossier),
        chances::chances(dossier),
        eligible::eligible(dossier),
        basis::basis(dossier),
        cautions::cautions(dossier),
    ]
}

fn maps(dossier: &Dossier) -> Section {
    let mut pieces = Vec::new();
    if dossier.of_site.is_none() {
        pieces.push(Piece::Note(
            "Made from the plan alone: the shade of the land, slopes and cover are drawn where the site is given too."
                .to_owned(),
        ));
    }
    pieces.push(Piece::Sheets);
    Section { id: "maps", title: "Maps", pieces }
}

/// A column of a table over the rows of a record: heading, field and form.
struct Field {
    head: &'static str,
    name: &'static str,
    form: Form,
    width: f64,
}

impl Field {
    const fn new(head: &'static str, name: &'static str, form: Form, width: f64) -> Self {
        Self { head, name, form, width }
    }

    fn column(&self) -> Column {
        match self.form {
            Form::Text | Form::Words => Column::words(self.head, self.width),
            _ => Column::numbers(self.head, self.width),
        }
    }
}

/// A table of rows of a record, as a piece.
fn table(
    record: &Record,
    caption: impl Into<String>,
    rows: impl Iterator<Item = String>,
    fields: &[Field],
) -> Piece {
    Piece::Table(table_of(record, caption, rows, fields))
}

/// A table of rows of a record.
fn table_of(
    record: &Record,
    caption: impl Into<String>,
    rows: impl Iterator<Item = String>,
    fields: &[Field],
) -> Table {
    let cells = |row: String| -> Vec<Cell> {
        let cell = |field: &Field| record.cell(&format!("{row}/{}", field.name), field.form);
        fields.iter().map(cell).collect()
    };
    Table {
        caption: caption.into(),
        columns: fields.iter().map(Field::column).collect(),
        rows: rows.map(cells).collect(),
    }
}

/// Figures one below the other: what, how much, in what unit and on what basis, and where it stands.
struct Facts<'a> {
    rows: Vec<(&'a str, Cell, &'a str)>,
}

impl<'a> Facts<'a> {
    fn new() -> Self {
        Self { rows: Vec::new() }
    }

    fn add(&mut self, what: &'a str, record: &Record, pointer: &str, form: Form, unit: &'a str) {
        self.rows.push((what, record.cell(pointer, form), unit));
    }

    fn piece(self, caption: &str) -> Piece {
        let row = |(what, value, unit): (&str, Cell, &str)| {
            let place = value.from.clone().unwrap_or_default();
            vec![Cell::words(what), value, Cell::words(unit), Cell::words(place)]
        };
        Piece::Table(Table {
            caption: caption.to_owned(),
            columns: vec![
                Column::words("What", 34.0),
                Column::numbers("Figure", 14.0),
                Column::words("Unit and basis", 34.0),
                Column::words("Where it stands", 34.0),
            ],
            rows: self.rows.into_iter().map(row).collect(),
        })
    }
}

/// A part that a check fills, or why it does not.
fn told(
    of_check: Option<&Told>,
    what: &str,
    fill: impl FnOnce(&Record, &[String]) -> Vec<Piece>,
) -> Vec<Piece> {
    match of_check {
        Some(Ok((record, charts))) => fill(record, charts),
        Some(Err(problems)) => {
            let mut pieces = vec![Piece::Text(format!("{what} was not reckoned:"))];
            pieces.push(Piece::List(problems.iter().map(missing).collect()));
            pieces
        }
        None => vec![Piece::Text(format!(
            "{what} was not reckoned: this report was made from the plan alone. With the site beside it (hillweave report \
             SITE PLAN) it is."
        ))],
    }
}

/// So many things: `1 zone`, `2 zones`.
pub(crate) fn counted(count: usize, thing: &str) -> String {
    let count = Form::Count.words(&count.into());
    if count == "1" { format!("{count} {thing}") } else { format!("{count} {thing}s") }
}

/// Why a check says nothing.
fn missing(problem: &Problem) -> (String, String) {
    let mut words = problem.found.clone();
    if !problem.expected.is_empty() {
        put(&mut words, format_args!("; expected: {}", problem.expected));
    }
    if !problem.remedy.is_empty() {
        put(&mut words, format_args!("; {}", problem.remedy));
    }
    (problem.item.clone(), words)
}

/// What a list of a record's cautions says.
fn cautions_of(record: &Record) -> Vec<(String, String)> {
    let row = |row: String| {
        let text = |name: &str| record.text(&format!("{row}/{name}")).to_owned();
        (text("about"), text("text"))
    };
    record.rows("/cautions").map(row).collect()
}

/// Warnings of a record: what, and what to do.
fn warnings_of(record: &Record) -> Vec<(String, String)> {
    let row = |row: String| {
        let text = |name: &str| record.text(&format!("{row}/{name}")).to_owned();
        let [file, item, found, expected, remedy] =
            ["file", "item", "found", "expected", "remedy"].map(text);
        let about = if file.is_empty() { item } else { format!("{file} {item}") };
        let mut words = found;
        for (lead, part) in [("; expected: ", expected), ("; ", remedy)] {
            if !part.is_empty() {
                words += lead;
                words += &part;
            }
        }
        (about, words)
    };
    record.rows("/warnings").map(row).collect()
}

/// Sentences of a list as items.
fn sentences(record: &Record, pointer: &str) -> Vec<(String, String)> {
    record.texts(pointer).map(|one| (String::new(), one.to_owned())).collect()
}

/// A chart with its caption; its names are kept apart from those of others by `name`.
fn picture(name: &str, svg: &str, caption: impl Into<String>) -> Option<Piece> {
    let size = view_box(svg)?;
    let mut svg =
        svg.replace("id=\"", &format!("id=\"{name}-")).replace("url(#", &format!("url(#{name}-"));
    if !svg.contains("xmlns=") {
        svg = svg.replacen("<svg ", "<svg xmlns=\"http://www.w3.org/2000/svg\" ", 1);
    }
    Some(Piece::Picture(Picture { svg, size, caption: caption.into() }))
}

/// Width and height of a drawing.
fn view_box(svg: &str) -> Option<[f64; 2]> {
    let (_, rest) = svg.split_once("viewBox=\"")?;
    let (words, _) = rest.split_once('"')?;
    let sides: Vec<f64> = words.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    match sides[..] {
        [_, _, wide, high] if wide > 0.0 && high > 0.0 => Some([wide, high]),
        _ => None,
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use serde_json::{Value, json};
    use spatial::plan::Shapes;

    use super::*;
    use crate::inputs::Inputs;

    /// What a report of a plan alone is made from.
    pub(crate) fn dossier(plan: Value) -> Dossier {
        Dossier {
            plan: Record::read("plan.json", plan),
            plan_sha256: "0".repeat(64),
            shapes: Shapes::default(),
            inputs: Inputs { inputs: Vec::new(), warnings: Vec::new() },
            inputs_record: Record::read("report.json", json!({})),
            of_site: None,
        }
    }

    #[test]
    fn one_is_not_many() {
        assert_eq!(counted(1, "piece"), "1 piece");
        assert_eq!(
            [0, 2, 1200].map(|count| counted(count, "zone")),
            ["0 zones", "2 zones", "1,200 zones"]
        );
    }
}
