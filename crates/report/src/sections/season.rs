//! Bloom and bees.

use super::{Field, counted, picture, table, told};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

pub(super) fn season(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.season);
    let pieces = told(of_check, "Bloom and bees", |record, charts| {
        let mut pieces = vec![Piece::Text(format!(
            "Something flowers in {} of a usual year, and in {} of them bees fly on some days. Bees are taken to fly \
             from {} °C on, in wind below {} m/s and without rain.",
            counted(record.number("/bloom_weeks").round() as usize, "week"),
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
                "{} without bloom within the season; season.json tells when.",
                match record.len("/gaps") {
                    1 => "There is one stretch".to_owned(),
                    count => format!("There are {count} stretches"),
                }
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
    let fields = [
        Field::new("Line", "stock_name", Form::Text, 30.0),
        Field::new("ha of map", "plan_area_ha", Form::Fixed(1), 13.0),
        Field::new("Flowers from", "bloom/begins", Form::Text, 15.0),
        Field::new("to", "bloom/ends", Form::Text, 12.0),
        Field::new("Days", "bloom/days", Form::Fixed(0), 11.0),
        Field::new("Days bees fly", "bloom/flying_days", Form::Fixed(0), 13.0),
        Field::new("Hours bees fly", "bloom/flying_hours", Form::Fixed(0), 13.0),
        Field::new("Hours of flow", "bloom/flow_hours", Form::Fixed(0), 13.0),
        Field::new("Bloom lost, ha of map", "bloom/lost_plan_ha", Form::Fixed(1), 16.0),
    ];
    let caption = "Lines; dates are month and day, means are over a line's ground";
    table(record, caption, record.rows("/lines"), &fields)
}
