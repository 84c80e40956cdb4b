//! Each zone: what it is, what is planted, and why.

use std::collections::BTreeMap;

use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

pub(super) fn zones(dossier: &Dossier) -> Section {
    let plan = &dossier.plan;
    Section {
        id: "zones",
        title: "Zones",
        pieces: vec![
            Piece::Text(
                "A zone is ground that asks for one treatment. Its figures are summed from the cells in it, never from \
                 its label. Slope groups A to G are those of land use capability."
                    .to_owned(),
            ),
            super::without_unknown(cards(plan), "Winter"),
            Piece::Heading("Why".to_owned()),
            Piece::Note(
                "Fit is 0 to 1 over the ground open to planting; S1, S2, S3 and N are the orders of FAO 1976. Blocks are \
                 one zone and one line."
                    .to_owned(),
            ),
            reasons(plan),
            ground(plan),
        ],
    }
}

/// One row a block, as the crew has it.
fn cards(plan: &Record) -> Piece {
    let zones = by_id(plan, "/zones", "zone_id");
    let cells = |row: String| {
        let zone = zones.get(plan.text(&format!("{row}/zone_id"))).cloned().unwrap_or_default();
        let card = |name: &str, form: Form| plan.cell(&format!("{row}/{name}"), form);
        let of_zone = |name: &str, form: Form| plan.cell(&format!("{zone}/{name}"), form);
        vec![
            card("zone_id", Form::Text),
            of_zone("plan_area_ha", Form::Fixed(2)),
            of_zone("slope_group", Form::Text),
            of_zone("slope_mean_deg", Form::Fixed(0)),
            card("letter", Form::Text),
            card("stock_name", Form::Text),
            card("season", Form::Year),
            card("seedlings", Form::Count),
            card("order_qty", Form::Count),
            card("spacing_m", Form::Fixed(2)),
            card("density_basis", Form::Text),
            card("hazards", Form::Text),
        ]
    };
    Piece::Table(Table {
        caption: "Zone cards, one row a block".to_owned(),
        columns: vec![
            Column::words("Zone", 9.0),
            Column::numbers("ha of map", 9.0),
            Column::words("Group", 8.5),
            Column::numbers("Mean slope, °", 8.5),
            Column::words("Line", 6.5),
            Column::words("Name", 21.0),
            Column::numbers("Winter", 9.0),
            Column::numbers("Plants", 10.0),
            Column::numbers("Ordered", 11.0),
            Column::numbers("Spacing, m", 10.5),
            Column::words("measured on", 11.5),
            Column::words("Take care", 48.0),
        ],
        rows: plan.rows("/cards").map(cells).collect(),
    })
}

/// Why each line stands where it does.
fn reasons(plan: &Record) -> Piece {
    let cells = |row: String| {
        let cell = |name: &str, form: Form| plan.cell(&format!("{row}/{name}"), form);
        vec![
            cell("block_id", Form::Text),
            cell("share", Form::Percent(0)),
            cell("fit", Form::Fixed(2)),
            cell("fit_class", Form::Text),
            cell("reason", Form::Text),
        ]
    };
    Piece::Table(Table {
        caption: "Why this line".to_owned(),
        columns: vec![
            Column::words("Block", 26.0),
            Column::numbers("of the zone", 12.0),
            Column::numbers("Fit", 8.0),
            Column::words("Order", 10.0),
            Column::words("Reason", 106.0),
        ],
        rows: plan.rows("/blocks").map(cells).collect(),
    })
}

/// What each zone is, and what of it is left.
fn ground(plan: &Record) -> Piece {
    let cells = |row: String| {
        let cell = |name: &str, form: Form| plan.cell(&format!("{row}/{name}"), form);
        vec![
            cell("zone_id", Form::Text),
            cell("ground_area_ha", Form::Fixed(2)),
            cell("slope_p90_deg", Form::Fixed(0)),
            cell("elevation_mean_m", Form::Fixed(0)),
            cell("cover_treatment", Form::Words),
            cell("left_share", Form::Percent(0)),
            cell("reason", Form::Text),
            cell("left_reason", Form::Text),
        ]
    };
    Piece::Table(Table {
        caption: "Why this zone, and what of it is left".to_owned(),
        columns: vec![
            Column::words("Zone", 10.0),
            Column::numbers("ha along the slope", 12.0),
            Column::numbers("90 % under, °", 11.0),
            Column::numbers("Height, m", 10.0),
            Column::words("Treatment", 15.0),
            Column::numbers("Left", 9.0),
            Column::words("Why a zone", 50.0),
            Column::words("Why left", 48.0),
        ],
        rows: plan.rows("/zones").map(cells).collect(),
    })
}

/// Pointers to the rows of a list by name.
fn by_id<'r>(record: &'r Record, list: &str, id: &str) -> BTreeMap<&'r str, String> {
    record.rows(list).map(|row| (record.text(&format!("{row}/{id}")), row)).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_card_takes_its_ground_from_its_zone() {
        let plan = Record::read(
            "plan.json",
            json!({
                "zones": [{"zone_id": "Z001", "plan_area_ha": 1.0}, {"zone_id": "Z002", "plan_area_ha": 2.5}],
                "cards": [{"zone_id": "Z002", "seedlings": 0, "season": null}],
            }),
        );
        let Piece::Table(table) = cards(&plan) else { panic!("a table") };
        let words: Vec<&str> =
            table.rows[0].iter().map(|cell: &crate::record::Cell| cell.text.as_str()).collect();
        assert_eq!(words[..2], ["Z002", "2.50"]);
        assert_eq!((words[6], words[7]), ("–", "0"), "not known is told apart from none");
        assert_eq!(table.rows[0].len(), table.columns.len());
    }
}
