//! Cover of the steep ground.

use super::{Facts, Field, picture, table, told};
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

/// Pieces that the report lists; the rest stand in `cover_pieces.csv`.
const LISTED: usize = 20;

pub(super) fn cover(dossier: &Dossier) -> Section {
    let of_check = dossier.of_site.as_ref().map(|site| &site.cover);
    let pieces = told(of_check, "Cover", |record, charts| {
        let mut facts = Facts::new();
        facts.add(
            "target",
            record,
            "/target",
            Form::Percent(0),
            "of each piece that may slip, protected",
        );
        facts.add("by", record, "/by_years", Form::Count, "years after the first planting");
        facts.add("may slip", record, "/may_slip_plan_ha", Form::Fixed(1), "ha of map");
        facts.add("below the target then", record, "/below_plan_ha", Form::Fixed(1), "ha of map");
        facts.add(
            "mended in time",
            record,
            "/remedies_plan_ha",
            Form::Fixed(1),
            "ha of map, by the cheapest ways",
        );
        facts.add("for", record, "/remedies_nzd", Form::Dollars, "NZ$");
        facts.add("mended later", record, "/late_remedies_plan_ha", Form::Fixed(1), "ha of map");
        facts.add("for", record, "/late_remedies_nzd", Form::Dollars, "NZ$");
        facts.add("without a remedy", record, "/no_remedy_plan_ha", Form::Fixed(1), "ha of map");
        facts.add(
            "in pieces too small to list",
            record,
            "/below_small_plan_ha",
            Form::Fixed(1),
            "ha of map, without a remedy or its cost",
        );
        facts.add(
            "soil washed off then",
            record,
            "/soil_loss_ratio",
            Form::Percent(0),
            "of today's, sheet and rill alone",
        );
        let mut pieces = vec![
            facts.piece("Will the steep ground be protected"),
            Piece::Note(
                "What is mended in time and later, what has no remedy and what is too small to list make up what is below \
                 the target, but for cells that a border cuts: pieces have whole cells."
                    .to_owned(),
            ),
        ];
        if let Some(chart) = charts.first() {
            pieces.extend(picture("cover", chart, "Share of ground that may slip protected, by slope group and year; the line across is the target"));
        }
        pieces.push(classes(record));
        let fields = [
            Field::new("Piece", "piece_id", Form::Text, 10.0),
            Field::new("In", "lies_in", Form::Text, 10.0),
            Field::new("ha of map", "plan_area_ha", Form::Fixed(2), 10.0),
            Field::new("Slope, °", "slope_mean_deg", Form::Fixed(0), 9.0),
            Field::new("Now", "protected_now", Form::Percent(0), 9.0),
            Field::new("Then", "protected_then", Form::Percent(0), 9.0),
            Field::new("Why", "reason", Form::Text, 48.0),
            Field::new("Cheapest remedy", "remedy_words", Form::Text, 48.0),
            Field::new("Ask first", "caution", Form::Text, 26.0),
        ];
        let count = record.len("/pieces");
        let caption = if count > LISTED {
            format!(
                "The {LISTED} largest of {count} pieces below the target; cover_pieces.csv has all"
            )
        } else {
            "Pieces below the target".to_owned()
        };
        pieces.push(table(record, caption, record.rows("/pieces").take(LISTED), &fields));
        pieces.push(Piece::List(super::sentences(record, "/limits")));
        pieces
    });
    Section { id: "cover", title: "Cover of the steep ground", pieces }
}

/// Slope groups at the target year, by the measure in force.
fn classes(record: &Record) -> Piece {
    let measure = record.text("/measure").to_owned();
    let by_years = record.at("/by_years").as_i64();
    let is_meant = |row: &String| {
        record.text(&format!("{row}/by")) == "slope_group"
            && record.text(&format!("{row}/measure")) == measure
            && record.at(&format!("{row}/may_slip_only")).as_bool() == Some(true)
            && record.at(&format!("{row}/years")).as_i64() == by_years
    };
    let fields = [
        Field::new("Slope group", "class", Form::Words, 20.0),
        Field::new("May slip, ha of map", "plan_area_ha", Form::Fixed(1), 20.0),
        Field::new("Protected, ha of map", "protected_plan_ha", Form::Fixed(1), 20.0),
        Field::new("Share", "protected_share", Form::Percent(0), 16.0),
        Field::new("Below the target, ha of map", "below_plan_ha", Form::Fixed(1), 24.0),
    ];
    let rows: Vec<String> = record.rows("/by_year_rows").filter(is_meant).collect();
    table(record, "Ground that may slip at the target year", rows.into_iter(), &fields)
}
