//! A layer of the plan as a table: the columns of every file, so that page and files cannot disagree.

use serde::Serialize;
use serde_json::Value as Json;
use spatial::problem::Problem;
use spatial::write::Kind;
use spatial::write::columns::Column;

/// Rows under columns that say what they are.
#[derive(Debug, Serialize)]
pub(crate) struct Table {
    columns: Vec<Head>,
    rows: Vec<Vec<Json>>,
}

#[derive(Debug, Serialize)]
struct Head {
    name: &'static str,
    title: String,
    unit: String,
    kind: &'static str,
    meaning: &'static str,
}

impl Table {
    /// Every row under every column.
    ///
    /// # Errors
    /// When a number is not finite.
    pub(crate) fn of<Row, Whole>(
        columns: &[Column<Row, Whole>],
        rows: &[Row],
        whole: &Whole,
    ) -> Result<Self, Problem> {
        let row =
            |row: &Row| columns.iter().map(|column| Ok(column.value(row, whole)?.into())).collect();
        Ok(Self {
            columns: columns.iter().map(head).collect(),
            rows: rows.iter().map(row).collect::<Result<_, Problem>>()?,
        })
    }
}

fn head<Row, Whole>(column: &Column<Row, Whole>) -> Head {
    let unit = [column.unit, column.basis].into_iter().filter(|part| !part.is_empty());
    Head {
        name: column.name,
        title: title(column.name, !column.unit.is_empty()),
        unit: unit.collect::<Vec<_>>().join(", "),
        kind: match column.kind {
            Kind::Text => "text",
            Kind::Integer => "integer",
            Kind::Real => "real",
        },
        meaning: column.meaning,
    }
}

/// A name with spaces and a capital; without the unit at its end where a unit is told.
fn title(name: &str, has_unit: bool) -> String {
    const UNITS: [&str; 8] = ["_ha", "_m", "_m2", "_deg", "_sph", "_c", "_mm", "_nzd"];
    let bare = UNITS.into_iter().find_map(|unit| name.strip_suffix(unit)).filter(|_| has_unit);
    let words = bare.unwrap_or(name).replace('_', " ");
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
