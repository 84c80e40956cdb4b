//! How far the plan may be off.

use super::{Field, table, told};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;

pub(super) fn chances(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.chances);
    let pieces = told(of_check, "How far it may be off", |record, _| {
        let intro = format!(
            "The plan was drawn {} times with everything that may be off at once. Nine in ten draws lie between low and \
             high.",
            Form::Count.words(record.at("/draws"))
        );
        let figures = [
            Field::new("Figure", "figure", Form::Text, 50.0),
            Field::new("Unit", "unit", Form::Text, 22.0),
            Field::new("plan", "plan", Form::Fixed(1), 18.0),
            Field::new("low", "low", Form::Fixed(1), 18.0),
            Field::new("middle", "middle", Form::Fixed(1), 18.0),
            Field::new("high", "high", Form::Fixed(1), 18.0),
        ];
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
            table(record, "Figures", record.rows("/figures"), &figures),
            table(record, "Orders", record.rows("/lines"), &lines),
            Piece::List(super::sentences(record, "/limits")),
        ]
    });
    Section { id: "chances", title: "What is uncertain", pieces }
}
