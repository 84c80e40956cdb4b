//! What is ordered of the nursery, a row for each delivery.

use super::sheet::{Cell, HUNDREDTHS, Heading, NUMBER, Sheet, Total, WHOLE};
use crate::plan::{DeliveryRow, LineOrderRow, Plan};

/// The sheet.
pub(super) fn sheet(plan: &Plan) -> Sheet {
    Sheet {
        name: "Nursery order",
        note: "A row for each delivery. Figures of a whole order stand beside its first delivery alone, so that columns \
               add up."
            .into(),
        figure: None,
        headings: headings(),
        rows: plan.line_orders.iter().flat_map(rows).collect(),
        asked: Vec::new(),
    }
}

fn headings() -> Vec<Heading> {
    let heading = Heading::new;
    vec![
        heading("Order", 20.0, "@", Total::No),
        heading("Line", 16.0, "@", Total::No),
        heading("Name of the line", 26.0, "@", Total::No),
        heading("Kind", 11.0, "@", Total::No),
        heading("Winter (year)", 9.0, NUMBER, Total::No),
        heading("Delivery (number)", 10.0, NUMBER, Total::No),
        heading("Plants in the delivery", 12.0, WHOLE, Total::Sum),
        heading("Trays in the delivery", 11.0, WHOLE, Total::Sum),
        heading("Whole order: plants to order", 13.0, WHOLE, Total::Sum),
        heading("Whole order: plants into the ground", 13.0, WHOLE, Total::Sum),
        heading("Whole order: share expected to live (0 to 1)", 13.0, HUNDREDTHS, Total::No),
        heading("Whole order: chance that enough live (0 to 1)", 13.0, HUNDREDTHS, Total::No),
    ]
}

/// The deliveries of an order; one row for an order of nothing, so that what it plants is told.
fn rows(order: &LineOrderRow) -> Vec<Vec<Cell>> {
    let first = order.deliveries.first();
    let rest = order.deliveries.iter().skip(1);
    let whole = [
        Cell::Whole(order.order_qty),
        Cell::Whole(order.seedlings),
        Cell::Real(order.survival),
        Cell::Real(order.chance),
    ];
    let mut rows = vec![row(order, first, whole)];
    rows.extend(rest.map(|delivery| row(order, Some(delivery), [const { Cell::Empty }; 4])));
    rows
}

fn row(order: &LineOrderRow, delivery: Option<&DeliveryRow>, whole: [Cell; 4]) -> Vec<Cell> {
    let mut cells = vec![
        Cell::text(&order.order_id),
        Cell::text(&order.stock_id),
        Cell::text(&order.stock_name),
        Cell::text(&order.stock_kind),
        Cell::year(order.season),
        Cell::whole(delivery.map(|delivery| delivery.delivery_no)),
        Cell::Whole(delivery.map_or(0, |delivery| delivery.plants)),
        Cell::Whole(delivery.map_or(0, |delivery| delivery.trays)),
    ];
    cells.extend(whole);
    cells
}
