//! What the nursery is asked for.

use super::{Field, table, table_of};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::{Cell, Record};

pub(super) fn order(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    let fields = [
        Field::new("Order", "order_id", Form::Text, 24.0),
        Field::new("Line", "stock_name", Form::Text, 30.0),
        Field::new("Winter", "season", Form::Year, 11.0),
        Field::new("Plants in the ground", "seedlings", Form::Count, 16.0),
        Field::new("Expected to live", "survival", Form::Percent(0), 14.0),
        Field::new("Needed", "needed", Form::Count, 14.0),
        Field::new("Spare", "spare", Form::Count, 11.0),
        Field::new("Ordered", "order_qty", Form::Count, 14.0),
        Field::new("Trays", "trays", Form::Count, 12.0),
        Field::new("Chance that it is enough", "chance", Form::Percent(0), 16.0),
    ];
    let orders = table_of(plan, "Orders by line and winter", plan.rows("/line_orders"), &fields);
    let mut pieces = vec![
        Piece::Text(
            "An order is the fewest plants of which, with the chance asked for, as many live as are planted, rounded up \
             to whole trays and the smallest lot. The chance counts each plant by itself; a bad year is bad for all, and \
             the part on chances tells what that does."
                .to_owned(),
        ),
        Piece::Table(orders.without_unknown("Winter")),
        deliveries(plan),
    ];
    if plan.len("/seasons") > 1 {
        let fields = [
            Field::new("Winter", "season", Form::Year, 14.0),
            Field::new("ha of map", "plan_area_ha", Form::Fixed(1), 16.0),
            Field::new("Plants in the ground", "seedlings", Form::Count, 20.0),
            Field::new("Ordered", "order_qty", Form::Count, 18.0),
            Field::new("Plants and planting, NZ$", "cost_nzd", Form::Dollars, 22.0),
            Field::new("Days of one person", "person_days", Form::Count, 18.0),
        ];
        pieces.push(table(plan, "Winters", plan.rows("/seasons"), &fields));
    }
    pieces.push(Piece::List(super::sentences(plan, "/solution/binding")));
    pieces.push(Piece::Note(
        "Supply, prices and dates are those of the stock file: ask the nursery before anything is relied on.".to_owned(),
    ));
    Section { id: "order", title: "Order", pieces }
}

/// Each delivery of each order; they add up to it.
fn deliveries(plan: &Record) -> Piece {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for order in plan.rows("/line_orders") {
        for row in plan.rows(&format!("{order}/deliveries")) {
            rows.push(vec![
                plan.cell(&format!("{order}/order_id"), Form::Text),
                plan.cell(&format!("{row}/delivery_no"), Form::Count),
                plan.cell(&format!("{row}/plants"), Form::Count),
                plan.cell(&format!("{row}/trays"), Form::Count),
            ]);
        }
    }
    Piece::Table(Table {
        caption: "Deliveries".to_owned(),
        columns: vec![
            Column::words("Order", 40.0),
            Column::numbers("Delivery", 20.0),
            Column::numbers("Plants", 20.0),
            Column::numbers("Trays", 20.0),
        ],
        rows,
    })
}
