//! The cards of the crew: what `cards.csv` holds.

use super::sheet::{Cell, DEGREES, HUNDREDTHS, Heading, NUMBER, Sheet, TENTHS, Total, WHOLE};
use crate::plan::Plan;
use crate::problem::Problem;
use crate::write::cards::{ON_GLOBE, drops_on_globe};
use crate::write::columns::{CARDS, Column};
use crate::write::lon_lat::{ToLonLat, rounded_degrees};
use crate::write::value::{Kind, Value};

/// The sheet.
///
/// # Errors
/// When a number is not finite or a point cannot be moved to the globe.
pub(super) fn sheet(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Sheet, Problem> {
    let mut headings: Vec<Heading> = CARDS.iter().map(heading).collect();
    headings.extend(
        ON_GLOBE.map(|name| Heading::new(format!("{name} (degrees)"), 13.0, DEGREES, Total::No)),
    );
    let drops = drops_on_globe(plan, to_lon_lat)?;
    let row = |(card, drop): (_, &Option<(f64, f64)>)| -> Result<Vec<Cell>, Problem> {
        let cells = CARDS.iter().map(|column| column.value(card, plan).map(cell));
        let mut cells = cells.collect::<Result<Vec<Cell>, Problem>>()?;
        cells.extend(
            [drop.map(|drop| drop.0), drop.map(|drop| drop.1)]
                .map(|degrees| Cell::real(degrees.map(rounded_degrees))),
        );
        Ok(cells)
    };
    Ok(Sheet {
        name: "Zone cards",
        note: "A row a block, as in cards.csv. A drop point is a place on the map: whether a vehicle can get there and \
               turn safely is for people on site to say."
            .into(),
        figure: None,
        headings,
        rows: plan.cards.iter().zip(&drops).map(row).collect::<Result<_, _>>()?,
        asked: Vec::new(),
    })
}

/// The columns that add up.
const ADDED: [&str; 2] = ["seedlings", "order_qty"];

fn heading<Row>(column: &Column<Row>) -> Heading {
    let unit = match (column.unit, column.basis) {
        ("", _) => String::new(),
        (unit, "map" | "ground") => format!(" ({unit}, {})", column.basis),
        (unit, _) => format!(" ({unit})"),
    };
    let shown = match (column.kind, column.unit) {
        (Kind::Text, _) => "@",
        (Kind::Integer, "plants" | "boxes") => WHOLE,
        (Kind::Integer, _) => NUMBER,
        (Kind::Real, "m") if column.name.starts_with("drop_") => TENTHS,
        (Kind::Real, _) => HUNDREDTHS,
    };
    let width = match column.name {
        "hazards" => 40.0,
        "stock_name" | "block_id" => 22.0,
        "stock_id" | "colour" => 14.0,
        _ => 10.0,
    };
    let total = match column.name {
        name if ADDED.contains(&name) => Total::Sum,
        "boxes" => Total::SumOfAll,
        _ => Total::No,
    };
    Heading::new(format!("{}{unit}", column.name), width, shown, total)
}

fn cell(value: Value) -> Cell {
    match value {
        Value::Null => Cell::Empty,
        Value::Text(words) => Cell::Text(words),
        Value::Integer(count) => Cell::Whole(count),
        Value::Real(number) => Cell::Real(number),
    }
}
