//! Each zone: what it is, what is planted, and why.

use std::collections::BTreeMap;

use super::{Field, table};
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
            Piece::Table(cards(plan).without_unknown("Winter")),
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

/// One row a block, as the crew has it. Hectares are those of the block; slope is that of its zone.
fn cards(plan: &Record) -> Table {
    let zones = by_id(plan, "/zones", "zone_id");
    let blocks = by_id(plan, "/blocks", "block_id");
    let cells = |row: String| {
        let zone = zones.get(plan.text(&format!("{row}/zone_id"))).cloned().unwrap_or_default();
        let card = |name: &str, form: Form| plan.cell(&format!("{row}/{name}"), form);
        let block = blocks.get(plan.text(&format!("{row}/block_id"))).cloned().unwrap_or_default();
        let of_zone = |name: &str, form: Form| plan.cell(&format!("{zone}/{name}"), form);
        vec![
            card("zone_id", Form::Text),
            plan.cell(&format!("{block}/plan_area_ha"), Form::Fixed(2)),
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
    Table {
        caption: "Zone cards, one row a block; group and slope are those of its zone".to_owned(),
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
    }
}

/// Why each line stands where it does.
fn reasons(plan: &Record) -> Piece {
    let fields = [
        Field::new("Block", "block_id", Form::Text, 26.0),
        Field::new("of the zone", "share", Form::Percent(0), 12.0),
        Field::new("Fit", "fit", Form::Fixed(2), 8.0),
        Field::new("Order", "fit_class", Form::Text, 10.0),
        Field::new("Reason", "reason", Form::Text, 106.0),
    ];
    table(plan, "Why this line", plan.rows("/blocks"), &fields)
}

/// What each zone is, and what of it is left.
fn ground(plan: &Record) -> Piece {
    let fields = [
        Field::new("Zone", "zone_id", Form::Text, 10.0),
        Field::new("ha along the slope", "ground_area_ha", Form::Fixed(2), 12.0),
        Field::new("90 % under, °", "slope_p90_deg", Form::Fixed(0), 11.0),
        Field::new("Height, m", "elevation_mean_m", Form::Fixed(0), 10.0),
        Field::new("Treatment", "cover_treatment", Form::Words, 15.0),
        Field::new("Left", "left_share", Form::Percent(0), 9.0),
        Field::new("Why a zone", "reason", Form::Text, 50.0),
        Field::new("Why left", "left_reason", Form::Text, 48.0),
    ];
    table(plan, "Why this zone, and what of it is left", plan.rows("/zones"), &fields)
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
    fn a_card_has_the_hectares_of_its_block_and_the_slope_of_its_zone() {
        let plan = Record::read(
            "plan.json",
            json!({
                "zones": [
                    {"zone_id": "Z001", "plan_area_ha": 1.0, "slope_mean_deg": 9.0},
                    {"zone_id": "Z002", "plan_area_ha": 2.5, "slope_mean_deg": 31.0},
                ],
                "blocks": [
                    {"block_id": "Z002-a", "plan_area_ha": 1.75},
                    {"block_id": "Z002-b", "plan_area_ha": 0.75},
                ],
                "cards": [
                    {"zone_id": "Z002", "block_id": "Z002-a", "seedlings": 0, "season": null},
                    {"zone_id": "Z002", "block_id": "Z002-b", "seedlings": 7, "season": 2028},
                ],
            }),
        );
        let table = cards(&plan);
        let words = |row: usize| -> Vec<&str> {
            table.rows[row].iter().map(|cell: &crate::record::Cell| cell.text.as_str()).collect()
        };
        assert_eq!(words(0)[..4], ["Z002", "1.75", "–", "31"]);
        assert_eq!(words(1)[..4], ["Z002", "0.75", "–", "31"]);
        assert_eq!((words(0)[6], words(0)[7]), ("–", "0"), "not known is told apart from none");
        assert_eq!(table.rows[0].len(), table.columns.len());
    }
}
