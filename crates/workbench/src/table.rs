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
    Head {
        name: column.name,
        title: column.title(),
        unit: column.measure(),
        kind: match column.kind {
            Kind::Text => "text",
            Kind::Integer => "integer",
            Kind::Real => "real",
        },
        meaning: column.meaning,
    }
}
