//! Bloom and bees.

use super::{Field, picture, table, told};
use crate::document::{Column, Piece, Section, Table};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

pub(super) fn season(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.season);
    let pieces = told(of_check, "Bloom and bees", |record, charts| {
        let mut pieces = vec![Piece::Text(format!(
            "Something flowers in {} weeks of a usual year, and in {} of them bees fly on some days. Bees are taken to fly \
             from {} °C on, in wind below {} m/s and without rain.",
            Form::Count.words(record.at("/bloom_weeks")),
            Form::Count.words(record.at("/flying_weeks")),
            record.number("/rules/least_c"),
            record.number("/rules/most_wind_ms"),
        ))];
        if let Some(chart) = charts.first() {
            let caption = "Bloom of each line by height and week, and hours in which bees fly";
            pieces.extend(picture("season", chart, caption));
        }
        pieces.push(lines(record));
        if record.len("/gaps") > 0 {
            pieces.push(Piece::Text(format!(
                "{} stretches without bloom lie within the season; season.json has them.",
                record.len("/gaps")
            )));
        }
        let fields = [
            Field::new("Place for hives", "site_id", Form::Text, 16.0),
            Field::new("Easting, m", "easting_m", Form::Count, 16.0),
            Field::new("Northing, m", "northing_m", Form::Count, 16.0),
            Field::new("Height, m", "elevation_m", Form::Fixed(0), 12.0),
            Field::new("Slope, °", "slope_deg", Form::Fixed(1), 12.0),
            Field::new("To track, m", "to_track_m", Form::Fixed(0), 12.0),
            Field::new("Planted within reach, ha", "near/planted_ha", Form::Fixed(1), 20.0),
        ];
        if record.len("/hives") > 0 {
            pieces.push(table(
                record,
                "Places for hives beside tracks, the best first",
                record.rows("/hives"),
                &fields,
            ));
        }
        pieces.push(Piece::List(super::cautions_of(record)));
        pieces
    });
    Section { id: "season", title: "Bloom and bees", pieces }
}

fn lines(record: &Record) -> Piece {
    let cells = |row: String| {
        let cell = |name: &str, form: Form| record.cell(&format!("{row}/{name}"), form);
        vec![
            cell("stock_name", Form::Text),
            cell("plan_area_ha", Form::Fixed(1)),
            cell("bloom/begins", Form::Text),
            cell("bloom/ends", Form::Text),
            cell("bloom/days", Form::Fixed(0)),
            cell("bloom/flying_days", Form::Fixed(0)),
            cell("bloom/flying_hours", Form::Fixed(0)),
            cell("bloom/flow_hours", Form::Fixed(0)),
            cell("bloom/lost_plan_ha", Form::Fixed(1)),
        ]
    };
    Piece::Table(Table {
        caption: "Lines; dates are month and day, means are over a line's ground".to_owned(),
        columns: vec![
            Column::words("Line", 30.0),
            Column::numbers("ha of map", 13.0),
            Column::words("Flowers from", 15.0),
            Column::words("to", 12.0),
            Column::numbers("Days", 11.0),
            Column::numbers("Days bees fly", 13.0),
            Column::numbers("Hours bees fly", 13.0),
            Column::numbers("Hours of flow", 13.0),
            Column::numbers("Bloom lost, ha of map", 16.0),
        ],
        rows: record.rows("/lines").map(cells).collect(),
    })
}
