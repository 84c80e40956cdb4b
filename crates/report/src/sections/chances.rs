//! How far the plan may be off.

use super::{Field, table, told};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

pub(super) fn chances(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.chances);
    let pieces = told(of_check, "How far it may be off", |record, _| {
        let intro = format!(
            "The plan was drawn {} times with everything that may be off at once. Nine in ten draws lie between low and \
             high.",
            Form::Count.words(record.at("/draws"))
        );
        let lines = [
            Field::new("Line", "stock_name", Form::Text, 34.0),
            Field::new("Ordered", "order_qty", Form::Count, 16.0),
            Field::new("Needed, low", "needed_low", Form::Count, 16.0),
            Field::new("middle", "needed_middle", Form::Count, 16.0),
            Field::new("high", "needed_high", Form::Count, 16.0),
            Field::new("Order is enough in", "enough_chance", Form::Percent(0), 18.0),
        ];
        vec![
            Piece::Text(intro),
            figures(record),
            table(record, "Orders, drawn again and again", record.rows("/lines"), &lines),
            Piece::List(super::sentences(record, "/limits")),
        ]
    });
    Section { id: "chances", title: "What is uncertain", pieces }
}

/// Figures, each in the form that its unit asks for.
fn figures(record: &Record) -> Piece {
    let row = |row: String| {
        let form = form_of(record.text(&format!("{row}/unit")));
        let word = |name: &str| record.cell(&format!("{row}/{name}"), Form::Text);
        let number = |name: &str| record.cell(&format!("{row}/{name}"), form);
        ["figure", "unit"]
            .into_iter()
            .map(word)
            .chain(["plan", "low", "middle", "high"].map(number))
            .collect()
    };
    let numbers = ["plan", "low", "middle", "high"].map(|head| Column::numbers(head, 18.0));
    let words = [Column::words("Figure", 50.0), Column::words("Unit", 22.0)];
    Piece::Table(Table {
        caption: "Figures, drawn again and again".to_owned(),
        columns: words.into_iter().chain(numbers).collect(),
        rows: record.rows("/figures").map(row).collect(),
    })
}

/// Plants are whole, and a share has no sense in tenths.
fn form_of(unit: &str) -> Form {
    match unit {
        "plants" => Form::Count,
        "0 to 1" => Form::Fixed(2),
        unit if unit.starts_with("mg/kg") => Form::Count,
        _ => Form::Fixed(1),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn figures_are_written_as_their_units_ask() {
        let row = |unit: &str, value: f64| json!({"figure": "one", "unit": unit, "plan": value, "low": value, "middle": value, "high": null});
        let record = Record::read(
            "chances.json",
            json!({"figures": [row("plants", 1234.56), row("0 to 1", 0.0731), row("weeks", 9.43)]}),
        );
        let Piece::Table(table) = figures(&record) else { panic!("no table") };
        let words =
            |at: usize| table.rows[at].iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>();
        assert_eq!(words(0), ["one", "plants", "1,235", "1,235", "1,235", "–"]);
        assert_eq!(words(1)[2..], ["0.07", "0.07", "0.07", "–"]);
        assert_eq!(words(2)[2], "9.4");
    }
}
